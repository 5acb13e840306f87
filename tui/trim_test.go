package tui

import (
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
)

// The operator has the skeleton cut off, sees where, types another place, and
// is told of one that goes through a part.
func TestPlateIsTrimmedFromTheWizard(t *testing.T) {
	d := withBrace(t)
	d.keys("esc")
	d.at("layout").keys("enter")
	d.set("wanted0", "3")
	d.at("trim").keys("right")
	if got := d.m.d.Job.Layout.Trim; got != job.TrimX {
		t.Fatalf("trim is %q", got)
	}
	look := inBothSizes(t, d)
	p := d.m.res.prog
	if p == nil || p.Trimmed(d.m.d.Job.Units) == "" {
		t.Fatalf("no trim: %v", d.m.res.told)
	}
	look("past-the-parts")
	d.set("layout.trim_x", "480")
	if got := d.m.res.prog.Trimmed(d.m.d.Job.Units); got != "X 480 mm" {
		t.Errorf("typed 480: %q", got)
	}
	found := false
	for _, k := range planner.Checks(d.m.d.Job, d.m.res.prog, nil) {
		found = found || k.ID == "trim" && k.Do != "" && k.Figure == "X 480 mm"
	}
	if !found {
		t.Error("no check says what to watch")
	}
	d.set("layout.trim_x", "200")
	look("through-a-part")
	d.keys("u esc v")
	look("plate")
}
