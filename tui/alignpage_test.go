package tui

import (
	"math"
	"strings"
	"testing"
)

// The operator types three points; the plan is turned; the page says what came
// of it; a large turn asks again; u takes it all back.
func TestStockIsAlignedFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	straight := string(d.m.res.prog.Text)
	d.at("alignment").keys("enter")
	d.at("by").keys("right")
	look := inBothSizes(t, d)
	look("empty")
	d.set("at0", "10 5")
	d.shows("two are needed")
	d.set("at1", "590 13.2")
	d.set("next0", "2.5 200")
	if p := d.m.res.prog; p == nil || p.Lie == nil || math.Abs(p.Lie.Angle-math.Atan2(8.2, 580)) > 1e-12 || !p.Verdict.OK {
		t.Fatalf("no turned program: %+v", d.m.res.told)
	}
	if string(d.m.res.prog.Text) == straight {
		t.Error("the program is as before")
	}
	d.at("turn")
	look("turned")
	d.at("room.left")
	look("room")
	d.set("at1", "590 80")
	d.shows("over 3 deg. Read both points again")
	d.at("sure")
	look("asked")
	d.keys("right")
	if p := d.m.res.prog; p == nil || p.Lie == nil || !d.m.d.Job.Alignment.Sure {
		t.Errorf("the large turn is not taken: %v", d.m.res.told)
	}
	d.set("at1", "590 81")
	if d.m.d.Job.Alignment.Sure {
		t.Error("yes to one turn stands for another")
	}
	d.keys("u")
	d.keys("u u u u u u u")
	if d.m.d.Job.Alignment.Given() {
		t.Errorf("undo leaves %+v", d.m.d.Job.Alignment)
	}
	if p := d.m.res.prog; p == nil || string(p.Text) != straight {
		t.Error("taken back, the program is not the straight one")
	}
}

func TestHolesAreLocatedFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	d.at("alignment").keys("enter")
	d.at("by").keys("right right")
	d.at("hole0").keys("enter")
	d.typed("p9.h1 1 2")
	d.keys("enter")
	d.shows("a feature of the job and its place are wanted")
	d.keys("esc")
	at := func(id string) string {
		m := d.m
		i := m.featureIndex(id)
		q := m.res.prog.Placed[0].Move.Apply(m.res.tree.Features[i].Center)
		return form{Dim: 2}.typed(q.X+3, 1) + " " + form{Dim: 2}.typed(q.Y+1, 1)
	}
	one, two := at("p1.h1"), at("p1.h2")
	d.set("hole0", "p1.h1 "+one)
	d.set("hole1", "p1.h2 "+two)
	l := d.m.lieOf()
	if l == nil || math.Abs(l.Angle) > 1e-5 || math.Abs(l.Move.Shift.X-3) > 0.001 || math.Abs(l.Move.Shift.Y-1) > 0.001 {
		t.Fatalf("%+v, %v", l, d.m.res.told)
	}
	d.shows("further apart")
	d.at("hole1").keys("d")
	if n := len(d.m.d.Job.Alignment.Holes); n != 1 || !strings.Contains(flat(d.frame()), "two are needed") {
		t.Errorf("%d holes left:\n%s", n, d.frame())
	}
}
