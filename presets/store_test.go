package presets_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

func TestUserFolderFollowsXDG(t *testing.T) {
	for _, row := range []struct{ config, home, want string }{
		{"/etc/cfg", "/home/ann", "/etc/cfg/kerfwright"},
		{"", "/home/ann", "/home/ann/.config/kerfwright"},
		{"relative", "/home/ann", "/home/ann/.config/kerfwright"}, // XDG Base Directory Specification: ignore relative paths
		{"", "", ""},
		{"", "relative", ""},
	} {
		got, err := presets.UserFolder(func(key string) string {
			return map[string]string{"XDG_CONFIG_HOME": row.config, "HOME": row.home}[key]
		})
		if got != row.want || (err == nil) != (row.want != "") {
			t.Errorf("%+v: %q, %v", row, got, err)
		}
	}
}

func own() presets.Preset {
	return presets.Preset{Material: job.Stainless, Thickness: unit.Inch.ToMM(0.125), Process: job.Process{
		Preset: plain.Of("our 1/8 stainless"), Amps: 45, Feed: 2000, Kerf: 1.4, PierceHeight: 3.8, CutHeight: 1.6,
		PierceDelay: job.Of(0), Volts: 118, Gas: plain.Of("air"), Pressure: job.Of(5.2), State: job.Proved, Source: plain.Of("test cut 14"),
	}}
}

func TestStoredPresetAndProfileComeBack(t *testing.T) {
	root := filepath.Join(t.TempDir(), "not", "there", "yet")
	s := presets.OpenStore(root)
	if l, faults := s.Load(); len(faults) > 0 || len(l.Machines()) != 3 {
		t.Fatal("an absent folder is no fault:", faults)
	}
	m, _ := library(t).Machine("plain-inch")
	m.Name, m.SensorOffset = plain.Of("Yard table №2 / north"), job.Of(1.25)
	for range 2 { // the second time in place of the first
		if _, err := s.SavePreset(own(), unit.Inch); err != nil {
			t.Fatal(err)
		}
		if _, err := s.SaveMachine(m, unit.MM); err != nil {
			t.Fatal(err)
		}
	}
	l, faults := s.Load()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	p, n, err := l.Lookup(job.Stainless, 3.175, 45)
	if err != nil || !n.Thinner.Own || !reflect.DeepEqual(p, own().Process) {
		t.Errorf("%+v %v", p, err)
	}
	if back, ok := l.Machine(m.Name.String()); !ok || fmt.Sprint(back) != fmt.Sprint(m) {
		t.Errorf("%+v", back)
	}
	if got := tree(t, root); !slices.Equal(got, []string{"machines/yard-table-2-north.toml", "process/stainless-45a-3.175mm.toml"}) {
		t.Error(got)
	}
}

func tree(t *testing.T, root string) (all []string) {
	for _, folder := range []string{"machines", "process"} {
		entries, err := os.ReadDir(filepath.Join(root, folder))
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		for _, e := range entries {
			all = append(all, folder+"/"+e.Name())
		}
	}
	return all
}

