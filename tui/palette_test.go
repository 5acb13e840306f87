package tui

import (
	"math"
	"testing"
)

// What people who see fewer colours see of a colour, in linear light: Machado,
// Oliveira and Fernandes 2009 (doi 10.1109/TVCG.2009.113), severity 1.0, as the
// Python library colorspacious 1.1.2 carries them from the paper's supplement.
var fewer = map[string][3][3]float64{
	"all colours": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"no red":      {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"no green":    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"no blue":     {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// ansiColours are the sixteen colours of a common terminal (its defaults, from
// memory); 7 stands for text without a colour.
var ansiColours = [16][3]float64{{0, 0, 0}, {205, 0, 0}, {0, 205, 0}, {205, 205, 0}, {0, 0, 238}, {205, 0, 205}, {0, 205, 205}, {229, 229, 229},
	{127, 127, 127}, {255, 0, 0}, {0, 255, 0}, {255, 255, 0}, {92, 92, 255}, {255, 0, 255}, {0, 255, 255}, {255, 255, 255}}

// seen is a colour in CIE 1976 L*a*b* as such an eye has it.
func seen(n int, m [3][3]float64) [3]float64 {
	var l, s [3]float64
	for i, v := range ansiColours[n] { // IEC 61966-2-1
		if v /= 255; v <= 0.04045 {
			l[i] = v / 12.92
		} else {
			l[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	for i, row := range m {
		s[i] = min(1, max(0, row[0]*l[0]+row[1]*l[1]+row[2]*l[2]))
	}
	f := func(t float64) float64 {
		if t > 0.008856 {
			return math.Cbrt(t)
		}
		return 7.787*t + 16.0/116
	}
	x := f((0.4124*s[0] + 0.3576*s[1] + 0.1805*s[2]) / 0.95047)
	y := f(0.2126*s[0] + 0.7152*s[1] + 0.0722*s[2])
	z := f((0.0193*s[0] + 0.1192*s[1] + 0.9505*s[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// TestColoursAreToldApartByEveryEye: what is drawn as the same thin line, and
// what is said as bad, to be looked at and good, lie 20 or more apart (2.3 is
// a just noticeable difference, Mahy 1994, from memory). All else has a glyph
// or a width of its own.
func TestColoursAreToldApartByEveryEye(t *testing.T) {
	group := func(inks ...ink) map[ink]int {
		out := map[ink]int{}
		for _, i := range inks {
			out[i] = max(colourOf[i], 0)
			if colourOf[i] == 0 {
				out[i] = 7
			}
		}
		return out
	}
	for name, g := range map[string]map[ink]int{"lines": group(inkStock, inkPart, inkLead, inkBad), "words": group(inkBad, inkWarn, inkGood)} {
		for eye, m := range fewer {
			for a, ca := range g {
				for b, cb := range g {
					if a >= b {
						continue
					}
					p, q := seen(ca, m), seen(cb, m)
					if d := math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2])); d < 20 {
						t.Errorf("%s: colours %d and %d are %.0f apart to an eye with %s", name, ca, cb, d, eye)
					}
				}
			}
		}
	}
	// The comparison sees what it is for: red and green of before, to an eye
	// without green, were warn and good 6 apart without red.
	if p, q := seen(3, fewer["no red"]), seen(2, fewer["no red"]); math.Hypot(p[1]-q[1], p[2]-q[2]) > 20 {
		t.Error("yellow and green look apart without red")
	}
}
