package tui

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
)

// The operator turns a part, mirrors it after being asked twice, corrects it by
// what was measured, types a hole's diameter, moves, deletes and adds, sees
// the sizes, and takes all of it back.
func TestEditsFromTheWizard(t *testing.T) {
	for _, c := range []struct {
		name  string
		ascii bool
	}{{"utf8", false}, {"ascii", true}} {
		t.Run(c.name, func(t *testing.T) { editsFromTheWizard(t, c.ascii) })
	}
}

func editsFromTheWizard(t *testing.T, ascii bool) {
	d, _ := shopFloorAs(t, 80, 24, ascii)
	setUpLeaf(d)
	d.go_(featureStage)
	before := string(d.m.res.prog.Text)
	look := inBothSizes(t, d)
	edits := func() []job.Edit { return d.m.d.Job.Edits }
	d.at("edits")
	look("stage")
	d.keys("e")
	look("none")
	d.at("part:p1").keys("enter")
	look("part")
	d.at("turn").keys("right")
	if e := edits(); len(e) != 1 || e[0].Angle != math.Pi/2 {
		t.Fatalf("%+v", e)
	}
	d.at("turn").keys("left")
	if e := edits(); e != nil {
		t.Fatalf("turned there and back: %+v", e)
	}
	// Asked twice: one yes is not enough, and no changes nothing.
	d.at("mirror").keys("enter")
	look("mirror")
	d.at("yes").keys("enter")
	look("mirror again")
	if edits() != nil {
		t.Fatal("one yes mirrors")
	}
	d.keys("enter")
	if edits() != nil || d.m.top().id() != "form:part:p1" {
		t.Fatalf("no is no: %+v on %s", edits(), d.m.top().id())
	}
	for _, row := range []string{"mirror", "yes", "yes"} {
		d.at(row).keys("enter")
	}
	if e := edits(); len(e) != 1 || e[0].Do != job.EditMirror || !e[0].Sure {
		t.Fatalf("%+v", e)
	}
	// The size as drawn stands there already: the measured one is typed behind it.
	d.at("correct-X").keys("enter end")
	d.typed("259.2")
	d.keys("enter")
	if e := edits(); len(e) != 2 || e[1].DrawnX != 260 || e[1].MeasuredX != 259.2 {
		t.Fatalf("%+v", e)
	}
	d.at("correct-Y").keys("enter ctrl+u")
	d.typed("60 50")
	d.keys("enter")
	d.shows("more than 10 % off")
	d.keys("esc")
	d.set("add-hole", "110 15 8")
	d.set("add-slot", "150 14 24 9 0")
	d.at("turn")
	look("part edited")
	d.keys("end")
	look("part edited, its end")
	// A hole of its own page.
	d.keys("esc esc")
	d.at("f:p1.h3").keys("enter")
	d.set("edit-size", "16")
	d.set("move", "2 -1")
	d.at("edit-size")
	look("feature")
	d.keys("esc")
	d.at("f:p1.h1").keys("enter")
	d.at("delete").keys("enter")
	d.shows("p1.h1 is deleted")
	d.keys("e")
	look("edits")
	p := d.m.res.prog
	if p == nil || !p.Verdict.OK || !strings.Contains(string(p.Text), "edited: p1.h3 diameter 16 mm") {
		t.Fatalf("%v", d.m.res.told)
	}
	// Too wide: it is told where, nothing can be saved, and the way there leads back.
	d.keys("esc")
	d.at("f:p1.h4").keys("enter")
	d.set("edit-size", "70")
	d.shows("leave the part")
	look("too wide")
	if d.m.shut() == "" {
		t.Error("saving is open")
	}
	d.set("edit-size", "")
	if f := d.m.res.tree.Features[d.m.featureIndex("p1.h4")]; math.Abs(f.Diameter-13.5) > 0.05 || slices.ContainsFunc(edits(), func(e job.Edit) bool { return e.On == f.ID }) {
		t.Error("an empty line does not go back to what is drawn")
	}
	// Taken back one by one on the page, all is as before.
	d.keys("esc e")
	for len(edits()) > 0 {
		n := len(edits())
		d.at(editID(0)).keys("d")
		if len(edits()) >= n {
			t.Fatal("d takes nothing back")
		}
	}
	if p := d.m.res.prog; p == nil || string(p.Text) != before {
		t.Error("taken back, the program is not the one from before")
	}
	d.keys("u u")
	if len(edits()) != 2 {
		t.Errorf("undone, there are %d edits", len(edits()))
	}
}

// Starts and faces that were chosen keep to the drawing's own measure, so that
// they follow the edits: chosen on a turned part they lie on the drawn edge.
func TestStartChosenOnAnEditedPartFollowsIt(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(featureStage)
	d.at("f:p1.outline").keys("enter")
	d.at("start").keys("right")
	o, _ := override(&d.m.d.Job, "p1.outline")
	drawn := *o.Start
	d.keys("esc e")
	d.at("part:p1").keys("enter")
	d.at("turn").keys("right")
	f := d.m.res.tree.Features[d.m.featureIndex("p1.outline")]
	if f.Start == nil || f.Start.Dist(f.Now(drawn)) > 1e-9 || f.Start.Near(drawn) {
		t.Fatalf("the start %v did not follow to %v", f.Start, f.Now(drawn))
	}
	d.keys("esc esc")
	d.at("f:p1.outline").keys("enter")
	d.at("start")
	d.shows("Corner 1 of")
	d.keys("right")
	o, _ = override(&d.m.d.Job, "p1.outline")
	if next := f.Loop.V[1].P; f.Now(*o.Start).Dist(next) > 1e-9 {
		t.Errorf("the next corner is %v, kept is %v", next, f.Now(*o.Start))
	}
	d.at("faces").keys("enter")
	d.at(faceID(0)).keys("enter")
	o, _ = override(&d.m.d.Job, "p1.outline")
	if mid := f.Loop.Seg(0).Mid(); len(o.Critical) != 1 || f.Now(o.Critical[0]).Dist(mid) > 1e-9 {
		t.Errorf("the face's middle is %v, kept is %v", mid, o.Critical)
	}
	d.shows("clean")
}
