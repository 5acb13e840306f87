package tui

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
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
