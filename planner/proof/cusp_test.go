package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Two edges of radius R that touch at the tip of a cut-out leave it no angle.
// A torch of radius h rests against both at sqrt((R+h)^2 - R^2) from the tip:
// further in it fits nowhere, though beside the tip it would stand no nearer
// than h to any edge, on their far side.
func TestCuspIsCutAsFarAsTheKerfFits(t *testing.T) {
	const R, L, h = 60.0, 40.0, kerf / 2
	tip := geom.Pt(60, 90)
	at := func(x, y float64) geom.Point { return tip.Add(geom.Pt(x, y)) }
	up, down := at(0, R), at(0, -R)
	bulge := -geom.BulgeOf(math.Asin(L / R))
	high := R - math.Sqrt(R*R-L*L)
	edge := geom.Path{Closed: true, V: []geom.Vertex{{P: tip, Bulge: bulge}, {P: at(L, -high)}, {P: at(L, high), Bulge: bulge}}}
	rest := math.Sqrt((R+h)*(R+h) - R*R)
	cut := func(turn float64) cutting { // turning back that far from the tip
		y := func(x float64) float64 { return R - math.Sqrt((R+h)*(R+h)-x*x) }
		x, end := L-h, y(L-h)
		way := []step{{to: at(x, 0)}, {to: at(x, end)}, {at(turn, y(turn)), up, -1}}
		if turn > rest {
			way = append(way, step{to: at(turn, -y(turn))})
		}
		way = append(way, step{at(x, -end), down, -1}, step{to: at(x, 0)}, step{to: at(x, 4)})
		return cutting{"p1.c1", at(L-12, 0), way, full, false}
	}
	prove := func(turn float64) proof.Result {
		return proof.Prove(single(program(cut(turn)), feature("p1.c1", "cut-out", "inside", edge)))
	}
	r := prove(rest)
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "too-tight" || r.Findings[0].Severity != fault.Warning {
		t.Fatal(show(r))
	}
	if want := fmt.Sprintf("up to %.3f mm", rest-h); !strings.Contains(show(r), want) {
		t.Errorf("no %q: %s", want, show(r))
	}
	wantCodes(t, prove(rest+1), "uncut")
}
