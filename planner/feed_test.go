package planner_test

import (
	"context"
	"math"
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

func shortest(p geom.Path) float64 {
	least := math.Inf(1)
	for i := range p.NumSegs() {
		least = min(least, p.Seg(i).Length())
	}
	return least
}
