package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// A line of 40 mm past the corner of a part: looking for the deepest place is
// bounded for the run and for the proof.
func TestLookForTheDeepestPlaceIsBounded(t *testing.T) {
	edge := geom.Polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 30), geom.Pt(0, 30))
	c := &check{in: &Input{Parts: []Part{{Label: "p1", Features: []Feature{{ID: "p1.outline", Rule: "outline", Loop: edge, Kerf: 1}}}}}}
	c.metals()
	way := []lit{{piece: piece{a: geom.Pt(-10, 25), b: geom.Pt(30, 29)}}}
	look := func(spent int) (depth, int) {
		d := depth{m: &c.loads[0], half: 0.5}
		d.search(way, &spent)
		return d, spent
	}
	// The bisector of the corner (0, 30) meets the line in x = 30 - y.
	x := (30 - 26) / 1.1
	d, spent := look(0)
	if want := x + 0.5; math.Abs(d.worst-want) > depthWithin {
		t.Errorf("%g deep, must be %g", d.worst, want)
	}
	// Beside the deepest place the depth falls by a tenth of the way on one side,
	// so that of every length some ten stretches are halved, from 40 mm to 0.02.
	if spent == 0 || spent > 200 || len(d.queue) != 1+spent {
		t.Errorf("halved %d times, %d stretches", spent, len(d.queue))
	}
	for left := range 3 {
		if d, spent := look(depthInAll - left); spent != depthInAll || len(d.queue) != 1+left {
			t.Errorf("%d left: %d spent, %d stretches", left, spent, len(d.queue))
		}
	}
}
