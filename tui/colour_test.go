package tui

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
)

// TestFramesInColour holds the escape sequences of some frames.
func TestFramesInColour(t *testing.T) {
	d := start(t, 80, 24, withFiles, func(s *Session) { s.NoColor = false })
	walk(d, func(name string) {
		if name == "features" || name == "checks-open" || name == "plate" {
			t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
		}
	})
	for name, ascii := range map[string]bool{"save-findings": false, "save-findings-ascii": true} {
		d := start(t, 80, 24, func(s *Session) { s.Engine, s.NoColor, s.ASCII = findingEngine{&fake{}}, ascii, ascii })
		d.stock()
		d.process()
		d.confirmAll()
		d.go_(saveStage)
		d.at("finding0")
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
	}
}

// findingEngine is a fake whose proof finds something to look at and something
// wrong.
type findingEngine struct{ *fake }

func (e findingEngine) Plan(ctx ctxt, j job.Job, l loopsOf) (*planner.Program, fault.List) {
	p, f := e.fake.Plan(ctx, j, l)
	if p != nil {
		p.Verdict.OK = false
		p.Verdict.Findings = []proof.Finding{
			{Line: 118, Feature: "p1.h3", Severity: fault.Error, Code: "gouge", Text: "the cut goes 0.42 mm into the part at X 83.1 mm, Y 46.2 mm; 0.05 mm is allowed", Do: "Do not run it."},
			{Line: 204, Feature: "p1.outline", Severity: fault.Warning, Code: "held", Text: "height is held for 61 mm after the cut slows down again: look at that edge", Do: "Look at it on the plate."}}
	}
	return p, f
}

// Whatever the proof finds is told whole on the narrowest screen, and whether
// it stops the save is told by a sign beside it as well as by its colour.
func TestFindingsAreToldWhole(t *testing.T) {
	d := start(t, 80, 24, func(s *Session) { s.Engine = findingEngine{&fake{}} })
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	d.shows("does not pass: 1 wrong, 1 to look at")
	l := (saveView{}).list(d.m)
	for i, f := range d.m.res.prog.Verdict.Findings {
		at := l.find(fmt.Sprint("finding", i))
		said := ""
		for k := at; k <= l.last(at); k++ {
			said += " " + strings.TrimSpace(ansi.Strip(lineText(l.at(k).draw(&d.m.th, 78, false, nil))))
		}
		sign := map[fault.Severity]string{fault.Error: "! ", fault.Warning: "~ "}[f.Severity]
		if want := sign + findingText(f); strings.TrimSpace(said) != want {
			t.Errorf("%q, want %q", said, want)
		}
	}
}
