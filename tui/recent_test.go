package tui

import (
	"os"
	"path/filepath"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/presets"
)

// A job that was opened is offered on the first screen of the next start, with
// metal and time; Enter opens it; one that is gone from the disk is offered no
// more; a damaged list is an empty one.
func TestRecentJobsAreOfferedOnTheFirstScreen(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir, state := t.TempDir(), t.TempDir()
	text, drawings := presets.Demo()
	path := filepath.Join(dir, presets.DemoJob)
	for name, data := range drawings {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	begin := func(paths ...string) *driver {
		return start(t, 80, 24, func(s *Session) { s.Engine, s.Dir, s.StateDir, s.Paths = RealEngine(), dir, state, paths })
	}
	first := begin()
	first.lacks("recent jobs")
	first.run(first.m.open(path))
	if b, err := os.ReadFile(recentFile(state)); err != nil {
		t.Fatal(string(b), err, first.frame())
	}
	first.m.Close()
	d := begin()
	d.shows("recent jobs")
	d.shows("mild-steel")
	d.at("name") // the name of the test's folder is no part of the frame
	for _, s := range [][2]int{{80, 24}, {200, 60}} {
		d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
		t.Run("first", func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
	}
	d.at("recent0").keys("enter")
	if d.m.opened != path {
		t.Errorf("opened %q", d.m.opened)
	}
	d.lacks("recent jobs")
	d.m.Close()
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	gone := begin()
	gone.lacks("recent jobs")
	gone.m.Close()
	if err := os.WriteFile(recentFile(state), []byte("[{]"), 0o600); err != nil {
		t.Fatal(err)
	}
	begin().lacks("recent jobs")
}
