package planner_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// A plate of 400 x 300 with one leaf of 160 x 80 in one of its corners.
func trimJob(x, y float64, kind job.Trimming) job.Job {
	j := gateJob()
	j.Layout.Places = []job.Place{{X: x, Y: y}}
	j.Layout.Trim = kind
	return j
}

func TestPlateIsTrimmedLastPastTheParts(t *testing.T) {
	l := leaf()
	for _, c := range []struct {
		name     string
		x, y     float64
		kind     job.Trimming
		where    string // by hand: 7 mm margin and 6 mm of web, and two half kerfs of 0.8, rounded outwards
		keep     geom.Box
		clockws  job.Turn
		onEdge   bool
		leftover float64 // mm2
	}{
		{name: "left, along Y", x: 10, y: 10, kind: job.TrimX, where: "X 185 mm", keep: geom.Box{Min: geom.Pt(185.8, 0), Max: geom.Pt(400, 300)}},
		{name: "right, along Y", x: 230, y: 10, kind: job.TrimX, where: "X 215 mm", keep: geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(214.2, 300)}},
		{name: "below, along X", x: 10, y: 10, kind: job.TrimY, where: "Y 105 mm", keep: geom.Box{Min: geom.Pt(0, 105.8), Max: geom.Pt(400, 300)}},
		{name: "above, along X", x: 10, y: 210, kind: job.TrimY, where: "Y 195 mm", keep: geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(400, 194.2)}},
		{name: "corner, lower left", x: 10, y: 10, kind: job.TrimCorner, where: "X 185 mm, Y 105 mm", leftover: 400*300 - 185.8*105.8},
		{name: "corner, upper left", x: 10, y: 210, kind: job.TrimCorner, where: "X 185 mm, Y 195 mm", leftover: 400*300 - 185.8*105.8},
		{name: "corner, lower right", x: 230, y: 10, kind: job.TrimCorner, where: "X 215 mm, Y 105 mm", leftover: 400*300 - 185.8*105.8},
		{name: "corner, upper right", x: 230, y: 210, kind: job.TrimCorner, where: "X 215 mm, Y 195 mm", leftover: 400*300 - 185.8*105.8},
		{name: "outlines the other way round", x: 10, y: 10, kind: job.TrimCorner, where: "X 185 mm, Y 105 mm", leftover: 400*300 - 185.8*105.8, clockws: job.OutlineCounterClockwise},
		{name: "begun on the edge", x: 10, y: 10, kind: job.TrimCorner, where: "X 185 mm, Y 105 mm", leftover: 400*300 - 185.8*105.8, onEdge: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := trimJob(c.x, c.y, c.kind)
			j.Rules.Clockwise = c.clockws
			if c.onEdge {
				j.Layout.TrimStart = job.TrimOnEdge
			}
			p := mustPlan(t, j, l)
			if got := p.Trimmed(j.Units); got != c.where {
				t.Errorf("trimmed at %s, by hand at %s", got, c.where)
			}
			last := p.Cuts[len(p.Cuts)-1]
			if p.Tree.Features[last.Feature].Rule != feature.RuleTrim || p.Verdict.Cuts[len(p.Cuts)-1].Rule != "trim" {
				t.Errorf("%s is cut last", last.Label)
			}
			if (last.Touch != nil) != c.onEdge || (last.LeadIn == 0) != c.onEdge {
				t.Errorf("begins with %d segments of lead, touched at %v", last.LeadIn, last.Touch)
			}
			// What is kept lies right of the way, where the cut is square, unless
			// outlines run the other way round.
			on := last.Path.Seg(last.LeadIn)
			right := on.Tangent(0.5).Left().Mul(-1)
			if c.clockws == job.OutlineCounterClockwise {
				right = right.Mul(-1)
			}
			middle := geom.Pt(c.x+80, c.y+40)
			if on.Mid().Sub(middle).Dot(right) < 0 {
				t.Error("the square side is the skeleton's")
			}
			left, err := planner.Remnants(j, p)
			if err != nil || len(left) != 1 {
				t.Fatal(left, err)
			}
			if c.leftover == 0 {
				c.leftover = c.keep.Width() * c.keep.Height()
				if b := left[0].Edges[0].Box(); b.Min.Dist(c.keep.Min) > 1e-6 || b.Max.Dist(c.keep.Max) > 1e-6 {
					t.Errorf("kept is %v, by hand %v", b, c.keep)
				}
			}
			if math.Abs(left[0].Area-c.leftover) > 1e-6*c.leftover || len(left[0].Edges) != 1 {
				t.Errorf("%.2f mm2 are kept, %.2f by hand", left[0].Area, c.leftover)
			}
			// It is the stock of a next job.
			next := gateJob()
			next.Stock.Width, next.Stock.Height = 0, 0
			next.Stock.Outline = layout.RingsOf(left[0].Edges)
			mustPlan(t, next, l)
		})
	}
}

