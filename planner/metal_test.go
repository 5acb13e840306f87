package planner_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// lShaped is an offcut that a corner of 200 x 150 mm is missing from, with a
// round hole, by hand.
func lShaped() [][]job.OutlinePoint {
	return [][]job.OutlinePoint{
		{{X: 0, Y: 0}, {X: 400, Y: 0}, {X: 400, Y: 150}, {X: 200, Y: 150}, {X: 200, Y: 300}, {X: 0, Y: 300}},
		{{X: 340, Y: 75, Bulge: 1}, {X: 300, Y: 75, Bulge: 1}},
	}
}

func TestPartsOnAnOffcutKeepToItsMetal(t *testing.T) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 0, 0
	j.Stock.Outline = lShaped()
	j.Drawings[0].Quantity = 2
	p := mustPlan(t, j, leaf())
	for _, pl := range p.Placed {
		b := pl.Move.Path(rect(0, 0, 160, 80)).Box()
		if b.Max.X > 200 && b.Max.Y > 150 || b.Grow(1).Contains(geom.Pt(320, 75)) {
			t.Errorf("%s at %v", pl.Label, b)
		}
	}
	for _, place := range []job.Place{{X: 210, Y: 160}, {X: 215, Y: 40}, {X: 150, Y: 60}} { // over the missing corner, over the hole, over the inside corner
		j.Layout.Places = []job.Place{{X: 20, Y: 180}, place}
		if _, faults := planner.Plan(context.Background(), j, leaf()); !hasFault(faults, "off-plate") {
			t.Errorf("%v: %v", place, faults)
		}
	}
}

func TestClampsAreKeptClearOfAndPassedHigh(t *testing.T) {
	j := gateJob()
	j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: 200, Y: 20, Width: 40, Height: 40}, {X: 40, Y: 260, Diameter: 50}}
	j.Layout.Places = []job.Place{{X: 15, Y: 60}, {X: 210, Y: 60}}
	j.Drawings[0].Quantity = 2
	p := mustPlan(t, j, leaf()) // the proof has looked for rapids over the clamp
	if len(p.Cuts) == 0 {
		t.Fatal("no cuts")
	}
	j.Layout.Places[1].Y = 30
	if _, faults := planner.Plan(context.Background(), j, leaf()); !hasFault(faults, "off-plate") {
		t.Errorf("a part under a clamp: %v", faults)
	}
}

func TestDiscAndCrossedOutlines(t *testing.T) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 0, 0
	disc := job.NewShape(job.ShapeDisc).With(job.ShapeDiameter, 300)
	j.Stock.Shape = &disc
	p := mustPlan(t, j, leaf())
	b := p.Placed[0].Move.Path(rect(0, 0, 160, 80)).Box()
	for _, c := range []geom.Point{b.Min, b.Max, geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Min.Y)} {
		if c.Dist(geom.Pt(150, 150)) > 150-5 {
			t.Errorf("corner %v is off the disc", c)
		}
	}
	j.Stock.Shape = nil
	j.Stock.Outline = [][]job.OutlinePoint{{{X: 0, Y: 0}, {X: 300, Y: 300}, {X: 300, Y: 0}, {X: 0, Y: 300}}}
	if _, faults := planner.Plan(context.Background(), j, leaf()); !faults.Bad() {
		t.Error("an outline that crosses itself was taken")
	}
}

func TestOverflowGoesOnTheNextPlate(t *testing.T) {
	j := gateJob()
	j.Drawings[0].Quantity = 7
	j.Stock.Sheets = 3
	seen := map[string]bool{}
	for n := 1; n <= 2; n++ {
		p := mustPlan(t, j.On(n), leaf())
		for _, pl := range p.Placed {
			if seen[pl.Label] {
				t.Errorf("%s lies on two plates", pl.Label)
			}
			seen[pl.Label] = true
		}
	}
	if len(seen) != 7 {
		t.Errorf("%d copies on two plates: %v", len(seen), seen)
	}
	if _, faults := planner.Plan(context.Background(), j.On(3), leaf()); !hasFault(faults, "no-plate") {
		t.Errorf("nothing lies on the third plate: %v", faults)
	}
	j.Stock.Sheets = 1
	if _, faults := planner.Plan(context.Background(), j, leaf()); !hasFault(faults, "no-room") {
		t.Errorf("7 do not fit one plate: %v", faults)
	}
}

func hasFault(l fault.List, code string) bool {
	return slices.ContainsFunc(l, func(f fault.Fault) bool { return f.Code == code })
}

// A leaf in the window of a frame: the leaf comes first, its leads and those
// of the window stay in the window's metal, and the proof agrees.
func TestPartsInTheCutOutsOfOtherCopies(t *testing.T) {
	j := gateJob()
	j.Drawings = []job.Drawing{{File: "frame.dxf", Quantity: 1}, {File: "leaf.dxf", Quantity: 2}}
	l := append(loops(rect(0, 0, 360, 260), rect(40, 40, 280, 180)), loops(rect(0, 0, 100, 60), geom.Circle(geom.Pt(30, 30), 12))...)
	j.Layout.Places = []job.Place{{Drawing: 0, X: 20, Y: 20}, {Drawing: 1, X: 80, Y: 80}, {Drawing: 1, X: 330, Y: 230, Angle: math.Pi}}
	p := mustPlan(t, j, l)
	n := map[string]int{}
	for _, c := range p.Cuts {
		n[c.Label] = c.N
	}
	if len(n) != 2+2*2 {
		t.Fatalf("cuts %v", n)
	}
	for _, leaf := range []string{"p2#1.outline", "p2#2.outline"} {
		if n[leaf] == 0 || n[leaf] > n["p1.c1"] {
			t.Errorf("%s is cut %d, the window %d", leaf, n[leaf], n["p1.c1"])
		}
	}
	// Over the window's edge, and too near to it.
	for _, x := range []float64{20, 60.5} {
		j.Layout.Places[1].X = x
		if _, faults := planner.Plan(context.Background(), j, l); !hasFault(faults, "parts-touch") {
			t.Errorf("at %g: %v", x, faults)
		}
	}
}

func TestPlacesAreHeldToWhatTheDrawingAllows(t *testing.T) {
	j := gateJob()
	j.Drawings[0].Turns = job.TurnHalf
	for _, row := range []struct {
		place job.Place
		code  string
	}{{job.Place{X: 20, Y: 20}, ""}, {job.Place{X: 200, Y: 120, Angle: math.Pi}, ""}, {job.Place{X: 120, Y: 20, Angle: math.Pi / 2}, "place-turn"},
		{job.Place{X: 200, Y: 20, Mirror: true}, "place-flip"}} {
		j.Layout.Places = []job.Place{row.place}
		_, faults := planner.Plan(context.Background(), j, leaf())
		for _, code := range []string{"place-turn", "place-flip"} {
			if hasFault(faults, code) != (code == row.code) {
				t.Errorf("%+v: %v", row.place, faults)
			}
		}
	}
	j.Layout.Places, j.Layout.Method = nil, job.MethodNest
	if _, faults := planner.Plan(context.Background(), j, leaf()); !hasFault(faults, "not-nested") {
		t.Errorf("a nest that was never made is taken for rows in silence: %v", faults)
	}
}
