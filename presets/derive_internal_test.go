package presets

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// The files in process/ are written by this test, with -update, and held to
// it without. So every figure in them can be computed again from its source.

var update = flag.Bool("update", false, "write process/*.toml and the demo job anew")

// The trade fact that fixes the efficiency: 45 A cuts 1/8 in of mild steel
// at about 100 in/min. Common practice, no source.
const (
	factAmps      = 45.0
	factThickness = 3.175  // mm
	factFeed      = 2540.0 // mm/min
)

// besselI and besselK are the modified Bessel functions of whole order n, by
// their integrals (Abramowitz and Stegun 9.6.19 and 9.6.24).
func besselI(n int, x float64) float64 {
	return integrate(0, math.Pi, func(a float64) float64 { return math.Exp(x*math.Cos(a)) * math.Cos(float64(n)*a) }) / math.Pi
}

func besselK(n int, x float64) float64 {
	below := integrate(0, 12, func(t float64) float64 { return math.Exp(-x * math.Cosh(t)) }) // cosh 12 x 0.02 is over 1600: nothing is left there
	if n == 0 {
		return below
	}
	k := integrate(0, 12, func(t float64) float64 { return math.Exp(-x*math.Cosh(t)) * math.Cosh(t) })
	for m := 1; m < n; m++ { // upwards is the stable way (9.6.26)
		below, k = k, below+2*float64(m)/x*k
	}
	return k
}

// integrate is Simpson's rule.
func integrate(a, b float64, f func(float64) float64) float64 {
	const steps = 400
	h := (b - a) / steps
	sum := f(a) + f(b)
	for i := 1; i < steps; i++ {
		w := 2.0
		if i%2 == 1 {
			w = 4
		}
		sum += w * f(a+float64(i)*h)
	}
	return sum * h / 3
}

// conduction returns the heat that a kerf front at melting temperature loses
// into the plate, over k (Tm - T0) and the thickness, for p = v r / (2 a):
// feed, half the kerf, diffusivity.
//
// In the frame of a round front of radius r that moves along x, steady
// conduction is dT/dx v/a + lap T = 0. T = e^(-p x) S with x in r, and S is a
// sum of K_n cos(n t); S = e^(p cos t) on the front gives the factors
// I_n(p)/K_n(p), 2 for n > 0. Integrating the flux round the front leaves
// -2 pi p sum (-1)^n (2) I_n^2 K_n'/K_n. Of this the metal in front brings
// v 2r rho c (Tm - T0) back into the kerf, 4 p, which the balance counts as
// heat to melt.
func conduction(p float64) float64 {
	sum := 0.0
	k, below := besselK(0, p), besselK(1, p) // below: K_(n-1), K_(-1) being K_1
	for n := range 16 {
		above := below + 2*float64(n)/p*k
		// K_n' = -(K_(n-1) + K_(n+1))/2 (Abramowitz and Stegun 9.6.26)
		i := besselI(n, p)
		term := -i * i * (below + above) / 2 / k
		below, k = k, above
		if n > 0 {
			term *= 2
		}
		if n%2 == 1 {
			term = -term
		}
		sum += term
	}
	return -2*math.Pi*p*sum - 4*p
}

// arc returns the power in W that a feed in mm/min takes: melting the kerf,
// and heating the plate beside it.
func arc(m Metal, thickness, kerf, feed float64) float64 {
	v := feed / 60                                                             // mm/s
	k := m.Conductivity.Value * 1e-3                                           // W/(mm K)
	a := m.Conductivity.Value / (m.Density.Value * m.SpecificHeat.Value) * 1e6 // mm2/s
	beside := k * (m.Melting.Value - room) * conduction(v*kerf/2/(2*a))        // W/mm
	return thickness * (v*kerf*m.MeltHeat() + beside)
}

