package tui

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func TestFieldsSayWhyAndTheRangeWhileTyping(t *testing.T) {
	for _, c := range []struct {
		row, typed string
		says       []string // while it is typed
		taken      func(j job.Job) bool
	}{
		{"stock.thickness", "900", []string{"too large", "0.2 to 160 mm"}, nil},
		{"stock.thickness", "0.1", []string{"too small", "0.2 to 160 mm"}, nil},
		{"stock.thickness", "six", []string{"not a number", "0.2 to 160 mm"}, nil},
		{"stock.thickness", "3,2", []string{"decimal point"}, nil},
		{"stock.thickness", "-6", []string{"too small"}, nil},
		{"stock.thickness", "1/4in", nil, func(j job.Job) bool { return j.Stock.Thickness == 6.35 }},
		{"stock.thickness", "3/8", []string{}, func(j job.Job) bool { return j.Stock.Thickness == 0.375 }},
		{"stock.width", "4 ft", []string{"not a number"}, nil},
		{"stock.width", "48 in", nil, func(j job.Job) bool { return j.Stock.Width == 1219.2 }},
		{"machine.sensor_offset", "0", nil, func(j job.Job) bool { return j.Machine.SensorOffset == job.Of(0) }},
		{"machine.sensor_offset", "90", []string{"too large", "0 to 50 mm"}, nil},
		{"process.feed", "100 in/min", nil, func(j job.Job) bool { return j.Process.Feed == 2540 }},
		{"process.feed", "2540", nil, func(j job.Job) bool { return j.Process.Feed == 2540 }},
		{"process.pierce_delay", "0", nil, func(j job.Job) bool { return j.Process.PierceDelay == job.Of(0) }},
		{"process.pierce_delay", "-1", []string{"too small", "0 to 60 s"}, nil},
		{"process.pressure", "5.5 bar", nil, func(j job.Job) bool { return j.Process.Pressure == job.Of(5.5) }},
		{"rules.slow_feed", "70", nil, func(j job.Job) bool { return j.Rules.SlowFeed == 0.7 }},
		{"rules.slow_feed", "70 %", nil, func(j job.Job) bool { return j.Rules.SlowFeed == 0.7 }},
		{"rules.slow_feed", "170", []string{"too large", "5 to 100 %"}, nil},
		{"rules.slow_under", "2.5x", nil, func(j job.Job) bool { return j.Rules.SlowUnder == 2.5 }},
	} {
		t.Run(c.row+" "+c.typed, func(t *testing.T) {
			d := start(t, 80, 24)
			d.stock()
			if strings.HasPrefix(c.row, "process") || strings.HasPrefix(c.row, "rules") {
				d.go_(processStage)
			}
			if strings.HasPrefix(c.row, "rules.slow") {
				d.at("holes").keys("enter")
			}
			before := d.m.d.Job
			d.at(c.row).keys("enter ctrl+u")
			d.typed(c.typed)
			for _, s := range c.says {
				d.shows(s)
			}
			d.keys("enter")
			if c.taken == nil {
				if d.m.ed == nil {
					t.Error("it was taken")
				}
				d.keys("esc esc")
				if !samePlan(before, d.m.d.Job) {
					t.Error("the job changed")
				}
				return
			}
			if d.m.ed != nil {
				t.Fatalf("it is not taken: %s", d.m.no)
			}
			if !c.taken(d.m.d.Job) {
				t.Errorf("taken as %s", d.row(c.row).value)
			}
		})
	}
}

func TestADigitBeginsTheEdit(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.at("stock.thickness").keys("8 enter")
	if got := d.m.d.Job.Stock.Thickness; got != 8 {
		t.Errorf("%v", got)
	}
	d.at("name").keys("8")
	if d.m.ed != nil {
		t.Error("a digit begins the edit of a text, where every other sign is a key")
	}
}

func TestAnEmptyLineMakesItUnknownAgain(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.set("stock.thickness", "")
	if r := d.row("stock.thickness"); r.state != stOpen || r.value != "unknown" {
		t.Errorf("%+v", r)
	}
	d.go_(processStage)
	d.set("rules.overburn", "6")
	if r := d.row("rules.overburn"); r.value != "6 mm" {
		t.Errorf("%+v", r)
	}
	d.set("rules.overburn", "")
	if r := d.row("rules.overburn"); r.value != "rule: 4 mm" || d.m.d.Job.Rules.Overburn != 0 {
		t.Errorf("%+v", r)
	}
}

