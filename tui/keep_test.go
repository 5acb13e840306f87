package tui

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

func clockAt(s string) func() time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return func() time.Time { return t }
}

func keeperIn(t *testing.T, dir string) *keeper {
	t.Helper()
	k, err := newKeeper(dir, clockAt("2026-03-09T14:05:00+01:00"))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestDraftComesBackAsItWas(t *testing.T) {
	dir := t.TempDir()
	k := keeperIn(t, dir)
	d := &Draft{Gen: 3, Job: fullJob(), Dir: "/shop", Name: "leaf", Operator: plain.Of("J. Berg"), Stage: 2}
	if _, err := k.write(d); err != nil {
		t.Fatal(err)
	}
	if got := find(dir); len(got) != 0 {
		t.Errorf("offered while its wizard lives: %+v", got)
	}
	k.close()
	got := find(dir)
	if len(got) != 1 || got[0].Err != nil {
		t.Fatalf("%+v", got)
	}
	want := *d
	want.Gen = 0
	if !reflect.DeepEqual(*got[0].Draft, want) {
		t.Errorf("came back as\n%+v\nwas\n%+v", *got[0].Draft, want)
	}
	if !got[0].At.Equal(k.now()) {
		t.Errorf("at %v", got[0].At)
	}
}

func TestTwoWizardsKeepTwoDrafts(t *testing.T) {
	dir := t.TempDir()
	a, b := keeperIn(t, dir), keeperIn(t, dir)
	if a.path == b.path {
		t.Fatal("both write", a.path)
	}
	a.write(&Draft{Gen: 1, Job: job.Job{Name: plain.Of("a")}})
	a.close()
	c := keeperIn(t, dir) // must not take a's place: its draft lies there
	if c.path == a.path {
		t.Error("a draft left behind would be overwritten")
	}
}

func TestOlderDraftNeverReplacesNewer(t *testing.T) {
	dir := t.TempDir()
	k := keeperIn(t, dir)
	k.write(&Draft{Gen: 5, Name: "new", Job: job.Job{Name: plain.Of("x")}})
	k.write(&Draft{Gen: 4, Name: "old", Job: job.Job{Name: plain.Of("x")}})
	if d, _, err := readKept(k.path); err != nil || d.Name != "new" {
		t.Errorf("%+v %v", d, err)
	}
	k.forget(6)
	k.write(&Draft{Gen: 6, Name: "late", Job: job.Job{Name: plain.Of("x")}})
	if _, err := os.Stat(k.path); err == nil {
		t.Error("a write that came late brought a dropped draft back")
	}
}

func TestDamagedDraftsAreToldNotUsed(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"half a file", `{"Version": 1, "Job": {`, "damaged"},
		{"not ours", "hello", "damaged"},
		{"newer program", `{"Version": 2}`, "another version"},
		{"a field we do not know", `{"Version": 1, "Colour": "red"}`, "damaged"},
		{"wrong type", `{"Version": 1, "Job": {"Stock": {"Thickness": "six"}}}`, "damaged"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "draft-01.json")
			os.WriteFile(path, []byte(c.text), 0o600)
			got := find(dir)
			if len(got) != 1 || got[0].Err == nil || !strings.Contains(got[0].Err.Error(), c.want) {
				t.Fatalf("%+v", got)
			}
			d := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
			d.shows("cannot be read")
			d.keys("enter")
			if d.m.d.worth() {
				t.Error("a damaged draft was taken up")
			}
			d.keys("d")
			if _, err := os.Stat(path); err == nil {
				t.Error("d did not throw it away")
			}
		})
	}
}

// TestLostConnectionLosesNothing: the wizard dies without a word; the next one
// offers all that was done.
func TestLostConnectionLosesNothing(t *testing.T) {
	dir := t.TempDir()
	a := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
	a.stock()
	a.process()
	want := cloneJob(a.m.d.Job)
	a.m.keep.lock.Close() // what the system does when a process is killed

	b := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
	b.shows("drafts left behind")
	b.shows("gate hinge leaf")
	b.keys("enter")
	if !reflect.DeepEqual(b.m.d.Job, want) {
		t.Errorf("came back as\n%+v\nwas\n%+v", b.m.d.Job, want)
	}
	if b.m.d.Stage != int(processStage) {
		t.Errorf("came back on stage %d", b.m.d.Stage)
	}
	if _, err := os.Stat(a.m.keep.path); err == nil {
		t.Error("the draft taken up is still offered")
	}
	if _, err := os.Stat(b.m.keep.path); err != nil {
		t.Error("the draft taken up is not kept by the new wizard:", err)
	}
}

func TestDraftLeftForLaterStays(t *testing.T) {
	dir := t.TempDir()
	a := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
	a.stock()
	a.m.keep.lock.Close()
	b := start(t, 80, 24, func(s *Session) { s.StateDir = dir })
	b.keys("esc")
	b.lacks("drafts left behind")
	if _, err := os.Stat(a.m.keep.path); err != nil {
		t.Error("the draft is gone")
	}
}

// TestSignalWritesTheDraft: main calls Keep from its own goroutine when a
// signal arrives.
func TestSignalWritesTheDraft(t *testing.T) {
	dir := t.TempDir()
	h := &Holder{}
	d := start(t, 80, 24, func(s *Session) { s.StateDir, s.Holder = dir, h })
	if path, err := h.Keep(); path != "" || err != nil {
		t.Errorf("an empty job was kept: %q %v", path, err)
	}
	d.quiet = true // the wizard's own writes do not run
	d.stock()
	done := make(chan string)
	go func() {
		path, err := h.Keep()
		if err != nil {
			t.Error(err)
		}
		done <- path
	}()
	path := <-done
	kept, _, err := readKept(path)
	if err != nil || kept.Job.Name.String() != "gate hinge leaf" {
		t.Errorf("%+v %v", kept, err)
	}
}

func TestSavedWorkLeavesNoDraft(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	if _, err := os.Stat(d.m.keep.path); err != nil {
		t.Fatal("no draft while nothing is saved:", err)
	}
	d.go_(saveStage)
	d.at("save").keys("enter")
	if _, err := os.Stat(d.m.keep.path); err == nil {
		t.Error("a draft of saved work is left")
	}
	if path, _ := d.m.holder.Keep(); path != "" {
		t.Error("saved work was kept as a draft")
	}
	d.set("name", "other")
	if _, err := os.Stat(d.m.keep.path); err != nil {
		t.Error("an edit after the save is not kept:", err)
	}
}

func TestNoPlaceForDraftsIsTold(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	os.WriteFile(file, nil, 0o600)
	d := start(t, 80, 24, func(s *Session) { s.StateDir = filepath.Join(file, "state") })
	d.shows("no draft can be kept")
	d.stock()
	d.keys("q")
	d.shows("not possible")
	d.at("keep").keys("enter")
	if d.quit {
		t.Error("left as if a draft had been kept")
	}
}

func TestStateDirIsXDG(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", "/var/shop")
	if d, _ := StateDir(); d != "/var/shop/kerfwright" {
		t.Error(d)
	}
	// A relative path is to be ignored (XDG Base Directory Specification).
	t.Setenv("XDG_STATE_HOME", "state")
	t.Setenv("HOME", "/home/berg")
	if d, _ := StateDir(); d != "/home/berg/.local/state/kerfwright" {
		t.Error(d)
	}
}
