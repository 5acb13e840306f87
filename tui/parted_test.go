package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
)

// TestPartedProgramIsListedSavedAndTakenUp: a controller that takes few lines,
// from the save page to a cut that is lost in the second program.
func TestPartedProgramIsListedSavedAndTakenUp(t *testing.T) {
	d, dir := shopFloor(t, 80, 60)
	setUpLeaf(d)
	d.run(d.m.change(func(dr *Draft) {
		dr.Job.Drawings[0].Quantity = 3
		dr.Job.Machine.Program.MaxLines = 180
	}))
	d.go_(saveStage)
	for n := 0; d.m.shut() != "" && n < 40; n++ {
		d.keys("n")
		if d.m.shut() != "" {
			d.keys("space")
		}
	}
	d.go_(saveStage)
	d.set("name", "leaf")
	files := d.m.res.prog.Files()
	if len(files) < 2 {
		t.Fatal("one program")
	}
	d.shows("program 1")
	d.shows("leaf-1of3.nc")
	d.shows("leaf-3of3-dry.nc")
	d.at("save").keys("enter")
	if !d.m.d.written() {
		t.Fatalf("not saved: %s\n%s", d.m.shut(), d.frame())
	}
	d.shows("Load leaf-1of3-dry.nc")
	d.shows("Then the same with program 2 of 3")
	names, _ := filepath.Glob(filepath.Join(dir, "leaf*.nc"))
	if len(names) != 2*len(files) {
		t.Errorf("%v", names)
	}
	d.at("resume").keys("enter")
	d.shows("line of program 3")
	d.set("line2", "80")
	if d.m.taken.prog == nil || d.m.taken.from != (planner.From{Line: 80, Program: 2}) {
		t.Fatalf("%+v: %v", d.m.taken.from, d.m.taken.faults.Err())
	}
	d.at("write").keys("enter")
	if len(d.m.taken.written) < 2 || !strings.HasPrefix(filepath.Base(d.m.taken.written[0]), "leaf-from-program-2-line-80") {
		t.Fatalf("%v", d.m.taken.written)
	}
	// Opened again nothing has changed; with one of the set exchanged it has.
	since := d.m.eng.Since(d.m.d.Job, d.m.res.loops, d.m.res.prog)
	j, faults := d.m.eng.Open(filepath.Join(dir, "leaf.toml"))
	if faults.Bad() || apart(j, faults) != "" {
		t.Errorf("%v", faults)
	}
	for _, s := range d.m.eng.Since(j, d.m.res.loops, d.m.res.prog) {
		if s.ID == "program" && s.State != Same {
			t.Errorf("%+v (of the draft: %+v)", s, since)
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, "leaf-2of3.nc"))
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(dir, "leaf-2of3.nc"), append(text, "(x)\n"...), 0o600)
	if j, faults := d.m.eng.Open(filepath.Join(dir, "leaf.toml")); apart(j, faults) == "" {
		t.Error("a program of the set that was changed is not told of")
	}
}
