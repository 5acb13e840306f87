package geom_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func seg(ax, ay, bx, by, bulge float64) geom.Seg {
	return geom.Seg{A: geom.Pt(ax, ay), B: geom.Pt(bx, by), Bulge: bulge}
}

// One row per branch. Points are closed forms: Pythagoras, and the meeting of
// two circles (r1 = r2 = 5, centres 6 apart: 4 off the middle).
func TestHowTwoSegmentsMeet(t *testing.T) {
	h := math.Sqrt2 / 2
	up := seg(5, 0, -5, 0, 1) // upper half of the circle r 5 about 0
	for _, c := range []struct {
		name string
		a, b geom.Seg
		kind geom.Kind
		at   []geom.Point
	}{
		{"lines cross", seg(0, 0, 10, 10, 0), seg(0, 10, 10, 0, 0), geom.Crossing, []geom.Point{{5, 5}}},
		{"lines apart", seg(0, 0, 10, 0, 0), seg(0, 1, 10, 1, 0), geom.Apart, nil},
		{"lines would cross beyond", seg(0, 0, 1, 1, 0), seg(0, 10, 10, 0, 0), geom.Apart, nil},
		{"line ends on line", seg(0, 0, 10, 0, 0), seg(4, 0, 4, 7, 0), geom.Crossing, []geom.Point{{4, 0}}},
		{"line ends short by half the tolerance", seg(0, 0, 10, 0, 0), seg(4, geom.Same/2, 4, 7, 0), geom.Crossing, []geom.Point{{4, 0}}},
		{"lines share an end", seg(0, 0, 10, 0, 0), seg(10, 0, 4, 7, 0), geom.Crossing, []geom.Point{{10, 0}}},
		{"lines follow on", seg(0, 0, 10, 0, 0), seg(10, 0, 20, 0, 0), geom.Tangent, []geom.Point{{10, 0}}},
		{"lines overlap", seg(0, 0, 10, 0, 0), seg(20, 0, 4, 0, 0), geom.Overlap, []geom.Point{{4, 0}, {10, 0}}},
		{"line within line", seg(0, 0, 10, 0, 0), seg(3, 0, 4, 0, 0), geom.Overlap, []geom.Point{{3, 0}, {4, 0}}},
		{"line twice", seg(0, 0, 10, 0, 0), seg(0, 0, 10, 0, 0), geom.Overlap, []geom.Point{{0, 0}, {10, 0}}},
		{"line crosses arc twice", seg(-10, 3, 10, 3, 0), up, geom.Crossing, []geom.Point{{-4, 3}, {4, 3}}},
		{"line crosses arc once", seg(0, 0, 0, 10, 0), up, geom.Crossing, []geom.Point{{0, 5}}},
		{"line crosses the other half", seg(0, 0, 0, -10, 0), up, geom.Apart, nil},
		{"line touches arc", seg(-10, 5, 10, 5, 0), up, geom.Tangent, []geom.Point{{0, 5}}},
		{"line misses arc by half the tolerance", seg(-10, 5+geom.Same/2, 10, 5+geom.Same/2, 0), up, geom.Tangent, []geom.Point{{0, 5}}},
		{"line misses arc", seg(-10, 5.001, 10, 5.001, 0), up, geom.Apart, nil},
		{"line leaves arc smoothly", seg(5, -3, 5, 0, 0), up, geom.Tangent, []geom.Point{{5, 0}}},
		{"chord of arc", seg(5, 0, -5, 0, 0), up, geom.Crossing, []geom.Point{{5, 0}, {-5, 0}}},
		{"line and arc as flat as a line", seg(-10, -1, 10, 1, 0), seg(-20, 0, 20, 0, 1e-8), geom.Crossing, []geom.Point{{-2e-6, -2e-7}}},
		{"arcs cross twice", seg(0, -5, 0, 5, 1), seg(6, 5, 6, -5, 1), geom.Crossing, []geom.Point{{3, 4}, {3, -4}}},
		{"arcs cross once", up, seg(6+5, 0, 6-5, 0, 1), geom.Crossing, []geom.Point{{3, 4}}},
		{"arcs touch outside", seg(0, -5, 0, 5, 1), seg(10, 5, 10, -5, 1), geom.Tangent, []geom.Point{{5, 0}}},
		{"arcs touch inside", seg(0, -5, 0, 5, 1), seg(3, -2, 3, 2, 1), geom.Tangent, []geom.Point{{5, 0}}},
		{"like arcs touch inside", seg(0, -5, 0, 5, 1), seg(0.1, -4.9, 0.1, 4.9, 1), geom.Tangent, []geom.Point{{5, 0}}},
		{"arcs apart", seg(0, -5, 0, 5, 1), seg(20, 5, 20, -5, 1), geom.Apart, nil},
		{"arcs about one centre", seg(0, -5, 0, 5, 1), seg(0, -4, 0, 4, 1), geom.Apart, nil},
		{"arcs of one circle overlap", up, seg(5*h, -5*h, 5*h, 5*h, math.Tan(math.Pi/8)), geom.Overlap, []geom.Point{{5, 0}, {5 * h, 5 * h}}},
		{"halves of a circle", up, seg(-5, 0, 5, 0, 1), geom.Tangent, []geom.Point{{5, 0}, {-5, 0}}},
		{"one half both ways", up, seg(-5, 0, 5, 0, -1), geom.Overlap, []geom.Point{{5, 0}, {-5, 0}}},
		{"point on line", seg(3, 0, 3, 0, 0), seg(0, 0, 10, 0, 0), geom.Crossing, []geom.Point{{3, 0}}},
	} {
		for _, m := range []geom.Move{{}, {Angle: 0.7}, {Mirror: true, Angle: 2, Shift: geom.Pt(1e4, -2e4)}} {
			for turn := range 8 {
				a, b := moveSeg(m, c.a), moveSeg(m, c.b)
				if turn&1 != 0 {
					a = a.Reverse()
				}
				if turn&2 != 0 {
					b = b.Reverse()
				}
				if turn&4 != 0 {
					a, b = b, a
				}
				got := geom.Intersect(a, b, geom.Same)
				kind := c.kind
				if c.name == "point on line" && got.Kind != geom.Apart {
					kind = got.Kind // a point has no direction
				}
				if got.Kind != kind || got.N != len(c.at) {
					t.Fatalf("%s (%d): %v with %d contacts, want %v with %d", c.name, turn, got.Kind, got.N, c.kind, len(c.at))
				}
				for i, k := range got.At[:got.N] {
					near(t, c.name+": on the first", a.At(k.T).Dist(k.P), 0, 2*geom.Same)
					near(t, c.name+": on the second", b.At(k.U).Dist(k.P), 0, 2*geom.Same)
					if i > 0 && k.T < got.At[i-1].T {
						t.Errorf("%s: not in order", c.name)
					}
					best := math.Inf(1)
					for _, p := range c.at {
						best = min(best, m.Apply(p).Dist(k.P))
					}
					near(t, c.name, best, 0, 1.5e-6) // half the tolerance plus what a like-arc pass is spread over
				}
			}
		}
	}
}

