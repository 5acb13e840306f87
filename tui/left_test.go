package tui

import (
	"math"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
)

// The operator trims the plate, saves, and puts what is left in the rack; the
// next job finds it there, a rectangle.
func TestWhatIsLeftGoesToTheRackFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	d.at("layout").keys("enter")
	d.set("wanted0", "1")
	d.at("trim").keys("right")
	d.keys("esc")
	d.go_(checkStage)
	for _, it := range d.m.res.items { // what the trim has made void
		if _, ok := d.m.confirmed(it); !ok {
			d.at("item:" + it.ID).keys("space")
		}
	}
	d.go_(saveStage)
	if len(d.m.leftRows()) > 0 {
		t.Error("offered before anything is saved")
	}
	d.set("name", "leaf")
	d.at("save").keys("enter")
	if s := d.m.shut(); s != "" || !d.m.d.Saved {
		t.Fatalf("shut: %s", s)
	}
	d.at("left").keys("up down") // takes the message away, in which a folder stands
	// A larger screen would show the folder, which is another one every time.
	t.Run("offered", func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
	d.set("left", "R7")
	d.shows("in the rack: R7")
	all := RealEngine().(nesting).Offcuts(job.Stock{Material: d.m.d.Job.Stock.Material, Thickness: 6})
	if len(all) != 1 || all[0].Name != "R7" {
		t.Fatalf("%+v", all)
	}
	at, _ := d.m.res.prog.TrimAt()
	outline := all[0].Stock.Outline
	if len(outline) != 1 || len(outline[0]) != 4 {
		t.Fatalf("%+v is no rectangle", outline)
	}
	area := 0.0
	for i, p := range outline[0] {
		q := outline[0][(i+1)%4]
		area += (p.X*q.Y - p.Y*q.X) / 2
	}
	// By hand: from half a kerf past the line to the far edge of 600 x 300.
	if want := (600 - at.X - d.m.d.Job.Process.Kerf/2) * 300; math.Abs(math.Abs(area)-want) > 1 {
		t.Errorf("%.1f mm2, by hand %.1f", area, want)
	}
}
