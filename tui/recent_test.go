package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/plain"
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

// A recent job is told in full at 80 columns, also with a long name, the
// longest metal and thickness, and blanks half cut; the explanation has the
// time to the minute.
func TestRecentJobFitsItsRow(t *testing.T) {
	for _, c := range []struct {
		r     recentJob
		shows string
	}{
		{recentJob{Name: "Gate strap hinge for the long gates", Material: "mild-steel", Thickness: 12.75, At: time.Date(2026, 1, 28, 9, 30, 0, 0, time.UTC)}, "mild-steel 12.75 mm, 28 Jan"},
		{recentJob{Name: "Lug", Material: "aluminium", Thickness: 6, At: time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)}, "aluminium 6 mm, today"},
		{recentJob{Name: "Lug", Material: "stainless", Thickness: 6, At: time.Date(2024, 12, 9, 10, 0, 0, 0, time.UTC)}, "stainless 6 mm, Dec 2024"},
		{recentJob{Name: "Lug", Material: "stainless", Thickness: 6, Pieces: 8, runs: 3, At: time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)}, "stainless 6 mm, 24 cut, today"},
		{recentJob{Name: "Lug", Material: "stainless", Thickness: 6, Pieces: 8, At: time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)}, "stainless 6 mm, today"},
		{recentJob{Name: "Lug", Material: "aluminium", Thickness: 3, Done: 3, Of: 9, At: time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)}, "aluminium 3 mm, 3 of 9 cut, today"},
		{recentJob{Name: "Drawbar plate from sawn flat", Material: "mild-steel", Thickness: 12, Done: 113, Of: 240}, "mild-steel 12 mm, 113 of 240 cut"},
	} {
		d := start(t, 80, 24, func(s *Session) { s.Engine = &fake{} })
		d.m.recent = []recentJob{c.r}
		d.at("recent0")
		for _, l := range strings.Split(d.frame(), "\n") {
			if left, _, ok := strings.Cut(l, "│"); ok && strings.Contains(left, string(c.r.Material)) {
				if _, after, _ := strings.Cut(left, string(c.r.Material)); strings.Contains(after, "…") || !strings.Contains(left, c.shows) {
					t.Errorf("%q, want %q", left, c.shows)
				}
			}
		}
		d.shows(c.shows)
		d.shows(c.r.At.Format("2006-01-02 15:04"))
	}
}

// TestPiecesOfPlatesAreCountedFromTheCutLog: of a job on plates nobody keeps a
// count but the log of its runs.
func TestPiecesOfPlatesAreCountedFromTheCutLog(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	_, dir := savedLeaf(t)
	path, state := filepath.Join(dir, "leaf.toml"), t.TempDir()
	begin := func(given ...string) *driver {
		return start(t, 80, 24, func(s *Session) { s.Engine, s.Dir, s.StateDir, s.Paths = RealEngine(), dir, state, given })
	}
	d := begin(path)
	j := d.m.d.Job
	pieces := 0
	for _, dr := range j.Drawings {
		pieces += max(1, dr.Quantity)
	}
	again := begin()
	again.at("recent0")
	again.shows(count(pieces, "piece") + " a run, none in the cut log")
	store, err := again.m.eng.Shop()
	if err != nil {
		t.Fatal(err)
	}
	for n := range 3 {
		r := presets.RunOf(j, d.m.res.tree, 12, 100)
		r.At, r.By = fmt.Sprintf("2026-03-0%dT10:00:00Z", n+1), plain.Of("J. Berg")
		if n == 2 {
			r.Thickness = 8 // another job of that name
		}
		if _, err := store.LogRun(r, j.Units); err != nil {
			t.Fatal(err)
		}
	}
	again = begin()
	again.at("recent0")
	again.shows(fmt.Sprintf("%d cut", 2*pieces))
	again.shows("2 runs of " + count(pieces, "piece") + " in the cut log")
}
