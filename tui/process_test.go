package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
)

func TestPresetIsTakenOnlyWhenAsked(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.go_(processStage)
	d.at("process.amps").keys("right")
	if p := d.m.d.Job.Process; p.Feed != 0 || p.Kerf != 0 || p.PierceDelay.Known {
		t.Fatalf("figures came by themselves: %+v", p)
	}
	d.at("preset")
	d.shows("Between 4 mm and 8 mm")
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
