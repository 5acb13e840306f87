package tui

import (
	"math"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
)

// The operator nests four leaves on two plates, moves one by hand into
// another, sees it at once, takes it back, locks one and nests the rest.
func TestPartsAreLaidOutFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	d.at("layout").keys("enter")
	look := inBothSizes(t, d)
	look("rows")
	d.set("wanted0", "4")
	d.set("layout.rounds", "30")
	d.at("nest").keys("enter")
	if n := len(d.m.d.Job.Layout.Places); n != 4 || d.m.d.Job.Layout.Method != job.MethodNest {
		t.Fatalf("%d places: %v", n, d.m.said)
	}
	d.shows("4 parts on 1 plate")
	d.at(partID(1))
	look("nested")

	was := d.m.d.Job.Layout.Places[1]
	d.at("step").keys("enter") // 50 mm
	d.at(partID(1)).keys("left left left right w s .")
	if bad := d.m.layoutNow().bad; len(bad) == 0 {
		t.Errorf("moved by 100 mm and turned, nothing is hit: %+v", d.m.d.Job.Layout.Places)
	}
	d.shows("hit")
	look("hit")
	d.keys("u u u u u u u")
	if got := d.m.d.Job.Layout.Places[1]; got != was {
		t.Errorf("undo leaves %+v, it was %+v", got, was)
	}
	d.set(partID(1), "300 20 0")
	if b := d.m.layoutNow(); len(b.bad) == 0 && b.places[1].Angle != 0 {
		t.Errorf("typed place: %+v", b.places[1])
	}
	d.keys("u")

	d.at(partID(0)).keys("o")
	locked := d.m.d.Job.Layout.Places[0]
	d.at("nest").keys("enter")
	if got := d.m.d.Job.Layout.Places[0]; got != locked || !got.Lock {
		t.Errorf("the locked part went from %+v to %+v", locked, got)
	}
	d.at(partID(0)).keys("c")
	if n := d.m.d.Job.Drawings[0].Quantity; n != 5 {
		t.Errorf("a copy makes %d wanted", n)
	}
	d.keys("d")
	d.at("rows").keys("enter")
	if n := len(d.m.d.Job.Layout.Places); n != 1 {
		t.Errorf("%d places are left, one is locked", n)
	}
}

func TestPlatesDiscsAndClampsFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	d.at("layout").keys("enter")
	d.set("wanted0", "9")
	d.set("stock.sheets", "3")
	if p := d.m.res.prog; p == nil || p.Plates != 2 {
		t.Fatalf("nine leaves: %v", d.m.res.told)
	}
	d.at("plate").keys("right")
	if p := d.m.res.prog; p == nil || p.Plate != 2 || len(p.Placed) == 0 || len(p.Placed) == 9 {
		t.Fatalf("the second plate is not planned: %v", d.m.res.told)
	}
	look := func(name string, w, h int) {
		d.send(tea.WindowSizeMsg{Width: w, Height: h})
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
	}
	look("second-plate", 80, 24)
	d.keys("left")
	d.at("clamp").keys("enter")
	d.set("keep0", "30 250 40 60")
	if k := d.m.d.Job.Stock.KeepOuts[0]; k.X != 30 || k.Height != 60 || k.Kind != job.Clamp {
		t.Errorf("%+v", k)
	}
	look("clamp", 200, 60)
	d.at("keep0").keys("d")
	if len(d.m.d.Job.Stock.KeepOuts) != 0 {
		t.Error("the clamp stays")
	}
	d.at("offcut").keys("enter")
	d.pick("a disc")
	d.set("drawings.shape.diameter", "500")
	d.set("wanted0", "1")
	p := d.m.res.prog
	if p == nil || !p.Verdict.OK {
		t.Fatalf("a leaf on a disc: %v", d.m.res.told)
	}
	for _, pl := range p.Placed {
		for _, v := range p.Tree.Features[p.Tree.Parts[pl.Part].Outline].Loop.V {
			q := pl.Move.Apply(v.P)
			if math.Hypot(q.X-250, q.Y-250) > 250 {
				t.Errorf("%v is off the disc", q)
			}
		}
	}
}
