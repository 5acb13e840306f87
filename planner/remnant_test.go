package planner_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// Two leaves at the left of a plate of 400 x 300 leave the rest of it: by hand.
func TestRemnantIsThePlateLessWhatWasCut(t *testing.T) {
	j := gateJob()
	j.Drawings[0].Quantity = 2
	j.Layout.Places = []job.Place{{X: 10, Y: 10}, {X: 10, Y: 110}}
	l := loops(rect(0, 0, 160, 80), geom.Circle(geom.Pt(80, 40), 12))
	p := mustPlan(t, j, l)
	all, err := planner.Remnants(j, p)
	if err != nil || len(all) == 0 {
		t.Fatal(all, err)
	}
	r := all[0]
	// Between the leaves 20 mm less two kerfs is no web: they are one hole, or
	// rather, with 10 mm to the edge, a bite out of it.
	most := 400.0*300 - 2*160*80
	least := 400.0*300 - 190*210
	if r.Area > most || r.Area < least {
		t.Errorf("%.0f mm2 left, between %.0f and %.0f are", r.Area, least, most)
	}
	for _, e := range r.Edges {
		for _, pl := range j.Layout.Places {
			leaf := rect(pl.X, pl.Y, 160, 80)
			if d, _, _ := geom.MinDist(geom.IndexPaths(e), geom.IndexPaths(leaf)); d.Dist < j.Process.Kerf-0.05 {
				t.Errorf("%.2f mm from a part, the kerf is %.2f", d.Dist, j.Process.Kerf)
			}
		}
	}
	// What is left is a stock for the next job, on which a leaf is planned and proved.
	next := gateJob()
	next.Stock.Width, next.Stock.Height = 0, 0
	next.Stock.Outline = layout.RingsOf(r.Edges)
	mustPlan(t, next, l)
	m, faults := layout.MetalOf(next.Stock, 1)
	if faults.Bad() || math.Abs(m.Area()-r.Area) > 1 {
		t.Errorf("%.1f mm2 as a stock, %.1f as a remnant: %v", m.Area(), r.Area, faults)
	}
}