// feedFor returns the feed in mm/min at which arc takes the power given. It
// lies under the feed at which melting alone takes it.
func feedFor(m Metal, thickness, kerf, watts float64) float64 {
	lo, hi := 1.0, watts/(thickness*kerf*m.MeltHeat())*60
	for range 20 { // to a hundredth of a mm/min
		if mid := (lo + hi) / 2; arc(m, thickness, kerf, mid) < watts {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func TestConductionAgreesWithThePublishedPowerLaw(t *testing.T) {
	// W. Schulz and others, J. Phys. D 26 (1993) 1357: the loss is about
	// 4 (Pe/2)^0.36 k (Tm - T0) t, with Pe = v r / a from 0.2 to 10. From
	// memory; the law is a fit, good to a fifth.
	for _, p := range []float64{0.1, 0.2, 0.5, 1, 2, 3, 5} {
		law := 4 * math.Pow(p, 0.36)
		if got := conduction(p); math.Abs(got/law-1) > 0.25 {
			t.Errorf("p %v: series %v, law %v", p, got, law)
		}
	}
}

func TestBesselFunctions(t *testing.T) {
	// Abramowitz and Stegun, tables 9.8 and 9.9, at x = 1.
	for _, row := range []struct {
		name      string
		got, want float64
	}{
		{"I0", besselI(0, 1), 1.2660658778}, {"I1", besselI(1, 1), 0.5651591040}, {"I2", besselI(2, 1), 0.1357476698},
		{"K0", besselK(0, 1), 0.4210244382}, {"K1", besselK(1, 1), 0.6019072302}, {"K2", besselK(2, 1), 1.6248388986},
	} {
		if math.Abs(row.got-row.want) > 1e-9 { // the tables' last digit
			t.Errorf("%s(1) = %.10f, want %.10f", row.name, row.got, row.want)
		}
	}
}

// efficiency is the share of the arc's power that reaches kerf and plate,
// fixed by the trade fact with middle kerf and voltage.
var efficiency = sync.OnceValue(func() float64 {
	c, _, _ := currents(factAmps)
	m, _ := MetalOf(job.MildSteel)
	return arc(m, factThickness, c.kerf().middle(), factFeed) / (factAmps * c.volts().middle())
})

// delayFor returns the middle of the pierce delays that practice spans, on
// straight lines through the thick ends of its bands.
func delayFor(thickness float64) float64 {
	lastT, last := 0.0, 0.0
	for i, d := range ranges().PierceDelay {
		mid := span{d.From, d.To}.middle()
		if thickness <= d.ThicknessTo {
			if i == 0 {
				return mid
			}
			return last + (mid-last)*(thickness-lastT)/(d.ThicknessTo-lastT)
		}
		lastT, last = d.ThicknessTo, mid
	}
	panic("no delay")
}

// steelFeeds are the balance's feeds in mild steel, by current and thickness.
var steelFeeds = sync.OnceValue(func() map[[2]float64]float64 {
	all := map[[2]float64]float64{}
	steel, _ := MetalOf(job.MildSteel)
	for _, f := range ranges().Feed {
		c, _, _ := currents(f.Amps)
		all[[2]float64{f.Amps, f.Thickness}] = feedFor(steel, f.Thickness, c.kerf().middle(), efficiency()*c.volts().middle()*f.Amps)
	}
	return all
})

// derive computes the presets of one material.
func derive(material job.Material) []Preset {
	r := ranges()
	times := factor(material).middle()
	var all []Preset
	for _, c := range r.Current {
		pierced := c.PierceTo
		var thick []float64
		for _, f := range r.Feed {
			if f.Amps == c.Amps && f.Thickness <= pierced {
				thick = append(thick, f.Thickness)
			}
		}
		if material != job.MildSteel {
			thick = thick[:len(thick)-1] // the limit is for mild steel: stop a row short of it
		}
		for _, t := range thick {
			kerf, volts := c.kerf().middle(), c.volts().middle()
			feed := math.Round(steelFeeds()[[2]float64{c.Amps, t}]/10) * 10
			s, _ := steelFeed(t, c.Amps)
			source := "feed: energy balance, fixed by 45 A on 1/8 in mild steel near 100 in/min"
			if !s.holds(feed) {
				end := s.From
				if feed > s.To {
					end = s.To
				}
				source += fmt.Sprintf(", gave %.0f mm/min for mild steel; moved to the near end of practice, %.0f to %.0f", feed, s.From, s.To)
				feed = end
			}
			if times != 1 {
				feed = math.Round(feed*times/10) * 10
				source += fmt.Sprintf(", times %s for %s (no source)", unit.Number(times, 2), material)
			}
			p := Preset{Material: material, Thickness: t, Process: job.Process{
				Amps: c.Amps, Feed: feed, Kerf: math.Round(kerf*100) / 100,
				PierceHeight: r.Height.CutUsual * span{r.Height.PierceTimesFrom, r.Height.PierceTimesTo}.middle(),
				CutHeight:    r.Height.CutUsual, PierceDelay: job.Of(math.Round(delayFor(t)*100) / 100),
				Volts: volts, Gas: plain.Of("air"), State: job.Starting,
				Source: plain.Of(source + "; other figures: middles of practice, no source"),
			}}
			p.Process.Preset = plain.Of(p.Name())
			all = append(all, p)
		}
	}
	return all
}

func head(material job.Material) []string {
	lines := []string{
		fmt.Sprintf("Starting presets for %s. Every one is a starting value: prove it with a test cut.", material),
		"Written by presets/derive_internal_test.go; no figure comes from a maker's chart.",
		"",
		"Feed: the arc's power V x A x efficiency melts the kerf (rho (cp (Tm - 20 C) + L), data in",
		"materials/mild-steel.toml) and heats the plate beside it (steady conduction from a round",
		fmt.Sprintf("front). The efficiency, %.3f, is fixed by one trade fact: 45 A on 1/8 in mild steel near", efficiency()),
		"100 in/min (common practice, no source). A feed outside the span of practice in ranges.toml",
		"is moved to its near end, and says so.",
	}
	if material != job.MildSteel {
		lines = append(lines,
			"Another metal's feed is mild steel's times the middle of what practice spans (ranges.toml:",
			"common practice, no source). The balance alone would allow more: it knows nothing of how",
			"a melt leaves the kerf, nor of the heat of burning iron.")
	}
	return append(lines,
		"Kerf and arc voltage: middles of practice at each current. Trends: kerf grows with current,",
		"height and wear; arc voltage grows with thickness, height and current. Cut height: the most",
		"usual; pierce height twice that. Pierce delay: middle of practice, growing with thickness.",
		"Gas pressure and flow are unknown: the torch's manual has them.")
}

func TestPresetFilesAreWhatTheirSourcesGive(t *testing.T) {
	for _, m := range job.Materials() {
		text, faults := encodePresets(head(m), unit.MM, derive(m))
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		name := filepath.Join(processFolder, string(m)+".toml")
		if *update {
			if err := os.WriteFile(name, text, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, text) {
			t.Errorf("%s differs from what its sources give; read the difference, then run with -update", name)
		}
	}
}

func TestTradeFactComesOutOfTheBalance(t *testing.T) {
	for _, p := range derive(job.MildSteel) {
		if p.Process.Amps == factAmps && p.Thickness == factThickness {
			if p.Process.Feed != factFeed {
				t.Fatalf("feed %v, the trade fact says %v", p.Process.Feed, factFeed)
			}
			return
		}
	}
	t.Fatal("no preset for the trade fact")
}

// middle returns the middle of the span.
func (s span) middle() float64 { return (s.From + s.To) / 2 }

func (c current) kerf() span  { return span{c.KerfFrom, c.KerfTo} }
func (c current) volts() span { return span{c.VoltsFrom, c.VoltsTo} }
