package presets

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// demoJob is what demo/hinge-leaf.toml says, put together from the library.
func demoJob(t *testing.T) job.Job {
	l, faults := Load(nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	process, n, err := l.Lookup(job.MildSteel, 6, 65)
	if err != nil || !n.Exact {
		t.Fatal(err, n)
	}
	machine, ok := l.Machine(DefaultMachine)
	if !ok {
		t.Fatal("no default machine")
	}
	machine.Name = plain.Of("gate shop table")
	machine.Notes = plain.Of("The demo's own table: plain-mm with the travel of its touch-off switch measured, homed in Z at the top.")
	machine.SensorOffset, machine.TopZ, machine.MaxAmps = job.Of(1.5), job.Of(0), 85
	_, drawings := Demo()
	sum := sha256.Sum256(drawings["hinge-leaf.dxf"])
	return job.Job{
		Name: plain.Of("Gate strap hinge, leaf"), Units: unit.MM,
		Stock: job.Stock{Material: job.MildSteel, Surface: job.MillScale, Thickness: 6, Hold: job.Plate, Width: 600, Height: 300,
			Zero: job.LowerLeft, Under: job.WaterTable},
		Drawings: []job.Drawing{{File: "hinge-leaf.dxf", SHA256: hex.EncodeToString(sum[:]), Name: plain.Of("leaf"), Quantity: 4}},
		Process:  process, Machine: machine,
	}
}

func TestDemoJobIsWhatTheLibraryGives(t *testing.T) {
	text, faults := jobfile.Encode(demoJob(t))
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	name := filepath.Join("demo", DemoJob)
	if *update {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, text) {
		t.Errorf("%s differs from what the library gives; read the difference, then run with -update", name)
	}
}