func TestTrimRunsWhereItIsTyped(t *testing.T) {
	j := trimJob(10, 10, job.TrimX)
	j.Layout.TrimX = job.Of(250)
	if got := mustPlan(t, j, leaf()).Trimmed(j.Units); got != "X 250 mm" {
		t.Error(got)
	}
}

func TestTrimThatCannotBeIsRefusedWithItsReason(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*job.Job)
		want   string
	}{
		{"through a part", func(j *job.Job) { j.Layout.TrimX = job.Of(120) }, "0 mm from a part, 8.4 mm are needed"},
		{"too near to a part", func(j *job.Job) { j.Layout.TrimX = job.Of(175) }, "5 mm from a part, 8.4 mm are needed"},
		{"off the plate", func(j *job.Job) { j.Layout.TrimX = job.Of(420) }, "off the plate"},
		{"parts on both sides", func(j *job.Job) {
			j.Drawings[0].Quantity = 2
			j.Layout.Places = append(j.Layout.Places, job.Place{X: 230, Y: 10})
			j.Layout.TrimX = job.Of(200)
		}, "from a part"},
		{"nothing worth keeping", func(j *job.Job) { j.Layout.TrimX = job.Of(385) }, "leaves a strip of 15 mm"},
		{"over a clamp", func(j *job.Job) {
			j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: 185, Y: 290, Width: 40, Height: 40}}
		}, "runs over the clamp"},
		{"over a bad spot", func(j *job.Job) {
			j.Stock.KeepOuts = []job.KeepOut{{Kind: job.BadSpot, X: 185, Y: 150, Diameter: 20}}
		}, "runs over the bad-spot"},
		{"on an edge with a clamp where it begins", func(j *job.Job) {
			j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: 175, Y: 10, Width: 15, Height: 60}}
		}, "room to pierce|runs over"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := trimJob(10, 10, job.TrimX)
			c.change(&j)
			_, faults := planner.Plan(context.Background(), j, leaf())
			text := ""
			if faults.Bad() {
				text = faults.Err().Error()
			}
			if !slices.ContainsFunc(strings.Split(c.want, "|"), func(w string) bool { return strings.Contains(text, w) }) {
				t.Errorf("%q is not said: %v", c.want, faults)
			}
		})
	}
}

func TestFullPlateIsNotTrimmedAndThatIsTold(t *testing.T) {
	j := trimJob(10, 10, job.TrimX)
	j.Stock.Width = 200
	p, faults := planner.Plan(context.Background(), j, leaf())
	if faults.Bad() || p.Trimmed(j.Units) != "" || len(warned(faults, "not-trimmed")) != 1 {
		t.Errorf("%v", faults)
	}
}

func TestTrimCrossesAnOffcutOnce(t *testing.T) {
	j := trimJob(10, 10, job.TrimX)
	j.Stock.Width, j.Stock.Height = 0, 0
	pts := func(p geom.Path) [][]job.OutlinePoint { return layout.RingsOf([]geom.Path{p}) }
	// A sloping far end.
	j.Stock.Outline = pts(geom.Polygon(geom.Pt(0, 0), geom.Pt(500, 0), geom.Pt(500, 150), geom.Pt(0, 300)))
	p := mustPlan(t, j, leaf())
	last := p.Cuts[len(p.Cuts)-1].Path
	// By hand: on that slope Y is 300 - 0.3 X; it runs on for one kerf of 1.6.
	if want := 300 - 0.3*185 + 1.6; math.Abs(last.End().Y-want) > 0.02 {
		t.Errorf("ends at Y %.3f, by hand %.3f", last.End().Y, want)
	}
	// A steep far end: the line lies beside the plate's edge for long. Found at random.
	j.Stock.Outline = pts(geom.Polygon(geom.Pt(0, 0), geom.Pt(500, 0), geom.Pt(500, 150), geom.Pt(200, 150), geom.Pt(180, 300), geom.Pt(0, 300)))
	mustPlan(t, j, leaf())
	// A bay in the far end: the line would leave the plate and come back.
	j.Stock.Outline = pts(geom.Polygon(geom.Pt(0, 0), geom.Pt(400, 0), geom.Pt(400, 300), geom.Pt(150, 300), geom.Pt(150, 250), geom.Pt(250, 220), geom.Pt(150, 200), geom.Pt(0, 200)))
	_, faults := planner.Plan(context.Background(), j, leaf())
	if !faults.Bad() || !strings.Contains(faults.Err().Error(), "crosses the plate's edge 4 times") {
		t.Errorf("%v", faults)
	}
}

