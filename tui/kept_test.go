package tui

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
)

// largestCopy fills what a job may keep.
func largestCopy(t testing.TB) job.Kept {
	b := make([]byte, keep.MaxText/4*3-2000)
	rand.NewChaCha8([32]byte{1}).Read(b)
	k, err := keep.Pack("leaf.dxf", b)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// TestKeyDoesNotWriteTheCopiesAgain: they lie beside the draft from the first
// time, go with it, and come back with it.
func TestKeyDoesNotWriteTheCopiesAgain(t *testing.T) {
	dir := t.TempDir()
	k := keeperIn(t, dir)
	d := &Draft{Gen: 1, Job: fullJob(), Dir: "/shop", Name: "leaf"}
	d.Job.Kept = []job.Kept{largestCopy(t)}
	if _, err := k.write(d); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(copiesFile(k.path))
	if err != nil {
		t.Fatal(err)
	}
	next := d.edit(func(d *Draft) { d.Job.Name = plain.Of("another") })
	if _, err := k.write(next); err != nil {
		t.Fatal(err)
	}
	after, err := os.Stat(copiesFile(k.path))
	if err != nil || !os.SameFile(before, after) {
		t.Errorf("the copies were written again: %v", err)
	}
	if info, err := os.Stat(k.path); err != nil || info.Size() > 64<<10 {
		t.Errorf("the draft itself: %v bytes, %v", info.Size(), err)
	}
	if got, _, err := readKept(k.path); err != nil || len(got.Job.Kept) != 1 || got.Job.Kept[0] != d.Job.Kept[0] || got.Job.Name != next.Job.Name {
		t.Errorf("%v: the copies did not come back", err)
	}
	// Damaged or lost copies lose no draft.
	for _, text := range []string{"", "[{", "{}", "[1]"} {
		os.WriteFile(copiesFile(k.path), []byte(text), 0o600)
		if got, _, err := readKept(k.path); err != nil || got.Job.Kept != nil || got.Job.Name != next.Job.Name {
			t.Errorf("%q: %v", text, err)
		}
	}
	bare := next.edit(func(d *Draft) { d.Job.Kept = nil })
	if _, err := k.write(bare); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(copiesFile(k.path)); err == nil {
		t.Error("copies of another draft lie beside this one")
	}
	k.write(next.edit(func(d *Draft) { d.Gen++ }))
	if err := k.forget(99); err != nil {
		t.Fatal(err)
	}
	if names, _ := filepath.Glob(filepath.Join(dir, "draft-*[ns]")); len(names) > 0 {
		t.Errorf("left behind: %v", names)
	}
}

// TestJobMovedAloneOpensInTheWizard: no other file lies beside it.
func TestJobMovedAloneOpensInTheWizard(t *testing.T) {
	_, dir := savedLeaf(t)
	text, err := os.ReadFile(filepath.Join(dir, "leaf.toml"))
	if err != nil {
		t.Fatal(err)
	}
	state, alone := t.TempDir(), t.TempDir()
	path := filepath.Join(alone, "leaf.toml")
	os.WriteFile(path, text, 0o600)
	d := start(t, 80, 24, func(s *Session) { s.Engine, s.Dir, s.Paths, s.StateDir = RealEngine(), alone, []string{path}, state })
	if d.m.res.prog == nil || !d.m.res.prog.Verdict.OK {
		t.Fatalf("no plan: %v", d.m.res.told)
	}
	d.keys("t")
	d.shows("the copy kept in the job is used")
	d.keys("esc")
	// A change, and a crash: the draft that is taken up has the drawing too.
	d.m.back()
	d.go_(stockStage)
	d.run(d.m.change(func(d *Draft) { d.Job.Name = plain.Of("elsewhere") }))
	if _, err := d.m.keep.write(d.m.d); err != nil {
		t.Fatal(err)
	}
	d.m.keep.close()
	found := find(state)
	if len(found) != 1 || len(found[0].Draft.Job.Kept) != 1 {
		t.Fatalf("%+v", found)
	}
	// Saved there, it keeps its copy letter for letter.
	was := found[0].Draft.Job.Kept[0]
	d.m.d.Job.Checks = nil
	paths, told, err := d.m.eng.Save(t.Context(), alone, "again", d.m.d.Job, d.m.res.loops, d.m.res.prog)
	if err != nil || len(told) > 0 {
		t.Fatalf("%v %v", err, told)
	}
	j, _ := RealEngine().Open(paths[0])
	if len(j.Kept) != 1 || j.Kept[0] != was || j.Drawings[0].SHA256 != was.SHA256 {
		t.Errorf("%+v", j.Kept)
	}
}

// BenchmarkDraftBesideTheLargestCopy is what a key writes.
func BenchmarkDraftBesideTheLargestCopy(b *testing.B) {
	k, err := newKeeper(b.TempDir(), clockAt("2026-03-09T14:05:00+01:00"))
	if err != nil {
		b.Fatal(err)
	}
	d := &Draft{Job: fullJob(), Name: "leaf"}
	d.Job.Kept = []job.Kept{largestCopy(b)}
	for b.Loop() {
		d = d.edit(func(d *Draft) { d.Stage++ })
		if _, err := k.write(d); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkDraftWithTheLargestCopyInIt is what it would write if the copies
// lay in the draft.
func BenchmarkDraftWithTheLargestCopyInIt(b *testing.B) {
	d := &Draft{Job: fullJob(), Name: "leaf"}
	d.Job.Kept = []job.Kept{largestCopy(b)}
	path := filepath.Join(b.TempDir(), "draft.json")
	for b.Loop() {
		d = d.edit(func(d *Draft) { d.Stage++ })
		text, err := json.MarshalIndent(d.Job, "", " ")
		if err == nil {
			err = replace(path, text)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
