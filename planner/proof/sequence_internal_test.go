package proof

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner/geom"
)

// A way along the very edge of a part passes over none of it.
func TestWayAlongAnEdgeCrossesNothing(t *testing.T) {
	box := geom.Polygon(geom.Pt(0, 0), geom.Pt(64, 0), geom.Pt(64, 64), geom.Pt(0, 64))
	l := &loop{Feature: &Feature{}, edge: newPieces(piecesOf(box)), box: box.Box(), closed: true, outer: true}
	for _, way := range []piece{{a: geom.Pt(0, 0), b: geom.Pt(64, 0)}, {a: geom.Pt(0, 64), b: geom.Pt(0, 0)}, {a: geom.Pt(-10, 0), b: geom.Pt(80, 0)}} {
		if l.crosses(&way) {
			t.Errorf("%v", way)
		}
	}
}

// A way crosses what is loose where any place of it lies deep enough: for the
// slug of a round hole deeper than the kerf, for a round part at all. How deep a
// place lies in a circle is its radius less the way to its middle.
func TestWayOverLoosePiecesIsFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		r, c, kerf := draw("r", 2, 40), geom.Pt(50, 50), draw("kerf", 0.3, 3)
		l := &loop{Feature: &Feature{Kerf: kerf}, edge: newPieces(piecesOf(geom.Circle(c, r))), box: geom.Circle(c, r).Box(), closed: true, outer: rapid.Bool().Draw(rt, "outer")}
		way := piece{a: geom.Polar(c, draw("ra", 0, 2*r), draw("a", -math.Pi, math.Pi)), b: geom.Polar(c, draw("rb", 0, 2*r), draw("b", -math.Pi, math.Pi))}
		in := kerf
		if l.outer {
			in = 0
		}
		deepest := r - way.dist(c)
		if got := l.crosses(&way); got != (deepest > in) && math.Abs(deepest-in) > 2*heightWithin {
			rt.Fatalf("%v, but the deepest place lies %g in, more than %g is asked", got, deepest, in)
		}
	})
}
