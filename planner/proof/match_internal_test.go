package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// The place at a part of a run is where so much of its length is behind it, on
// lines and arcs.
func TestPlaceAtAPartOfARun(t *testing.T) {
	r := straight(geom.Pt(0, 0), geom.Pt(10, 0))
	for _, sweep := range []float64{-math.Pi / 2, math.Pi / 2} { // radius 4, from (10, 0) on along X
		c := geom.Pt(10, math.Copysign(4, sweep))
		arc := piece{a: geom.Pt(10, 0), c: c, r: 4, sweep: sweep}
		arc.b = c.Add(turned(arc.a.Sub(c), sweep))
		x := *r
		x.path = append(x.path[:1:1], lit{piece: arc, along: 10})
		x.length = 10 + 2*math.Pi
		for part, want := range map[float64]geom.Point{
			0: {}, 5 / x.length: geom.Pt(5, 0), 10 / x.length: geom.Pt(10, 0),
			(10 + math.Pi) / x.length:     geom.Pt(10+4*math.Sin(math.Pi/4), math.Copysign(4-4*math.Cos(math.Pi/4), sweep)),
			(10 + 1.5*math.Pi) / x.length: geom.Pt(10+4*math.Sin(0.375*math.Pi), math.Copysign(4-4*math.Cos(0.375*math.Pi), sweep)),
		} {
			if got := x.point(part); got.Dist(want) > 1e-9 {
				t.Errorf("sweep %g, part %g: %v, want %v", sweep, part, got, want)
			}
		}
	}
}

// A run is held to the edge that it keeps half a kerf from; without any, to
// that which most of it lies near: up to three kerfs, of what is to be cut.
func TestRunIsHeldToTheEdgeThatItCuts(t *testing.T) {
	a, b := box("a", 0, 0, 30, 20), box("b", 40, 0, 100, 20)
	left := b
	left.Rule = "locate"
	thin := b
	thin.Kerf = 0.5
	p := geom.Pt
	for _, c := range []struct {
		name string
		fs   []Feature
		pts  []geom.Point
		want string
	}{
		{"along one", []Feature{a, b}, []geom.Point{p(-0.75, 0), p(-0.75, 20)}, "a"},
		{"a long lead beside another", []Feature{a, b}, []geom.Point{p(90, -3), p(40, -3), p(36, -0.75), p(28, -0.75), p(10, -0.75)}, "a"},
		{"the same, the other first", []Feature{b, a}, []geom.Point{p(90, -3), p(40, -3), p(36, -0.75), p(28, -0.75), p(10, -0.75)}, "a"},
		{"a long way out beside another", []Feature{a, b}, []geom.Point{p(10, -0.75), p(25, -0.75), p(34, -3), p(90, -3)}, "a"},
		{"just most along the first", []Feature{a, b}, []geom.Point{p(0, -0.75), p(30, -0.75), p(40, -0.75), p(68, -0.75)}, "a"},
		{"a lead that ends half a kerf from another", []Feature{a, b}, []geom.Point{p(90, -3), p(41, -0.75), p(28, -0.75), p(10, -0.75)}, "a"},
		{"a way out that begins so", []Feature{a, b}, []geom.Point{p(10, -0.75), p(28, -0.75), p(41, -0.75), p(90, -3)}, "a"},
		{"a way across another's corner", []Feature{a, b}, []geom.Point{p(10, -0.75), p(16, -0.75), p(39.25, 5), p(45, -0.75)}, "a"},
		{"most along the second", []Feature{a, b}, []geom.Point{p(20, -0.75), p(30, -0.75), p(40, -0.75), p(70, -0.75)}, "b"},
		{"most along the first", []Feature{a, b}, []geom.Point{p(0, -0.75), p(30, -0.75), p(40, -0.75), p(50, -0.75)}, "a"},
		{"twice half a kerf off, most of it by one", []Feature{a, b}, []geom.Point{p(0, -1.5), p(30, -1.5), p(50, -1.5)}, "a"},
		{"twice half a kerf off, most of it by the other", []Feature{a, b}, []geom.Point{p(20, -1.5), p(30, -1.5), p(41, -1.5), p(80, -1.5)}, "b"},
		{"nearly three kerfs off", []Feature{a, b}, []geom.Point{p(50, -4.4), p(90, -4.4)}, "b"},
		{"over three kerfs off", []Feature{a, b}, []geom.Point{p(50, -4.6), p(90, -4.6)}, ""},
		{"over three of its own kerfs off", []Feature{a, thin}, []geom.Point{p(50, -2), p(90, -2)}, ""},
		{"what is not cut", []Feature{a, left}, []geom.Point{p(50, -0.75), p(90, -0.75)}, ""},
		{"far from all", []Feature{a, b}, []geom.Point{p(300, 300), p(330, 300)}, ""},
	} {
		m := metalOf(t, c.fs...)
		got := m.followed(straight(c.pts...), nil, 0, tol)
		if id := ""; got != nil {
			id = got.ID
			if id != c.want {
				t.Errorf("%s: %q, want %q", c.name, id, c.want)
			}
		} else if c.want != id {
			t.Errorf("%s: none, want %q", c.name, c.want)
		}
	}
	// One of three places between two edges is enough to look at the whole.
	for _, pts := range [][]geom.Point{
		{p(120.75, 95), p(120.75, 45)},
		{p(100, 100.75), p(120.75, 100.75), p(120.75, 85)},               // the last place
		{p(120.75, 85), p(120.75, 100.75), p(160, 100.75)},               // the first
		{p(120.755, 41), p(120.755, 100), p(120, 100.75), p(80, 100.75)}, // the first, nearer to the wrong one
	} {
		m := metalOf(t, box("left", 40, 40, 120, 100), box("right", 121.5, 40, 201.5, 100))
		r := straight(pts...)
		if got, want := m.followed(r, nil, 0, tol), m.byLength(r, nil, 0, tol); got != want || got == nil {
			t.Errorf("%v: %v, want %v", pts, got, want)
		}
	}
}