func moveSeg(m geom.Move, s geom.Seg) geom.Seg {
	p := geom.Path{V: []geom.Vertex{{P: s.A, Bulge: s.Bulge}, {P: s.B}}}
	return m.Path(p).Seg(0)
}

func anySeg(rt *rapid.T, name string) geom.Seg {
	co := rapid.Float64Range(-20, 20)
	s := seg(co.Draw(rt, name+"ax"), co.Draw(rt, name+"ay"), co.Draw(rt, name+"bx"), co.Draw(rt, name+"by"), 0)
	switch rapid.IntRange(0, 3).Draw(rt, name+"kind") {
	case 0:
	case 1:
		s.Bulge = rapid.Float64Range(-1e-6, 1e-6).Draw(rt, name+"bulge")
	default:
		s.Bulge = rapid.Float64Range(-1, 1).Draw(rt, name+"bulge")
	}
	return s
}

// Every contact lies on both; and chords of both, which know only lines,
// cross where and only where there is one.
func TestContactsAgreeWithCrossingsOfChords(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := anySeg(rt, "a"), anySeg(rt, "b")
		m := geom.Intersect(a, b, geom.Same)
		for _, c := range m.At[:m.N] {
			if a.Dist(c.P) > geom.Same || b.Dist(c.P) > geom.Same || a.At(c.T).Dist(c.P) > 2*geom.Same || b.At(c.U).Dist(c.P) > 2*geom.Same {
				rt.Fatalf("%v is not on both: %g, %g", c, a.Dist(c.P), b.Dist(c.P))
			}
		}
		const sag = 1e-3
		pa := geom.FromSegs([]geom.Seg{a}, false).Flatten(sag)
		pb := geom.FromSegs([]geom.Seg{b}, false).Flatten(sag)
		for i := 1; i < len(pa); i++ {
			for j := 1; j < len(pb); j++ {
				if geom.Orient(pa[i-1], pa[i], pb[j-1])*geom.Orient(pa[i-1], pa[i], pb[j]) >= 0 ||
					geom.Orient(pb[j-1], pb[j], pa[i-1])*geom.Orient(pb[j-1], pb[j], pa[i]) >= 0 {
					continue
				}
				la, lb := geom.Line(pa[i-1], pa[i]), geom.Line(pb[j-1], pb[j])
				x := geom.Intersect(la, lb, geom.Same).At[0].P
				sin := math.Abs(la.Tangent(0).Cross(lb.Tangent(0)))
				best := math.Inf(1)
				for _, c := range m.At[:m.N] {
					best = min(best, c.P.Dist(x))
				}
				// Chords off by sag each cross up to 2 sag/sin from the true place;
				// where they are that parallel the true curves may miss each other.
				// near an end too.
				end := min(x.Dist(a.A), x.Dist(a.B), x.Dist(b.A), x.Dist(b.B))
				if sin > 0.2 && end > 4*sag/sin && best > 4*sag/sin {
					rt.Fatalf("chords cross at %v, nearest contact %g off", x, best)
				}
			}
		}
	})
}

func BenchmarkIntersect(b *testing.B) {
	for name, s := range map[string][2]geom.Seg{
		"line line": {seg(0, 0, 10, 10, 0), seg(0, 10, 10, 0, 0)},
		"line arc":  {seg(-10, 3, 10, 3, 0), seg(5, 0, -5, 0, 1)},
		"arc arc":   {seg(0, -5, 0, 5, 1), seg(6, 5, 6, -5, 1)},
	} {
		b.Run(name, func(b *testing.B) {
			for range b.N {
				geom.Intersect(s[0], s[1], geom.Same)
			}
		})
	}
}
