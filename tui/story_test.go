package tui

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// shopFloor is a folder with the drawing that is shipped, and a wizard on the
// real planner, presets and disk.
func shopFloor(t *testing.T, w, h int, paths ...string) (*driver, string) {
	t.Helper()
	return shopFloorAs(t, w, h, false, paths...)
}

func shopFloorAs(t *testing.T, w, h int, ascii bool, paths ...string) (*driver, string) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	_, drawings := presets.Demo()
	for name, data := range drawings {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for i, p := range paths {
		paths[i] = filepath.Join(dir, p)
	}
	return start(t, w, h, func(s *Session) { s.Engine, s.Dir, s.Paths, s.ASCII = RealEngine(), dir, paths, ascii }), dir
}

// setUpLeaf walks an operator's road from an empty job to confirmed checks, by
// keys alone.
func setUpLeaf(d *driver) {
	d.t.Helper()
	// Stock.
	d.at("add").keys("enter")
	d.at("e0hinge-leaf.dxf").keys("enter")
	d.at("name").keys("enter ctrl+u")
	d.typed("Gate hinge leaf")
	d.keys("enter")
	d.at("units").keys("right")
	d.at("stock.material").keys("right")
	d.at("surface").keys("right right")
	d.at("stock.thickness").keys("6 enter")
	d.at("stock.hold").keys("right")
	d.at("stock.width").keys("600 enter")
	d.at("stock.height").keys("300 enter")
	d.at("under").keys("right")
	d.at("machine").keys("enter")
	d.pick("plain-mm")
	d.at("machine.sensor_offset").keys("1 . 5 enter")
	d.at("drawing0").keys("enter")
	d.at("drawings.quantity").keys("2 enter esc")
	// Process.
	d.keys("tab tab")
	d.at("process.amps").keys("right right")
	d.at("preset").keys("enter")
	// Checks.
	d.keys("tab")
	d.at("operator").keys("enter")
	d.typed("J. Berg")
	d.keys("enter")
	for range 60 {
		if d.m.openIn(checkStage) == 0 {
			break
		}
		d.keys("n space")
	}
}

// setUpLeafStock is the road up to a plan, from a wizard begun with the drawing.
func setUpLeafStock(d *driver) {
	d.t.Helper()
	d.at("units").keys("right")
	d.at("stock.material").keys("right")
	d.at("surface").keys("right right")
	d.at("stock.thickness").keys("6 enter")
	d.at("stock.hold").keys("right")
	d.at("stock.width").keys("600 enter")
	d.at("stock.height").keys("300 enter")
	d.at("under").keys("right")
	d.at("machine").keys("enter")
	d.pick("plain-mm")
	d.at("machine.sensor_offset").keys("1 . 5 enter")
	d.keys("tab tab")
	d.at("process.amps").keys("right right")
	d.at("preset").keys("enter")
}

// TestFromAnEmptyJobToSavedFiles drives the model on the real planner and then
// proves what lies on the disk.
func TestFromAnEmptyJobToSavedFiles(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	setUpLeaf(d)
	if s := d.m.shut(); s != "" {
		d.keys("t")
		t.Fatalf("shut: %s\n%s", s, d.frame())
	}
	d.keys("tab")
	d.set("name", "leaf")
	d.at("save").keys("enter")
	d.shows("saved: 3 files")

	text, err := os.ReadFile(filepath.Join(dir, "leaf.toml"))
	if err != nil {
		t.Fatal(err)
	}
	j, faults := jobfile.Decode("leaf.toml", text)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	if !samePlan(withoutSums(j), withoutSums(d.m.d.Job)) {
		t.Errorf("the saved job is another:\n%+v\n%+v", j, d.m.d.Job)
	}
	if len(j.Checks) != len(d.m.res.items) || j.Checks[0].By.String() != "J. Berg" {
		t.Errorf("confirmations: %+v", j.Checks)
	}
	loops, faults := planner.Read(context.Background(), j, presets.DrawingsIn(dir))
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	for name, dry := range map[string]bool{"leaf.nc": false, "leaf-dry.nc": true} {
		nc, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		verdict, faults := planner.Prove(context.Background(), j, loops, nc, dry)
		if !verdict.OK || faults.Bad() {
			t.Errorf("%s: %+v %v", name, verdict.Findings, faults.Err())
		}
	}
	// Planned again from the saved job, the program is the same, byte for byte.
	p, faults := planner.Plan(context.Background(), j, loops)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	nc, _ := os.ReadFile(filepath.Join(dir, "leaf.nc"))
	if !bytes.Equal(p.Text, nc) {
		t.Error("the saved job gives another program")
	}

	// Opened again, nothing is asked: all that was confirmed still holds.
	again, _ := shopFloor(t, 80, 24)
	again.run(again.m.open(filepath.Join(dir, "leaf.toml")))
	if s := again.m.shut(); s != "" || !again.m.d.Saved || len(again.m.d.Job.Checks) != len(j.Checks) {
		t.Errorf("opened again: shut %q, saved %v, %d confirmations", s, again.m.d.Saved, len(again.m.d.Job.Checks))
	}
}

