package tui

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// TestWholeDrawingFollowsOneTrueSize: a hole of 13 mm that is 26 mm in truth
// makes the drawing twice as large, and a second length is shown before and after.
func TestWholeDrawingFollowsOneTrueSize(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	copyIn(t, dir, "gate-hinge-leaf.dxf") // 240 by 100 mm, with a hole of 17 mm
	d.run(d.m.change(func(dr *Draft) { dr.addDrawing(filepath.Join(dir, "gate-hinge-leaf.dxf")) }))
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingScale)).keys("enter")
	if d.m.top().id() != "scale0" {
		t.Fatalf("on %s", d.m.top().id())
	}
	d.set("len:p1.h3.diameter", "34")
	if s := d.m.d.Job.Drawings[0].Scale; math.Abs(s-2) > 1e-3 {
		t.Fatalf("scale %g", s)
	}
	if b := d.m.loops(0).Box; math.Abs(b.Width()-480) > 0.1 {
		t.Errorf("the drawing is %g mm wide", b.Width())
	}
	r := d.row("second")
	if !strings.HasPrefix(r.value, "480") || !strings.HasPrefix(r.note, "drawn 240") {
		t.Errorf("the second length: %+v", r)
	}
	d.shows("fits")
	// A second size that does not agree is told, and weighs by its length.
	d.keys("enter") // to its line
	if d.m.spot().id != "len:p1.outline.width" {
		t.Fatalf("on %s", d.m.spot().id)
	}
	d.keys("4 8 8 enter")
	if s := d.m.d.Job.Drawings[0].Scale; s < 2.02 || s > 2.04 {
		t.Errorf("scale %g, want near 488/240", s)
	}
	d.shows("the lengths do not agree")
	// Undo brings the scale back; nonsense is refused.
	d.keys("u u")
	if d.m.d.Job.Drawings[0].Scale != 0 {
		t.Errorf("scale %g after undo", d.m.d.Job.Drawings[0].Scale)
	}
	d.at("len:p1.h3.diameter").keys("enter 0 enter")
	if d.m.ed == nil || d.m.no == "" {
		t.Error("0 mm is taken for a true size")
	}
}

// TestTrueSizeIsKeptWhenLoopsAreCountedAnew: twice as large, a gap of 0.027 mm
// is wider than what is closed, and the outline falls apart.
func TestTrueSizeIsKeptWhenLoopsAreCountedAnew(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	copyIn(t, dir, "gate-hinge-leaf-split.dxf")
	d.run(d.m.change(func(dr *Draft) { dr.addDrawing(filepath.Join(dir, "gate-hinge-leaf-split.dxf")) }))
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingScale)).keys("enter")
	n := len(d.m.loops(0).Closed)
	if d.m.top().list(d.m).find("torn") >= 0 {
		t.Error("torn before a scale was typed")
	}
	d.set("len:p1.h3.diameter", "34")
	if len(d.m.loops(0).Closed) == n {
		t.Fatal("the loops are the same: this tests nothing")
	}
	// The page says so itself, and no longer once the scale is taken back.
	if r := d.row("torn"); r.state != stWarn || !strings.Contains(r.bounds, fmt.Sprintf("At scale 1 the drawing had %d closed loops, now it has %d.", n, len(d.m.loops(0).Closed))) {
		t.Errorf("%+v", r)
	}
	if r := d.row("said0"); r.note != "fits" {
		t.Errorf("%+v", r)
	}
	d.keys("u")
	if d.m.top().list(d.m).find("torn") >= 0 || len(d.m.loops(0).Closed) != n {
		t.Errorf("torn still, with %d loops", len(d.m.loops(0).Closed))
	}
}

// TestOneLengthOfTwoAboutOneMiddleIsMeant: a ring has two diameters.
func TestOneLengthOfTwoAboutOneMiddleIsMeant(t *testing.T) {
	l := &drawing.Loops{Closed: []drawing.Loop{{Path: geom.Circle(geom.Pt(50, 50), 30)}, {Path: geom.Circle(geom.Pt(50, 50), 10)}}}
	m := measured(l, 1, []known{{geom.Pt(50, 50), "diameter", 20, 40}})
	if len(m) != 1 || m[0].Drawn != 20 {
		t.Errorf("%+v", m)
	}
}

