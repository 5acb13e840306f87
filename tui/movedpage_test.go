package tui

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
)

// The drawing that a saved job was made with has changed: what moved is shown
// with figures and places, and the operator stays with the copy, or takes the
// file and finds the edits on the features that they were meant for.
func TestWhatMovedInAChangedDrawingIsShownAndChosen(t *testing.T) {
	for _, c := range []struct {
		name  string
		ascii bool
	}{{"utf8", false}, {"ascii", true}} {
		t.Run(c.name, func(t *testing.T) {
			_, dir := savedLeaf(t)
			dxf := filepath.Join(dir, "hinge-leaf.dxf")
			text, err := os.ReadFile(dxf)
			if err != nil {
				t.Fatal(err)
			}
			// The hole at X 100 is taken out, the one at X 240 is made wider and moved.
			changed := bytes.Replace(text, []byte("  0\nCIRCLE\n  8\nCUT\n 10\n100.000\n 20\n30.000\n 40\n6.750\n"), nil, 1)
			changed = bytes.Replace(changed, []byte("240.000\n 20\n30.000\n 40\n6.750\n"), []byte("236.000\n 20\n30.000\n 40\n8.000\n"), 1)
			if len(changed) > len(text)-40 || !bytes.Contains(changed, []byte("236.000")) {
				t.Fatal("the drawing is not the one that this test knows")
			}
			if err := os.WriteFile(dxf, changed, 0o600); err != nil {
				t.Fatal(err)
			}
			d := start(t, 80, 24, func(s *Session) {
				s.Engine, s.Dir, s.Paths, s.ASCII = RealEngine(), dir, []string{filepath.Join(dir, "leaf.toml")}, c.ascii
			})
			before := string(d.m.res.prog.Text)
			d.run(d.m.change(func(d *Draft) {
				d.Job.Edits = []job.Edit{{Do: job.EditDiameter, On: "p1.h1", Diameter: 12}, {Do: job.EditMove, On: "p1.h3", X: 1}, {Do: job.EditDiameter, On: "p1.h4", Diameter: 15}}
			}))
			d.keys("esc")
			d.go_(stockStage)
			d.at(drawingID(0)).keys("enter")
			d.at("take").keys("enter")
			for _, s := range [][2]int{{80, 24}, {200, 60}} {
				d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
				t.Run("moved", func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
			}
			d.shows("p1.h1 is gone: hole 13.5 mm at X 100 mm Y 30 mm")
			d.shows("edit 1, p1.h1 diameter 12 mm, no longer holds: p1.h1 is gone")
			d.at("stay").keys("enter")
			if len(d.m.d.Job.Edits) != 3 || d.m.d.Job.Drawings[0].SHA256 == "" {
				t.Fatal("stay takes the file")
			}
			d.at("take").keys("enter")
			d.at("take").keys("enter")
			e := d.m.d.Job.Edits
			if d.m.d.Stage != int(featureStage) || len(e) != 2 || e[0].On != "p1.h2" || e[1].On != "p1.h3" {
				t.Fatalf("stage %d, %+v", d.m.d.Stage, e)
			}
			if f := d.m.res.tree.Features[d.m.featureIndex("p1.h3")]; f.Diameter != 15 || f.Center.X != 236 {
				t.Errorf("the edit is on %+v", f)
			}
			if p := d.m.res.prog; p == nil || !p.Verdict.OK {
				t.Errorf("%v", d.m.res.told)
			}
			d.keys("u u")
			if p := d.m.res.prog; p == nil || string(p.Text) != before || d.m.d.Job.Drawings[0].SHA256 == "" {
				t.Error("taken back, the copy is not cut again")
			}
		})
	}
}
