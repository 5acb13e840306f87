package planner_test

import (
	"cmp"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// kit is a plate, a ring with a disc in it that has a hole, and a second plate.
func kit() []*drawing.Loops {
	c := geom.Pt(180, 80)
	return loops(rect(0, 0, 80, 50), geom.Circle(geom.Pt(20, 25), 10), geom.Circle(c, 60), geom.Circle(c, 40), geom.Circle(c, 20), geom.Circle(c, 7), rect(270, 10, 90, 60))
}

func kitJob() job.Job {
	j := gateJob()
	j.Drawings[0].File = "kit.dxf"
	return j
}

// cutsOf lists what a program cuts, whatever the parts are called.
func cutsOf(p *planner.Program) []geom.Box {
	var out []geom.Box
	for _, c := range p.Cuts {
		out = append(out, p.Placed[c.Placed].Move.Path(p.Tree.Features[c.Feature].Loop).Box())
	}
	slices.SortFunc(out, func(a, b geom.Box) int {
		return cmp.Or(cmp.Compare(a.Min.X, b.Min.X), cmp.Compare(a.Min.Y, b.Min.Y), cmp.Compare(a.Max.X, b.Max.X), cmp.Compare(a.Max.Y, b.Max.Y))
	})
	return out
}

// Laid apart and left where they lay, the parts are cut as they were.
func TestPartsLaidApartAndLeftThereAreCutTheSame(t *testing.T) {
	j, l := kitJob(), kit()
	j.Layout.Places = []job.Place{{X: 20, Y: 40}}
	j.Overrides = []job.Override{{Feature: "p2.h1", Feed: 0.5}, {Feature: "p3.h1", Rule: "leave"}}
	j.Edits = []job.Edit{{Do: job.EditTurn, On: "p4", Angle: 0.3}, {Do: job.EditAdd, On: "p4.a1", X: 315, Y: 30, Diameter: 16}, {Do: job.EditDiameter, On: "p1.h1", Diameter: 24}}
	j.Texts = []job.Text{{Say: plain.Of("A"), Drawing: 1, X: 290, Y: 30, Height: 10}, {Say: plain.Of("B"), X: 5, Y: 5, Height: 8}}
	j.Mark = job.Marking{Feed: 6000, Height: 2, Width: 1.2, Delay: 0.1, Amps: 20}
	was := mustPlan(t, j, l)
	out, faults := planner.Apart(j, l)
	if len(faults) > 0 || out.Parts != 3 || len(out.Job.Drawings) != 3 || len(out.Loops) != 3 || len(out.Job.Layout.Places) != 3 {
		t.Fatalf("%d parts, %d entries, %v", out.Parts, len(out.Job.Drawings), faults)
	}
	now := mustPlan(t, out.Job, out.Loops)
	if a, b := cutsOf(was), cutsOf(now); !slices.Equal(a, b) {
		t.Errorf("%v\n%v", a, b)
	}
	if !now.Verdict.OK || !now.DryVerdict.OK {
		t.Errorf("%v", now.Verdict.Findings)
	}
	if n := planner.PartsIn(j, l, 0); n != 3 {
		t.Errorf("%d parts", n)
	}
	for d := range out.Job.Drawings {
		if n := planner.PartsIn(out.Job, out.Loops, d); n != 1 {
			t.Errorf("entry %d still holds %d", d, n)
		}
	}
	// What was said of a feature and of a text goes with its part.
	fed := func(p *planner.Program) (sizes []float64) {
		for _, f := range p.Tree.Features {
			if f.Feed == 0.5 || f.Rule == "leave" {
				sizes = append(sizes, f.Width)
			}
		}
		return
	}
	if a, b := fed(was), fed(now); len(a) != 2 || !slices.Equal(a, b) {
		t.Errorf("overrides: %v, were on %v", b, a)
	}
	if d := out.Job.Texts[0].Drawing; d != 3 || out.Job.Texts[1].Drawing != 0 {
		t.Errorf("the text goes with drawing %d, it lies on the third part", d)
	}
	if name := planner.PartName(out.Job.Drawings[1]).String(); name != "kit 2" {
		t.Errorf("name %q", name)
	}
}

// A part takes with it what lies in it, and nothing else.
func TestEachPartOfAKitIsNestedForItself(t *testing.T) {
	j := kitJob()
	j.Layout.Rounds = 20
	j.Stock.Width, j.Stock.Height = 500, 300
	out, _ := planner.Apart(j, kit())
	out.Job.Drawings[0].Quantity = 3
	j, nested := nested(t, out.Job, out.Loops)
	if len(nested.Places) != 5 {
		t.Fatalf("%v", nested.Places)
	}
	p := mustPlan(t, j, out.Loops)
	if len(p.Cuts) != 3*2+4+1 {
		t.Errorf("%d cuts", len(p.Cuts))
	}
	if !p.Verdict.OK {
		t.Errorf("%v", p.Verdict.Findings)
	}
	// The proof does not take the planner's word for it: with a place of another
	// part, or a changed drawing, it refuses.
	other := job.Job(j)
	other.Drawings = slices.Clone(j.Drawings)
	other.Drawings[0].Part, other.Drawings[2].Part = 3, 1
	if r, faults := planner.Prove(context.Background(), other, out.Loops, p.Text, false); r.OK && !faults.Bad() {
		t.Error("a program of other parts is proved")
	}
}

// The small kit whose nest had no end: a plate, and a ring with a disc in it,
// that stand over one another at the length of the widest.
func TestNestOfASmallKitEnds(t *testing.T) {
	c := geom.Pt(200, 100)
	for _, inner := range []float64{20, 30, 36} { // 36: nearer to the ring than the gap
		j := kitJob()
		j.Layout.Rounds = 20
		out, _ := planner.Apart(j, loops(rect(0, 0, 80, 50), geom.Circle(c, 60), geom.Circle(c, 40), geom.Circle(c, inner)))
		j = out.Job
		n, faults := planner.Nest(context.Background(), j, out.Loops)
		if faults.Bad() || len(n.Places) != 2 {
			t.Fatalf("%d places, %v", len(n.Places), faults)
		}
		if got := n.Length[0] - n.Gap; got > 125 {
			t.Errorf("%.1f mm used, the ring is 120 wide", got)
		}
	}
}

// Parts that are drawn nearer than the gap take up what they cover together.
func TestPartsDrawnCloseAreNestedAsOne(t *testing.T) {
	j := kitJob()
	j.Layout.Rounds, j.Layout.Gap, j.Layout.Margin = 5, 12, 12
	j.Drawings[0].Quantity, j.Drawings[0].Turns = 2, job.TurnFixed
	j.Stock.Width, j.Stock.Height = 400, 250
	l := loops(rect(0, 0, 60, 40), rect(64, 0, 60, 40), rect(0, 44, 124, 30))
	out, faults := planner.Nest(context.Background(), j, l)
	if len(out.Places) != 2 {
		t.Fatalf("%v %v", out.Places, faults)
	}
	boxes := [2]geom.Box{}
	for i, p := range out.Places {
		boxes[i] = geom.Box{Min: geom.Pt(p.X, p.Y), Max: geom.Pt(p.X+124, p.Y+74)}
	}
	if boxes[0].Grow(12 - 1e-3).Overlaps(boxes[1]) {
		t.Errorf("%v: nearer than the gap", boxes)
	}
}

func TestPartsThatTouchInTheirDrawingAreTold(t *testing.T) {
	_, faults := planner.Plan(context.Background(), kitJob(), loops(rect(0, 0, 60, 40), rect(61, 0, 60, 40)))
	for _, f := range faults {
		if f.Code == "parts-touch" {
			if !strings.Contains(f.Do, "apart") || !strings.Contains(f.Do, "layout page") {
				t.Errorf("%q", f.Do)
			}
			return
		}
	}
	t.Errorf("%v", faults)
}

func TestPartThatTheDrawingHasNotIsRefused(t *testing.T) {
	j := kitJob()
	j.Drawings[0].Part = 4
	_, faults := planner.Plan(context.Background(), j, kit())
	if !hasFault(faults, "no-part") || !strings.Contains(faults.Err().Error(), "part 4 is wanted, the drawing has 3") {
		t.Errorf("%v", faults)
	}
}

func TestMarksInNoPartAreToldWhenTheyAreLeftOut(t *testing.T) {
	l := kit()
	l[0].Closed = append(l[0].Closed, drawing.Loop{Path: geom.Circle(geom.Pt(-50, -50), 5), Use: job.LayerMark})
	out, faults := planner.Apart(kitJob(), l)
	if !hasFault(faults, "loose-marks") || out.Parts != 3 {
		t.Errorf("%d parts, %v", out.Parts, faults)
	}
}

// counting hands out one drawing and counts how often it is asked for.
type counting struct {
	text []byte
	n    int
}

func (c *counting) Drawing(string) ([]byte, error) { c.n++; return c.text, nil }

func TestDrawingOfSeveralEntriesIsReadOnce(t *testing.T) {
	src := &counting{text: []byte(`<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<rect x="5" y="5" width="30" height="30"/><rect x="45" y="5" width="30" height="30"/><path d="M0 0 L3 3"/></svg>`)}
	j := kitJob()
	j.Drawings = []job.Drawing{{File: "kit.svg", Part: 1}, {File: "kit.svg", Part: 2}, {File: "kit.svg", Scale: 2}}
	l, faults := planner.Read(context.Background(), j, src)
	if src.n != 2 || l[0] != l[1] || l[1] == l[2] {
		t.Errorf("opened %d times", src.n)
	}
	open := 0
	for _, f := range faults {
		if strings.Contains(f.Code, "open") {
			open++
		}
	}
	if open > 2 { // once for each way of reading it
		t.Errorf("told %d times: %v", open, faults)
	}
}

// A robot kit that somebody drew: 15 parts, of which one lies in another.
func TestRobotKitIsLaidApart(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "shared", "corpus", "robot_kit_r12.dxf"))
	if err != nil {
		t.Skipf("no corpus beside the repository: %v", err)
	}
	j := kitJob()
	j.Stock.Width, j.Stock.Height, j.Stock.Thickness, j.Layout.Rounds = 500, 400, 1, 20
	j.Process.Kerf = 0.7
	l, faults := drawing.Read(context.Background(), data, planner.ReadOptions(j, 0))
	if l == nil {
		t.Fatal(faults)
	}
	whole, _ := planner.Features(j, []*drawing.Loops{l})
	out, faults := planner.Apart(j, []*drawing.Loops{l})
	if out.Parts != 14 || faults.Bad() {
		t.Fatalf("%d parts, %v", out.Parts, faults)
	}
	tree, _ := planner.Features(out.Job, out.Loops)
	if len(tree.Features) != len(whole.Features) || len(tree.Parts) != 15 {
		t.Errorf("%d features in %d parts, the whole has %d", len(tree.Features), len(tree.Parts), len(whole.Features))
	}
	n, faults := planner.Nest(context.Background(), out.Job, out.Loops)
	if faults.Bad() || len(n.Places) != 14 {
		t.Fatalf("%d places, %v", len(n.Places), faults)
	}
	j = out.Job
	j.Layout.Places = n.Places
	p, faults := planner.Plan(context.Background(), j, out.Loops)
	if p == nil || hasFault(faults, "other-part") || hasFault(faults, "parts-touch") {
		t.Fatal(faults)
	}
	if faults.Bad() || !p.Verdict.OK {
		t.Error(faults.Err())
	}
}
