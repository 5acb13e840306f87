package drawing_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"pgregory.net/rapid"
)

func TestAKnownDiameterScalesEverything(t *testing.T) {
	data := []byte(onePage("", "10 10 180 80 re S "+hole, nil).table())
	for _, was := range []float64{0, 3} {
		l, _ := drawing.Read(context.Background(), data, drawing.Options{Scale: was})
		if e := l.Extents(1); len(e) != 1 || e[0].Name != "diameter" {
			t.Fatal(e)
		}
		s, err := drawing.FitScale([]drawing.Measured{{Drawn: l.Extents(1)[0].MM, True: 80}})
		if err != nil {
			t.Fatal(err)
		}
		m, _ := drawing.Read(context.Background(), data, drawing.Options{Scale: s.Factor * max(was, 1)})
		if d := m.Extents(1)[0].MM; math.Abs(d-80) > 1e-6 {
			t.Errorf("was %g: the hole is %.6f, want 80", was, d)
		}
		// The second dimension: the plate is 4.5 holes long and 2 high.
		if e := m.Extents(0); math.Abs(e[0].MM-360) > 0.05 || math.Abs(e[1].MM-160) > 0.05 {
			t.Errorf("was %g: the plate is %v", was, e)
		}
	}
}

func TestAScaleSaysWhatItLooksLike(t *testing.T) {
	// Ratios of units: 25.4 mm, 72 points, 96 px to the inch.
	for _, c := range []struct {
		drawn, true float64
		says        string
	}{
		{2, 50.8, "inches"}, {50.8, 2, "are mm"}, {100, 35.2778, "points"}, {96, 25.41, "px at 96"},
		{90, 96, "90 to the inch"}, {72, 96, "72 to the inch"}, {5, 50, "cm"}, {30, 150, "1:5"}, {100, 100.1, "true as it is"}, {100, 117, ""},
	} {
		f, err := drawing.FitScale([]drawing.Measured{{Drawn: c.drawn, True: c.true}})
		if err != nil || (f.Looks == "") != (c.says == "") || !strings.Contains(f.Looks, c.says) {
			t.Errorf("%g to %g: %q, want %q, %v", c.drawn, c.true, f.Looks, c.says, err)
		}
	}
}

func TestLengthsThatDisagreeAreAskedAbout(t *testing.T) {
	m := func(name string, drawn, true float64, side drawing.Side) drawing.Measured {
		return drawing.Measured{Name: name, Drawn: drawn, True: true, Side: side}
	}
	for name, c := range map[string]struct {
		all  []drawing.Measured
		says string
	}{
		"agree":    {[]drawing.Measured{m("a", 100, 200, 0), m("b", 50, 100.05, 0)}, ""},
		"disagree": {[]drawing.Measured{m("width", 100, 200, 0), m("height", 50, 103, 0)}, "height is off by"},
		// Cut 0.6 mm too wide: the outside is small and the hole large.
		"kerf": {[]drawing.Measured{m("plate", 100, 99.4, drawing.Outside), m("hole", 50, 50.6, drawing.Inside)}, "width of a cut"},
	} {
		f, err := drawing.FitScale(c.all)
		if err != nil || (f.Ask == "") != (c.says == "") || !strings.Contains(f.Ask, c.says) {
			t.Errorf("%s: %q, %v", name, f.Ask, err)
		}
	}
}

func TestAShortLengthAsksForALongerOne(t *testing.T) {
	l := mustShow(t, page(`<rect width="150" height="90"/>`))
	f, _ := drawing.FitScale([]drawing.Measured{{Drawn: 10, True: 10}})
	// 0.1 mm on 10 mm is 1 %, 1.5 mm on 150 mm.
	if math.Abs(f.Within-0.01) > 1e-9 || !strings.Contains(f.Reach(l), "1.5 mm") {
		t.Errorf("%g, %q", f.Within, f.Reach(l))
	}
	f, _ = drawing.FitScale([]drawing.Measured{{Drawn: 150, True: 150}})
	if f.Reach(l) != "" {
		t.Error(f.Reach(l))
	}
}

func TestScalesThatCannotBeAreRefused(t *testing.T) {
	for _, c := range []drawing.Measured{{Drawn: 0, True: 10}, {Drawn: -3, True: 10}, {Drawn: 150, True: 0}, {Drawn: 150, True: -5}, {Drawn: 150, True: math.NaN()}, {Drawn: 150, True: math.Inf(1)}, {Drawn: 150, True: 1e9}} {
		if s, err := drawing.FitScale([]drawing.Measured{c}); err == nil {
			t.Errorf("%+v: %g", c, s.Factor)
		}
	}
	l := mustShow(t, page(`<rect width="150" height="90"/>`))
	for _, loop := range []int{-1, 1} {
		if e := l.Extents(loop); len(e) != 0 {
			t.Errorf("loop %d of one: %v", loop, e)
		}
	}
}

func TestNoOtherScaleFitsTheLengthsBetter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var all []drawing.Measured
		for range rapid.IntRange(1, 6).Draw(rt, "n") {
			d := rapid.Float64Range(1, 500).Draw(rt, "drawn")
			all = append(all, drawing.Measured{Drawn: d, True: d * rapid.Float64Range(1.9, 2.1).Draw(rt, "ratio"), Within: rapid.Float64Range(0.05, 1).Draw(rt, "within")})
		}
		f, err := drawing.FitScale(all)
		if err != nil {
			rt.Fatal(err)
		}
		cost := func(s float64) (sum float64) {
			for _, m := range all {
				r := (m.True - s*m.Drawn) / m.Within
				sum += r * r
			}
			return sum
		}
		if best := cost(f.Factor); cost(f.Factor*1.001) < best || cost(f.Factor*0.999) < best {
			rt.Fatalf("%g is not the best", f.Factor)
		}
	})
}
