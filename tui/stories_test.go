package tui

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// The six stories of an operator's week. The first job is
// TestFromAnEmptyJobToSavedFiles, the lost connection
// TestLostConnectionLosesNothing (and TestRealProgramIsKilled of the command),
// going on after a lost cut TestLostCutIsTakenUpFromTheWizard.

// pressed counts what a person presses.
type pressed struct {
	*driver
	n int
}

func (p *pressed) press(s string) {
	p.t.Helper()
	p.n += len(strings.Fields(s))
	p.keys(s)
}

// TestRepeatOfASavedJobTakesUnderTwelveKeys: unchanged, nothing is asked; with
// another drawing, what changed is shown first and only what rests on it is
// asked again.
func TestRepeatOfASavedJobTakesUnderTwelveKeys(t *testing.T) {
	_, dir := savedLeaf(t)
	path := filepath.Join(dir, "leaf.toml")
	again := &pressed{driver: start(t, 80, 24, func(s *Session) { s.Engine, s.Dir, s.Paths = RealEngine(), dir, []string{path} })}
	if !again.m.d.written() || again.m.shut() != "" {
		t.Fatalf("unchanged, and yet: %s", again.m.shut())
	}
	again.shows("as it was saved: drawing hinge-leaf.dxf, preset, machine profile and program are the same")
	again.press("tab tab tab tab")
	for range 3 { // other stages may lie on the road
		if again.m.d.Stage != int(saveStage) {
			again.press("tab")
		}
	}
	again.at("since")
	again.shows("nothing has changed")

	// A hole is drilled out in the drawing.
	dxf := filepath.Join(dir, "hinge-leaf.dxf")
	old, err := os.ReadFile(dxf)
	if err != nil {
		t.Fatal(err)
	}
	changed := bytes.Replace(old, []byte("CIRCLE"), []byte("CIRCLE"), 1)
	i := bytes.Index(changed, []byte("CIRCLE"))
	j := bytes.Index(changed[i:], []byte("\n 40\n"))
	if j < 0 {
		t.Fatal("no radius in the drawing")
	}
	at := i + j + len("\n 40\n")
	end := at + bytes.IndexByte(changed[at:], '\n')
	var r float64
	fmt.Sscan(string(changed[at:end]), &r)
	changed = append(append(append([]byte(nil), changed[:at]...), fmt.Sprint(r+0.5)...), changed[end:]...)
	os.WriteFile(dxf, changed, 0o600)

	rep := &pressed{driver: start(t, 80, 24, func(s *Session) { s.Engine, s.Dir, s.Paths = RealEngine(), dir, []string{path} })}
	if rep.m.top().id() != "since" {
		t.Fatalf("on %s, what changed is not shown", rep.m.top().id())
	}
	rep.shows("drawing hinge-leaf.dxf changed: the job's copy is cut")
	cut := rep.m.res.prog.Plan.CutLength
	rep.press("enter") // to the drawing
	rep.shows("7 loops  changed")
	rep.press("enter")
	rep.shows("changed since the save")
	rep.press("enter")
	rep.shows("p1.h1 was 13.5 mm, is 14.5 mm now")
	rep.shows("take the file as it is now")
	rep.press("down")
	rep.press("enter")
	if longer := rep.m.res.prog.Plan.CutLength - cut; longer < math.Pi {
		t.Fatalf("the copy is still cut: %.3f mm longer, the hole is 1 mm wider", longer)
	}
	for rep.m.shut() != "" && rep.n < 12 {
		rep.press("n")
		if rep.m.shut() != "" {
			rep.press("space")
		}
	}
	rep.press("n") // nothing is open: to the door
	if rep.m.d.Stage != int(saveStage) || rep.m.spot().id != "save" {
		t.Fatalf("on stage %d, row %s: %s", rep.m.d.Stage, rep.m.spot().id, rep.m.shut())
	}
	rep.press("enter")
	if !rep.m.d.written() {
		t.Fatalf("not saved: %s\n%s", rep.m.shut(), rep.frame())
	}
	if rep.n >= 12 {
		t.Errorf("%d keys", rep.n)
	}
	t.Logf("%d keys from start to saved program", rep.n)
}

