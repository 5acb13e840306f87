package presets_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/presets"
)

func TestOnlyRegularFilesWithinTheLimitAreRead(t *testing.T) {
	dir := t.TempDir()
	pipe, big := filepath.Join(dir, "pipe"), filepath.Join(dir, "big")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip("no pipes here: ", err)
	}
	if err := os.WriteFile(big, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{dir: "is no file", pipe: "is no file", big: "holds 5 bytes", filepath.Join(dir, "none"): "no such file"} {
		if _, err := presets.ReadFile(path, 4); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", filepath.Base(path), err, want)
		}
	}
	if got, err := presets.ReadFile(big, 5); err != nil || string(got) != "12345" {
		t.Errorf("%q, %v", got, err)
	}
}

func TestADrawingThatChangedIsToldOnce(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "leaf.dxf"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	d := presets.DrawingsIn(dir)
	j := job.Job{Drawings: []job.Drawing{{File: "leaf.dxf", SHA256: strings.Repeat("0", 64)}}}
	if faults := d.Changed(j); len(faults) > 0 {
		t.Errorf("told before it was read: %v", faults)
	}
	if _, err := d.Drawing("leaf.dxf"); err != nil {
		t.Fatal(err)
	}
	if faults := d.Changed(j); len(faults) != 1 || faults[0].Code != "drawing-changed" {
		t.Errorf("%v", faults)
	}
	j.Drawings[0].SHA256 = d.Sum("leaf.dxf") // of "x": NIST FIPS 180-4, worked by sha256sum
	if d.Sum("leaf.dxf") != "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881" || len(d.Changed(j)) > 0 {
		t.Errorf("%s: %v", d.Sum("leaf.dxf"), d.Changed(j))
	}
}
