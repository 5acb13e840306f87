package feature_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func rings(n int, at func(i int) geom.Path) *drawing.Loops {
	l := &drawing.Loops{}
	for i := range n {
		l.Closed = append(l.Closed, drawing.Loop{Path: at(i), Use: job.LayerCut})
	}
	return l
}

func built(l *drawing.Loops) (feature.Tree, fault.List) {
	return feature.Build(feature.Input{Drawings: []*drawing.Loops{l}, Units: unit.MM})
}

// TestLoopsWithinOneAnotherTakeTurns: outline, inside, outline of a part that
// lies in the cut-out, and so on down.
func TestLoopsWithinOneAnotherTakeTurns(t *testing.T) {
	tree, faults := built(rings(60, func(i int) geom.Path { return geom.Circle(geom.Pt(0, 0), 1000-10*float64(i)) }))
	if faults.Bad() || len(tree.Parts) != 30 || len(tree.Features) != 60 {
		t.Fatalf("%d parts, %d features, %v", len(tree.Parts), len(tree.Features), faults)
	}
}

func TestLoopsWithoutEndAreRefusedWithTheLimit(t *testing.T) {
	for name, c := range map[string]struct {
		l    *drawing.Loops
		says string
	}{
		"deep": {rings(150, func(i int) geom.Path { return geom.Circle(geom.Pt(0, 0), 1000-float64(i)) }), "100 loops within one another"},
		"many": {rings(5000, func(i int) geom.Path { return geom.Circle(geom.Pt(0, 0), 10_000-float64(i)) }), "pairs of loops"},
	} {
		_, faults := built(c.l)
		if !faults.Bad() || !strings.Contains(faults.Err().Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, faults, c.says)
		}
	}
}

// TestHolesInAPlateOfManyEdgesAreFound: what each hole asks of the outline must
// not cost the outline's length. BenchmarkNest says how long it takes.
func TestHolesInAPlateOfManyEdgesAreFound(t *testing.T) {
	tree, faults := built(toothed(2000, 400))
	if faults.Bad() || len(tree.Parts) != 1 || len(tree.Features) != 401 {
		t.Fatalf("%d parts, %d features, %v", len(tree.Parts), len(tree.Features), faults)
	}
}

// toothed is a plate with teeth along its upper edge and rows of holes.
func toothed(teeth, holes int) *drawing.Loops {
	plate := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 0)}, {P: geom.Pt(float64(teeth), 0)}}}
	for i := teeth; i > 0; i-- {
		x := float64(i)
		plate.V = append(plate.V, geom.Vertex{P: geom.Pt(x, 1000)}, geom.Vertex{P: geom.Pt(x-0.5, 1001)})
	}
	plate.V = append(plate.V, geom.Vertex{P: geom.Pt(0, 1000)})
	return rings(holes+1, func(i int) geom.Path {
		if i == 0 {
			return plate
		}
		return geom.Circle(geom.Pt(5+float64(i*7%(teeth-10)), 5+float64(i*13%980)), 1)
	})
}

func BenchmarkNest(b *testing.B) {
	l := toothed(20_000, 20_000)
	for b.Loop() {
		if _, faults := built(l); faults.Bad() {
			b.Fatal(faults.Err())
		}
	}
}