// withoutSums takes out what only a save writes.
func withoutSums(j job.Job) job.Job {
	j = cloneJob(j)
	for i := range j.Drawings {
		j.Drawings[i].SHA256 = ""
	}
	return j
}

// TestDemoIsReadyButForTheChecks: what is shipped opens without a question,
// and only a person's confirmations keep it from being saved.
func TestDemoIsReadyButForTheChecks(t *testing.T) {
	text, _ := presets.Demo()
	d, dir := shopFloor(t, 80, 24)
	path := filepath.Join(dir, presets.DemoJob)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	d.run(d.m.open(path))
	if n := len(d.m.blocks) - d.m.openIn(checkStage); n != 0 || d.m.res.prog == nil {
		d.keys("t")
		t.Errorf("%d things are open beside the checks: %+v\n%s", n, d.m.blocks, d.frame())
	}
}

// TestChangedDrawingIsToldWhenTheJobIsOpened: neither a drawing nor a program
// that is not as it was saved goes unseen.
func TestChangedDrawingIsToldWhenTheJobIsOpened(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.keys("tab")
	d.set("name", "leaf")
	d.at("save").keys("enter")
	if !d.m.d.Saved {
		t.Fatalf("not saved: %s", d.m.shut())
	}
	dxf := filepath.Join(dir, "hinge-leaf.dxf")
	data, err := os.ReadFile(dxf)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(dxf, append(data, "\n"...), 0o600)
	d.run(d.m.open(filepath.Join(dir, "leaf.toml")))
	d.keys("t")
	d.shows("has changed since the job was saved")
	// And a program that was changed by hand.
	nc := filepath.Join(dir, "leaf.nc")
	data, err = os.ReadFile(nc)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(nc, append(data, "(x)\n"...), 0o600)
	d.run(d.m.open(filepath.Join(dir, "leaf.toml")))
	d.keys("esc t")
	d.shows("leaf.nc")
}

// TestInchJobIsSetUp: an inch shop's words all the way.
func TestInchJobIsSetUp(t *testing.T) {
	d, _ := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	d.at("units").keys("right right")
	d.at("stock.material").keys("right")
	d.at("stock.thickness").keys("enter")
	d.typed("1/8")
	d.keys("enter")
	if got := d.m.d.Job.Stock.Thickness; got != unit.Inch.ToMM(0.125) {
		t.Fatalf("%v", got)
	}
	d.keys("tab tab")
	d.at("process.amps").keys("right")
	d.at("preset").keys("enter")
	if r := d.row("process.feed"); r.state != stGood || r.note != "preset" || r.value == "" {
		t.Errorf("%+v", r)
	}
}

// TestPartIsTypedWithoutADrawing: nothing of it is filled in by itself, and the
// picture follows the sizes.
func TestPartIsTypedWithoutADrawing(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	d.at("typed").keys("enter")
	d.pick("flange")
	if d.m.top().id() != "drawing0" || !d.has(stockStage, "drawings.shape.diameter") {
		t.Fatalf("on %s: %+v", d.m.top().id(), d.m.blocks)
	}
	for _, p := range job.ShapeParams(job.ShapeFlange) {
		if r := d.row(string(p.Field)); p.Need != (r.state == stOpen) {
			t.Errorf("%s: %+v", p.Field, r)
		}
	}
	for field, v := range map[string]string{"diameter": "150", "bore": "60", "bolt_circle": "110", "bolt_count": "4", "bolt_hole": "14", "bolt_angle": "45"} {
		d.set("drawings.shape."+field, v)
	}
	if n := len(d.m.res.tree.Features); n != 6 { // outline, bore, four bolt holes
		t.Errorf("%d features: %v", n, d.m.res.told)
	}
	if r := d.row("drawings.shape.bolt_angle"); r.value != "45 deg" {
		t.Errorf("%+v", r)
	}
	d.shows("as drawn, 150 × 150 mm")
	d.at("remove").keys("enter")
	if d.m.d.Job.Drawings != nil {
		t.Error("it is still there")
	}
}
