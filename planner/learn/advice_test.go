package learn_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/learn"
)

// The rule of the trade: heavy dross that knocks off, too slow; a hard bead,
// too fast (common practice, no source).
func TestDrossTellsTheFeed(t *testing.T) {
	e := func(feed float64, d learn.Dross) learn.Edge { return learn.Edge{Feed: feed, Dross: d} }
	for name, c := range map[string]struct {
		edges  []learn.Edge
		feed   float64
		within float64
		proven bool
		why    string
	}{
		"slow only":     {[]learn.Edge{e(2000, learn.EasyDross)}, 2200, 200, false, "too slow"},
		"fast only":     {[]learn.Edge{e(2000, learn.HardDross)}, 1800, 200, false, "too fast"},
		"not through":   {[]learn.Edge{e(2000, learn.NotThrough)}, 1800, 200, false, "too fast"},
		"between":       {[]learn.Edge{e(1600, learn.EasyDross), e(2500, learn.HardDross)}, 2000, 450, false, "between"},
		"ladder":        {[]learn.Edge{e(1400, learn.EasyDross), e(1600, learn.EasyDross), e(1800, learn.Clean), e(2000, learn.Clean), e(2200, learn.Clean), e(2400, learn.HardDross)}, 2000, 200, true, "cut clean"},
		"one clean":     {[]learn.Edge{e(1600, learn.EasyDross), e(2000, learn.Clean), e(2200, learn.HardDross)}, 2000, 100, true, "cut clean"},
		"all clean":     {[]learn.Edge{e(1800, learn.Clean), e(2000, learn.Clean)}, 1900, 100, true, "cut clean"},
		"once clean":    {[]learn.Edge{e(2000, learn.Clean), e(2000, learn.Clean)}, 0, 0, true, "the feed ladder tells"},
		"luck":          {[]learn.Edge{e(1500, learn.Clean), e(1600, learn.EasyDross), e(2000, learn.Clean), e(2400, learn.HardDross)}, 2000, 200, true, "cut clean"},
		"contradictory": {[]learn.Edge{e(2400, learn.EasyDross), e(2000, learn.HardDross)}, 0, 0, false, "something else decides"},
		"clean and bad": {[]learn.Edge{e(2000, learn.Clean), e(2000, learn.EasyDross)}, 0, 0, false, "something else decides"},
		"top":           {[]learn.Edge{e(2000, learn.TopDross)}, 0, 0, false, "lower the torch first"},
		"nothing":       {nil, 0, 0, false, "no edge"},
	} {
		a := learn.FeedFrom(c.edges)
		if math.Abs(a.Feed-c.feed) > 1e-9 || math.Abs(a.Within-c.within) > 1e-9 || a.Proven != c.proven || !strings.Contains(a.Why, c.why) {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

func TestShortestPierceThatCameThroughIsTaken(t *testing.T) {
	p := func(d float64, through bool) learn.Pierce { return learn.Pierce{Delay: d, Through: through} }
	d, w, err := learn.DelayFrom([]learn.Pierce{p(0.2, false), p(0.3, true), p(0.4, false), p(0.5, true), p(0.6, true)})
	if err != nil || d != 0.5 || math.Abs(w-0.1) > 1e-12 {
		t.Error(d, w, err) // 0.3 was luck
	}
	if d, w, err := learn.DelayFrom([]learn.Pierce{p(0.2, true), p(0.3, true)}); err != nil || d != 0.2 || w != 0.2 {
		t.Error(d, w, err)
	}
	for _, bad := range [][]learn.Pierce{nil, {p(0.2, false)}, {p(0.2, true), p(0.3, false)}} {
		if _, _, err := learn.DelayFrom(bad); err == nil {
			t.Error("a delay from", bad)
		}
	}
}

func TestVoltageDriftIsToldOnlyIfItCanBe(t *testing.T) {
	var all []learn.Reading
	for i, off := range []float64{0.2, -0.1, 0.1, -0.2, 0, 0.1} {
		h := float64(i) * 0.4
		all = append(all, learn.Reading{Hours: h, Volts: 120 + 3*h + off})
	}
	d, err := learn.DriftOf(all)
	if err != nil || !d.Told || math.Abs(d.PerH-3) > d.Within || d.Within > 0.5 || math.Abs(d.New-120) > 0.3 {
		t.Errorf("%+v %v", d, err)
	}
	for i := range all {
		all[i].Volts = 120 + []float64{2, -2, 1, -1, 2, -2}[i]
	}
	if d, err := learn.DriftOf(all); err != nil || d.Told {
		t.Errorf("a drift out of noise: %+v %v", d, err)
	}
	if _, err := learn.DriftOf(all[:2]); err == nil || !strings.Contains(err.Error(), "3 are needed") {
		t.Error(err)
	}
	for i := range all {
		all[i].Hours = 1.5
	}
	if _, err := learn.DriftOf(all); err == nil || !strings.Contains(err.Error(), "same hour") {
		t.Error(err)
	}
}

func TestLifeIsCountedOnWithPrudence(t *testing.T) {
	l := learn.LifeOf([]float64{500, 600, 700}, []float64{2})
	if l.Starts.Mean != 600 || l.Starts.Spread != 100 || l.Starts.Prudent() != 500 || l.Hours.Prudent() != 1 {
		t.Errorf("%+v", l)
	}
	if learn.LifeOf(nil, nil).Starts.Prudent() != 0 {
		t.Error("a life out of nothing")
	}
}

func TestBevelTellsTheHeight(t *testing.T) {
	if s := learn.BevelAdvice([]float64{3, 4}); !strings.Contains(s, "too high") {
		t.Error(s)
	}
	if s := learn.BevelAdvice([]float64{-3}); !strings.Contains(s, "too low") {
		t.Error(s)
	}
	if learn.BevelAdvice([]float64{0.5}) != "" || learn.BevelAdvice(nil) != "" {
		t.Error("a square edge tells nothing")
	}
}