func copyIn(t *testing.T, dir, name string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestGapSliderMendsAnew: each step reads the drawing again with that gap.
func TestGapSliderMendsAnew(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	copyIn(t, dir, "gate-hinge-leaf-split.dxf") // its largest gap is 0.027 mm
	d.run(d.m.change(func(dr *Draft) { dr.addDrawing(filepath.Join(dir, "gate-hinge-leaf-split.dxf")) }))
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingGap)).keys("enter")
	if d.row("open").state != stDone {
		t.Fatalf("%+v", d.row("open"))
	}
	d.at(string(job.DrawingGap)).keys("left")
	if g := d.m.d.Job.Drawings[0].Gap; g != 0.02 {
		t.Fatalf("gap %g", g)
	}
	if len(d.m.loops(0).Open) == 0 || d.row("open").state != stWarn {
		t.Errorf("a gap of 0.027 mm is closed at 0.02 mm: %+v", d.row("open"))
	}
	d.keys("right")
	if g := d.m.d.Job.Drawings[0].Gap; g != 0.05 || len(d.m.loops(0).Open) != 0 {
		t.Errorf("gap %g, %d open", g, len(d.m.loops(0).Open))
	}
	for range 20 {
		d.keys("right")
	}
	if g := d.m.d.Job.Drawings[0].Gap; g != 10 {
		t.Errorf("the slider ends at %g mm, its range at 10", g)
	}
}

func TestEveryLineOfTheReportShowsItsPlace(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	copyIn(t, dir, "gate-hinge-leaf-split.dxf")
	d.run(d.m.change(func(dr *Draft) { dr.addDrawing(filepath.Join(dir, "gate-hinge-leaf-split.dxf")) }))
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingGap)).keys("enter")
	rep := d.m.loops(0).Report.Sorted()
	n := 0
	for i, f := range rep {
		if f.Frame != fault.InDrawing {
			continue
		}
		n++
		r := d.row("r" + itoa(i))
		if r.aim == nil || r.aim.place == nil || *r.aim.place != geom.Pt(f.X, f.Y) {
			t.Fatalf("line %d points at %+v, want (%g, %g)", i, r.aim, f.X, f.Y)
		}
		d.at("r" + itoa(i)).keys("enter")
		if !d.m.whole || d.m.plate.level < nearLevel || !strings.Contains(d.frame(), "×") {
			t.Fatalf("line %d: its place is not brought near:\n%s", i, d.frame())
		}
		d.keys("esc")
	}
	if n < 10 {
		t.Errorf("only %d lines have a place", n)
	}
	// The same from the list of all that was told.
	d.keys("f esc esc t")
	d.at(toldID(0)).keys("enter")
	if !d.m.whole || !strings.Contains(d.frame(), "×") {
		t.Errorf("told:\n%s", d.frame())
	}
}

func itoa(n int) string { return toldID(n)[len("told:"):] }

// guessing is an engine whose drawings look like inches.
type guessing struct{ fake }

func (g *guessing) Read(ctx ctxt, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	l, f := g.fake.Read(ctx, j, dir)
	for _, l := range l {
		if l.UnitFrom == drawing.UnitAsked {
			l.Guess = unit.Inch
		}
	}
	return l, f
}

func TestUnitQuestionBeginsAtTheGuess(t *testing.T) {
	d := start(t, 80, 24, func(s *Session) { s.Engine = &guessing{} })
	d.stock("nounit.dxf")
	d.at("drawing0").keys("enter")
	if r := d.row("units"); r.state != stOpen || r.note != "guess: inch" {
		t.Errorf("%+v", r)
	}
	d.at("units").keys("right")
	if u := d.m.d.Job.Drawings[0].Units; u != unit.Inch {
		t.Errorf("right takes %v", u)
	}
	d.keys("u")
	d.keys("enter enter") // the list opens with the cursor on the guess
	if u := d.m.d.Job.Drawings[0].Units; u != unit.Inch {
		t.Errorf("enter takes %v", u)
	}
}

func TestPageIsChosenByLooking(t *testing.T) {
	d := start(t, 80, 24)
	d.stock("lugs.pdf")
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingPage)).keys("enter")
	for i := range 3 {
		if r := d.row("page" + itoa(i+1)); r.value+r.note != "160 mm wide6 loops" || r.aim.scene == nil || len(r.aim.scene.strokes) == 0 {
			t.Fatalf("page %d: %+v", i+1, r)
		}
	}
	d.at("page3").keys("enter")
	if p := d.m.d.Job.Drawings[0].Page; p != 3 || d.m.top().id() != "drawing0" {
		t.Errorf("page %d, on %s", p, d.m.top().id())
	}
	if r := d.row(string(job.DrawingPage)); r.value != "3 of 3" {
		t.Errorf("%+v", r)
	}
	d.at(string(job.DrawingPage)).keys("right")
	if p := d.m.d.Job.Drawings[0].Page; p != 3 {
		t.Errorf("page %d of 3", p)
	}
	d.keys("left u")
	if p := d.m.d.Job.Drawings[0].Page; p != 3 {
		t.Errorf("page %d after undo", p)
	}
}