func TestStoreKeepsWhatSomebodyElseWrote(t *testing.T) {
	root := t.TempDir()
	folder := filepath.Join(root, "process")
	if err := os.MkdirAll(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	s := presets.OpenStore(root)

	// A broken file under the name that we would take is told, and moved aside.
	const bad = "units = \"mm\"\n[[presets]]\nmaterial = \"stainless\"\nthick = 3\n"
	write("stainless-45a-3.175mm.toml", bad)
	_, faults := s.Load()
	if len(faults) == 0 || !strings.HasPrefix(faults[0].Error(), filepath.Join(folder, "stainless-45a-3.175mm.toml")+":") {
		t.Errorf("the broken file is not named: %v", faults)
	}
	saved, err := s.SavePreset(own(), unit.MM)
	if err != nil || saved.Told() != "process/stainless-45a-3.175mm.toml could not be read: it is kept as stainless-45a-3.175mm.toml.damaged-1" {
		t.Error(saved.Told(), err)
	}
	l, faults := s.Load()
	if p, _, err := l.Lookup(job.Stainless, 3.175, 45); err != nil || p.Feed != 2000 || len(faults) > 0 {
		t.Errorf("%+v %v %v", p, err, faults)
	}
	if text, err := os.ReadFile(filepath.Join(folder, saved.Aside)); err != nil || string(text) != bad {
		t.Errorf("the broken file is not what it was: %q %v", text, err)
	}
	if got := tree(t, root); !slices.Equal(got, []string{"process/stainless-45a-3.175mm.toml", "process/stainless-45a-3.175mm.toml.damaged-1"}) {
		t.Error(got)
	}

	// A file of several presets that speaks of the same cut could win: said, not guessed.
	os.Remove(filepath.Join(folder, "stainless-45a-3.175mm.toml"))
	write("shop.toml", "units = \"inch\"\n[[presets]]\nmaterial = \"stainless\"\nthickness = 0.125\namps = 45\n[[presets]]\nmaterial = \"stainless\"\nthickness = 0.25\namps = 45\n")
	before, _ := os.ReadFile(filepath.Join(folder, "shop.toml"))
	if _, err := s.SavePreset(own(), unit.MM); err == nil || !strings.Contains(err.Error(), "shop.toml speaks of the same already") {
		t.Error(err)
	}
	if after, _ := os.ReadFile(filepath.Join(folder, "shop.toml")); !bytes.Equal(before, after) {
		t.Error("it was changed")
	}
}

func TestStoreRefusesWhatCouldNotBeReadAgain(t *testing.T) {
	root := t.TempDir()
	s := presets.OpenStore(root)
	bad := own()
	bad.Process.Feed = -1
	if _, err := s.SavePreset(bad, unit.MM); err == nil || !strings.Contains(err.Error(), "presets[1].feed: must be 1 to") {
		t.Error(err)
	}
	if _, err := s.SaveMachine(job.Machine{}, unit.MM); err == nil || !strings.Contains(err.Error(), "name is missing") {
		t.Error(err)
	}
	if got := tree(t, root); len(got) > 0 {
		t.Error(got)
	}
}

func TestFolderNeverFollowsALink(t *testing.T) {
	dir, elsewhere := t.TempDir(), t.TempDir()
	target := filepath.Join(elsewhere, "precious.nc")
	if err := os.WriteFile(target, []byte("M2\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, filepath.Join(dir, "gate.nc")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	d := presets.Folder(dir)
	if k, err := d.Kind("gate.nc"); err != nil || k != bundle.Link {
		t.Error(k, err)
	}
	if _, err := d.Read("gate.nc"); err == nil {
		t.Error("a link was read")
	}
	if err := saveVersion(d, 1); err == nil || !strings.Contains(err.Error(), "gate.nc: a link to another file") {
		t.Error(err)
	}
	if text, _ := os.ReadFile(target); string(text) != "M2\n" {
		t.Error("the file behind the link was changed")
	}
	if names, _ := d.Names(); len(names) != 1 {
		t.Error(names)
	}
}

func TestFolderTellsKindsApart(t *testing.T) {
	dir := t.TempDir()
	d := presets.Folder(dir)
	os.WriteFile(filepath.Join(dir, "file"), nil, 0o666)
	os.WriteFile(filepath.Join(dir, "locked"), nil, 0o444)
	os.Mkdir(filepath.Join(dir, "folder"), 0o777)
	for name, want := range map[string]bundle.Kind{"file": bundle.Regular, "locked": bundle.Protected, "folder": bundle.Other, "none": bundle.Absent} {
		if got, err := d.Kind(name); err != nil || got != want {
			t.Errorf("%s: %v %v", name, got, err)
		}
	}
	if _, err := d.Read("folder"); err == nil {
		t.Error("a folder was read")
	}
	if err := saveVersion(presets.Folder(filepath.Join(dir, "none")), 1); err == nil {
		t.Error("saved into a folder that is not there")
	}
}

func TestSavedFilesFollowTheUsersMask(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "plain"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := saveVersion(presets.Folder(dir), 1); err != nil {
		t.Fatal(err)
	}
	want, _ := os.Stat(filepath.Join(dir, "plain"))
	for _, name := range killSet {
		if got, err := os.Stat(filepath.Join(dir, name)); err != nil || got.Mode() != want.Mode() {
			t.Errorf("%s: %v, a plain file has %v", name, got.Mode(), want.Mode())
		}
	}
}
