package learn

import (
	"fmt"
	"math"
	"slices"
)

// Dross is what hangs on a cut edge.
type Dross string

const (
	Clean      Dross = "none"
	TopDross   Dross = "top"         // spatter on the upper edge
	EasyDross  Dross = "bottom-easy" // heavy, knocks off with little force
	HardDross  Dross = "bottom-hard" // a fine hard bead, must be ground off
	NotThrough Dross = "not-through" // the arc did not come through
)

// Drosses lists every Dross in the order in which it is offered.
func Drosses() []Dross { return []Dross{Clean, EasyDross, HardDross, TopDross, NotThrough} }

// Words says what a dross is to a person.
func (d Dross) Words() string {
	switch d {
	case Clean:
		return "clean"
	case TopDross:
		return "spatter on top"
	case EasyDross:
		return "dross below, knocks off"
	case HardDross:
		return "dross below, hard bead"
	case NotThrough:
		return "not cut through"
	}
	return "not looked at"
}

// sign says what the rule of the trade makes of a dross: -1 the feed was too
// slow, 1 too fast, 0 neither. Heavy dross that knocks off comes from too slow
// a feed, a hard bead from too fast a one, and a cut that did not come through
// was too fast. Top spatter is told by height before feed. Common practice, no
// source.
func (d Dross) sign() int {
	switch d {
	case EasyDross:
		return -1
	case HardDross, NotThrough:
		return 1
	}
	return 0
}

// Edge is one cut that was looked at.
type Edge struct {
	Feed  float64 // mm/min, as it was cut
	Dross Dross
}

// FeedAdvice is what the edges say of the feed.
type FeedAdvice struct {
	Feed   float64 // mm/min to use; 0 if nothing can be said
	Within float64 // mm/min, half of the span that was seen to do, or that is left open
	Proven bool    // it was cut, and was clean
	Why    string
}

// feedStep is the part by which a feed is changed where only one side is
// known. Common practice, no source.
const feedStep = 0.10

// FeedFrom looks for the feed between one that was too slow and one that was
// too fast. Clean cuts decide: the middle of their span is furthest from
// either trouble. Without them it is the middle between the fastest slow one
// and the slowest fast one, or a step away from the only side that is known.
func FeedFrom(edges []Edge) FeedAdvice {
	var slow, fast, clean []float64
	top := 0
	for _, e := range edges {
		switch {
		case !(e.Feed > 0):
		case e.Dross == Clean:
			clean = append(clean, e.Feed)
		case e.Dross.sign() < 0:
			slow = append(slow, e.Feed)
		case e.Dross.sign() > 0:
			fast = append(fast, e.Feed)
		case e.Dross == TopDross:
			top++
		}
	}
	lo, hi := 0.0, math.Inf(1)
	if len(slow) > 0 {
		lo = slices.Max(slow)
	}
	if len(fast) > 0 {
		hi = slices.Min(fast)
	}
	switch {
	case len(clean) > 0:
		a, b := slices.Min(clean), slices.Max(clean)
		// Clean cuts beyond a bad one were luck: only the span between the bad
		// ones counts, if any clean cut lies in it.
		in := slices.DeleteFunc(slices.Clone(clean), func(f float64) bool { return f <= lo || f >= hi })
		if lo < hi && len(in) > 0 {
			a, b = slices.Min(in), slices.Max(in)
		} else if lo > 0 || !math.IsInf(hi, 1) {
			return FeedAdvice{Why: "clean and bad cuts lie at the same feeds: something else decides; look at consumables, height and gas, then cut the ladder again"}
		}
		if a == b && lo == 0 && math.IsInf(hi, 1) {
			return FeedAdvice{Proven: true, Why: "clean at the only feed that was tried: the feed ladder tells how far it is from trouble"}
		}
		return FeedAdvice{Feed: (a + b) / 2, Within: cleanSpan(a, b, lo, hi), Proven: true, Why: "the middle of the feeds that cut clean"}
	case lo > 0 && !math.IsInf(hi, 1) && lo >= hi:
		return FeedAdvice{Why: "dross of too slow a cut at a faster feed than dross of too fast a one: something else decides; look at consumables, height and gas"}
	case lo > 0 && !math.IsInf(hi, 1):
		return FeedAdvice{Feed: math.Sqrt(lo * hi), Within: (hi - lo) / 2, Why: "between dross that knocks off (too slow) and a hard bead (too fast)"}
	case lo > 0:
		return FeedAdvice{Feed: lo * (1 + feedStep), Within: lo * feedStep, Why: fmt.Sprintf("heavy dross that knocks off: too slow; %.0f %% faster", 100*feedStep)}
	case !math.IsInf(hi, 1):
		return FeedAdvice{Feed: hi * (1 - feedStep), Within: hi * feedStep, Why: fmt.Sprintf("a hard bead: too fast; %.0f %% slower", 100*feedStep)}
	case top > 0:
		return FeedAdvice{Why: "spatter on top only: lower the torch first, then look again; if it stays, the feed is too fast"}
	}
	return FeedAdvice{Why: "no edge was looked at"}
}

// cleanSpan is half of the span that cut clean; with one clean feed only, half
// of the way to the nearer bad one, or a step where there is none.
func cleanSpan(a, b, lo, hi float64) float64 {
	if b > a {
		return (b - a) / 2
	}
	half := feedStep * a
	if lo > 0 {
		half = min(half, (a-lo)/2)
	}
	return min(half, (hi-b)/2)
}

// Pierce is one pierce that was looked at.
type Pierce struct {
	Delay   float64 // s
	Through bool    // the arc had come through before the torch moved
}

// DelayFrom returns the shortest delay that came through, longer than every
// one that did not. within is how much shorter it might be: the step down to
// the longest that did not come through.
func DelayFrom(all []Pierce) (delay, within float64, err error) {
	failed := -1.0
	for _, p := range all {
		if !p.Through {
			failed = max(failed, p.Delay)
		}
	}
	delay = math.Inf(1)
	for _, p := range all {
		if p.Through && p.Delay > failed {
			delay = min(delay, p.Delay)
		}
	}
	switch {
	case len(all) == 0:
		return 0, 0, fmt.Errorf("no pierce was looked at")
	case math.IsInf(delay, 1):
		return 0, 0, fmt.Errorf("the longest delay, %.2f s, did not come through: cut the row again with longer ones, or more current", failed)
	case failed < 0:
		return delay, delay, nil
	}
	return delay, delay - failed, nil
}

// BevelAdvice says what a lean of the edge tells of the torch: deg over 0 is
// an edge that is wider at the bottom of the part (more cut away on top).
// Common practice, no source.
func BevelAdvice(deg []float64) string {
	m := MeanOf(deg)
	const square = 1.0 // degree, under which an edge is called square
	switch {
	case m.N == 0 || math.Abs(m.Mean) <= square:
		return ""
	case m.Mean > 0:
		return fmt.Sprintf("edges lean by %.1f deg, cut away on top: the torch is too high or the feed too fast; lower the arc voltage a little", m.Mean)
	}
	return fmt.Sprintf("edges lean by %.1f deg, cut away below: the torch is too low or the feed too slow; raise the arc voltage a little", -m.Mean)
}