func TestPagesThatCannotBeCountedSaySo(t *testing.T) {
	d := start(t, 80, 24)
	d.stock("broken.pdf")
	d.at("drawing0").keys("enter")
	d.at(string(job.DrawingPage)).keys("enter")
	d.shows("the pages cannot be counted")
}

// TestLayerIsShownAndGoesBackToTheGuess: the picture shows the layer under the
// cursor, and what was said can be taken back.
func TestLayerIsShownAndGoesBackToTheGuess(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.at("drawing0").keys("enter")
	other := d.at("size").frame()
	if d.at("layer0").frame() == other || d.m.plate.key.layer.String() != "CUT" {
		t.Error("the layer under the cursor is not shown")
	}
	d.keys("right")
	if l := d.m.d.Job.Drawings[0].Layers; len(l) != 1 || l[0].Use != job.LayerMark {
		t.Fatalf("%+v", l)
	}
	d.keys("enter")
	d.pick("leave it to the guess")
	if l := d.m.d.Job.Drawings[0].Layers; l != nil {
		t.Errorf("%+v", l)
	}
	if r := d.row("layer0"); r.value != "guess: cut" {
		t.Errorf("%+v", r)
	}
}

// TestHolesAndSlotsAreAddedByCoordinates to a typed part, changed and taken away.
func TestHolesAndSlotsAreAddedByCoordinates(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	d.at("typed").keys("enter")
	d.pick("rectangle")
	d.set("drawings.shape.width", "200")
	d.set("drawings.shape.height", "100")
	d.set("add-hole", "20 30 14")
	d.set("add-slot", "100, 50, 40, 12, 90")
	if d.m.spot().id != "slot0" {
		t.Errorf("the cursor is on %s", d.m.spot().id)
	}
	s := d.m.d.Job.Drawings[0].Shape
	if len(s.Holes) != 1 || s.Holes[0] != (job.ShapeHole{X: 20, Y: 30, Diameter: 14}) || len(s.Slots) != 1 || math.Abs(s.Slots[0].Angle-math.Pi/2) > 1e-12 {
		t.Fatalf("%+v", s)
	}
	// By hand: 200 by 100, less a disc of 14, less a slot of 12 by 40 over its round ends.
	want := 200*100 - math.Pi*7*7 - (28*12 + math.Pi*6*6)
	got := 0.0
	for _, p := range d.m.res.tree.Parts {
		got += p.NetArea
	}
	if math.Abs(got-want) > 0.01 {
		t.Errorf("%.3f mm2, want %.3f", got, want)
	}
	d.set("hole0", "25 30 16")
	if h := d.m.d.Job.Drawings[0].Shape.Holes[0]; h != (job.ShapeHole{X: 25, Y: 30, Diameter: 16}) || s.Holes[0].X != 20 {
		t.Errorf("%+v; the draft before has %+v", h, s.Holes[0])
	}
	for _, bad := range []string{"25 30", "25 30 16 1", "25 x 16", "25 30 0"} {
		d.at("hole0").keys("enter ctrl+u")
		d.typed(bad)
		d.keys("enter")
		if d.m.ed == nil || d.m.no == "" {
			t.Errorf("%q is taken", bad)
		}
		d.keys("esc")
	}
	d.at("slot0").keys("d")
	d.at("hole0").keys("d")
	if s := d.m.d.Job.Drawings[0].Shape; s.Holes != nil || s.Slots != nil {
		t.Errorf("%+v", s)
	}
	d.keys("u u")
	if s := d.m.d.Job.Drawings[0].Shape; len(s.Holes) != 1 || len(s.Slots) != 1 {
		t.Errorf("after undo: %+v", s)
	}
}

// TestDrawingIsSeenAsDrawnAlsoOncePlanned: sizes of a part are judged on the
// part, not on the plate.
func TestDrawingIsSeenAsDrawnAlsoOncePlanned(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(stockStage)
	if d.m.res.prog == nil {
		t.Fatal("no plan")
	}
	d.at("drawing0")
	d.shows("plate, ")
	d.keys("enter")
	d.shows("as drawn, 160 × 60 mm")
}
