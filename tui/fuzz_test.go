package tui

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// FuzzDraftFile: whatever lies in the state folder, the wizard starts, offers
// it or says why not, and every stage of what was taken up can be drawn.
func FuzzDraftFile(f *testing.F) {
	full, err := json.Marshal(kept{Version: keepVersion, At: "2026-03-09T14:05:00+01:00", Dir: "/shop", Name: "leaf", Job: fullJob()})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(full)
	f.Add([]byte(`{"Version":1,"Stage":99,"Job":{"Drawings":[{"File":"hinge.dxf","Units":7,"Layers":[{"Name":"CUT","Use":"paint"}]}],"Units":5,"Stock":{"Material":"cheese","Thickness":-3,"Hold":"hope"}}}`))
	f.Add([]byte(`{"Version":1,"Job":{"Drawings":[{"Shape":{"Kind":"spoon","Values":[{"Field":"none","Value":1e308}]}}],"Stock":{"Hold":"blank","Fixture":{"Pockets":[{"X":1e9,"Y":-1e9}]}}}}`))
	f.Add([]byte(`{"Version":1,"Stage":-1,"Job":{"Overrides":[{"Feature":"p9.h9","Kind":"\u001b[2J"}],"Process":{"Feed":1e300}}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "draft-01.json"), text, 0o600); err != nil {
			t.Skip(err)
		}
		d := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
		fits(t, d.frame(), 80, 24)
		d.keys("enter")
		if d.m.top().id() == "found" { // it cannot be taken up
			return
		}
		for s := range stages {
			d.m.setStage(s)
			for _, k := range []string{"down", "enter", "down", "esc", "right", "pgdown"} {
				d.keys(k)
				fits(t, d.frame(), 80, 24)
			}
			d.keys("esc esc t")
			fits(t, d.frame(), 80, 24)
			d.send(tea.KeyMsg{Type: tea.KeyEscape})
		}
		d.m.Close()
	})
}
