package tui

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// A clock that was wrong when a recovery file was written, or is wrong now,
// hides none and breaks none: each is offered with the time it says, and
// taken up as it was.
func TestDraftsOfAWrongClockAreOfferedLikeAnyOther(t *testing.T) {
	dir := t.TempDir()
	names := map[string]string{ // when the clock said it was
		"of the future":     "2099-12-31T23:59:59Z",
		"of before the PC":  "1970-01-01T00:00:03Z",
		"of this morning":   "2026-03-09T08:00:00+01:00",
		"of the last year":  "9999-12-31T23:59:59Z",
		"of another summer": "2026-03-09T08:00:00+14:00",
	}
	var open []*keeper
	for name, at := range names {
		k, err := newKeeper(dir, clockAt(at))
		if err != nil {
			t.Fatal(err)
		}
		j := fullJob()
		j.Name = plain.Of(name)
		if _, err := k.write(&Draft{Gen: 1, Job: j, Name: name}); err != nil {
			t.Fatal(err)
		}
		open = append(open, k)
	}
	for _, k := range open {
		k.close()
	}
	// One whose time is none: the file's own time stands for it.
	text, err := os.ReadFile(open[0].path)
	if err != nil {
		t.Fatal(err)
	}
	var v map[string]any
	json.Unmarshal(text, &v)
	v["At"], v["Name"] = "yesterday", "of no time"
	text, _ = json.Marshal(v)
	if err := os.WriteFile(filepath.Join(dir, "draft-90.json"), text, 0o600); err != nil {
		t.Fatal(err)
	}
	copies, err := os.ReadFile(copiesFile(open[0].path))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(copiesFile(filepath.Join(dir, "draft-90.json")), copies, 0o600); err != nil {
		t.Fatal(err)
	}
	found := find(dir)
	if len(found) != len(names)+1 {
		t.Fatalf("%d of %d are offered", len(found), len(names)+1)
	}
	for i, f := range found {
		if f.Err != nil || f.Draft == nil {
			t.Errorf("%s: %v", f.Path, f.Err)
			continue
		}
		if i > 0 && f.At.After(found[i-1].At) {
			t.Errorf("%v comes after %v: not the newest first", f.At, found[i-1].At)
		}
		want := fullJob()
		if want.Name = f.Draft.Job.Name; !reflect.DeepEqual(f.Draft.Job, want) {
			t.Errorf("%s came back as another job", f.Draft.Name)
		}
	}
	d := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
	for name := range names {
		d.shows(name)
	}
	d.shows("2099-12-31 23:59")
	d.at(open[0].path).keys("enter")
	if !d.m.d.worth() {
		t.Error("it is not taken up")
	}
}

// Jobs opened while the clock was wrong stand where they were opened, the last
// one first, and none is dropped for its date.
func TestRecentJobsOfAWrongClockStayInTheOrderOfUse(t *testing.T) {
	dir, state := t.TempDir(), t.TempDir()
	times := []string{"2026-03-09T08:00:00Z", "2099-01-01T00:00:00Z", "1970-01-01T00:00:00Z", "2026-03-08T08:00:00Z"}
	for i, s := range times {
		at, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, fmt.Sprintf("gate%d.toml", i))
		if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := noteRecent(state, recentJob{Path: path, Name: fmt.Sprintf("gate %d", i), Material: "mild-steel", Thickness: 6, At: at}); err != nil {
			t.Fatal(err)
		}
	}
	got := readRecent(state)
	for i, r := range got {
		if want := fmt.Sprintf("gate %d", len(times)-1-i); r.Name != want || len(got) != len(times) {
			t.Errorf("place %d of %d: %s, want %s", i, len(got), r.Name, want)
		}
	}
	d := start(t, 80, 24, func(s *Session) { s.Dir, s.StateDir = dir, state })
	for i := range times {
		d.shows(fmt.Sprintf("gate %d", i))
	}
	if f := d.frame(); !strings.Contains(f, "Jan 2099") || !strings.Contains(f, "Jan 1970") {
		t.Errorf("the dates as said are not shown:\n%s", f)
	}
}

// Entries of the cut log that were written while the clock was wrong count
// like any other: what a set of consumables has behind it is the sum of its
// runs, whenever they say they were.
func TestLogOfAWrongClockCountsAllRuns(t *testing.T) {
	s := presets.OpenStore(t.TempDir())
	fit := func(name, at string) {
		if err := s.FitSet(presets.Set{Name: plain.Of(name), Fitted: at}, presets.SetWorn); err != nil {
			t.Fatal(err)
		}
	}
	fit("set 1", "2099-05-01T08:00:00Z") // the clock ran ahead
	fit("set 2", "2026-05-02T08:00:00Z") // and was put right
	times := []string{"2099-05-01T09:00:00Z", "2026-05-02T09:00:00Z", "1970-01-01T00:00:01Z", "2026-05-02T09:00:00Z", "2026-05-02T11:00:00+02:00"}
	ids := map[string]bool{}
	for i, at := range times {
		r, err := s.LogRun(presets.Run{At: at, Job: plain.Of("gates"), Kind: presets.LogJob, Set: plain.Of("set 2"), Starts: 1 << i, ArcOn: 60}, unit.MM)
		if err != nil || ids[r.ID] {
			t.Fatalf("%s: %v, %q", at, err, r.ID)
		}
		ids[r.ID] = true
	}
	runs, faults := s.Runs()
	if len(runs) != len(times) || len(faults) > 0 {
		t.Fatalf("%d of %d runs: %v", len(runs), len(times), faults)
	}
	for i, r := range runs[1:] {
		a, _ := time.Parse(time.RFC3339, runs[i].At)
		b, _ := time.Parse(time.RFC3339, r.At)
		if b.Before(a) {
			t.Errorf("%s stands after %s", r.At, runs[i].At)
		}
	}
	sets, faults := s.Sets()
	if faults.Bad() {
		t.Fatal(faults)
	}
	set, ok := presets.Fitted(sets)
	if !ok || set.Name.String() != "set 2" {
		t.Errorf("on the torch: %+v", set)
	}
	if w := presets.WearOf(set, runs); w.Starts != 31 || w.ArcOn != 300 {
		t.Errorf("%+v, want all five runs", w)
	}
}
