package planner_test

import (
	"context"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// noFiles has no drawing at all.
type noFiles struct{ t *testing.T }

func (n noFiles) Drawing(name string) ([]byte, error) {
	n.t.Errorf("a typed shape asked for the file %q", name)
	return nil, nil
}

func TestATypedShapeNeedsNoFile(t *testing.T) {
	s := job.NewShape(job.ShapeFlange)
	s.Slots = []job.ShapeSlot{{X: 75, Y: 20, Length: 14, Width: 6}}
	bad := job.NewShape(job.ShapeRing).With(job.ShapeBore, 500)
	j := job.Job{Units: unit.MM, Drawings: []job.Drawing{{Shape: &s}, {Shape: &bad}}, Stock: job.Stock{Thickness: 3, Hold: job.Plate}}
	loops, faults := planner.Read(context.Background(), j, noFiles{t})
	if loops[0] == nil || loops[1] != nil || faults.Worst() != fault.Error {
		t.Fatal(faults)
	}
	j.Drawings = j.Drawings[:1]
	tree, _ := planner.Features(j, loops[:1])
	kinds := map[feature.Kind]int{}
	for _, f := range tree.Features {
		kinds[f.Kind]++
	}
	if kinds[feature.Outline] != 1 || kinds[feature.Hole] != 5 || kinds[feature.Slot] != 1 || tree.Parts[0].Name.String() != "flange" {
		t.Errorf("%v %v", kinds, tree.Parts)
	}
}
