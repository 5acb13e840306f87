package planner_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"pgregory.net/rapid"
)

// The time of every cut that the planner reckons from closed forms and the
// one that the proof finds in the text by small steps agree within 1 % (the
// figure that the project sets itself).
func TestCutTimesAgreeWithTheProofsOwnSimulation(t *testing.T) {
	const within, withinLines = 0.01, 0.02
	// A path with a side as short as the rounding of its corners, mm, has no
	// one right speed: hairs that no torch can follow.
	const hair = 1.0
	worst, cuts := 0.0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j := anyJob(rt)
		j.Machine.AccelXY = rapid.Float64Range(100, 5000).Draw(rt, "accel")
		j.Machine.CornerDeviation = rapid.Float64Range(0.005, 0.1).Draw(rt, "deviation")
		p, _ := planner.Plan(context.Background(), j, loops(anyPart(rt)...))
		if p == nil || len(p.Verdict.Cuts) == 0 || len(p.Verdict.Cuts) != len(p.Cuts) {
			return
		}
		limit := within
		if j.Machine.Program.Arcs == job.ArcsNone { // planned with arcs, written in lines
			limit = withinLines
		}
		sum, got := 0.0, 0.0
		for i, c := range p.Verdict.Cuts {
			want := p.Cuts[i].Time
			if p.Cuts[i].Pop || shortest(p.Cuts[i].Path) < hair {
				continue
			}
			off := math.Abs(c.Time/want - 1)
			worst, cuts, sum, got = max(worst, off), cuts+1, sum+want, got+c.Time
			if !(off <= limit) {
				rt.Log(string(p.Text))
				rt.Fatalf("%s, lines %d to %d: planned %.4f s, simulated %.4f s, %.2f %% off", c.Feature, c.First, c.Last, want, c.Time, 100*off)
			}
		}
		if sum > 0 && !(math.Abs(got/sum-1) <= limit) {
			rt.Fatalf("planned %.3f s in all, simulated %.3f s", sum, got)
		}
	})
	t.Logf("%d cuts, worst %.3f %%", cuts, 100*worst)
	if cuts < 20 {
		t.Errorf("only %d cuts: the jobs are too odd to test anything", cuts)
	}
}

// The planner's own text with one hold line less, or with the line that lets
// go brought forward, is refused, naming the feature and a line of its cut.
func TestPlannedTextWithAHoldLineLessIsRefused(t *testing.T) {
	j, l := gateJob(), leaf()
	p := mustPlan(t, j, l)
	lines := strings.Split(string(p.Text), "\n")
	tried := 0
	refused := func(what string, text []string, c planner.Cut) {
		tried++
		r, faults := planner.Prove(context.Background(), j, l, []byte(strings.Join(text, "\n")), false)
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		for _, f := range r.Findings {
			if !r.OK && f.Code == "hold-missing" && f.Feature == c.Label && f.Line >= c.First && f.Line <= c.Last {
				return
			}
		}
		t.Errorf("%s in %s, lines %d to %d: %v", what, c.Label, c.First, c.Last, r.Findings)
	}
	for _, c := range p.Cuts {
		for i := c.First - 1; i < c.Last; i++ {
			if lines[i] == "(height hold on)" && !strings.HasPrefix(lines[i+1], "M5") {
				refused("hold line left out", slices.Delete(slices.Clone(lines), i, i+1), c)
			}
			if lines[i] == "(height hold off)" {
				text := slices.Delete(slices.Clone(lines), i, i+1)
				down := i
				for !strings.HasPrefix(lines[down], "G1 Z") {
					down--
				}
				refused("height let go from the pierce", slices.Insert(text, down+1, lines[i]), c)
				break
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d texts tried", tried)
	}
}

func shortest(p geom.Path) float64 {
	least := math.Inf(1)
	for i := range p.NumSegs() {
		least = min(least, p.Seg(i).Length())
	}
	return least
}
