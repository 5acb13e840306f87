package tui

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func TestNothingIsInventedInAnEmptyJob(t *testing.T) {
	d := start(t, 80, 24)
	if d.m.d.worth() {
		t.Errorf("the empty job holds %+v", d.m.d.Job)
	}
	for _, s := range []stage{stockStage, processStage} {
		l := s.view().list(d.m)
		for i := range l.n {
			r := l.at(i)
			if r.head || r.act != nil && r.turn == nil && r.begin == nil {
				continue
			}
			switch r.state {
			case stOpen, stFree, stRule:
			default:
				t.Errorf("%s: %s shows %q in a job where nobody has said anything", s, r.id, r.value)
			}
			if r.state == stRule && !strings.HasPrefix(r.value, "rule: ") {
				t.Errorf("%s: %s shows a default that does not say so: %q", s, r.id, r.value)
			}
		}
	}
	d.go_(processStage)
	d.at("process.amps").keys("right") // no metal, no preset: nothing to choose
	if d.m.d.Job.Process.Amps != 0 {
		t.Error("a current was chosen without a metal")
	}
}

func TestUnknownKeepsTheDoorShut(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	if s := d.m.shut(); s != "" {
		t.Fatal("shut although all is there:", s)
	}
	for _, c := range []struct {
		stage stage
		row   string
		clear func(j *job.Job)
	}{
		{stockStage, "name", func(j *job.Job) { j.Name = job.Job{}.Name }},
		{stockStage, "units", func(j *job.Job) { j.Units = unit.Unknown }},
		{stockStage, "add", func(j *job.Job) { j.Drawings = nil }},
		{stockStage, "stock.material", func(j *job.Job) { j.Stock.Material = "" }},
		{stockStage, "surface", func(j *job.Job) { j.Stock.Surface = "" }},
		{stockStage, "stock.thickness", func(j *job.Job) { j.Stock.Thickness = 0 }},
		{stockStage, "stock.hold", func(j *job.Job) { j.Stock.Hold = "" }},
		{stockStage, "stock.width", func(j *job.Job) { j.Stock.Width = 0 }},
		{stockStage, "stock.height", func(j *job.Job) { j.Stock.Height = 0 }},
		{stockStage, "under", func(j *job.Job) { j.Stock.Under = "" }},
		{stockStage, "machine", func(j *job.Job) { j.Machine = job.Machine{} }},
		{stockStage, "machine.sensor_offset", func(j *job.Job) { j.Machine.SensorOffset = job.Opt{} }},
		{stockStage, "machine", func(j *job.Job) { j.Machine.RapidXY = 0 }}, // a profile that is not whole
		{processStage, "process.amps", func(j *job.Job) { j.Process.Amps = 0 }},
		{processStage, "process.feed", func(j *job.Job) { j.Process.Feed = 0 }},
		{processStage, "process.kerf", func(j *job.Job) { j.Process.Kerf = 0 }},
		{processStage, "process.pierce_height", func(j *job.Job) { j.Process.PierceHeight = 0 }},
		{processStage, "process.pierce_delay", func(j *job.Job) { j.Process.PierceDelay = job.Opt{} }},
		{processStage, "process.cut_height", func(j *job.Job) { j.Process.CutHeight = 0 }},
	} {
		t.Run(c.row, func(t *testing.T) {
			d.t = t
			d.run(d.m.change(func(dr *Draft) { c.clear(&dr.Job) }))
			if d.m.shut() == "" || !d.has(c.stage, c.row) {
				t.Errorf("saving is open, or nothing points at the row: %+v", d.m.blocks)
			}
			d.go_(saveStage)
			d.at("save").keys("enter")
			if d.eng.count("save") != 0 {
				t.Fatal("it was saved")
			}
			// The key for it goes there.
			d.go_(stockStage)
			d.at("add")
			d.keys("n")
			if len(d.m.blocks) > 1 && c.row != "add" {
				for i := 0; i < len(d.m.blocks) && !(d.m.d.Stage == int(c.stage) && d.m.spot().id == c.row); i++ {
					d.keys("n")
				}
			}
			if d.m.d.Stage != int(c.stage) || d.m.spot().id != c.row {
				t.Errorf("n goes to %s %s, want %s %s", stage(d.m.d.Stage), d.m.spot().id, c.stage, c.row)
			}
			d.keys("u")
			if s := d.m.shut(); s != "" && !strings.Contains(s, "confirm") {
				t.Errorf("after undo still shut: %s", s)
			}
		})
	}
}

