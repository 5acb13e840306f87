package layout_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"pgregory.net/rapid"
)

func box(w, h float64) geom.Box { return geom.Box{Min: geom.Pt(-7, 3), Max: geom.Pt(-7+w, 3+h)} }

func moved(c layout.Copy, b geom.Box) geom.Box {
	out := geom.EmptyBox()
	for _, p := range []geom.Point{b.Min, b.Max, geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Min.Y)} {
		out = out.Add(c.Move.Apply(p))
	}
	return out
}

func TestCopiesLieInsideTheMarginAndApart(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := layout.Input{Clear: 3.8, Kerf: 1.6, Labels: []string{"a", "b"}}
		in.Stock = job.Stock{Width: rapid.Float64Range(50, 600).Draw(rt, "w"), Height: rapid.Float64Range(50, 600).Draw(rt, "h"),
			Zero: rapid.SampledFrom(job.Corners()).Draw(rt, "zero")}
		for range 2 {
			in.Boxes = append(in.Boxes, box(rapid.Float64Range(5, 120).Draw(rt, "bw"), rapid.Float64Range(5, 120).Draw(rt, "bh")))
			in.Quantity = append(in.Quantity, rapid.IntRange(0, 9).Draw(rt, "n"))
		}
		copies, faults := layout.Arrange(in)
		want := max(1, in.Quantity[0]) + max(1, in.Quantity[1])
		if (len(copies) < want) != faults.Bad() {
			rt.Fatalf("%d of %d placed, faults %v", len(copies), want, faults)
		}
		free := layout.StockBox(in.Stock).Grow(-layout.Margin(3.8, 1.6) + 1e-3)
		gap := layout.Gap(3.8, 1.6)
		for i, c := range copies {
			b := moved(c, in.Boxes[c.Drawing])
			if !free.Encloses(b) {
				rt.Fatalf("copy %d at %v is outside %v", i, b, free)
			}
			for _, o := range copies[:i] {
				if b.Grow(gap - 1e-3).Overlaps(moved(o, in.Boxes[o.Drawing])) {
					rt.Fatalf("copy %d is nearer than %g to another", i, gap)
				}
			}
		}
	})
}

func TestTurnedWhereOnlyThatFits(t *testing.T) {
	copies, faults := layout.Arrange(layout.Input{Stock: job.Stock{Width: 60, Height: 200}, Quantity: []int{1}, Boxes: []geom.Box{box(150, 30)}, Labels: []string{"bar"}})
	if faults.Bad() || len(copies) != 1 || math.Abs(copies[0].Move.Angle-math.Pi/2) > 1e-12 {
		t.Errorf("%v %v", copies, faults)
	}
}

func TestZeroCornerMovesTheStockNotTheParts(t *testing.T) {
	for c, want := range map[job.Corner]geom.Point{job.LowerLeft: {}, job.LowerRight: {X: -100}, job.UpperLeft: {Y: -50}, job.UpperRight: {X: -100, Y: -50}} {
		if got := layout.StockBox(job.Stock{Width: 100, Height: 50, Zero: c}); got.Min != want {
			t.Errorf("%s: %v", c, got)
		}
	}
}

func TestBlankSitsWithItsDatumOnThePocket(t *testing.T) {
	in := layout.Input{Quantity: []int{0}, Boxes: []geom.Box{box(80, 40)}, Labels: []string{"leaf"},
		Stock: job.Stock{Hold: job.Blank, Width: 80.6, Height: 40, Fixture: job.Fixture{
			Datum: job.UpperRight, Pockets: []geom.Point{{X: 100, Y: 60}, {X: 300, Y: 60}}, Count: 3, Allowance: job.Of(0.5)}}}
	copies, faults := layout.Arrange(in)
	if len(copies) != 3 || copies[2].Blank != 3 {
		t.Fatalf("%v", copies)
	}
	if got := moved(copies[1], in.Boxes[0]).Max; got.Dist(geom.Pt(300, 60)) > 1e-12 {
		t.Errorf("datum at %v", got)
	}
	if len(faults) != 1 || faults[0].Code != "blank-size" {
		t.Errorf("a blank 0.6 mm too wide with 0.5 allowed: %v", faults)
	}
}
