package planner_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// read takes a point of the stock as drawn to where the readout shows it, for
// a stock that is turned and then shifted.
func read(m geom.Move, pts ...geom.Point) []geom.Point {
	out := make([]geom.Point, len(pts))
	for i, p := range pts {
		out[i] = m.Apply(p)
	}
	return out
}

// smallJob has few cuts, so that many of it can be planned.
func smallJob() job.Job {
	j := gateJob()
	j.Rules.SearchKicks = 1
	return j
}

// The program of a job, and the same with the plate turned by 2 degrees.
func TestProgramBeforeAndAfterAlignment(t *testing.T) {
	for _, turned := range []bool{false, true} {
		t.Run(map[bool]string{false: "before", true: "after"}[turned], func(t *testing.T) {
			j := smallJob()
			if turned {
				m := geom.Move{Angle: 2 * math.Pi / 180, Shift: geom.Pt(12, 7)}
				j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(380, 0)), Next: read(m, geom.Pt(0, 200))}
			}
			text := mustPlan(t, j, leaf()).Text // but for the sum of the job, which changes with every field that jobs come to have
			golden.RequireEqual(t, regexp.MustCompile(`(?m)^\(job sum: .*\n`).ReplaceAll(text, nil))
		})
	}
}

// Every arc of a turned program has the radius of the straight one: the words
// I and J are turned with it.
func TestTurnedArcsKeepTheirRadius(t *testing.T) {
	j := smallJob()
	straight := mustPlan(t, j, leaf())
	m := geom.Move{Angle: -1.7 * math.Pi / 180, Shift: geom.Pt(-3, 9)}
	j.Alignment = job.Alignment{By: job.AlignEdges, Edge: job.EdgeLeft, Points: read(m, geom.Pt(0, 10), geom.Pt(0, 290)), Next: read(m, geom.Pt(300, 0))}
	turned := mustPlan(t, j, leaf())
	a, b := arcsOf(straight.Text), arcsOf(turned.Text)
	if len(a) == 0 || len(a) != len(b) {
		t.Fatalf("%d arcs, turned %d", len(a), len(b))
	}
	for i := range a {
		if math.Abs(a[i]-b[i]) > 3e-4 { // I, J and the place are rounded to 1e-4 mm each
			t.Errorf("arc %d: radius %g, turned %g", i, a[i], b[i])
		}
	}
	if n := bytes.Count(turned.Text, []byte("\n")); n != bytes.Count(straight.Text, []byte("\n"))+1 {
		t.Errorf("%d lines: the turned program has one line more, which says so", n)
	}
}

func arcsOf(text []byte) []float64 {
	var out []float64
	for _, l := range strings.Split(string(text), "\n") {
		var word string
		var x, y, i, k float64
		if n, _ := fmt.Sscanf(l, "%s X%f Y%f I%f J%f", &word, &x, &y, &i, &k); n == 5 {
			out = append(out, math.Hypot(i, k))
		}
	}
	return out
}