func (d *driver) has(s stage, row string) bool {
	return slices.ContainsFunc(d.m.blocks, func(b block) bool { return b.stage == s && b.row == row })
}

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

func TestValuesThatDoNotGoTogetherAreToldWhereTheyStand(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.set("process.cut_height", "9")
	r := d.row("process.cut_height")
	if r.state != stBad || !strings.Contains(r.note, "pierce_height") {
		t.Errorf("%+v", r)
	}
	if !d.has(processStage, "process.cut_height") {
		t.Errorf("%+v", d.m.blocks)
	}
	if d.m.res.prog != nil && d.m.shut() == "" {
		t.Error("may be saved")
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
	d.shows("cannot be read")
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

func TestPresetIsTakenOnlyWhenAsked(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.go_(processStage)
	d.at("process.amps").keys("right")
	if p := d.m.d.Job.Process; p.Feed != 0 || p.Kerf != 0 || p.PierceDelay.Known {
		t.Fatalf("figures came by themselves: %+v", p)
	}
	d.at("preset")
	d.shows("between 4 mm and 8 mm")
	d.shows("starting value, prove with a test cut")
	d.shows("4 mm: feed 3000 mm/min")
	d.keys("enter")
	if p := d.m.d.Job.Process; p.Feed != 2000 || p.State != job.Starting {
		t.Errorf("%+v", p)
	}
	// A figure that was changed says so, and what the preset has.
	d.set("process.feed", "1800")
	if r := d.row("process.feed"); r.note != "preset 2000" {
		t.Errorf("%+v", r)
	}
	if r := d.row("preset"); r.note != "differs, enter takes it" {
		t.Errorf("%+v", r)
	}
	// Another thickness has another preset; what was set stays until asked.
	d.go_(stockStage)
	d.set("stock.thickness", "8")
	d.go_(processStage)
	if d.m.d.Job.Process.Feed != 1800 {
		t.Error("the feed changed by itself")
	}
	if r := d.row("preset"); r.state != stWarn {
		t.Errorf("%+v", r)
	}
}

func TestCurrentGoesAlongThePresets(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.go_(processStage)
	d.at("process.amps")
	for _, c := range []struct {
		key  string
		want float64
	}{{"right", 45}, {"right", 65}, {"right", 85}, {"right", 85}, {"left", 65}, {"left", 45}, {"left", 45}} {
		d.keys(c.key)
		if got := d.m.d.Job.Process.Amps; got != c.want {
			t.Errorf("%s: %g A, want %g", c.key, got, c.want)
		}
	}
	d.set("process.amps", "50")
	d.keys("right")
	if got := d.m.d.Job.Process.Amps; got != 65 {
		t.Errorf("from 50 A on: %g", got)
	}
}

func TestImplausibleFeedIsFlagged(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	if r := d.row("plausible"); r.state != stDone {
		t.Errorf("%+v", r)
	}
	d.set("process.feed", "9500")
	if r := d.row("plausible"); r.state != stWarn || !strings.Contains(r.value, "164 %") {
		t.Errorf("%+v", r)
	}
}

func TestFailedCheckForbidsSaving(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.set("process.feed", "9500")
	d.confirmAll()
	if !d.has(checkStage, "check:feed") {
		t.Errorf("%+v", d.m.blocks)
	}
	d.keys("home")
	d.shows("FAILS")
}

func TestConfirmationsNeedAName(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.at("item:clamp").keys("space")
	if len(d.m.d.Job.Checks) != 0 {
		t.Error("confirmed by nobody")
	}
	d.shows("operator's name first")
	if d.m.spot().id != "operator" {
		t.Errorf("the cursor is on %s", d.m.spot().id)
	}
}

func TestEachLineHasItsOwnKey(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.set("operator", "J. Berg")
	d.keys("b")
	want := job.Confirmation{ID: "earth", At: "2026-03-09T14:05:00+01:00"}
	got := d.m.d.Job.Checks
	if len(got) != 1 || got[0].ID != want.ID || got[0].At != want.At || got[0].By.String() != "J. Berg" || got[0].RestsOn == "" {
		t.Fatalf("%+v", got)
	}
	// Held down or sent in a burst, the key confirms no other line.
	d.send(burst("aaaaa"))
	if got := d.m.d.Job.Checks; len(got) != 2 {
		t.Errorf("%+v", got)
	}
	// Space on a line confirms it and stays there.
	d.at("item:people")
	d.send(burst("   "))
	if got := d.m.d.Job.Checks; len(got) != 3 || d.m.spot().id != "item:people" {
		t.Errorf("%+v on %s", got, d.m.spot().id)
	}
	// And takes it back.
	d.keys("space")
	if got := d.m.d.Job.Checks; len(got) != 2 {
		t.Errorf("%+v", got)
	}
}

func TestWhatIsNotSeenCannotBeConfirmed(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.set("operator", "J. Berg")
	d.keys("home")
	d.frame()
	if strings.Contains(d.frame(), "[o]") {
		t.Fatal("the last line is on the screen: the test says nothing")
	}
	d.keys("o")
	if len(d.m.d.Job.Checks) != 0 {
		t.Errorf("%+v", d.m.d.Job.Checks)
	}
	d.keys("end o")
	if len(d.m.d.Job.Checks) != 1 {
		t.Errorf("%+v", d.m.d.Job.Checks)
	}
}

func TestChangedJobDropsWhatNoLongerHolds(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	ids := func() []string {
		var out []string
		for _, c := range d.m.d.Job.Checks {
			out = append(out, c.ID)
		}
		return out
	}
	if len(ids()) != 9 {
		t.Fatalf("%v", ids())
	}
	// Another current: what rests on the process goes, the rest stays.
	d.go_(processStage)
	d.at("process.amps").keys("right")
	if got, want := strings.Join(ids(), " "), "clamp earth people fire fume dry"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	d.shows("3 confirmations taken back")
	// Another plate: what rests on the stock goes too.
	d.go_(stockStage)
	d.set("stock.width", "600")
	if got, want := strings.Join(ids(), " "), "people fire dry"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	// Another program: the dry run is to be watched again.
	d.set("name", "another")
	if got, want := strings.Join(ids(), " "), "people fire"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	if d.m.shut() == "" {
		t.Error("may be saved")
	}
}

func TestConfirmationsComeBackWithASavedJob(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	j := cloneJob(d.m.d.Job)
	e := &fake{jobs: map[string]job.Job{"/shop/hinge.toml": j}}
	d = start(t, 80, 24, func(s *Session) { s.Engine, s.Paths = e, []string{"/shop/hinge.toml"} })
	if len(d.m.d.Job.Checks) != 9 || d.m.shut() != "" || d.m.d.Operator.String() != "J. Berg" {
		t.Errorf("%d confirmations, shut: %q, operator %q", len(d.m.d.Job.Checks), d.m.shut(), d.m.d.Operator)
	}
}

func TestSaveWritesAndSaysWhatIsNext(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	d.at("save").keys("enter")
	if got := d.eng.saved["/shop/hinge"]; !samePlan(got, d.m.d.Job) || len(got.Checks) != 9 {
		t.Errorf("%+v", got)
	}
	d.shows("saved: 3 files in /shop")
	d.shows("/shop/hinge-dry.nc")
	d.shows("Load hinge-dry.nc")
	d.keys("enter")
	if d.eng.count("save") != 1 {
		t.Error("saved again though nothing changed")
	}
	d.keys("q")
	if !d.quit || len(d.m.outcome.Saved) != 3 {
		t.Errorf("quit %v, %+v", d.quit, d.m.outcome)
	}
}

func TestSaveThatFailsLosesNothing(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	d.eng.saveErr = errors.New("no space left on device")
	d.go_(saveStage)
	d.at("save").keys("enter")
	d.shows("not saved: no space left on device")
	if d.m.d.Saved {
		t.Error("counts as saved")
	}
	d.eng.saveErr = nil
	d.keys("enter")
	if !d.m.d.Saved {
		t.Error("cannot be saved afterwards")
	}
}

func TestFilesOfOthersAreReplacedOnlyWhenAskedTwice(t *testing.T) {
	d := start(t, 80, 24)
	d.eng.exists = map[string]bool{filepath.Join("/shop", "hinge.nc"): true}
	d.eng.saved = map[string]job.Job{}
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	d.shows("is there already")
	d.at("save").keys("enter")
	if d.eng.count("save") != 0 {
		t.Fatal("replaced at once")
	}
	d.shows("Enter again replaces")
	d.set("name", "hinge-2")
	d.shows("hinge-2.nc")
	d.at("save").keys("enter")
	if d.eng.count("save") != 1 {
		t.Error("a new name needs no second word")
	}
	d.set("name", "hinge")
	d.at("save").keys("enter enter")
	if d.eng.count("save") != 2 {
		t.Errorf("saved %d times", d.eng.count("save"))
	}
}

func TestProofThatFailsKeepsTheDoorShut(t *testing.T) {
	e := &fake{badDry: true}
	d := start(t, 80, 24, func(s *Session) { s.Engine = e })
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	if !d.has(saveStage, "proof-dry") {
		t.Errorf("%+v", d.m.blocks)
	}
	d.at("save").keys("enter")
	if e.count("save") != 0 {
		t.Error("saved without proof")
	}
}

func TestPlanErrorPointsAtItsFeature(t *testing.T) {
	e := &fake{badPlan: fault.List{{Severity: fault.Error, Where: fault.Where{Feature: "p1.h2"}, What: "swallowed by 0.2 mm", Do: "Drill it."},
		{Severity: fault.Error, Where: fault.Where{Feature: "p1#3.h3"}, What: "no room for a lead", Do: "Move it."}}}
	d := start(t, 80, 24, func(s *Session) { s.Engine = e })
	d.stock()
	d.process()
	if !d.has(featureStage, "f:p1.h2") || !d.has(featureStage, "f:p1.h3") {
		t.Errorf("%+v", d.m.blocks)
	}
	d.go_(featureStage)
	d.at("f:p1.h2")
	d.shows("swallowed by 0.2 mm. Drill it.")
}

func TestLeavingAsksOnlyWhenWorkWouldBeLost(t *testing.T) {
	d := start(t, 80, 24)
	d.keys("q")
	if !d.quit {
		t.Error("an empty job is asked about")
	}
	for _, c := range []struct {
		name  string
		keys  string
		quits bool
		keeps bool
	}{
		{"enter keeps the draft", "q enter", true, true},
		{"esc stays", "q esc esc", false, true},
		{"thrown away", "q down enter", true, false},
		{"ctrl+c asks too", "ctrl+c ctrl+c", false, true},
		{"ctrl+c in the middle of an edit", "enter 7 ctrl+c", false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, 80, 24)
			d.stock()
			d.at("stock.thickness").keys(c.keys)
			if d.quit != c.quits {
				t.Errorf("quit: %v", d.quit)
			}
			if got := exists(d.m.keep.path); got != c.keeps {
				t.Errorf("draft kept: %v", got)
			}
			if c.quits && c.keeps && d.m.outcome.Draft == "" {
				t.Error("the outcome does not name the draft")
			}
		})
	}
}

func TestBackAndForthLosesNothing(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	want := cloneJob(d.m.d.Job)
	for range 3 {
		d.go_(stockStage)
		d.go_(saveStage)
	}
	d.keys("tab tab shift+tab shift+tab shift+tab shift+tab shift+tab shift+tab")
	if !samePlan(want, d.m.d.Job) || len(d.m.d.Job.Checks) != len(want.Checks) {
		t.Error("the job changed")
	}
	if d.eng.count("plan") > 4 {
		t.Errorf("planned %d times", d.eng.count("plan"))
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