// TestAnotherPlateIsAskedFor: confirmations that hold say from when they are,
// and those of the plate can be asked anew.
func TestAnotherPlateIsAskedFor(t *testing.T) {
	_, dir := savedLeaf(t)
	d := start(t, 80, 24, func(s *Session) {
		s.Engine, s.Dir, s.Paths = RealEngine(), dir, []string{filepath.Join(dir, "leaf.toml")}
		s.Now = clockAt("2026-03-12T07:30:00+01:00")
	})
	d.go_(checkStage)
	d.at("item:zero")
	d.shows("J. Berg 9 Mar 14:05")
	d.go_(saveStage)
	d.at("since").keys("enter")
	d.shows("confirmations from before hold still")
	d.at("since:plate").keys("enter")
	n := 0
	for _, it := range d.m.res.items {
		_, ok := d.m.confirmed(it)
		if want := it.Station != AtPlate && it.ID != "zero" && it.ID != "dry-run"; ok != want {
			t.Errorf("%s: confirmed %v", it.ID, ok)
		}
		if !ok {
			n++
		}
	}
	if n < 5 || d.m.openIn(checkStage) != n {
		t.Errorf("%d are open", d.m.openIn(checkStage))
	}
	d.keys("u")
	if d.m.openIn(checkStage) != 0 {
		t.Error("undo does not bring them back")
	}
}

// TestDrawingInAnUnknownUnit: the file does not say its unit. Both sizes are
// shown, no plan is made and nothing saved until a person says which is meant;
// said wrongly, the part does not fit the plate and the fault says so.
func TestDrawingInAnUnknownUnit(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	old, err := os.ReadFile(filepath.Join(dir, "hinge-leaf.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	bare := bytes.Replace(old, []byte("$INSUNITS\n 70\n4\n"), []byte("$INSUNITS\n 70\n0\n"), 1)
	if bytes.Equal(bare, old) {
		t.Fatal("the drawing's unit is not where it was looked for")
	}
	os.WriteFile(filepath.Join(dir, "hinge-leaf.dxf"), bare, 0o600)
	d.run(d.m.change(func(dr *Draft) { dr.addDrawing(filepath.Join(dir, "hinge-leaf.dxf")) }))
	setUpLeafStock(d)
	if d.m.loops(0).UnitFrom != drawing.UnitAsked {
		t.Skip("the reader found the unit by itself")
	}
	if d.m.res.prog != nil || d.m.shut() == "" {
		t.Fatal("planned without a unit")
	}
	for i := 0; i < 20 && d.m.top().id() != "drawing0"; i++ {
		d.keys("n")
	}
	d.shows("mm: then it is")
	d.shows("inch: then it is")
	d.at("units").keys("right right")
	if d.m.d.Job.Drawings[0].Units != unit.Inch {
		t.Fatalf("%v", d.m.d.Job.Drawings[0].Units)
	}
	d.keys("t")
	if d.m.res.told.Err() == nil || d.m.shut() == "" {
		t.Error("a leaf of four metres fits a plate of 600 mm")
	}
	d.keys("esc")
	d.keys("u")
	d.at("units").keys("left")
	if d.m.d.Job.Drawings[0].Units != unit.MM {
		d.at("units").keys("right")
	}
	if d.m.res.prog == nil || d.m.d.Job.Drawings[0].Units != unit.MM {
		t.Errorf("no plan in mm: %v", d.m.res.told.Err())
	}
}

// TestHoleTooSmallToCut: on thick plate a bolt hole is left for the drill, with
// the reason; made a pulse, a refusal, or cut all the same, the plan follows.
func TestHoleTooSmallToCut(t *testing.T) {
	d, _ := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	setUpLeafStock(d)
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.DrillUnder = 3 })) // the shop's own limit, x thickness
	small := ""
	for i := range d.m.res.tree.Features {
		if f := &d.m.res.tree.Features[i]; f.Rule == "drill" {
			small = f.ID
		}
	}
	if small == "" {
		t.Fatal("no hole is left for the drill")
	}
	cuts := len(d.m.res.prog.Cuts)
	d.go_(featureStage)
	d.at("f:" + small)
	d.shows("drill")
	if r := d.row("f:" + small); !strings.Contains(r.why, "thick") {
		t.Errorf("no reason: %q", r.why)
	}
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.Drill = job.DrillRefuse }))
	if s := d.m.shut(); s == "" || d.m.res.told.Err() == nil {
		t.Fatal("a refused hole does not shut the door")
	}
	for range 40 {
		if d.m.d.Stage == int(featureStage) && strings.HasPrefix(d.m.spot().id, "f:") {
			break
		}
		d.keys("n")
	}
	d.keys("enter")
	d.at("rule").keys("enter")
	d.pick("slow")
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.Drill = job.DrillPop }))
	if d.m.res.prog == nil || len(d.m.res.prog.Cuts) <= cuts {
		t.Errorf("cut all the same, or marked by a pulse: %v", d.m.res.told.Err())
	}
}
