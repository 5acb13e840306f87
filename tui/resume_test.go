package tui

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/presets"
)

// savedLeaf is a wizard on the real planner with the leaf saved.
func savedLeaf(t *testing.T) (*driver, string) {
	t.Helper()
	d, dir := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.keys("tab")
	d.set("name", "leaf")
	d.at("save").keys("enter")
	if !d.m.d.Saved {
		t.Fatalf("not saved: %s", d.m.shut())
	}
	return d, dir
}

// TestLostCutIsTakenUpFromTheWizard: by cut, by line and by place, each proved
// again from the file on the disk.
func TestLostCutIsTakenUpFromTheWizard(t *testing.T) {
	d, dir := savedLeaf(t)
	whole := d.m.res.prog
	c := whole.Cuts[3]
	mid := c.Path.Seg(c.LeadIn).At(0.5)
	for _, x := range []struct {
		row, typed, file string
		from             planner.From
	}{
		{"cut", "4", "leaf-from-4.nc", planner.From{Cut: 4}},
		{"line", "60", "leaf-from-line-60.nc", planner.From{Line: 60}},
		{"at", form{Dim: job.Length}.typed(mid.X, 0) + " " + form{Dim: job.Length}.typed(mid.Y, 0), "leaf-from-x", planner.From{}},
	} {
		d.at("resume").keys("enter")
		d.set(x.row, x.typed)
		if d.m.taken.prog == nil {
			t.Fatalf("%s: %v", x.row, d.m.taken.faults.Err())
		}
		from := d.m.taken.from
		d.at("write").keys("enter")
		d.shows("written: 2 files")
		if len(d.m.taken.written) != 2 || !strings.HasPrefix(filepath.Base(d.m.taken.written[0]), x.file) {
			t.Fatalf("%s: %v", x.row, d.m.taken.written)
		}
		for i, dry := range []bool{false, true} {
			text, err := os.ReadFile(d.m.taken.written[i])
			if err != nil {
				t.Fatal(err)
			}
			loops, _ := planner.Read(context.Background(), d.m.d.Job, presets.DrawingsIn(dir))
			v, faults := planner.ProveResumed(context.Background(), d.m.d.Job, loops, text, dry, from)
			if !v.OK || faults.Bad() {
				t.Errorf("%s, dry %v: %+v %v", x.row, dry, v.Findings, faults.Err())
			}
		}
		d.keys("esc")
	}
	if !d.m.d.Saved {
		t.Error("the job counts as changed")
	}
}

// TestTakingUpIsRefusedWhereItDoesNotCount: another program than the one that
// was run, a door that is shut, a cut that is not there.
func TestTakingUpIsRefusedWhereItDoesNotCount(t *testing.T) {
	d, dir := savedLeaf(t)
	d.at("resume").keys("enter")
	d.at("cut").keys("enter 9 9 9 enter")
	d.shows("a whole number from 1 to")
	d.keys("esc esc")
	nc := filepath.Join(dir, "leaf.nc")
	text, err := os.ReadFile(nc)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(nc, append(text, "(by hand)\n"...), 0o600)
	d.at("resume").keys("enter")
	d.set("cut", "4")
	d.shows("is not what this job plans now")
	os.WriteFile(nc, text, 0o600)
	d.set("cut", "3")
	if d.m.taken.prog == nil {
		t.Fatal(d.m.taken.faults.Err())
	}
	d.run(d.m.change(func(dr *Draft) { dr.Job.Checks = nil }))
	d.shows("WRITE ")
	if r := d.row("write"); r.act != nil || r.state != stOpen {
		t.Errorf("the door stands open: %+v", r)
	}
	// A new plan: what was said of the old one counts no more.
	d.run(d.m.change(func(dr *Draft) { dr.Job.Process.Feed *= 0.9 }))
	if d.m.taken.from != (planner.From{}) {
		t.Error("a place in the old program is kept")
	}
}

// TestPricesAreTypedKeptAndTakenBack: not known is not nothing.
func TestPricesAreTypedKeptAndTakenBack(t *testing.T) {
	d, _ := savedLeaf(t)
	conf, err := presets.UserFolder(os.Getenv)
	if err != nil {
		t.Fatal(err)
	}
	d.at("prices")
	d.shows("cost in all not known")
	d.keys("enter")
	d.set("currency", "EUR")
	for id, v := range map[string]string{"mild-steel": "1.4", "machine": "35", "labour": "0", "electricity": "0.3", "efficiency": "85", "gas": "0", "set": "28",
		"life-starts": "250"} {
		d.set("price:"+id, v)
	}
	if d.m.d.Saved != true {
		t.Error("a price makes the job count as changed")
	}
	back, faults := presets.OpenStore(conf).Prices()
	if len(faults) > 0 || back.MildSteel != job.Of(1.4) || back.Labour != job.Of(0) || back.Efficiency != job.Of(0.85) {
		t.Errorf("%+v %v", back, faults)
	}
	d.keys("esc")
	// Gas stays not known while the flow is: the sum says so.
	d.shows("cost in all not known for want of gas")
	d.keys("u")
	if back, _ = presets.OpenStore(conf).Prices(); back == d.m.d.Prices && len(d.m.redo) == 1 {
		d.keys("r")
	} else {
		t.Errorf("undo is not kept: %+v", back)
	}
	d.at("prices").keys("enter")
	d.at("price:mild-steel").keys("enter ctrl+u enter")
	if d.m.d.Prices.MildSteel.Known {
		t.Error("an empty line is not unknown")
	}
	d.at("price:efficiency").keys("enter 1 2 0 enter")
	d.shows("too large")
}

// TestPiecesAreCountedUp: 3 of 5 this week, the rest next week.
func TestPiecesAreCountedUp(t *testing.T) {
	d, dir := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	setUpLeafStock(d)
	d.go_(stockStage)
	d.at("stock.hold").keys("right")
	d.run(d.m.change(func(dr *Draft) {
		dr.Job.Stock.Fixture.Pockets = []geom.Point{geom.Pt(20, 20)}
		dr.Job.Stock.Fixture.Allowance = job.Of(0.5)
		dr.Job.Stock.Fixture.Count = 5
		dr.Job.Stock.Fixture.Done = 2
	}))
	if d.m.res.prog == nil {
		t.Fatal(d.m.res.told.Err())
	}
	d.confirmAll()
	d.go_(saveStage)
	d.set("name", "blanks")
	d.at("done")
	d.shows("made so far ········ 2 of 5")
	d.at("save").keys("enter")
	if !d.m.d.Saved {
		t.Fatalf("not saved: %s", d.m.shut())
	}
	d.at("count")
	d.shows("3 pieces more, 5 of 5 then")
	d.keys("enter")
	d.shows("counted: 5 of 5")
	if !d.m.d.Saved {
		t.Error("the count is not in the file")
	}
	again := start(t, 80, 24, func(s *Session) { s.Engine, s.Dir = RealEngine(), dir })
	again.run(again.m.open(filepath.Join(dir, "blanks.toml")))
	if n := again.m.d.Job.Stock.Fixture.Done; n != 5 {
		t.Errorf("%d pieces are in the file", n)
	}
}