func TestTrimmedJobIsTakenUpAtEveryLine(t *testing.T) {
	for _, start := range []job.TrimStart{job.TrimPierced, job.TrimOnEdge} {
		j := trimJob(10, 10, job.TrimCorner)
		j.Layout.TrimStart = start
		l := loops(rect(0, 0, 160, 80))
		whole := mustPlan(t, j, l)
		last := whole.Cuts[len(whole.Cuts)-1]
		for line := 1; line <= last.Last; line++ {
			p, faults := planner.Resume(context.Background(), j, l, planner.From{Line: line})
			if faults.Bad() {
				if !strings.Contains(faults.Err().Error(), "nothing is left to cut") {
					t.Errorf("%q, line %d: %v", start, line, faults.Err())
				}
				continue
			}
			if c := p.Cuts[len(p.Cuts)-1]; p.Tree.Features[c.Feature].Rule != feature.RuleTrim {
				t.Errorf("line %d: %s is cut last", line, c.Label)
			}
		}
	}
}

func TestTrimOfTheLastOfSeveralPlates(t *testing.T) {
	j := gateJob()
	j.Stock.Sheets, j.Stock.Width = 2, 365 // two columns of leaves leave no strip of a full plate
	j.Drawings[0].Quantity = 7
	j.Layout.Trim = job.TrimX
	for plate, trimmed := range []bool{false, true} {
		j.Layout.Plate = plate + 1
		p := mustPlan(t, j, leaf())
		if got := p.Trimmed(j.Units); (got != "") != trimmed {
			t.Errorf("plate %d of %d: trimmed at %q", plate+1, p.Plates, got)
		}
	}
	j.Layout.TrimX = job.Of(250) // typed: meant for the last
	j.Layout.Plate = 1
	if got := mustPlan(t, j, leaf()).Trimmed(j.Units); got != "" {
		t.Errorf("plate 1 is trimmed at %s", got)
	}
}

// Where the trim leaves the plate height must be held, whatever the plan says.
func TestTrimWithoutAHoldAtThePlatesEdgeIsNotProved(t *testing.T) {
	j := trimJob(10, 10, job.TrimX)
	p := mustPlan(t, j, leaf())
	at := strings.LastIndex(string(p.Text), "(height hold on)")
	spoilt := string(p.Text[:at]) + strings.Replace(string(p.Text[at:]), "(height hold on)", "(height hold off)", 1)
	r, faults := planner.Prove(context.Background(), j, leaf(), []byte(spoilt), false)
	if faults.Bad() || r.OK {
		t.Fatalf("%v %+v", faults, r)
	}
	if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
		return f.Code == "hold-missing" && f.Feature == "trim.line" && strings.Contains(f.Text, "plate's edge")
	}) {
		t.Errorf("%+v", r.Findings)
	}
}

// A program that was proved for one place of the line does not pass for another.
func TestTrimIsHeldToThePlaceThatIsTyped(t *testing.T) {
	j := trimJob(10, 10, job.TrimX)
	p := mustPlan(t, j, leaf())
	for _, x := range []float64{184, 186, 250} {
		j.Layout.TrimX = job.Of(x)
		if r, faults := planner.Prove(context.Background(), j, leaf(), p.Text, false); faults.Bad() || r.OK {
			t.Errorf("a trim at X 185 passes for X %g", x)
		}
	}
	j.Layout.Trim = job.TrimNone
	if r, _ := planner.Prove(context.Background(), j, leaf(), p.Text, false); r.OK {
		t.Error("a trim passes for none")
	}
}

// Shared edges and trim on a plate that lies turned on the table.
func TestTurnedPlateIsTrimmedAndItsEdgesShared(t *testing.T) {
	j, l := braces(11, 120, 60)
	j.Layout.Trim = job.TrimCorner
	m := geom.Move{Angle: 1.7 * math.Pi / 180, Shift: geom.Pt(40, 25)}
	j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(1100, 0)), Next: read(m, geom.Pt(0, 200))}
	p := mustPlan(t, j, l)
	if p.Plan.Shared == nil || p.Trimmed(j.Units) == "" {
		t.Errorf("%+v, trimmed at %q", p.Plan.Shared, p.Trimmed(j.Units))
	}
	fallsApart(t, j, p)
	mustResume(t, j, l, planner.From{Cut: 9})
}

// The same in inches, as on a table that reads them.
func TestTrimAndSharedEdgesInInches(t *testing.T) {
	j, l := braces(5, 101.6, 50.8)
	j.Units, j.Machine.Program.Units = unit.Inch, unit.Inch
	j.Layout.Trim = job.TrimX
	p := mustPlan(t, j, l)
	if p.Plan.Shared == nil || !strings.HasSuffix(p.Trimmed(j.Units), " in") {
		t.Errorf("%+v, trimmed at %q", p.Plan.Shared, p.Trimmed(j.Units))
	}
}