func TestInchJobsAreShownAndTypedInInches(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.at("units").keys("right")
	if v := d.row("stock.thickness").value; v != "0.2362 in" {
		t.Errorf("%q", v)
	}
	d.set("stock.thickness", "0.25")
	if got := d.m.d.Job.Stock.Thickness; got != 6.35 {
		t.Errorf("%v", got)
	}
	d.set("stock.thickness", "6mm")
	if got := d.m.d.Job.Stock.Thickness; got != 6 {
		t.Errorf("%v", got)
	}
	d.process()
	if v := d.row("process.feed").value; v != "78.7 in/min" {
		t.Errorf("%q", v)
	}
	// Showing a value and taking it again unchanged must not round it.
	d.at("process.feed").keys("enter enter")
	if got := d.m.d.Job.Process.Feed; got != 2000 {
		t.Errorf("%v", got)
	}
}

func TestUnitOfTheDrawingIsAskedWithBothSizes(t *testing.T) {
	d := start(t, 80, 24)
	d.stock("nounit.dxf")
	if !d.has(stockStage, "units") {
		t.Fatalf("%+v", d.m.blocks)
	}
	d.keys("n")
	if d.m.top().id() != "drawing0" || d.m.spot().id != "units" {
		t.Fatalf("n goes to %s %s", d.m.top().id(), d.m.spot().id)
	}
	d.shows("160 mm by 60 mm")
	d.shows("160 in by 60 in")
	d.keys("right")
	if d.m.d.Job.Drawings[0].Units != unit.MM || d.has(stockStage, "units") {
		t.Errorf("%+v %+v", d.m.d.Job.Drawings[0], d.m.blocks)
	}
}

func TestDrawingThatCannotBeReadIsToldAndBlocks(t *testing.T) {
	d := start(t, 80, 24)
	d.stock("broken.dxf")
	d.at("drawing0").shows("cannot be read")
	if d.m.shut() == "" {
		t.Error("may be saved")
	}
	d.keys("n")
	d.shows("broken.dxf:12: group code")
}

func TestLayersAreUsedAsSaid(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.at("drawing0").keys("enter")
	d.at("layer0").keys("right") // cut to mark
	if got := d.m.d.Job.Drawings[0].Layers; len(got) != 1 || got[0].Use != job.LayerMark {
		t.Fatalf("%+v", got)
	}
	d.keys("right right") // mark to ignore, and no further
	if got := d.m.d.Job.Drawings[0].Layers; len(got) != 1 || got[0].Use != job.LayerIgnore {
		t.Fatalf("%+v", got)
	}
	if n := d.eng.count("read"); n != 3 {
		t.Errorf("read %d times, want once and again for each change", n)
	}
}

func TestQuantityDoesNotReadTheDrawingAgain(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	n := d.eng.count("read")
	d.at("drawing0").keys("enter")
	d.set("drawings.quantity", "4")
	if got := d.eng.count("read"); got != n {
		t.Errorf("read %d times more", got-n)
	}
	if d.m.d.Job.Drawings[0].Quantity != 4 {
		t.Error("not taken")
	}
}

func TestTakingADrawingOutCanBeUndone(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.h1").keys("x")
	d.go_(stockStage)
	d.at("drawing0").keys("enter")
	d.at("remove").keys("enter")
	if len(d.m.d.Job.Drawings) != 0 || d.m.res.prog != nil || len(d.m.pages) != 0 {
		t.Errorf("%+v", d.m.d.Job.Drawings)
	}
	d.shows("u brings all back")
	d.keys("u")
	if len(d.m.d.Job.Drawings) != 1 || len(d.m.d.Job.Overrides) != 1 || d.m.res.prog == nil {
		t.Errorf("%+v %+v", d.m.d.Job.Drawings, d.m.d.Job.Overrides)
	}
	d.keys("r")
	if len(d.m.d.Job.Drawings) != 0 {
		t.Error("redo did nothing")
	}
}