// All that a load needs is cut: lost cuts are not, nor what only the dry run of
// another rule would do.
func TestLoadIsDoneWhenAllOfItIsCut(t *testing.T) {
	pop := box("c", 200, 0, 210, 10)
	pop.Rule, pop.Pop = "drill", true
	left := box("d", 300, 0, 310, 10)
	left.Rule = "locate"
	for _, c := range []struct {
		name string
		runs map[int][]int
		dry  bool
		want bool
	}{
		{"nothing", nil, false, false},
		{"all", map[int][]int{0: {0}, 1: {0}, 2: {0}}, false, true},
		{"all but a pop", map[int][]int{0: {0}, 1: {0}}, false, false},
		{"all but a pop, dry", map[int][]int{0: {0}, 1: {0}}, true, true},
		{"all but an outline, dry", map[int][]int{0: {0}, 2: {-1}}, true, false},
		{"one lost", map[int][]int{0: {0}, 1: {1}, 2: {0}}, false, false},
		{"one lost and finished", map[int][]int{0: {0}, 1: {1, 0}, 2: {0}}, false, true},
	} {
		m := metalOf(t, box("a", 0, 0, 30, 20), box("b", 40, 0, 100, 20), pop, left)
		for i, l := range m.loops {
			l.runs = c.runs[i]
		}
		k := &check{in: &Input{Dry: c.dry}, runs: []run{{}, {lost: true}}}
		if got := k.done(m); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A pulse marks the hole whose centre it is at, if that is to be marked so.
func TestPulseMarksTheHoleThatAsksForIt(t *testing.T) {
	pop, hole := box("pop", 0, 0, 10, 10), box("hole", 40, 0, 50, 10)
	pop.Rule, pop.Pop = "drill", true
	m := metalOf(t, pop, hole)
	for q, want := range map[geom.Point]string{{X: 5, Y: 5}: "pop", {X: 5.019, Y: 5}: "pop", {X: 5.03, Y: 5}: "", {X: 25, Y: 5}: "", {X: 45, Y: 5}: "", {X: 100, Y: 5}: ""} {
		got := m.pop(q, tol)
		if got == nil && want != "" || got != nil && got.ID != want {
			t.Errorf("%v: %v, want %q", q, got, want)
		}
	}
}
