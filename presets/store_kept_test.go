package presets_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

const ownFile = "process/stainless-45a-3.175mm.toml"

func ownItem(t *testing.T) presets.Item {
	t.Helper()
	i, err := presets.ParseItem(ownFile)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func save(t *testing.T, s presets.Store, feed float64) presets.Preset {
	t.Helper()
	p := own()
	p.Process.Feed = feed
	if _, err := s.SavePreset(p, unit.MM); err != nil {
		t.Fatal(err)
	}
	return p
}

func feedIn(t *testing.T, s presets.Store) float64 {
	t.Helper()
	l, faults := s.Load()
	p, _, err := l.Lookup(job.Stainless, 3.175, 45)
	if err != nil || faults.Bad() {
		t.Fatal(err, faults)
	}
	return p.Feed
}

func TestBadEditIsUndoneAWeekLater(t *testing.T) {
	s := presets.OpenStore(t.TempDir())
	for _, feed := range []float64{2000, 2100, 21, 2150} {
		save(t, s, feed)
	}
	all, err := s.History(ownItem(t))
	if err != nil || len(all) != 3 || !strings.Contains(string(all[0].Data), "feed = 2000") || all[2].N != 3 {
		t.Fatal(len(all), err)
	}
	if v, err := s.Undo(ownItem(t), 2); err != nil || v.N != 2 || feedIn(t, s) != 2100 {
		t.Error(v.N, err)
	}
	// An undo is an edit like any other: it can be undone.
	if _, err := s.Undo(ownItem(t), 0); err != nil || feedIn(t, s) != 2150 {
		t.Error(feedIn(t, s), err)
	}
	if _, err := s.Undo(ownItem(t), 99); err == nil || !strings.Contains(err.Error(), "no version 99") {
		t.Error(err)
	}
	if err := s.Remove(ownItem(t)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Undo(ownItem(t), 0); err != nil || feedIn(t, s) != 2150 {
		t.Error("what was removed does not come back:", err)
	}
	never, _ := presets.ParseItem("process/never.toml")
	if _, err := s.Undo(never, 0); err == nil || !strings.Contains(err.Error(), "no earlier version") {
		t.Error(err)
	}
}

func TestDamagedFileIsToldWithWhatBringsItBack(t *testing.T) {
	root := t.TempDir()
	s := presets.OpenStore(root)
	save(t, s, 2000)
	save(t, s, 2100)
	path := filepath.Join(root, filepath.FromSlash(ownFile))
	zeros := make([]byte, 512) // what a power cut may leave of a file written without care
	if err := os.WriteFile(path, zeros, 0o666); err != nil {
		t.Fatal(err)
	}
	_, faults := s.Load()
	if !faults.Bad() || !strings.Contains(faults.Err().Error(), "kerfwright store undo "+ownFile) {
		t.Fatal(faults)
	}
	if got, _ := os.ReadFile(path); !bytes.Equal(got, zeros) {
		t.Error("loading changed the file")
	}
	if _, err := s.Undo(ownItem(t), 0); err != nil || feedIn(t, s) != 2000 {
		t.Error(err)
	}
	all, _ := s.History(ownItem(t))
	if !slices.ContainsFunc(all, func(v presets.Version) bool { return bytes.Equal(v.Data, zeros) }) {
		t.Error("the damaged file is nowhere")
	}
}

func TestTwoSessionsMergeWhatTheyChange(t *testing.T) {
	s := presets.OpenStore(t.TempDir())
	save(t, s, 2000)
	open := func() presets.Preset {
		l, _ := s.Load()
		_, n, err := l.Lookup(job.Stainless, 3.175, 45)
		if err != nil {
			t.Fatal(err)
		}
		return n.Thinner
	}
	wasA, wasB := open(), open()
	a, b := wasA, wasB
	a.Process.Feed = 2222
	b.Process.Kerf, b.Notes = 1.33, plain.Of("nozzle from the new box")
	b = b.WithFigure(presets.Figure{Of: "kerf", Within: 0.04, From: plain.Of("kerf coupon")})
	if _, err := s.EditPreset(wasA, a, unit.MM); err != nil {
		t.Fatal(err)
	}
	if _, err := s.EditPreset(wasB, b, unit.MM); err != nil {
		t.Fatal(err)
	}
	if got := open(); got.Process.Feed != 2222 || got.Process.Kerf != 1.33 || got.Notes.String() != "nozzle from the new box" || len(got.Figures) != 1 {
		t.Errorf("one of the changes is lost: %+v", got)
	}

	// Both change the same figure: the second is told, and nothing is written.
	wasA, wasB = open(), open()
	a, b = wasA, wasB
	a.Process.Feed, b.Process.Feed = 2300, 2400
	if _, err := s.EditPreset(wasA, a, unit.MM); err != nil {
		t.Fatal(err)
	}
	var both *presets.Conflict
	if _, err := s.EditPreset(wasB, b, unit.MM); !errors.As(err, &both) || !slices.Equal(both.Fields, []string{"feed"}) {
		t.Error(err)
	}
	if got := open(); got.Process.Feed != 2300 {
		t.Errorf("%+v", got)
	}

	// Profiles are merged alike.
	l, _ := s.Load()
	m, _ := l.Machine("plain-mm")
	m.Name = plain.Of("yard table")
	if _, err := s.SaveMachine(m, unit.MM); err != nil {
		t.Fatal(err)
	}
	x, y := m, m
	x.SensorOffset, y.Program.LineEnd = job.Of(4.1), "crlf"
	for _, e := range []job.Machine{x, y} {
		if _, err := s.EditMachine(m, e, unit.MM); err != nil {
			t.Fatal(err)
		}
	}
	l, _ = s.Load()
	if got, _ := l.Machine("yard table"); got.SensorOffset != job.Of(4.1) || got.Program.LineEnd != "crlf" {
		t.Errorf("%+v", got)
	}
}

// TestManyWritersLoseNothing: every text that any of them wrote is the present
// one or in the history.
func TestManyWritersLoseNothing(t *testing.T) {
	root := t.TempDir()
	item := presets.Item{Folder: "process", Name: "counter.toml"}
	const writers, each = 8, 12
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			s := presets.OpenStore(root) // a session of its own, as in another process
			for k := range each {
				err := s.Change(item, func(old []byte) ([]byte, error) {
					return fmt.Appendf(bytes.Clone(old), "# writer %d, line %d\n", w, k), nil
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	s := presets.OpenStore(root)
	text, err := s.Read(item)
	if err != nil || bytes.Count(text, []byte("\n")) != writers*each {
		t.Errorf("%d lines of %d are left, %v", bytes.Count(text, []byte("\n")), writers*each, err)
	}
	if past, err := s.History(item); err != nil || len(past) != writers*each-1 {
		t.Errorf("%d versions in the history, want %d: %v", len(past), writers*each-1, err)
	}
}

func TestFilesOfTheFirstFormatAreReadForEver(t *testing.T) {
	root := t.TempDir()
	if err := os.CopyFS(root, os.DirFS(filepath.Join("testdata", "format1"))); err != nil {
		t.Fatal(err)
	}
	s := presets.OpenStore(root)
	l, faults := s.Load()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	p, n, err := l.Lookup(job.Stainless, 3.175, 45)
	if err != nil || p.Feed != 2000 || p.State != job.Proved || p.Volts != 118 || len(p.Taper) != 1 || p.Taper[0].Add != 0.254 {
		t.Fatalf("%+v %v", p, err)
	}
	if m, ok := l.Machine("plain-inch"); !ok || m.Program.Units != unit.Inch || len(m.Program.TouchOff) != 4 {
		t.Errorf("%+v", m)
	}
	if prices, faults := s.Prices(); len(faults) > 0 || prices.LifeStarts != job.Of(600) {
		t.Error(prices, faults)
	}
	// The next save makes the file one of today, and its history keeps the old one.
	was := n.Thinner
	if was.File != ownFile || was.By.String() != "" || was.Retired || was.Figures != nil {
		t.Errorf("%+v", was)
	}
	now := was
	now.Notes = plain.Of("checked in May")
	if _, err := s.EditPreset(was, now, unit.Inch); err != nil {
		t.Fatal(err)
	}
	text, _ := s.Read(ownItem(t))
	if !strings.Contains(string(text), "version = 2\n") {
		t.Errorf("%s", text)
	}
	old, err := s.History(ownItem(t))
	first, _ := os.ReadFile(filepath.Join("testdata", "format1", "process", "stainless-45a-3.175mm.toml"))
	if err != nil || len(old) != 1 || !bytes.Equal(old[0].Data, first) {
		t.Error("the first format's text is not in the history", err)
	}
}

func TestFileOfANewerFormatIsLeftAlone(t *testing.T) {
	root := t.TempDir()
	path := filepath.Join(root, filepath.FromSlash(ownFile))
	os.MkdirAll(filepath.Dir(path), 0o777)
	newer := []byte("version = 99\nunits = \"furlong\"\nwhatever = true\n")
	if err := os.WriteFile(path, newer, 0o666); err != nil {
		t.Fatal(err)
	}
	s := presets.OpenStore(root)
	_, faults := s.Load()
	if len(faults) != 1 || !strings.Contains(faults.Err().Error(), "written by a newer Kerfwright: this one reads formats up to 2") {
		t.Fatal(faults)
	}
	saved, err := s.SavePreset(own(), unit.MM)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(filepath.Join(root, "process", saved.Aside)); err != nil || !bytes.Equal(got, newer) {
		t.Errorf("%q %v", got, err)
	}
}

func TestBackupBringsEverythingBack(t *testing.T) {
	from := presets.OpenStore(t.TempDir())
	save(t, from, 2000)
	save(t, from, 2100)
	l, _ := from.Load()
	m, _ := l.Machine("plain-mm")
	m.Name = plain.Of("yard table")
	if _, err := from.SaveMachine(m, unit.MM); err != nil {
		t.Fatal(err)
	}
	var backup bytes.Buffer
	if n, err := from.Backup(&backup); err != nil || n != 3 {
		t.Fatal(n, err)
	}
	whole := backup.Bytes()

	// Into an empty folder.
	to := presets.OpenStore(filepath.Join(t.TempDir(), "new"))
	if r, err := to.Restore(bytes.NewReader(whole)); err != nil || len(r.Put) != 2 || r.History != 1 {
		t.Fatal(r, err)
	}
	if feedIn(t, to) != 2100 {
		t.Error("the preset is not back")
	}
	// Over later work: that goes into the history, and what the backup does
	// not speak of stays.
	save(t, to, 1999)
	other := own()
	other.Thickness = 4
	if _, err := to.SavePreset(other, unit.MM); err != nil {
		t.Fatal(err)
	}
	r, err := to.Restore(bytes.NewReader(whole))
	if err != nil || len(r.Put) != 1 || r.Same != 1 || len(r.Kept) != 1 || r.Kept[0].String() != "process/stainless-45a-4mm.toml" {
		t.Fatal(r, err)
	}
	if feedIn(t, to) != 2100 {
		t.Error("the preset is not as in the backup")
	}
	if _, err := to.Undo(ownItem(t), 0); err != nil || feedIn(t, to) != 1999 {
		t.Error("the later work is lost", err)
	}

	// A backup that is cut short or damaged changes nothing.
	before := feedIn(t, to)
	for _, n := range []int{0, 10, len(whole) / 2, len(whole) - 1} {
		if _, err := to.Restore(bytes.NewReader(whole[:n])); err == nil || !strings.Contains(err.Error(), "read the backup") {
			t.Errorf("%d of %d bytes: %v", n, len(whole), err)
		}
	}
	bent := bytes.Clone(whole)
	bent[len(bent)/2] ^= 1
	if _, err := to.Restore(bytes.NewReader(bent)); err == nil {
		t.Error("a damaged backup was restored")
	}
	if feedIn(t, to) != before {
		t.Error("a refused backup changed the store")
	}
}

// hostile makes a backup with one entry.
func hostile(h tar.Header, data []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	w := tar.NewWriter(z)
	h.Size, h.Mode = int64(len(data)), 0o644
	if h.Typeflag != 0 && h.Typeflag != tar.TypeReg {
		h.Size = 0
	}
	w.WriteHeader(&h)
	if h.Size > 0 {
		w.Write(data)
	}
	w.Close()
	z.Close()
	return b.Bytes()
}

func TestHostileBackupWritesNothing(t *testing.T) {
	root := t.TempDir()
	s := presets.OpenStore(filepath.Join(root, "store"))
	for want, b := range map[string][]byte{
		`"../escape.toml" lies outside`:                 hostile(tar.Header{Name: "../escape.toml"}, []byte("x")),
		`"/etc/escape.toml" lies outside`:               hostile(tar.Header{Name: "/etc/escape.toml"}, []byte("x")),
		`"process/../../escape.toml" lies outside`:      hostile(tar.Header{Name: "process/../../escape.toml"}, []byte("x")),
		`".lock" lies outside`:                          hostile(tar.Header{Name: ".lock"}, []byte("x")),
		`"link.toml" is no regular file`:                hostile(tar.Header{Name: "link.toml", Typeflag: tar.TypeSymlink, Linkname: "/etc/passwd"}, nil),
		`"history/process/a.toml/x.toml" is no version`: hostile(tar.Header{Name: "history/process/a.toml/x.toml"}, []byte("x")),
		`at most 2097152 are read`:                      hostile(tar.Header{Name: "big.toml"}, make([]byte, 3<<20)),
		`holds no file`:                                 gzipped(nil),
		`is no backup`:                                  []byte("PK\x03\x04 something else entirely"),
	} {
		if _, err := s.Restore(bytes.NewReader(b)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q: %v", want, err)
		}
	}
	if _, err := os.Stat(filepath.Join(root, "escape.toml")); !os.IsNotExist(err) {
		t.Error("a file was written outside of the store")
	}
	if items, err := s.Items(); err != nil || len(items) > 0 {
		t.Error(items, err)
	}
}

func gzipped(data []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	z.Write(append(data, make([]byte, 1024)...)) // two empty records end a tar file (POSIX.1-1988)
	z.Close()
	return b.Bytes()
}

func FuzzRestore(f *testing.F) {
	f.Add(hostile(tar.Header{Name: "process/a.toml"}, []byte("x")))
	f.Add(hostile(tar.Header{Name: "history/process/a.toml/000001-20260504T102030Z.toml"}, []byte("x")))
	f.Add(gzipped(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		root := t.TempDir()
		s := presets.OpenStore(filepath.Join(root, "store"))
		s.Restore(io.LimitReader(bytes.NewReader(b), 1<<20))
		entries, err := os.ReadDir(root)
		if err != nil || len(entries) > 1 {
			t.Fatal("something lies beside the store", entries)
		}
	})
}

func TestItemsAreOfTheStoreOnly(t *testing.T) {
	for _, bad := range []string{"", "../x.toml", "/etc/x.toml", "a/../../x.toml", ".lock", "history/process/x.toml", "process/.x", "a/.b/x.toml", `..\x.toml`} {
		if i, err := presets.ParseItem(bad); err == nil {
			t.Errorf("%q became %v", bad, i)
		}
	}
	s := presets.OpenStore(t.TempDir())
	save(t, s, 2000)
	save(t, s, 2100)
	if err := s.Change(presets.Item{Folder: "process", Name: "gone.toml"}, func([]byte) ([]byte, error) { return []byte("a"), nil }); err != nil {
		t.Fatal(err)
	}
	if err := s.Remove(presets.Item{Folder: "process", Name: "gone.toml"}); err != nil {
		t.Fatal(err)
	}
	items, err := s.Items()
	if err != nil || fmt.Sprint(items) != "[process/gone.toml "+ownFile+"]" {
		t.Error(items, err)
	}
}

func TestBrokenListsAreMovedAsideToo(t *testing.T) {
	root := t.TempDir()
	s := presets.OpenStore(root)
	const bad = "currency = [\n"
	for _, name := range []string{"prices.toml", "rules/holes.toml"} {
		path := filepath.Join(root, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(path), 0o777)
		if err := os.WriteFile(path, []byte(bad), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.SavePrices(cost.Prices{MildSteel: job.Of(1.1)}); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveHoleBands([]job.HoleRule{{UpTo: 1, Action: job.HoleDrill}}, unit.MM); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"prices.toml", "rules/holes.toml"} {
		if text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)+".damaged-1")); err != nil || string(text) != bad {
			t.Errorf("%s: %q %v", name, text, err)
		}
	}
	// A good one goes into the history.
	if err := s.SaveHoleBands(nil, unit.MM); err != nil {
		t.Fatal(err)
	}
	if past, err := s.History(presets.Item{Folder: "rules", Name: "holes.toml"}); err != nil || len(past) != 1 {
		t.Error(len(past), err)
	}
}
