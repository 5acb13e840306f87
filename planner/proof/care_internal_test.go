package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// A square with a notch in one side has four corners that stick out, however often it
// is asked.
func TestSharpCornersAreThoseThatStickOut(t *testing.T) {
	path := geom.Polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 40), geom.Pt(20, 30), geom.Pt(0, 40)).CCW()
	l := &loop{Feature: &Feature{Corner: Corner{Turn: math.Pi / 3}}, edge: newPieces(piecesOf(path)), closed: true}
	for range 3 {
		if got := len(l.sharp()); got != 4 {
			t.Fatalf("%d corners", got)
		}
	}
}