// 200 plates that lie anyhow: the typed points give the turn back, and the
// proof, which reckons it for itself, passes. Of a program that was written
// for other points it says so. With KERFWRIGHT_TABLE=FILE the table is kept.
func TestRandomAlignmentsAreProved(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	var table strings.Builder
	table.WriteString("   n  edge     turn deg   shift mm          found deg  residual mm  third mm  proof  proof of the straight text\n")
	n := 200
	if testing.Short() {
		n = 40
	}
	l := leaf()
	straight := mustPlan(t, smallJob(), l)
	for i := range n {
		j := smallJob()
		zero := job.Corners()[rng.IntN(4)]
		j.Stock.Zero = zero
		box := map[job.Corner]geom.Point{"lower-left": {}, "lower-right": {X: -400}, "upper-left": {Y: -300}, "upper-right": {X: -400, Y: -300}}[zero]
		m := geom.Move{Angle: (2*rng.Float64() - 1) * 2.9 * math.Pi / 180, Shift: geom.Pt(80*rng.Float64()-40, 80*rng.Float64()-40)}
		edge := job.Edges()[rng.IntN(4)]
		at := func(e job.Edge, part float64) geom.Point {
			return box.Add(map[job.Edge]geom.Point{"bottom": {X: 400 * part}, "top": {X: 400 * part, Y: 300}, "left": {Y: 300 * part}, "right": {X: 400, Y: 300 * part}}[e])
		}
		j.Alignment = job.Alignment{By: job.AlignEdges, Edge: edge}
		next := planner.NextEdge(j)
		j.Alignment.Points = read(m, at(edge, 0.05+0.2*rng.Float64()), at(edge, 0.6+0.35*rng.Float64()))
		j.Alignment.Next = read(m, at(next, 0.3+0.4*rng.Float64()))
		if rng.IntN(4) == 0 { // a fourth point, and readings that are a little off
			j.Alignment.Next = append(j.Alignment.Next, read(m, at(next, 0.9))...)
			for k := range j.Alignment.Next {
				j.Alignment.Next[k] = j.Alignment.Next[k].Add(geom.Pt(0.3*rng.Float64()-0.15, 0.3*rng.Float64()-0.15))
			}
		}
		p, faults := planner.Plan(context.Background(), j, l)
		if p == nil || faults.Bad() {
			t.Fatalf("%d: %v", i, faults.Err())
		}
		exact := len(j.Alignment.Next) == 1
		if d := math.Abs(p.Lie.Angle - m.Angle); exact && d > 1e-12 || d > 0.002 { // 0.3 mm over 150 mm at most
			t.Errorf("%d: turn %g, found %g", i, m.Angle, p.Lie.Angle)
		}
		if exact && p.Lie.Move.Shift.Dist(m.Shift) > 1e-9 {
			t.Errorf("%d: shift %v, found %v", i, m.Shift, p.Lie.Move.Shift)
		}
		// The text that knows nothing of the turn is not this job's.
		v, _ := planner.Prove(context.Background(), j, l, straight.Text, false)
		if v.OK {
			t.Errorf("%d: the proof takes the straight program for one that is turned by %g", i, m.Angle)
		}
		// Nor is this text that of a job whose point was typed half a millimetre off.
		off := j
		off.Alignment.Points = slices.Clone(j.Alignment.Points)
		off.Alignment.Points[0] = off.Alignment.Points[0].Add(geom.Pt(0.35, 0.35))
		if v, _ := planner.Prove(context.Background(), off, l, p.Text, false); v.OK {
			t.Errorf("%d: the proof does not see a point that is typed half a millimetre off", i)
		}
		fmt.Fprintf(&table, "%4d  %-7s  %8.4f  %8.3f %8.3f  %9.4f  %11.4f  %8.3f  %-5v  %v\n", i+1, edge, m.Angle*180/math.Pi, m.Shift.X, m.Shift.Y,
			p.Lie.Angle*180/math.Pi, p.Lie.Worst, p.Lie.Third, pass(p.Verdict.OK && p.DryVerdict.OK), pass(v.OK))
	}
	if name := os.Getenv("KERFWRIGHT_TABLE"); name != "" {
		if err := os.WriteFile(filepath.Clean(name), []byte(table.String()), 0o666); err != nil {
			t.Error(err)
		}
	}
}

func pass(ok bool) string {
	if ok {
		return "good"
	}
	return "bad"
}

// A part that is drilled already is found by two of its holes.
func TestPlateIsAlignedByTwoLocatedHoles(t *testing.T) {
	j := smallJob()
	l := loops(rect(0, 0, 200, 120), geom.Circle(geom.Pt(20, 20), 2), geom.Circle(geom.Pt(180, 100), 2), rect(60, 40, 80, 40))
	whole := mustPlan(t, j, l)
	at := map[string]geom.Point{}
	for _, f := range whole.Tree.Features {
		at[f.ID] = whole.Placed[0].Move.Apply(f.Center)
	}
	m := geom.Move{Angle: 0.9 * math.Pi / 180, Shift: geom.Pt(4, -2)}
	found := read(m, at["p1.h1"], at["p1.h2"])
	// Read 0.4 mm too far apart.
	found[1] = found[1].Add(found[1].Sub(found[0]).Unit().Mul(0.4))
	j.Alignment = job.Alignment{By: job.AlignHoles, Holes: []job.Located{{Feature: "p1.h1", At: found[0]}, {Feature: "p1.h2", At: found[1]}}}
	p := mustPlan(t, j, l)
	if math.Abs(p.Lie.Angle-m.Angle) > 1e-12 || math.Abs(p.Lie.Apart-0.4) > 1e-9 || math.Abs(p.Lie.Worst-0.2) > 1e-9 {
		t.Errorf("%+v", p.Lie.Fit)
	}
	j.Alignment.Holes[1].Feature = "p1.h9"
	if _, faults := planner.Plan(context.Background(), j, l); !strings.Contains(faults.Err().Error(), "no feature p1.h9") {
		t.Error(faults)
	}
}

