package tui

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
)

// demoIn is the demo job with its drawing in a folder of its own.
func demoIn(t *testing.T) (dir string, j job.Job) {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir = t.TempDir()
	text, drawings := presets.Demo()
	for name, data := range drawings {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	j, faults := jobfile.Decode("demo.toml", text)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	return dir, j
}

// One save of a job of several plates writes the programs of all of them, and
// the job carries all their sums.
func TestSaveWritesEveryPlate(t *testing.T) {
	dir, j := demoIn(t)
	j.Drawings[0].Quantity, j.Stock.Sheets = 11, 3
	e := RealEngine()
	ctx := context.Background()
	loops, faults := e.Read(ctx, j, dir)
	p, more := e.Plan(ctx, j.On(2), loops) // whichever plate is looked at
	if faults.Bad() || more.Bad() || p.Plates < 2 {
		t.Fatalf("%v %v", faults, more)
	}
	paths, _, err := e.Save(ctx, dir, "leaves", j.On(2), loops, p)
	if err != nil || len(paths) != 1+2*p.Plates {
		t.Fatalf("%v %v", paths, err)
	}
	saved, err := os.ReadFile(filepath.Join(dir, "leaves.toml"))
	if err != nil {
		t.Fatal(err)
	}
	back, faults := jobfile.Decode("leaves.toml", saved)
	if faults.Bad() || len(back.Files) != 2*p.Plates {
		t.Fatalf("%v %v", back.Files, faults)
	}
	if l := bundle.Mixed(presets.Folder(dir), "leaves.toml", back); len(l) > 0 {
		t.Error(l)
	}
	second, err := os.ReadFile(filepath.Join(dir, "leaves-plate2.nc"))
	if err != nil || !strings.Contains(string(second), "plate 2 of") || string(second) != string(p.Text) {
		t.Errorf("the second plate's program is not that which was planned: %v", err)
	}
	back.Layout.Places = nil // in rows: how many plates there are the plan alone knows
	if n := len(e.Files(dir, "leaves", back.On(1), p)); n != 1+2*p.Plates {
		t.Errorf("%d targets", n)
	}
}

// A further plate whose program is parted: each of its files that lies there is
// told before it is replaced, whatever the save will part it into.
func TestProgramsOfFurtherPlatesThatAreThereAreListed(t *testing.T) {
	for _, most := range []int{0, 8} {
		dir, j := demoIn(t)
		j.Drawings[0].Quantity, j.Stock.Sheets = 11, 3
		j.Machine.Program.MaxLines, j.Machine.Program.NameLength = 400, most
		e := RealEngine()
		ctx := context.Background()
		loops, faults := e.Read(ctx, j, dir)
		p, more := e.Plan(ctx, j.On(1), loops)
		if faults.Bad() || more.Bad() || p.Plates < 2 {
			t.Fatalf("%v %v", faults, more)
		}
		paths, _, err := e.Save(ctx, dir, "leaves", j.On(1), loops, p)
		if err != nil || len(paths) <= 1+2*p.Plates+2 {
			t.Fatalf("%v %v", paths, err)
		}
		listed := map[string]bool{}
		for _, x := range e.Files(dir, "leaves", j.On(1), p) {
			if listed[x.Name] {
				t.Errorf("%s is listed twice", x.Name)
			}
			listed[x.Name] = x.Exists
		}
		for _, path := range paths {
			if !listed[filepath.Base(path)] {
				t.Errorf("%s would be replaced unasked", filepath.Base(path))
			}
		}
	}
}
