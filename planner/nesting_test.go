package planner_test

import (
	"context"
	"math"
	"reflect"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

func bracket() geom.Path {
	return geom.Polygon(geom.Pt(0, 0), geom.Pt(120, 0), geom.Pt(120, 40), geom.Pt(40, 40), geom.Pt(40, 100), geom.Pt(0, 100))
}

// nested runs a short nest and plans every plate of what came out.
func nested(t *testing.T, j job.Job, l []*drawing.Loops) (job.Job, planner.Nested) {
	t.Helper()
	out, faults := planner.Nest(context.Background(), j, l)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	j.Layout.Places = out.Places
	for plate := 1; plate <= out.Plates; plate++ {
		mustPlan(t, j.On(plate), l)
	}
	return j, out
}

func TestNestIsProvedAndKeepsItsGap(t *testing.T) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 600, 400
	j.Layout.Rounds, j.Layout.Gap, j.Layout.Margin = 60, 12, 15
	j.Drawings = []job.Drawing{{File: "bracket.dxf", Quantity: 5}, {File: "disc.dxf", Quantity: 3}}
	l := append(loops(bracket()), loops(geom.Circle(geom.Pt(0, 0), 45), geom.Circle(geom.Pt(0, 0), 12))...)
	j, out := nested(t, j, l)
	if len(out.Places) != 8 || out.Plates != 1 {
		t.Fatalf("%d places on %d plates", len(out.Places), out.Plates)
	}
	outlines := []geom.Path{bracket(), geom.Circle(geom.Pt(0, 0), 45)}
	var lying []geom.Path
	for _, p := range j.Layout.Places {
		e := geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}.Path(outlines[p.Drawing])
		if p.Mirror {
			t.Error("turned over without leave")
		}
		if b := e.Box(); b.Min.X < 15-1e-3 || b.Min.Y < 15-1e-3 || b.Max.X > 585+1e-3 || b.Max.Y > 385+1e-3 {
			t.Errorf("%v is nearer than the margin to the edge", b)
		}
		for _, o := range lying {
			if d, _, _ := geom.MinDist(geom.IndexPaths(e), geom.IndexPaths(o)); d.Dist < 12-1e-3 {
				t.Errorf("%.3f mm apart, the gap is 12", d.Dist)
			}
		}
		lying = append(lying, e)
	}
	again, _ := planner.Nest(context.Background(), j, l)
	if !reflect.DeepEqual(again.Places, out.Places) {
		t.Error("the same job gives another nest")
	}
}

func TestNestGoesOnOnTheNextPlateAndSaysWhatIsLeft(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	j := gateJob()
	j.Layout.Rounds = 4
	j.Drawings[0].Quantity = 8
	j.Stock.Sheets = 2
	_, out := nested(t, j, loops(rect(0, 0, 160, 80)))
	if out.Plates != 2 || len(out.Places) != 8 {
		t.Fatalf("%d places on %d plates", len(out.Places), out.Plates)
	}
	j.Stock.Sheets = 1
	out, faults := planner.Nest(context.Background(), j, loops(rect(0, 0, 160, 80)))
	if !hasFault(faults, "no-room") || out.Left[0] == 0 || len(out.Places)+out.Left[0] != 8 {
		t.Errorf("%v left, %v", out.Left, faults)
	}
}

func TestNestKeepsToGrainLocksAndKeepOuts(t *testing.T) {
	j := gateJob()
	j.Layout.Rounds = 40
	j.Stock.Grain = job.Of(0)
	j.Drawings[0] = job.Drawing{File: "bar.dxf", Quantity: 6, Grain: job.Of(math.Pi / 2)} // along its short side
	j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: 200, Y: 290, Width: 60, Height: 40}}
	lock := job.Place{X: 300, Y: 20, Angle: math.Pi / 2, Lock: true}
	j.Layout.Places = []job.Place{lock, {X: 5, Y: 5}}
	_, out := nested(t, j, loops(rect(0, 0, 120, 30)))
	if out.Places[0] != lock || len(out.Places) != 6 {
		t.Fatalf("%v", out.Places)
	}
	for _, p := range out.Places {
		if a := math.Mod(p.Angle+4*math.Pi, math.Pi); math.Abs(a-math.Pi/2) > 1e-9 {
			t.Errorf("turned %g: the grain runs across", p.Angle)
		}
	}
}

func TestNestUsesCutOutsAndOffcuts(t *testing.T) {
	j := gateJob()
	j.Layout.Rounds = 120
	j.Stock.Width, j.Stock.Height = 0, 0
	j.Stock.Outline = lShaped()
	j.Drawings = []job.Drawing{{File: "frame.dxf", Quantity: 1, Turns: job.TurnHalf}, {File: "leaf.dxf", Quantity: 3, Turns: job.TurnQuarter}}
	l := append(loops(rect(0, 0, 170, 170), rect(30, 30, 110, 110)), loops(rect(0, 0, 80, 50))...)
	nested(t, j, l) // the planner and its proof know the offcut
	j.Stock.Outline, j.Stock.Width, j.Stock.Height = nil, 200, 200
	j.Drawings[1].Quantity = 1
	_, out := nested(t, j, l) // the leaf fits nowhere but in the frame
	if len(out.Places) != 2 {
		t.Errorf("%v", out)
	}
}

// Triangles in rows of pairs take half of what their boxes do.
func TestPairsBeatBoxesForTriangles(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	j := gateJob()
	j.Layout.Rounds = 1
	j.Layout.Gap, j.Layout.Margin = 10, 10
	j.Drawings[0].Quantity = 8
	l := loops(geom.Polygon(geom.Pt(0, 0), geom.Pt(120, 0), geom.Pt(0, 120)))
	_, out := nested(t, j, l)
	if len(out.Places) != 8 || out.How == "rows" {
		t.Errorf("%s: %d places", out.How, len(out.Places))
	}
}
