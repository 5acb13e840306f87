package planner_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// A program that the controller does not take whole is parted, by lines or by
// bytes, exactly from the limit on.
func TestProgramOverTheControllersLimitIsParted(t *testing.T) {
	whole := mustPlan(t, smallJob(), leaf())
	lines := bytes.Count(whole.Text, []byte("\n"))
	lines = max(lines, bytes.Count(whole.Dry, []byte("\n")))
	size := max(len(whole.Text), len(whole.Dry))
	for name, c := range map[string]struct {
		lines, bytes int
		parted       bool
	}{
		"no limit": {}, "lines, just": {lines: lines}, "lines, over": {lines: lines - 1, parted: true},
		"bytes, just": {bytes: size + 8}, "bytes, over": {bytes: size - 60, parted: true},
	} {
		j := smallJob()
		j.Machine.Program.MaxLines, j.Machine.Program.MaxBytes = c.lines, c.bytes
		p, faults := planner.Plan(context.Background(), j, leaf())
		if p == nil || faults.Bad() || len(p.Files()) > 1 != c.parted || !p.Verdict.OK || !p.DryVerdict.OK {
			t.Errorf("%s: %v", name, faults)
		}
	}
}

// A chord of length c over a circle of radius r lies r - sqrt(r^2 - c^2/4) off
// it (closed form): no chord of a program without arcs may lie further off than
// the job's tolerance, and the job is told of it.
func TestChordsLieWithinTheToleranceOfTheirArcs(t *testing.T) {
	j := smallJob()
	j.Machine.Program.Arcs = job.ArcsNone
	r := 40.0
	l := loops(rect(0, 0, 200, 120), geom.Circle(geom.Pt(100, 60), r))
	p, faults := planner.Plan(context.Background(), j, l)
	told := false
	for _, f := range faults {
		told = told || f.Code == "chords"
	}
	if p == nil || faults.Bad() || !told {
		t.Fatal(faults)
	}
	torch := r - j.Process.Kerf/2
	worst, n := 0.0, 0
	var was geom.Point
	hole := p.Cuts[0]
	for i, line := range strings.Split(string(p.Text), "\n") {
		var at geom.Point
		if k, _ := fmt.Sscanf(line, "G1 X%f Y%f", &at.X, &at.Y); k != 2 || i+1 < hole.First || i+1 > hole.Last {
			continue
		}
		c := was.Dist(at)
		middle := p.Placed[0].Move.Apply(geom.Pt(100, 60))
		if math.Abs(was.Dist(middle)-torch) < 0.02 && math.Abs(at.Dist(middle)-torch) < 0.02 {
			worst, n = max(worst, torch-math.Sqrt(torch*torch-c*c/4)), n+1
		}
		was = at
	}
	if tol := j.Rules.WithDefaults().Tolerance; n < 20 || worst > tol {
		t.Errorf("%d chords lie up to %g mm off, %g allowed", n, worst, tol)
	}
}
