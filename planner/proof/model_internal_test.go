package proof

import (
	"testing"

	"example.org/kerfwright/planner/geom"
)

// An open line holds nothing, whatever bays it has.
func TestOpenLineHoldsNothing(t *testing.T) {
	path := geom.Polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 40), geom.Pt(0, 40))
	path.Closed = false
	l := &loop{edge: newPieces(piecesOf(path)), box: path.Box()}
	for x := -5.0; x < 50; x += 5.5 {
		for y := -5.0; y < 50; y += 5.5 {
			if l.holds(geom.Pt(x, y)) {
				t.Errorf("holds (%g, %g)", x, y)
			}
		}
	}
}
