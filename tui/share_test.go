package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner"
)

// withBrace is a shop that cuts a brace of 120 by 60 mm, typed as a rectangle;
// its page is open.
func withBrace(t *testing.T) *driver {
	d, _ := shopFloor(t, 80, 24)
	setUpLeafStock(d)
	d.go_(stockStage)
	d.at("typed").keys("enter")
	d.pick("rectangle")
	d.set("drawings.shape.width", "120")
	d.set("drawings.shape.height", "60")
	return d
}

// The operator asks for shared edges on the layout page, sees how many there
// are and lays them over the plate view.
func TestEdgesAreSharedFromTheWizard(t *testing.T) {
	d := withBrace(t)
	d.set("add-hole", "25 30 16")
	d.keys("esc")
	d.at("layout").keys("enter")
	d.set("wanted0", "6")
	d.at("share").keys("enter")
	if !d.m.d.Job.Layout.Share {
		t.Fatal("it is not asked for")
	}
	look := inBothSizes(t, d)
	p := d.m.res.prog
	if p == nil {
		t.Fatal(d.m.res.told)
	}
	look("asked")
	d.set("layout.share_from", "30")
	if d.m.d.Job.Layout.ShareFrom != 30 {
		t.Errorf("%+v", d.m.d.Job.Layout)
	}
	if p.Plan.Shared == nil {
		t.Fatalf("nothing is shared: %v", d.m.res.told)
	}
	found := false
	for _, k := range planner.Checks(d.m.d.Job, p, nil) {
		found = found || k.ID == "shared" && strings.Contains(k.Do, "tips")
	}
	if !found {
		t.Error("no check says what to watch")
	}
	d.keys("esc v 8")
	look("layer")
}

// A copy laid beside a straight-sided part by hand lies one kerf off it, and
// shares its edge.
func TestCopyByHandSharesTheEdge(t *testing.T) {
	d := withBrace(t)
	d.keys("esc")
	d.at("layout").keys("enter")
	d.at("share").keys("enter")
	d.at(partID(0)).keys("c")
	if p := d.m.res.prog; p == nil || p.Plan.Shared == nil || p.Plan.Shared.Edges != 1 {
		t.Errorf("%+v: %v", d.m.d.Job.Layout.Places, d.m.res.told)
	}
}
