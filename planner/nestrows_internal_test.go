package planner

import (
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// A drawing whose gap was widened lies so far from all others in rows and in
// rows of pairs.
func TestRowsAndPairsTakeTheWidenedGap(t *testing.T) {
	tri := geom.Polygon(geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(0, 60))
	j := job.Job{Stock: job.Stock{Width: 400, Height: 300, Thickness: 6}, Drawings: []job.Drawing{{Quantity: 6}, {Quantity: 3, Turns: job.TurnFixed}},
		Process: job.Process{Kerf: 1.6}}
	tree, faults := Features(j, []*drawing.Loops{{Closed: []drawing.Loop{{Path: tri, Use: job.LayerCut}}},
		{Closed: []drawing.Loop{{Path: boxPath(geom.Box{Max: geom.Pt(50, 30)}), Use: job.LayerCut}}}})
	if faults.Bad() {
		t.Fatal(faults)
	}
	for _, grow := range [][]float64{{2, 2}, {7, 2}, {2, 7}} {
		n := &nester{shop: newShop(j), tree: tree, margin: 10, gap: 4, grow: grow}
		out, ok := n.inRows()
		if !ok || len(out.Places) != 9 || out.How != "pairs" {
			t.Fatalf("%v: %d places by %s", grow, len(out.Places), out.How)
		}
		if got, want := nearest(tree, out.Places), 2*max(grow[0], grow[1]); got < want-1e-6 || got > want+0.5 {
			t.Errorf("%v: %.3f mm between the nearest, %.3f wanted", grow, got, want)
		}
	}
}

// nearest is the least distance between any two places, mm.
func nearest(t feature.Tree, places []job.Place) float64 {
	least := 1e9
	lies := func(p job.Place) geom.Path {
		m := geom.Move{Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}
		return m.Path(t.Features[t.Parts[p.Drawing].Outline].Loop)
	}
	for i, p := range places {
		for _, q := range places[:i] {
			d, _, _ := geom.MinDist(geom.IndexPaths(lies(p)), geom.IndexPaths(lies(q)))
			least = min(least, d.Dist)
		}
	}
	return least
}
