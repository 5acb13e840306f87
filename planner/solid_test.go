package planner_test

import (
	"context"
	"fmt"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// block lays 25 copies in five rows of five, that far apart.
func block(l []*drawing.Loops, gap float64) (*planner.Program, fault.List) {
	j := gateJob()
	box := l[0].Closed[0].Path.Box()
	j.Drawings[0].Quantity, j.Layout.Margin, j.Layout.Gap = 25, 12, gap
	j.Stock.Width, j.Stock.Height = 5*box.Width()+4*gap+25, 5*box.Height()+4*gap+25
	return planner.Plan(context.Background(), j, l)
}

// Parts laid so close that the gap between them is less than two kerfs are
// planned so that every pierce finds metal, or refused with a reason: the proof
// never has to find a pierce over a kerf.
func TestPartsLaidCloseArePiercedOnSolidMetalOrRefused(t *testing.T) {
	for name, l := range map[string][]*drawing.Loops{
		"plates": loops(rect(0, 0, 90, 50)), "small": loops(rect(0, 0, 30, 14)), "leaves": leaf(),
		"discs": loops(geom.Circle(geom.Pt(30, 30), 30)), "gussets": loops(geom.Polygon(geom.Pt(0, 0), geom.Pt(80, 0), geom.Pt(40, 60))),
	} {
		for _, gap := range []float64{1.7, 2.2, 2.7, 3.1, 3.7, 4.5} { // kerf 1.6
			if testing.Short() && gap != 2.7 {
				continue
			}
			t.Run(fmt.Sprintf("%s %g mm apart", name, gap), func(t *testing.T) {
				p, faults := block(l, gap)
				for _, f := range faults.At(fault.Error) {
					if f.Code != "no-solid-metal" && f.Code != "no-lead" {
						t.Errorf("%s: %v", f.Code, f)
					}
				}
				if !faults.Bad() && !p.Verdict.OK {
					t.Error("not proved")
				}
				// Those that were refused by the proof when no neighbour was thought of.
				if gap >= 2.7 && gap < 4 && name != "discs" && faults.Bad() {
					t.Errorf("refused: %v", faults.Err())
				}
			})
		}
	}
}

func TestRefusalForWantOfMetalNamesTheNeighbour(t *testing.T) {
	_, faults := block(loops(geom.Circle(geom.Pt(30, 30), 30)), 2.2)
	n := 0
	for _, f := range faults.At(fault.Error) {
		if f.Code == "no-solid-metal" {
			n++
			if f.Where.Feature == "" || f.Do == "" {
				t.Errorf("%v", f)
			}
		}
	}
	if n == 0 {
		t.Errorf("no refusal: %v", faults.Err())
	}
}
