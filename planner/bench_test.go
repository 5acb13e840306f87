package planner_test

import (
	"context"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
)

// manyPlates draws n plates of 200 x 150 mm, each with 12 holes, 4 slots and
// 3 windows: 20 contours a plate.
func manyPlates(n int) []*drawing.Loops {
	var paths []geom.Path
	const across = 40
	for k := range n {
		x, y := float64(k%across)*225, float64(k/across)*175
		paths = append(paths, rect(x, y, 200, 150))
		for i := range 12 {
			r := 5 + float64(i%4)*2.5
			paths = append(paths, geom.Circle(geom.Pt(x+20+float64(i%6)*32, y+20+float64(i/6)*32), r))
		}
		for i := range 4 {
			paths = append(paths, slot(x+10+float64(i)*47, y+80, 36, 14))
		}
		for i := range 3 {
			paths = append(paths, rect(x+12+float64(i)*62, y+108, 45, 28))
		}
	}
	return loops(paths...)
}

// BenchmarkPlan20000Contours plans 1,000 plates with 20,000 contours, all
// drawn, with next to no search for the order. design.md section 7 asks for 3
// times the offset of the same contours, without the order search.
func BenchmarkPlan20000Contours(b *testing.B) { benchPlan(b, 1000) }

// BenchmarkPlan2000Contours is for the growth exponent.
func BenchmarkPlan2000Contours(b *testing.B) { benchPlan(b, 100) }

func benchPlan(b *testing.B, plates int) {
	j := gateJob()
	j.Rules.SearchKicks = 1
	j.Stock.Width, j.Stock.Height = 9100, 4500
	j.Machine.TravelX, j.Machine.TravelY = 10000, 5000
	l := manyPlates(plates)
	b.ReportAllocs()
	for b.Loop() {
		p, faults := planner.Plan(context.Background(), j, l)
		if faults.Bad() || p == nil || len(p.Cuts) != 20*plates {
			b.Fatal(faults.Err())
		}
	}
}

// BenchmarkPlanRows and BenchmarkPlanSharedRows plan the same 400 braces apart
// and with shared edges.
func BenchmarkPlanRows(b *testing.B)       { benchRows(b, false) }
func BenchmarkPlanSharedRows(b *testing.B) { benchRows(b, true) }

func benchRows(b *testing.B, share bool) {
	j, l := braces(400, 60, 40)
	j.Rules.SearchKicks = 1
	j.Stock.Width, j.Stock.Height = 3000, 2500
	j.Machine.TravelX, j.Machine.TravelY = 4000, 4000
	j.Layout.Share = share
	for b.Loop() {
		p, faults := planner.Plan(context.Background(), j, l)
		if faults.Bad() || (p.Plan.Shared != nil) != share {
			b.Fatal(faults.Err())
		}
		b.ReportMetric(p.Plan.CutLength/1000, "m-cut")
		b.ReportMetric(p.Plan.Time, "s-of-machine")
	}
}
