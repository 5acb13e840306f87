package tui

import (
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
)

// TestFramesOfOpening: what a person sees when a job cannot be opened, when a
// lost sitting left a draft, when the world changed since the job was saved,
// and the fixture's pockets.
func TestFramesOfOpening(t *testing.T) {
	for _, c := range []struct {
		name  string
		w, h  int
		ascii bool
	}{{"80x24", 80, 24, false}, {"120x40", 120, 40, false}, {"80x24-ascii", 80, 24, true}} {
		t.Run(c.name, func(t *testing.T) {
			look := func(d *driver, name string) {
				t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
			}
			look(start(t, c.w, c.h, func(s *Session) { s.ASCII, s.Paths = c.ascii, []string{"/shop/bad.toml"} }), "broken")

			dir := t.TempDir()
			lost := start(t, c.w, c.h, func(s *Session) { s.StateDir = dir })
			lost.stock()
			lost.m.keep.lock.Close() // as the system does when the process is gone
			look(start(t, c.w, c.h, func(s *Session) { s.ASCII, s.StateDir = c.ascii, dir }), "found")

			d := start(t, c.w, c.h, func(s *Session) { s.ASCII = c.ascii })
			d.stock()
			d.at("stock.hold").keys("right")
			d.at("fixture").keys("enter")
			d.at("add").keys("enter")
			d.set("pocket0", "12.5 40")
			d.at("add").keys("enter")
			d.set("pocket1", "12.5, 140mm")
			look(d, "fixture")

			d = start(t, c.w, c.h, withFiles, func(s *Session) { s.ASCII = c.ascii })
			d.stock()
			d.process()
			j := cloneJob(d.m.d.Job)
			d = start(t, c.w, c.h, withFiles, func(s *Session) { s.ASCII = c.ascii })
			d.eng.jobs = map[string]job.Job{"/shop/hinge.toml": j}
			d.eng.since = []Since{
				{ID: "drawing0", What: "drawing hinge.dxf", State: Changed, Text: "another file now: look at every feature", stage: stockStage, row: drawingID(0)},
				{ID: "preset", What: "preset", State: Same, stage: processStage, row: "preset"},
				{ID: "profile", What: "machine profile", State: NotKnown, Text: "the shop has no profile of that name", stage: stockStage, row: "machine"},
			}
			d.at("add").keys("enter")
			d.at("e2hinge.toml").keys("enter")
			look(d, "since")
		})
	}
}