// A blank is aligned by its datum corner and an edge.
func TestBlankIsAlignedByItsDatumCorner(t *testing.T) {
	j := smallJob()
	j.Stock = job.Stock{Material: job.MildSteel, Thickness: 6, Hold: job.Blank, Width: 200, Height: 120,
		Fixture: job.Fixture{Datum: job.LowerRight, Pockets: []geom.Point{{X: 500, Y: 100}}, Allowance: job.Of(1)}}
	l := loops(rect(0, 0, 200, 120), rect(60, 40, 80, 40), geom.Circle(geom.Pt(30, 60), 10))
	m := geom.Move{Angle: -1.1 * math.Pi / 180, Shift: geom.Pt(3, 6)}
	// Its datum corner is at (500, 100): the bottom edge runs from (300, 100).
	j.Alignment = job.Alignment{By: job.AlignEdges, Edge: job.EdgeBottom, Points: read(m, geom.Pt(310, 100), geom.Pt(495, 100)), Next: read(m, geom.Pt(500, 180))}
	if e := planner.NextEdge(j); e != job.EdgeRight {
		t.Errorf("the edge beside the datum corner is %s", e)
	}
	p := mustPlan(t, j, l)
	if math.Abs(p.Lie.Angle-m.Angle) > 1e-12 || p.Lie.Move.Shift.Dist(m.Shift) > 1e-9 {
		t.Errorf("%+v, want %+v", p.Lie.Fit, m)
	}
}

// The room left to each edge, by hand: one disc of 100 in the middle of a plate
// 400 x 300, kerf 1.6, with a lead; turned about the lower left corner by a, a
// point (x, y) of the program lies at the plate's (x cos a + y sin a, ...).
func TestRoomTellsWhatTheTurnWouldHaveCost(t *testing.T) {
	j := smallJob()
	m := geom.Move{Angle: 2 * math.Pi / 180}
	j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(380, 0)), Next: read(m, geom.Pt(0, 200))}
	p := mustPlan(t, j, leaf())
	box := geom.EmptyBox()
	straight := geom.EmptyBox()
	for _, c := range p.Cuts {
		for _, q := range c.Path.Flatten(1e-3) {
			box = box.Add(q)
			straight = straight.Add(geom.Pt(q.X*math.Cos(m.Angle)+q.Y*math.Sin(m.Angle), q.Y*math.Cos(m.Angle)-q.X*math.Sin(m.Angle)))
		}
	}
	want := map[job.Edge][2]float64{
		job.EdgeBottom: {box.Min.Y, straight.Min.Y}, job.EdgeLeft: {box.Min.X, straight.Min.X},
		job.EdgeTop: {300 - box.Max.Y, 300 - straight.Max.Y}, job.EdgeRight: {400 - box.Max.X, 400 - straight.Max.X},
	}
	if len(p.Lie.Room) != 4 {
		t.Fatal(p.Lie.Room)
	}
	for _, r := range p.Lie.Room {
		w := want[r.Edge]
		if math.Abs(r.Aligned-(w[0]-0.8)) > 2e-3 || math.Abs(r.Straight-(w[1]-0.8)) > 2e-3 { // chords within 1e-3
			t.Errorf("%+v, want %v less half a kerf", r, w)
		}
	}
}

// Over the stated angle the operator is asked again, and may say that it is so.
func TestLargeTurnIsAskedAgain(t *testing.T) {
	for _, c := range []struct {
		deg, most float64
		sure      bool
		code      string
	}{{2.9, 0, false, ""}, {3.1, 0, false, "align-turn"}, {3.1, 0, true, ""}, {3.1, 5, false, ""}, {1.1, 1, false, "align-turn"}} {
		j := smallJob()
		m := geom.Move{Angle: c.deg * math.Pi / 180}
		j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(380, 0)), Next: read(m, geom.Pt(0, 100)),
			Most: c.most * math.Pi / 180, Sure: c.sure}
		_, faults := planner.Plan(context.Background(), j, leaf())
		got := ""
		for _, f := range faults.At(fault.Error) {
			got = f.Code
		}
		if got != c.code {
			t.Errorf("%+v: %v", c, faults)
		}
	}
}

// A cut that was lost is taken up again on the plate as it lies.
func TestLostCutIsTakenUpOnATurnedPlate(t *testing.T) {
	j := smallJob()
	m := geom.Move{Angle: 1.3 * math.Pi / 180, Shift: geom.Pt(5, 5)}
	j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(380, 0)), Next: read(m, geom.Pt(0, 200))}
	p := mustPlan(t, j, leaf())
	last := p.Cuts[len(p.Cuts)-1]
	again, faults := planner.TakeUp(j, p, planner.From{Line: (last.First + last.Last) / 2})
	if again == nil || faults.Bad() || !again.Verdict.OK {
		t.Fatal(faults.Err())
	}
}
