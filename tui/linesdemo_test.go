package tui

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// demoFloor is a shop with the demo job in its folder.
func demoFloor(t *testing.T) (d *driver, path string) {
	t.Helper()
	text, _ := presets.Demo()
	d, dir := shopFloor(t, 80, 24)
	path = filepath.Join(dir, presets.DemoJob)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return d, path
}

// TestDemoLineByLineIsTheDemoOnTheScreen takes the demo from opening to the
// saved program twice: on the full screen and line by line. Line by line tells
// every check with its figure and asks for every confirmation that the screen
// has, shuts the door as long, and writes the same program, byte for byte.
func TestDemoLineByLineIsTheDemoOnTheScreen(t *testing.T) {
	clock := func() time.Time { return time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC) }
	d, path := demoFloor(t)
	d.m.now = clock
	d.run(d.m.open(path))
	d.run(d.m.change(func(dr *Draft) { dr.Job.Checks, dr.Operator = nil, plain.Text{} }))
	d.go_(checkStage)
	if d.m.res.prog == nil || len(d.m.res.items) < 8 || len(d.m.res.checks) < 8 {
		t.Fatalf("%d checks, %d lines to confirm: %v", len(d.m.res.checks), len(d.m.res.items), d.m.res.told)
	}
	checks, items := d.m.res.checks, d.m.res.items
	d.confirmAll()
	d.go_(saveStage)
	d.at("save").keys("enter")
	d.shows("SAVED")
	want := programsIn(t, filepath.Dir(path))

	_, path = demoFloor(t)
	k := talkWith(t, Session{Engine: RealEngine(), Dir: filepath.Dir(path), Paths: []string{path}, StateDir: t.TempDir(), ASCII: true, Now: clock})
	k.says(fmt.Sprintf("SHUT, %d open. Next, on checks: operator unknown.", 1+len(items)))
	for range 5 {
		if strings.Contains(k.now, "Stage 4 of 5") {
			break
		}
		k.type_("next")
	}
	k.says("Stage 4 of 5")
	for range 20 { // a long list comes in pieces
		if k.type_("more"); strings.Contains(k.now, "that is all") {
			break
		}
	}
	k.type_(k.row("operator") + " J. Berg")
	asked := 0
	for ; asked <= len(items); asked++ {
		k.type_("n")
		m := regexp.MustCompile(`next open is (\d+)\. OPEN: `).FindStringSubmatch(k.now)
		if m == nil {
			break
		}
		k.type_(m[1])
	}
	if asked != len(items) {
		t.Errorf("%d lines are asked to be confirmed, the screen asks for %d", asked, len(items))
	}
	told := flat(k.all.String())
	for _, c := range checks {
		for _, s := range []string{c.Title, c.Figure, c.Limit} {
			if !strings.Contains(told, flat(ASCII(s))) {
				t.Errorf("check %s: %q is not told", c.ID, s)
			}
		}
	}
	for _, it := range items {
		for _, s := range []string{it.Station.String(), it.Text, it.Figure} {
			if !strings.Contains(told, flat(ASCII(s))) {
				t.Errorf("line %s: %q is not told", it.ID, s)
			}
		}
	}
	k.type_("next")
	k.type_("list")
	if !strings.Contains(k.all.String(), "OPEN all is decided") {
		t.Fatalf("the door stays shut:\n%s", k.all.String())
	}
	k.type_(k.row("SAVE"))
	k.says("saved: ")
	io.WriteString(k.in, "quit\n")
	<-k.done
	if k.err != nil {
		t.Fatal(k.err)
	}
	got := programsIn(t, filepath.Dir(path))
	if len(got) != len(want) || len(want) < 2 {
		t.Fatalf("%d programs, the screen wrote %d", len(got), len(want))
	}
	for name, text := range want {
		if !bytes.Equal(got[name], text) {
			t.Errorf("%s is another program line by line", name)
		}
	}
}

// programsIn reads the programs of a folder, by name.
func programsIn(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.nc"))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(name)] = text
	}
	return out
}
