package tui

import (
	"os"
	"path/filepath"
	"testing"
)

// A drawing with a plate, and a ring with a disc in it, laid apart, nested, and
// put together again.
func TestPartsOfOneDrawingAreLaidApartFromTheWizard(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	kit := `<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">
<rect x="10" y="10" width="80" height="50"/>
<circle cx="200" cy="100" r="60"/><circle cx="200" cy="100" r="40"/><circle cx="200" cy="100" r="20"/></svg>`
	if err := os.WriteFile(filepath.Join(dir, "kit.svg"), []byte(kit), 0o600); err != nil {
		t.Fatal(err)
	}
	d.at("add").keys("enter")
	d.at("e1kit.svg").keys("enter")
	setUpLeafStock(d)
	d.go_(stockStage)
	d.at("layout").keys("enter")
	look := inBothSizes(t, d)
	d.at("apart")
	look("asked")
	if r := d.row("apart"); r.value != "2 in one drawing" || r.state != stWarn {
		t.Errorf("%+v", r)
	}
	whole := len(d.m.res.tree.Features)
	d.keys("enter")
	if n := len(d.m.d.Job.Drawings); n != 2 || len(d.m.res.tree.Features) != whole {
		t.Fatalf("%d entries, %d features, %v", n, len(d.m.res.tree.Features), d.m.said)
	}
	if p, _ := d.m.held(); p != 0 {
		t.Error("asked again")
	}
	d.set("wanted1", "2")
	d.set("layout.rounds", "20")
	d.at("nest").keys("enter")
	if n := len(d.m.d.Job.Layout.Places); n != 3 {
		t.Fatalf("%d places: %v", n, d.m.said)
	}
	if p := d.m.res.prog; p == nil || !p.Verdict.OK || len(p.Cuts) != 1+2*3 {
		t.Fatalf("%v", d.m.res.told)
	}
	d.at(partID(2))
	look("nested")
	for range 4 {
		d.keys("u")
	}
	if n := len(d.m.d.Job.Drawings); n != 1 {
		t.Errorf("%d entries after it was taken back", n)
	}
}
