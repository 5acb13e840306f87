package planner_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// braces is a job of flat braces for a gate, w by h mm, that share edges. The
// plate takes them all.
func braces(n int, w, h float64) (job.Job, []*drawing.Loops) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 1200, 900
	j.Drawings[0].Quantity = n
	j.Drawings[0].Turns = job.TurnFixed
	j.Layout.Share = true
	return j, loops(rect(0, 0, w, h), geom.Circle(geom.Pt(25, 25), 8))
}

// outlines returns the cuts of outlines in order.
func outlines(p *planner.Program) (out []planner.Cut) {
	for _, c := range p.Cuts {
		if p.Tree.Features[c.Feature].Kind == feature.Outline {
			out = append(out, c)
		}
	}
	return out
}

func warned(f fault.List, code string) (out []fault.Fault) {
	for _, x := range f {
		if x.Code == code {
			out = append(out, x)
		}
	}
	return out
}

func TestRowOfRectanglesSharesEveryEdgeBetweenThem(t *testing.T) {
	j, l := braces(4, 120, 60)
	p, faults := planner.Plan(context.Background(), j, l)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	x := p.Plan.Shared
	if x == nil || x.Edges != 3 || x.Pierces != 0 || len(warned(faults, "not-shared")) > 0 {
		t.Fatalf("%+v %v", x, faults)
	}
	// By hand: of each of three parts the straight of 60 mm is left out, and two
	// round joins of a quarter turn of half the kerf; both ends run on for half a
	// kerf less what begins at the corner: one run of half a kerf.
	k := j.Process.Kerf
	if want := 3 * (60 + 2*math.Pi/2*k/2 - k/2); math.Abs(x.Length-want) > 1e-3 || math.Abs(x.Time-want/1150*60) > 1e-3 {
		t.Errorf("saves %.4f mm, %.4f by hand", x.Length, want)
	}
	for i, c := range outlines(p) {
		if i > 0 && c.Path.Closed || c.Clear < 0.5*6+k/2-1e-9 {
			t.Errorf("outline %d pierces %.2f mm from an edge that stays", i+1, c.Clear)
		}
	}
	// The same parts laid apart cut that much more.
	j.Layout.Share = false
	apart := mustPlan(t, j, l)
	if d := apart.Plan.CutLength - p.Plan.CutLength; math.Abs(d-x.Length) > 3*12 { // leads differ
		t.Errorf("%.1f mm less than apart, %.1f said", d, x.Length)
	}
}

func TestBlockOfTwoRowsSharesAllItsEdges(t *testing.T) {
	for _, n := range []int{2, 9, 10, 13, 18, 27, 36} {
		j, l := braces(n, 120, 60) // nine in a row
		p, faults := planner.Plan(context.Background(), j, l)
		if faults.Bad() {
			t.Fatalf("%d: %v", n, faults.Err())
		}
		want := 0
		for left := n; left > 0; left -= 18 {
			low := min(9, left)
			high := min(9, max(0, left-9))
			want += low - 1 + max(0, high-1) + high
		}
		if x := p.Plan.Shared; x == nil || x.Edges != want || x.Pierces != 0 || len(warned(faults, "not-shared")) > 0 {
			t.Errorf("%d parts: %+v, %d edges by hand; %v", n, x, want, faults)
		}
	}
}

func TestThirdRowIsLaidApart(t *testing.T) {
	j, l := braces(27, 120, 60)
	p := mustPlan(t, j, l)
	y := map[float64]bool{}
	for _, pl := range p.Placed {
		y[math.Round(pl.Move.Shift.Y*1000)/1000] = true
	}
	gap := planner.GapOf(j)
	for _, want := range []float64{9, 9 + 60 + 1.6, 9 + 120 + 1.6 + gap} {
		found := false
		for v := range y {
			found = found || math.Abs(v-want) < 8 && len(y) == 3
		}
		if !found {
			t.Errorf("rows at %v, one wanted near %.1f", y, want)
		}
	}
}

// at places copies of the first drawing by hand.
func at(j job.Job, pts ...geom.Point) job.Job {
	for _, q := range pts {
		j.Layout.Places = append(j.Layout.Places, job.Place{X: q.X, Y: q.Y})
	}
	j.Drawings[0].Quantity = len(pts)
	return j
}

func TestInnerPartOfABlockIsNotSharedAndTold(t *testing.T) {
	j, l := braces(9, 120, 60)
	var pts []geom.Point
	for y := range 3 {
		for x := range 3 {
			pts = append(pts, geom.Pt(20+121.6*float64(x), 20+61.6*float64(y)))
		}
	}
	_, faults := planner.Plan(context.Background(), at(j, pts...), l)
	told := warned(faults, "not-shared")
	if len(told) == 0 {
		t.Fatalf("nothing is said: %v", faults)
	}
	for _, f := range told {
		if f.Where.Feature != "p1#5" || !strings.Contains(f.What, "no scrap to pierce") {
			t.Error(f.Error())
		}
	}
}

