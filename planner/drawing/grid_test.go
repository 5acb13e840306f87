package drawing

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// TestGridFindsWhatBruteForceFinds, each neighbour once, in order of number
// within a cell, also on the edges of cells and below zero.
func TestGridFindsWhatBruteForceFinds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		within := rapid.SampledFrom([]float64{geom.Same, 0.01, 0.05, 2}).Draw(rt, "within")
		n := rapid.IntRange(1, 60).Draw(rt, "n")
		pts := make([]geom.Point, n)
		for i := range pts {
			at := func(what string) float64 {
				return float64(rapid.IntRange(-8, 8).Draw(rt, what))*within/2 + rapid.Float64Range(-within, within).Draw(rt, "off")
			}
			pts[i] = geom.Pt(at("x"), at("y"))
		}
		all := effortOf(n, 0)
		g := newPointGrid(n, func(i int) geom.Point { return pts[i] }, within, &all)
		for i := range pts {
			var got, want []int
			g.near(i, within, func(j int, d float64) bool {
				if d != pts[i].Dist(pts[j]) {
					rt.Fatalf("distance %g", d)
				}
				got = append(got, j)
				return true
			})
			for j := range pts {
				if j != i && pts[i].Dist(pts[j]) <= within {
					want = append(want, j)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, want) {
				rt.Fatalf("near %d: %v, want %v", i, got, want)
			}
		}
	})
}

func TestGridGivesUpOnCrowds(t *testing.T) {
	const n = 5000
	all := effortOf(n, 0)
	g := newPointGrid(n, func(int) geom.Point { return geom.Pt(1, 1) }, 0.05, &all)
	seen := 0
	for i := 0; i < n && !g.spent(); i++ {
		g.near(i, 0.05, func(int, float64) bool { seen++; return true })
	}
	if !g.spent() || seen > all.most {
		t.Errorf("spent %v after %d", g.spent(), seen)
	}
}
