package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner"
)

// The operator asks for shared edges on the layout page, sees how many there
// are and lays them over the plate view.
func TestEdgesAreSharedFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeafStock(d)
	d.go_(stockStage)
	d.at("typed").keys("enter")
	d.pick("rectangle")
	d.set("drawings.shape.width", "120")
	d.set("drawings.shape.height", "60")
	d.set("add-hole", "25 30 16")
	d.keys("esc")
	d.at("layout").keys("enter")
	d.set("wanted0", "6")
	d.at("share").keys("enter")
	if !d.m.d.Job.Layout.Share {
		t.Fatal("it is not asked for")
	}
	look := func(name string) {
		for _, s := range [][2]int{{80, 24}, {200, 60}} {
			d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
			t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
		}
		d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	}
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
	d, _ := shopFloor(t, 80, 24)
	setUpLeafStock(d)
	d.go_(stockStage)
	d.at("typed").keys("enter")
	d.pick("rectangle")
	d.set("drawings.shape.width", "120")
	d.set("drawings.shape.height", "60")
	d.keys("esc")
	d.at("layout").keys("enter")
	d.at("share").keys("enter")
	d.at(partID(0)).keys("c")
	if p := d.m.res.prog; p == nil || p.Plan.Shared == nil || p.Plan.Shared.Edges != 1 {
		t.Errorf("%+v: %v", d.m.d.Job.Layout.Places, d.m.res.told)
	}
}
