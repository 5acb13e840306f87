package planner_test

import (
	"bytes"
	"context"
	"regexp"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Every sort of job that is proved whole is proved in parts too, whatever the
// controller takes.
func TestEverySortOfJobCanBeParted(t *testing.T) {
	for name, change := range map[string]func(*job.Job){
		"plain":        func(j *job.Job) {},
		"edges shared": func(j *job.Job) { j.Layout.Share = true },
		"trimmed":      func(j *job.Job) { j.Layout.Trim = job.TrimX },
		"marked": func(j *job.Job) {
			j.Mark = job.Marking{Feed: 6000, Height: 2, Width: 1.2, Delay: 0.1, Amps: 20}
			j.Texts = []job.Text{{Say: plain.Of("A"), Drawing: 1, X: 290, Y: 30, Height: 10}, {Say: plain.Of("G7"), X: 700, Y: 700, Height: 12}}
		},
		"centres popped": func(j *job.Job) { j.Rules.Drill, j.Rules.DrillUnder = job.DrillPop, 3 },
		"blanks": func(j *job.Job) {
			j.Stock.Hold, j.Drawings[0].Quantity = job.Blank, 3
			j.Stock.Fixture.Count = 3
		},
		"two pockets": func(j *job.Job) {
			j.Stock.Hold, j.Drawings[0].Quantity = job.Blank, 4
			j.Stock.Fixture.Count = 4
			j.Stock.Fixture.Pockets = []geom.Point{geom.Pt(0, 0), geom.Pt(400, 0)}
		},
		"touch-offs used again": func(j *job.Job) { j.Rules.ProbeReuse = 200 },
		"heat spread":           func(j *job.Job) { j.Rules.HeatCuts, j.Rules.HeatDistance = 2, 80 },
		"holes first":           func(j *job.Job) { j.Rules.Grouping = job.GroupHoles },
		"from corner to corner": func(j *job.Job) { j.Rules.Begin, j.Rules.End = job.LowerLeft, job.UpperRight },
		"tabs and corners":      func(j *job.Job) { j.Rules.TabUnder, j.Rules.CornerLoop, j.Rules.SplitSlugs = 400, 2, 30 },
		"inches, numbers, CR LF": func(j *job.Job) {
			j.Machine.Program.Units, j.Machine.Program.LineNumbers, j.Machine.Program.LineEnd = unit.Inch, true, "crlf"
		},
		"control off": func(j *job.Job) { j.Rules.Control = job.ControlOff },
		"turned": func(j *job.Job) {
			m := geom.Move{Angle: 0.02, Shift: geom.Pt(12, 30)}
			j.Alignment = job.Alignment{By: job.AlignEdges, Points: read(m, geom.Pt(20, 0), geom.Pt(380, 0)), Next: read(m, geom.Pt(0, 200))}
		},
	} {
		j := several(4, 0)
		j.Machine.TravelX, j.Machine.TravelY = 3000, 3000
		change(&j)
		whole, faults := planner.Plan(context.Background(), j, leaf())
		if whole == nil || faults.Bad() {
			t.Errorf("%s: not planned whole: %v", name, faults.At(fault.Error))
			continue
		}
		for _, lines := range []int{130, 200, 330} {
			j.Machine.Program.MaxLines = lines
			p, faults := planner.Plan(context.Background(), j, leaf())
			if p == nil || faults.Bad() || !p.Verdict.OK || !p.DryVerdict.OK {
				t.Errorf("%s, %d lines: %v", name, lines, faults.At(fault.Error))
				continue
			}
			if len(p.Cuts) != len(whole.Cuts) || lines < bytes.Count(whole.Text, []byte("\n")) && len(p.Files()) < 2 {
				t.Errorf("%s, %d lines: %d cuts in %d programs, the whole has %d", name, lines, len(p.Cuts), len(p.Files()), len(whole.Cuts))
			}
			for k, f := range p.Files() {
				if n := max(bytes.Count(f.Text, []byte("\n")), bytes.Count(f.Dry, []byte("\n"))); n > lines {
					t.Errorf("%s: program %d has %d lines, %d allowed", name, k+1, n, lines)
				}
			}
		}
	}
}

// Braces whose edges are shared: the neighbour of a part is not begun in one
// program and freed in the next, unless a program takes no more.
func TestSharedEdgesArePartedBetweenPairs(t *testing.T) {
	j, l := braces(8, 200, 60)
	whole := mustPlan(t, j, l)
	if len(whole.Shared) == 0 {
		t.Fatal("nothing is shared")
	}
	for _, lines := range []int{130, 180, 260} {
		j.Machine.Program.MaxLines = lines
		p, faults := planner.Plan(context.Background(), j, l)
		if p == nil || faults.Bad() || !p.Verdict.OK || !p.DryVerdict.OK || len(p.Files()) < 2 {
			t.Errorf("%d lines: %v", lines, faults)
		}
	}
}

// A set to be read line by line: each program by itself is one that an operator
// can run.
func TestSecondProgramOfASet(t *testing.T) {
	j := several(2, 130)
	p, _ := mustParts(t, j)
	for name, text := range map[string][]byte{"program": p.Files()[1].Text, "dry run": p.Files()[1].Dry} {
		t.Run(name, func(t *testing.T) {
			golden.RequireEqual(t, regexp.MustCompile(`(?m)^\(job sum: .*\n`).ReplaceAll(text, nil))
		})
	}
}
