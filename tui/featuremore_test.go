package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// TestToleranceIsHeldAgainstTheForecast. ISO 9013: 14 mm in 6 mm plate, class
// 2: 0.9 mm; range 4: u = 0.8 + 0.02 x 6 = 0.92 mm.
func TestToleranceIsHeldAgainstTheForecast(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.h1").keys("enter")
	if r := d.row("deviation"); r.value != "0.9 mm" || r.note != "class 2" {
		t.Errorf("%+v", r)
	}
	if r := d.row("spread"); r.value != "0.92 mm" || r.note != "range 4" {
		t.Errorf("%+v", r)
	}
	if d.m.top().list(d.m).find("held") >= 0 {
		t.Error("a tolerance is judged that nobody asked for")
	}
	d.set(string(job.OverrideTolerance), "0.95")
	if r := d.row("held"); r.state != stDone {
		t.Errorf("%+v", r)
	}
	d.set(string(job.OverrideTolerance), "0.5")
	if r := d.row("held"); r.state != stWarn || !strings.Contains(r.why, "Drill it") || !strings.Contains(r.why, "ream it to 14 mm") {
		t.Errorf("%+v", r)
	}
	// The range that the shop expects is taken: range 1, u = 0.05 + 0.003 x 6.
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.CutRange = 1 }))
	if r := d.row("spread"); r.value != "0.07 mm" || r.note != "range 1" {
		t.Errorf("%+v", r)
	}
	if o, _ := override(&d.m.d.Job, "p1.h1"); o.Tolerance != 0.5 {
		t.Errorf("%+v", o)
	}
	// Left to the drill, the drill holds it.
	d.at("rule").keys("right right right")
	if o, _ := override(&d.m.d.Job, "p1.h1"); o.Rule != "drill" {
		t.Fatalf("%+v", o)
	}
	if r := d.row("held"); r.state != stDone {
		t.Errorf("%+v", r)
	}
}

func TestFacesAreKeptCleanOneByOne(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.outline").keys("enter")
	d.at("faces").keys("enter")
	d.at("face0")
	d.shows("×")
	d.shows("line 144 mm")
	d.keys("space down down enter")
	loop := d.m.res.tree.Features[d.m.featureIndex("p1.outline")].Loop
	o, _ := override(&d.m.d.Job, "p1.outline")
	if len(o.Critical) != 2 || o.Critical[0] != loop.Seg(0).Mid() || o.Critical[1] != loop.Seg(2).Mid() {
		t.Fatalf("%+v", o.Critical)
	}
	if r := d.row("face2"); r.state != stDone || r.note != "clean" {
		t.Errorf("%+v", r)
	}
	d.at("face0").keys("space")
	if o, _ := override(&d.m.d.Job, "p1.outline"); len(o.Critical) != 1 || o.Critical[0] != loop.Seg(2).Mid() {
		t.Errorf("%+v", o.Critical)
	}
	d.keys("esc")
	if r := d.row("faces"); r.value != "1 face" {
		t.Errorf("%+v", r)
	}
	d.at("faces").keys("enter")
	d.at("face2").keys("space")
	if d.m.d.Job.Overrides != nil {
		t.Errorf("%+v", d.m.d.Job.Overrides)
	}
	// A point that somebody typed into the file near a face is that face's.
	d.run(d.m.change(func(dr *Draft) {
		dr.Job.Overrides = []job.Override{{Feature: "p1.outline", Critical: []geom.Point{loop.Seg(4).A.Lerp(loop.Seg(4).B, 0.3)}}}
	}))
	if r := d.row("face4"); r.state != stDone {
		t.Errorf("%+v", r)
	}
	d.at("face4").keys("enter")
	if d.m.d.Job.Overrides != nil {
		t.Errorf("%+v", d.m.d.Job.Overrides)
	}
}

func TestTabsFeedAndDelayOfOneFeature(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.outline").keys("enter")
	d.set(string(job.OverrideTabs), "3")
	d.set(string(job.OverrideFeed), "80")
	d.set(string(job.OverrideDelay), "0")
	o, _ := override(&d.m.d.Job, "p1.outline")
	if o.Tabs != job.Of(3) || o.Feed != 0.8 || o.Delay != job.Of(0) {
		t.Errorf("%+v", o)
	}
	d.set(string(job.OverrideTabs), "0")
	if o, _ := override(&d.m.d.Job, "p1.outline"); o.Tabs != job.Of(0) {
		t.Errorf("none is an answer too: %+v", o)
	}
	d.keys("esc")
	d.at("f:p1.h1").keys("enter")
	if d.m.top().list(d.m).find(string(job.OverrideTabs)) >= 0 {
		t.Error("a hole is offered tabs")
	}
}

// TestFeatureShowsWhatCameOfIt on the real planner: lead, room and share held.
func TestFeatureShowsWhatCameOfIt(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(featureStage)
	d.at("f:p1.h1").keys("enter")
	f := d.m.res.tree.Features[d.m.featureIndex("p1.h1")]
	// Pierced in its middle, it keeps its radius to the edge.
	if r := d.row("clear"); r.value != d.m.d.Job.Units.Length(f.Diameter/2) || r.state != stDone {
		t.Errorf("%+v of a hole of %g mm", r, f.Diameter)
	}
	for _, id := range []string{"lead", "held-share", "arc", "square"} {
		if r := d.row(id); r.value == "" || r.why == "" {
			t.Errorf("%s: %+v", id, r)
		}
	}
}