// A short and a long brace side by side: in whichever order they are drawn and
// placed, the one whose whole side is shared with the other is not begun in the
// middle of the other's edge.
func TestMixedLengthsShareWhereTheLaterOneBeginsAtItsCorner(t *testing.T) {
	for _, c := range []struct {
		name  string
		short geom.Point // lower left of the short one; the long is at 100, 100
		long  bool       // must be cut first; else either may be
	}{
		{"left, below", geom.Pt(100-1.6-80, 100), true},
		{"right, below", geom.Pt(100+80+1.6, 100), false},
		{"right, above", geom.Pt(100+80+1.6, 200), true},
		{"left, above", geom.Pt(100-1.6-80, 200), false},
		{"in the middle", geom.Pt(100+80+1.6, 150), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, _ := braces(1, 0, 0)
			j.Layout.Places = []job.Place{{X: 100, Y: 100}, {Drawing: 1, X: c.short.X, Y: c.short.Y}}
			j.Drawings = append(j.Drawings, job.Drawing{File: "short.dxf", Quantity: 1})
			l := append(loops(rect(0, 0, 80, 200)), loops(rect(0, 0, 80, 100))...)
			p, faults := planner.Plan(context.Background(), j, l)
			if faults.Bad() {
				t.Fatal(faults.Err())
			}
			if x := p.Plan.Shared; x == nil || x.Edges != 1 {
				t.Errorf("%+v, one edge wanted: %v", x, faults)
			}
			if first := outlines(p)[0].Label; c.long && first != "p1.outline" {
				t.Errorf("%s is cut first: the long one would begin in the middle of its edge", first)
			}
		})
	}
}

func TestSharingIsRefusedWithItsReason(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*job.Job)
		parts  []geom.Path
		edges  int
	}{
		{"as asked", func(*job.Job) {}, nil, 1},
		{"off", func(j *job.Job) { j.Layout.Share = false }, nil, 0},
		{"edge too short", func(j *job.Job) { j.Layout.ShareFrom = 61 }, nil, 0},
		{"edge long enough", func(j *job.Job) { j.Layout.ShareFrom = 60 }, nil, 1},
		{"tabs", func(j *job.Job) { j.Rules.TabUnder = 200 }, nil, 0},
		{"clean face", func(j *job.Job) {
			j.Overrides = []job.Override{{Feature: "p1.outline", Critical: []geom.Point{geom.Pt(120, 30)}}}
		}, nil, 0},
		{"rounded corners", func(*job.Job) {}, []geom.Path{rounded(120, 60, 8)}, 0},
		{"outlines counter-clockwise", func(j *job.Job) { j.Rules.Clockwise = job.OutlineCounterClockwise }, nil, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, l := braces(2, 120, 60)
			if c.parts != nil {
				l = loops(c.parts...)
			}
			c.change(&j)
			p, faults := planner.Plan(context.Background(), j, l)
			if faults.Bad() {
				t.Fatal(faults.Err())
			}
			got := 0
			if p.Plan.Shared != nil {
				got = p.Plan.Shared.Edges
			}
			if got != c.edges {
				t.Errorf("%d edges shared, %d wanted: %v", got, c.edges, faults)
			}
			// What is not shared is laid apart.
			dx := p.Placed[1].Move.Shift.X - p.Placed[0].Move.Shift.X - 120
			if near := math.Abs(dx-j.Process.Kerf) < 1e-6; near != (c.edges > 0) {
				t.Errorf("laid %.2f mm apart", dx)
			}
		})
	}
}

func rounded(w, h, r float64) geom.Path {
	q := geom.BulgeOf(math.Pi / 2)
	return geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(r, 0)}, {P: geom.Pt(w-r, 0), Bulge: q}, {P: geom.Pt(w, r)}, {P: geom.Pt(w, h-r), Bulge: q},
		{P: geom.Pt(w-r, h)}, {P: geom.Pt(r, h), Bulge: q}, {P: geom.Pt(0, h-r)}, {P: geom.Pt(0, r), Bulge: q}}}
}

func TestRowOfSharedEdgesIsTakenUpAtEveryLine(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	j, l := braces(11, 120, 60)
	whole := mustPlan(t, j, l)
	last := whole.Cuts[len(whole.Cuts)-1]
	step := 11
	for line := 1; line <= last.Last; line += step {
		_, faults := planner.Resume(context.Background(), j, l, planner.From{Line: line})
		if faults.Bad() {
			text := faults.Err().Error()
			if strings.Contains(text, "nothing is left to cut") {
				continue
			}
			t.Errorf("line %d: %v", line, text)
		}
	}
}

// Laid one kerf apart by hand and cut all round each, without sharing: it goes
// on, or is refused since no solid metal is left to pierce.
func TestPartsOneKerfApartAreTakenUp(t *testing.T) {
	j, l := braces(3, 120, 60)
	j.Layout.Share = false
	j = at(j, geom.Pt(20, 20), geom.Pt(141.6, 20), geom.Pt(263.2, 20))
	whole := mustPlan(t, j, l)
	last := whole.Cuts[len(whole.Cuts)-1]
	for line := 1; line <= last.Last; line += 3 {
		_, faults := planner.Resume(context.Background(), j, l, planner.From{Line: line})
		if faults.Bad() && !strings.Contains(faults.Err().Error(), "nothing is left to cut") && len(warned(faults, "resume-no-metal")) == 0 {
			t.Errorf("line %d: %v", line, faults.Err())
		}
	}
}

// The end of a long edge lies over a short one, so that the middle of the long
// one is far away: the later cut ends in its kerf all the same. Found at random.
func TestLaterCutMayEndUnderTheEndOfALongEdge(t *testing.T) {
	j, _ := braces(1, 0, 0)
	j.Rules.Clockwise = job.OutlineCounterClockwise
	j.Layout.Places = []job.Place{{X: 30, Y: 61.6}, {Drawing: 1, X: 116, Y: 30}}
	j.Drawings = append(j.Drawings, job.Drawing{File: "short.dxf", Quantity: 1})
	l := append(loops(rect(0, 0, 114, 31)), loops(rect(0, 0, 38, 30))...)
	p := mustPlan(t, j, l)
	if x := p.Plan.Shared; x == nil || x.Edges != 1 {
		t.Errorf("%+v", x)
	}
	fallsApart(t, j, p)
}
