package tui

import (
	"testing"

	"example.org/kerfwright/planner/geom"
)

func TestFeatureIsLeftOutAndTakenInAgain(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.h2")
	n := len(d.m.res.prog.Cuts)
	d.keys("x")
	d.shows("left out")
	if o, _ := override(&d.m.d.Job, "p1.h2"); o.Rule != "leave" || len(d.m.res.prog.Cuts) != n-1 {
		t.Errorf("%+v, %d cuts", o, len(d.m.res.prog.Cuts))
	}
	d.keys("x")
	d.lacks("left out")
	if d.m.d.Job.Overrides != nil || len(d.m.res.prog.Cuts) != n {
		t.Errorf("%+v", d.m.d.Job.Overrides)
	}
}

func TestKindRuleStartAndNoteAreKeptInTheJob(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.s1").keys("enter")
	d.at("kind").keys("enter")
	d.shows("leave it to the rule")
	d.keys("home down enter") // cut-out
	d.at("rule").keys("right right")
	d.at("start").keys("right right")
	d.set("note", "pin sits here")
	o, _ := override(&d.m.d.Job, "p1.s1")
	if o.Kind != "cut-out" || o.Rule != "slow-hole" || o.Start == nil || *o.Start != d.m.res.tree.Features[d.m.featureIndex("p1.s1")].Loop.V[1].P || o.Note.String() != "pin sits here" {
		t.Errorf("%+v", o)
	}
	d.set("start", "91.5, 22")
	if o, _ = override(&d.m.d.Job, "p1.s1"); *o.Start != geom.Pt(91.5, 22) {
		t.Errorf("%+v", o.Start)
	}
	d.at("start").keys("enter ctrl+u")
	d.typed("91.5")
	d.shows("two lengths are wanted")
	d.keys("esc")
	d.set("start", "")
	if o, _ = override(&d.m.d.Job, "p1.s1"); o.Start != nil {
		t.Errorf("%+v", o)
	}
	d.keys("esc")
	d.shows("p1.s1 *")
	d.keys("enter")
	d.at("back").keys("enter")
	if d.m.d.Job.Overrides != nil {
		t.Errorf("%+v", d.m.d.Job.Overrides)
	}
}
