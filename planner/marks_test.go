package planner_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// marked is the leaf with a process for marks.
func marked() job.Job {
	j := smallJob()
	j.Mark = job.Marking{Feed: 5000, Amps: 12, Height: 2.5, Width: 0.8}
	return j
}

// scribed is a plate with a drawn line on a mark layer.
func scribed() []*drawing.Loops {
	l := loops(rect(0, 0, 200, 100), geom.Circle(geom.Pt(30, 50), 15))
	l[0].Open = append(l[0].Open, drawing.Loop{Path: geom.Path{V: []geom.Vertex{{P: geom.Pt(100, 20)}, {P: geom.Pt(100, 60), Bulge: 0.4}, {P: geom.Pt(140, 80)}}}, Use: job.LayerMark})
	return l
}

func kinds(p *planner.Program) string {
	var out []string
	for _, c := range p.Cuts {
		out = append(out, string(p.Tree.Features[c.Feature].Kind))
	}
	return strings.Join(out, " ")
}

// A drawn line and a text are marked before anything is cut, at the mark
// process's feed and height, and the proof finds them where the job says.
func TestMarksComeFirstWithTheirOwnProcess(t *testing.T) {
	j := marked()
	j.Texts = []job.Text{{Say: plain.Of("A7"), Drawing: 1, X: 60, Y: 10, Height: 10}}
	p := mustPlan(t, j, scribed())
	if got, want := kinds(p), "mark mark mark mark hole outline"; got != want {
		t.Fatalf("order %q, want %q", got, want)
	}
	text := string(p.Text)
	for _, want := range []string{"F5000", "G0 Z2.5", "set the current to 45 A"} {
		if !strings.Contains(text, want) {
			t.Errorf("the program lacks %q:\n%s", want, text)
		}
	}
	if n := strings.Count(text, "\nM0"); n != 1 {
		t.Errorf("%d stops, one is wanted: between the marks and the cuts", n)
	}
	for _, c := range p.Verdict.Cuts[:4] {
		if c.Rule != "mark" || math.Abs(c.Length-p.Cuts[c.N-1].Path.Length()) > 1e-3 {
			t.Errorf("the proof takes %+v for a cut", c)
		}
	}
	// A text that is moved by a tenth of a millimetre is not where the job says,
	// one that is not in the job at all must not be in the program.
	other := j
	other.Texts = []job.Text{j.Texts[0]}
	other.Texts[0].X += 0.1
	if v, _ := planner.Prove(context.Background(), other, scribed(), p.Text, false); v.OK {
		t.Error("the proof does not see that a text lies 0.1 mm off")
	}
	other.Texts = nil
	if v, _ := planner.Prove(context.Background(), other, scribed(), p.Text, false); v.OK {
		t.Error("the proof does not see a text that nobody wants")
	}
	// With marks left out, nothing of it is written.
	j.Mark = job.Marking{}
	p, faults := planner.Plan(context.Background(), j, scribed())
	if kinds(p) != "hole outline" {
		t.Errorf("%s, %v", kinds(p), faults)
	}
	j.Texts = []job.Text{{Say: plain.Of("A7"), Drawing: 1, X: 60, Y: 10, Height: 10}}
	if _, faults = planner.Plan(context.Background(), j, scribed()); len(faults) != 1 || faults[0].Code != "mark-left" {
		t.Errorf("texts without a process: %v", faults)
	}
}

// Where the machine's own lines say the current, nobody has to set it.
func TestMarkCurrentIsWrittenWhereTheProfileSaysIt(t *testing.T) {
	j := marked()
	j.Machine.Program.ArcOn = []string{"(current {amps})", "M3"}
	p := mustPlan(t, j, scribed())
	text := string(p.Text)
	if strings.Contains(text, "M0") || strings.Count(text, "(current 12)") != 1 || strings.Count(text, "(current 45)") != 2 {
		t.Errorf("currents:\n%s", text)
	}
	wrong := []byte(strings.Replace(text, "(current 12)", "(current 45)", 1))
	if v, _ := planner.Prove(context.Background(), j, scribed(), wrong, false); v.OK {
		t.Error("the proof does not see a mark at the current of the cut")
	}
}

// No mark touches a cut: a text over a hole is refused, a drawn line that runs
// out over the edge is warned of.
func TestTextOverACutIsRefused(t *testing.T) {
	j := marked()
	code := func(l []*drawing.Loops, s fault.Severity) bool {
		_, faults := planner.Plan(context.Background(), j, l)
		for _, f := range faults.At(s) {
			if f.Code == "mark-cut" {
				return true
			}
		}
		return false
	}
	j.Texts = []job.Text{{Say: plain.Of("A7"), Drawing: 1, X: 40, Y: 45, Height: 10}}
	if !code(scribed(), fault.Error) {
		t.Error("a text over a hole is taken")
	}
	j.Texts[0].X = 60
	if code(scribed(), fault.Error) {
		t.Error("a text beside a hole is refused")
	}
	j.Texts = nil
	l := scribed()
	l[0].Open[0].Path.V[0].P.Y = 0
	if !code(l, fault.Warning) || code(l, fault.Error) {
		t.Error("a line that runs out over the edge is not warned of")
	}
}