func TestFilesAreChosenByName(t *testing.T) {
	d := start(t, 80, 24, withFiles)
	d.eng.entries["/shop/gates"] = []Entry{{Name: "leaf.svg", Kind: "drawing"}}
	d.at("add").keys("enter")
	d.shows("hinge.dxf")
	d.lacks("invoice.odt")
	d.shows("1 other file not shown")
	d.at("e0gates").keys("enter")
	d.shows("files in /shop/gates")
	d.keys("left")
	d.shows("files in /shop")
	d.at("e0gates").keys("enter down down enter")
	if got := d.m.d.Job.Drawings; len(got) != 1 || got[0].File != "gates/leaf.svg" {
		t.Fatalf("%+v", got)
	}
	if d.m.top().id() != "stock" {
		t.Errorf("on %s", d.m.top().id())
	}
	d.at("add").keys("enter")
	d.set("path", "gates/other.pdf")
	if got := d.m.d.Job.Drawings; len(got) != 2 || got[1].File != "gates/other.pdf" {
		t.Fatalf("%+v", got)
	}
	d.at("add").keys("enter")
	d.at("path").keys("enter")
	d.typed("notes.txt")
	d.shows("ends in .dxf, .svg or .pdf")
	d.keys("enter esc left")
	d.shows("cannot be read: no such folder")
}

func TestNameThatNoJobFileCanHoldIsRefused(t *testing.T) {
	d := start(t, 80, 24, withFiles)
	d.eng.entries["/shop"] = []Entry{{Name: "a\x1b[2Jb.dxf", Kind: "drawing"}}
	d.at("add").keys("enter down down enter")
	d.shows("control signs")
	if len(d.m.d.Job.Drawings) != 0 {
		t.Error("it was taken")
	}
}

func TestSavedJobIsOpenedAndUndoBringsBackWhatWasThere(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	j := cloneJob(d.m.d.Job)

	d = start(t, 80, 24, withFiles)
	d.eng.jobs = map[string]job.Job{"/shop/hinge.toml": j}
	d.set("name", "something else")
	d.at("add").keys("enter")
	d.at("e2hinge.toml").keys("enter")
	if !samePlan(d.m.d.Job, j) || !d.m.d.Saved || d.m.d.Name != "hinge" || d.m.res.prog == nil {
		t.Errorf("%+v", d.m.d)
	}
	d.keys("u")
	if d.m.d.Job.Name.String() != "something else" || d.m.d.Saved {
		t.Errorf("%+v", d.m.d)
	}
}

func TestJobFileWithFaultsIsNotOpened(t *testing.T) {
	d := start(t, 80, 24, func(s *Session) { s.Paths = []string{"/shop/bad.toml"} })
	d.shows("the job cannot be opened")
	d.shows("/shop/bad.toml:4:1: key thicknes is not known")
	d.keys("esc")
	if d.m.d.worth() {
		t.Error("something was taken from it")
	}
}

func TestDrawingsGivenAtTheStartAreTaken(t *testing.T) {
	d := start(t, 80, 24, func(s *Session) { s.Paths = []string{"/shop/hinge.dxf", "/shop/open.dxf"} })
	if got := d.m.d.Job.Drawings; len(got) != 2 || got[0].File != "hinge.dxf" {
		t.Errorf("%+v", got)
	}
	if d.eng.count("read") == 0 || len(d.m.res.loops) != 2 {
		t.Error("they were not read")
	}
}

func TestBlanksHavePockets(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.at("stock.hold").keys("right")
	d.at("fixture").keys("enter")
	d.at("add").keys("enter")
	d.set("pocket0", "12.5 40")
	d.at("add").keys("enter")
	d.set("pocket1", "12.5, 140mm")
	if got := d.m.d.Job.Stock.Fixture.Pockets; !slices.Equal(got, []geom.Point{geom.Pt(12.5, 40), geom.Pt(12.5, 140)}) {
		t.Errorf("%v", got)
	}
	d.keys("d")
	if got := d.m.d.Job.Stock.Fixture.Pockets; len(got) != 1 {
		t.Errorf("%v", got)
	}
	d.set("stock.fixture.allowance", "0")
	if got := d.m.d.Job.Stock.Fixture.Allowance; got != job.Of(0) {
		t.Errorf("%v", got)
	}
}

func TestMachineProfileIsCopiedWhole(t *testing.T) {
	d := start(t, 80, 24)
	d.at("machine").keys("enter")
	d.shows("long table 3000")
	d.keys("enter")
	if got := d.m.d.Job.Machine; got.Name.String() != "plain table 1250" || len(got.Program.TouchOff) != 2 || got.SensorOffset.Known {
		t.Errorf("%+v", got)
	}
	if !d.has(stockStage, "machine.sensor_offset") {
		t.Error("the unknown sensor offset does not block")
	}
}