// Texts say the job, the part and the copy; turned over, they still read from
// the left; in scrap they lie on the stock.
func TestTextsSayWhatTheyAreToSay(t *testing.T) {
	j := marked()
	j.Drawings[0].Quantity = 2
	j.Drawings[0].Name = plain.Of("leaf")
	j.Layout.Places = []job.Place{{X: 20, Y: 20}, {X: 230, Y: 150, Mirror: true}}
	j.Stock.Width, j.Stock.Height = 500, 300
	j.Texts = []job.Text{{Say: plain.Of("{part}-{count}"), Drawing: 1, X: 60, Y: 70, Height: 10}, {Say: plain.Of("{job}"), X: 300, Y: 20, Height: 14}}
	p := mustPlan(t, j, loops(rect(0, 0, 200, 100), geom.Circle(geom.Pt(30, 50), 15)))
	names := map[string]bool{}
	for _, part := range p.Tree.Parts {
		if part.Text {
			names[part.Name.String()] = true
		}
	}
	if !names["leaf-1"] || !names["leaf-2"] || !names["hinge leaf"] {
		t.Fatal(names)
	}
	// On either copy the L of "leaf" has its upright to the left of its foot.
	for k, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		if !part.Text || part.Drawing < 0 {
			continue
		}
		first, last := p.Tree.Features[part.Features[0]], p.Tree.Features[part.Features[len(part.Features)-1]]
		a, b := pl.Move.Path(first.Loop), pl.Move.Path(last.Loop)
		if a.Box().Center().X >= b.Box().Center().X {
			t.Errorf("copy %d: the text runs to the left", k)
		}
		if l := a.V; l[0].P.X >= l[2].P.X || l[0].P.Y <= l[2].P.Y {
			t.Errorf("copy %d: the L is drawn as %v", k, l)
		}
	}
}

func TestTextsThatCannotBeMarkedAreNamed(t *testing.T) {
	for name, c := range map[string]struct {
		text job.Text
		code string
	}{
		"no form":   {job.Text{Say: plain.Of("Tür"), Drawing: 1, X: 60, Y: 10, Height: 10}, "text-sign"},
		"no height": {job.Text{Say: plain.Of("A"), Drawing: 1, X: 60, Y: 10}, "text-height"},
		"small":     {job.Text{Say: plain.Of("A"), Drawing: 1, X: 60, Y: 10, Height: 5}, "text-small"},
	} {
		j := marked()
		j.Texts = []job.Text{c.text}
		_, faults := planner.Plan(context.Background(), j, scribed())
		found := false
		for _, f := range faults {
			found = found || f.Code == c.code
		}
		if !found {
			t.Errorf("%s: %v", name, faults)
		}
	}
	j := marked()
	j.Mark.Height = 0
	if _, faults := planner.Plan(context.Background(), j, scribed()); !faults.Bad() {
		t.Error("a mark process without a height is taken")
	}
}

// Centres for the drill are popped after the marks with the process for marks:
// its current and height, so that the current is changed once, before the first
// cut. Without such a process they are popped as the cut is lit.
func TestCentresArePoppedWithTheProcessForMarks(t *testing.T) {
	j := marked()
	j.Rules.Drill = job.DrillPop
	j.Mark.Amps, j.Mark.Height = 20, 2.5
	l := scribed()
	l[0].Closed = append(l[0].Closed, drawing.Loop{Path: geom.Circle(geom.Pt(170, 50), 2), Use: job.LayerCut})
	p := mustPlan(t, j, l)
	if got := kinds(p); got != "mark hole hole outline" || !p.Cuts[1].Pop {
		t.Errorf("%s, %+v", got, p.Cuts[1].Pop)
	}
	if f := p.Tree.Features[p.Cuts[1].Feature]; f.Rule != feature.RuleDrill {
		t.Error(f.Rule)
	}
	if p.Cuts[1].Pause || !p.Cuts[2].Pause {
		t.Errorf("the current is changed before the pops: %v, before the first cut: %v", p.Cuts[1].Pause, p.Cuts[2].Pause)
	}
	pop := strings.Join(strings.Split(string(p.Text), "\n")[p.Cuts[1].First-2:p.Cuts[1].Last], "\n")
	if !strings.Contains(pop, "G0 Z2.5\nM3\nG4 P") {
		t.Errorf("lit otherwise than 2.5 mm over the plate:\n%s", pop)
	}
	alone := j
	alone.Mark = job.Marking{}
	if codes := refusedBy(t, p, alone, l); !slices.Contains(codes, "pierce-height") {
		t.Errorf("a pop at the height of marks, where there is no process for them: %v", codes)
	}
	if q := mustPlan(t, alone, l); !q.Cuts[0].Pop || !strings.Contains(string(q.Text), "G0 Z"+unit.Number(j.Process.PierceHeight, 4)) {
		t.Error("without a process for marks nothing is popped as the cut is lit")
	}
}

// A lost mark is marked again from its start.
func TestLostMarkIsMarkedAgain(t *testing.T) {
	j := marked()
	p := mustPlan(t, j, scribed())
	again, faults := planner.TakeUp(j, p, planner.From{Line: p.Cuts[0].Last - 2})
	if again == nil || faults.Bad() || !again.Verdict.OK {
		t.Fatal(faults.Err())
	}
}
