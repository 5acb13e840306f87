package presets

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// shopPreset is a preset of a shop that makes trailer hardware.
func shopPreset(feed float64) Preset {
	return Preset{Material: job.MildSteel, Thickness: 6, From: 5.5, To: 6.5, By: plain.Of("J. Berg"), At: "2026-05-04T10:20:30+02:00",
		Notes: plain.Of("drawbar plates"), Process: job.Process{Preset: plain.Of("drawbar 6"), Amps: 60, Feed: feed, Kerf: 1.5, PierceHeight: 3.8,
			CutHeight: 1.5, PierceDelay: job.Of(0.5), Volts: 125, State: job.Tried, Source: plain.Of("cut log")},
		Figures: []Figure{{Of: "kerf", Within: 0.04, From: plain.Of("kerf coupon")}}}
}

// spoilt is in the way of a preset and cannot be read.
const spoilt = "units = \"mm\"\n[[presets]]\nmaterial = \"mild-steel\"\nthick"

var story = []struct {
	name string
	do   func(s Store) error
}{
	{"save", func(s Store) error { _, err := s.SavePreset(shopPreset(2000), unit.MM); return err }},
	{"change", func(s Store) error { _, err := s.SavePreset(shopPreset(2100), unit.MM); return err }},
	{"edit", func(s Store) error { _, err := s.EditPreset(shopPreset(2100), shopPreset(2200), unit.MM); return err }},
	{"profile", func(s Store) error {
		m, _ := must(Load(nil)).Machine("plain-mm")
		m.Name = plain.Of("north table")
		_, err := s.SaveMachine(m, unit.MM)
		return err
	}},
	{"prices", func(s Store) error { _, err := s.SavePrices(cost.Prices{MildSteel: job.Of(1.2)}); return err }},
	{"undo", func(s Store) error { _, err := s.Undo(Item{"process", "mild-steel-60a-6mm.toml"}, 0); return err }},
	{"remove", func(s Store) error { return s.Remove(Item{"", "prices.toml"}) }},
	{"aside", func(s Store) error {
		p := shopPreset(1500)
		p.Thickness, p.From, p.To = 8, 0, 0
		_, err := s.SavePreset(p, unit.MM)
		return err
	}},
	{"restore", func(s Store) error { _, err := s.Restore(bytes.NewReader(oldBackup())); return err }},
}

func must(l *Library, _ any) *Library { return l }

// oldBackup is a backup of a store that held another feed.
var oldBackup = sync.OnceValue(func() []byte {
	dir, err := os.MkdirTemp("", "kerfwright")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	n := 0
	s := Store{dir, faulty{realDisk: realDisk{dir}, n: &n}}
	for _, feed := range []float64{1800, 1900} {
		if _, err := s.SavePreset(shopPreset(feed), unit.MM); err != nil {
			panic(err)
		}
	}
	var b bytes.Buffer
	if _, err := s.Backup(&b); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// lay puts the file that is in the way into an empty store.
func lay(dir string) error {
	if err := os.MkdirAll(filepath.Join(dir, "process"), 0o777); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "process", "mild-steel-60a-8mm.toml"), []byte(spoilt), 0o666)
}

// texts returns every text of the store that is not a leftover, by path.
func texts(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// states runs the story without a fault and returns every text that the store
// held after each step, and how many calls each step took.
func states(t testing.TB) (all []map[string]string, calls []int) {
	dir := t.TempDir()
	if err := lay(dir); err != nil {
		t.Fatal(err)
	}
	n := 0
	s := Store{dir, faulty{realDisk: realDisk{dir}, n: &n}}
	all, calls = append(all, texts(t, dir)), append(calls, 0)
	for _, step := range story {
		if err := step.do(s); err != nil {
			t.Fatalf("%s: %v", step.name, err)
		}
		all, calls = append(all, texts(t, dir)), append(calls, n)
	}
	return all, calls
}

// unharmed fails unless every file is whole, is of the step before or after,
// and every text that stood after any step so far is still somewhere.
func unharmed(t *testing.T, what, dir string, all []map[string]string, done int) {
	t.Helper()
	now := texts(t, dir)
	have := slices.Collect(maps.Values(now))
	next := all[min(done+1, len(all)-1)]
	known := map[string]bool{}
	for _, m := range append(slices.Clone(all[:done+1]), next) {
		for _, v := range m {
			known[v] = true
		}
	}
	for name, text := range now {
		if !known[text] {
			t.Fatalf("%s: %s holds what nobody wrote: %q", what, name, text)
		}
	}
	for i := range done + 1 {
		for name, text := range all[i] {
			if !slices.Contains(have, text) {
				t.Fatalf("%s: lost what %s held after step %d", what, name, i)
			}
		}
	}
	for name := range all[done] {
		before, after := all[done][name], next[name]
		if got, there := now[name]; there && got != before && got != after {
			t.Fatalf("%s: %s is neither as before nor as after", what, name)
		} else if _, stays := next[name]; !there && stays && !strings.HasSuffix(name, "8mm.toml") {
			t.Fatalf("%s: %s is gone", what, name)
		}
	}
}

// every picks how many points of a sweep are passed over: none in a long run.
func every(long, usual, short int) int {
	switch {
	case os.Getenv("KERFWRIGHT_LONG") != "":
		return long
	case testing.Short():
		return short
	}
	return usual
}

// TestStoreLosesNothingWhateverCallFails lets every single call fail, as an
// input-output error, as a full disk that took half, and lets all calls fail
// from that one on, as a folder that has become read-only.
func TestStoreLosesNothingWhateverCallFails(t *testing.T) {
	all, calls := states(t)
	total := calls[len(calls)-1]
	modes := []struct {
		name string
		err  error
		half bool
		on   bool
	}{{"error", syscall.EIO, false, false}, {"full", syscall.ENOSPC, true, false}, {"read-only", syscall.EROFS, false, true}}
	step := every(1, 17, 41)
	points := 0
	for _, mode := range modes {
		for at := 1; at <= total; at += step {
			points++
			dir := t.TempDir()
			if err := lay(dir); err != nil {
				t.Fatal(err)
			}
			n, failed := 0, ""
			s := Store{dir, faulty{realDisk: realDisk{dir}, n: &n, half: mode.half, fail: func(n int, call string) error {
				reads := strings.HasPrefix(call, "read") || strings.HasPrefix(call, "names") || strings.HasPrefix(call, "kind") || call == "size"
				if n == at || mode.on && n > at && !reads {
					failed = call
					return mode.err
				}
				return nil
			}}}
			for k, do := range story {
				what := fmt.Sprintf("%s at call %d of %d, in %s", mode.name, at, total, do.name)
				err := do.do(s)
				unharmed(t, what+" ("+failed+")", dir, all, k)
				if err != nil {
					// The next session, on a good disk, does the same and succeeds.
					// An undo that was only not made durable is not undone again.
					n2 := 0
					if maps.Equal(texts(t, dir), all[k+1]) {
						break
					}
					if err := do.do(Store{dir, faulty{realDisk: realDisk{dir}, n: &n2}}); err != nil {
						t.Fatalf("%s (%s): the next session: %v", what, failed, err)
					}
					unharmed(t, what+", next session", dir, all, k+1)
					break
				}
				if calls[k+1] > at {
					break // the call was one that may fail: nothing was told, all is there
				}
			}
		}
	}
	t.Logf("%d points at which a call failed; the story takes %d calls", points, total)
}

const (
	killStore = "KERFWRIGHT_TEST_STORE"
	killAt    = "KERFWRIGHT_TEST_STORE_AT"
	killSize  = "KERFWRIGHT_TEST_STORE_SIZE"
)

// init makes the test binary, started again, run the story and die in it.
func init() {
	dir := os.Getenv(killStore)
	if dir == "" {
		return
	}
	if size, _ := strconv.ParseUint(os.Getenv(killSize), 10, 64); size > 0 {
		limitFiles(size)
	}
	at, _ := strconv.Atoi(os.Getenv(killAt))
	n := 0
	s := Store{dir, faulty{realDisk: realDisk{dir}, n: &n, die: at}}
	for _, step := range story {
		if err := step.do(s); err != nil {
			fmt.Fprintln(os.Stderr, step.name+":", err)
			os.Exit(1)
		}
		fmt.Println(step.name)
	}
	os.Exit(0)
}

// child runs the story in a process of its own; done is how many steps it told
// of before it ended.
func child(t *testing.T, dir string, as *syscall.Credential, env ...string) (done int, complaint string) {
	t.Helper()
	program := os.Args[0]
	if as != nil { // who may not look into the folder where it was built
		data, err := os.ReadFile(program)
		if err != nil {
			t.Fatal(err)
		}
		program = filepath.Join(dir, "..", "program")
		if err := os.WriteFile(program, data, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(program)
	cmd.Env = append(append(os.Environ(), killStore+"="+dir), env...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: as}
	var out, err bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &err
	if cmd.Run(); cmd.ProcessState == nil {
		t.Fatal("the process did not start")
	}
	return strings.Count(out.String(), "\n"), err.String()
}

// TestKilledStoreLosesNothing kills a real process with SIGKILL at every call
// that it makes of the disk, in a write after half of it.
func TestKilledStoreLosesNothing(t *testing.T) {
	all, calls := states(t)
	total := calls[len(calls)-1]
	step := every(1, 11, 41)
	points, left := 0, 0
	for at := 1; at <= total; at += step {
		dir := t.TempDir()
		if err := lay(dir); err != nil {
			t.Fatal(err)
		}
		done, complaint := child(t, dir, nil, killAt+"="+strconv.Itoa(at))
		if complaint != "" {
			t.Fatal(complaint)
		}
		if done == len(story) {
			t.Fatalf("the process was not killed at call %d", at)
		}
		points++
		what := fmt.Sprintf("killed at call %d of %d, after %d steps", at, total, done)
		unharmed(t, what, dir, all, done)
		if temps(t, dir) > 0 {
			left++
		}
		// The lock went with the process: the next session writes at once.
		n := 0
		for _, do := range story[done:] {
			if err := do.do(Store{dir, faulty{realDisk: realDisk{dir}, n: &n}}); err != nil {
				if do.name == "undo" || do.name == "remove" {
					continue // done already
				}
				t.Fatalf("%s: the next session, %s: %v", what, do.name, err)
			}
		}
		unharmedAtEnd(t, what, dir, all)
	}
	if left == 0 && !testing.Short() {
		t.Error("no kill hit a write: the test itself is broken")
	}
	t.Logf("%d kill points; %d of them left a temporary file", points, left)
}

// unharmedAtEnd: after the story was finished by another session, every text
// that it ever held is still there.
func unharmedAtEnd(t *testing.T, what, dir string, all []map[string]string) {
	t.Helper()
	have := slices.Collect(maps.Values(texts(t, dir)))
	for i, m := range all {
		for name, text := range m {
			if !slices.Contains(have, text) {
				t.Fatalf("%s, finished by another: lost what %s held after step %d", what, name, i)
			}
		}
	}
}

func temps(t *testing.T, dir string) (n int) {
	filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(e.Name(), ".part") {
			n++
		}
		return nil
	})
	return n
}

// TestFullDiskLosesNothing lets the system itself refuse: files may not grow
// beyond a size, which the processes find out in the middle of a write.
func TestFullDiskLosesNothing(t *testing.T) {
	all, _ := states(t)
	for _, size := range []int{1, 100, 400, 600} {
		dir := t.TempDir()
		if err := lay(dir); err != nil {
			t.Fatal(err)
		}
		done, complaint := child(t, dir, nil, killSize+"="+strconv.Itoa(size))
		if done == len(story) || !strings.Contains(complaint, "file too large") {
			t.Errorf("files of at most %d bytes: %d steps were made, told: %q", size, done, complaint)
		}
		unharmed(t, fmt.Sprintf("files of at most %d bytes", size), dir, all, done)
	}
}

// TestFullFileSystemLosesNothing fills a real file system of a few pages; it
// takes a user who may mount one.
func TestFullFileSystemLosesNothing(t *testing.T) {
	all, _ := states(t)
	for _, pages := range []int{3, 6, 9, 12, 16, 20} {
		dir := t.TempDir()
		if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d", pages*4096)); err != nil {
			t.Skip("no file system can be mounted here: ", err)
		}
		func() {
			defer syscall.Unmount(dir, 0)
			if err := lay(dir); err != nil {
				t.Fatal(err)
			}
			done, complaint := child(t, dir, nil)
			if done < len(story) && !strings.Contains(complaint, "no space left on device") {
				t.Errorf("%d pages: %d steps were made, told: %q", pages, done, complaint)
			}
			t.Logf("%d pages: %d of %d steps, %s", pages, done, len(story), strings.TrimSpace(complaint))
			unharmed(t, fmt.Sprintf("a disk of %d pages", pages), dir, all, done)
		}()
	}
}

func TestReadOnlyFolderLosesNothingAndIsTold(t *testing.T) {
	all, _ := states(t)
	dir := t.TempDir()
	if err := lay(dir); err != nil {
		t.Fatal(err)
	}
	n := 0
	s := Store{dir, faulty{realDisk: realDisk{dir}, n: &n}}
	if err := story[0].do(s); err != nil {
		t.Fatal(err)
	}
	var as *syscall.Credential
	if os.Getuid() == 0 { // root writes anywhere
		const nobody = 65534
		as = &syscall.Credential{Uid: nobody, Gid: nobody}
		for d := dir; d != filepath.Clean(os.TempDir()) && d != "/"; d = filepath.Dir(d) {
			if err := os.Chmod(d, 0o755); err != nil {
				t.Skip("no folder that another user can look into:", err)
			}
		}
	}
	filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if e.IsDir() {
			return os.Chmod(path, 0o555)
		}
		return err
	})
	t.Cleanup(func() {
		filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
			if e.IsDir() {
				os.Chmod(path, 0o755)
			}
			return nil
		})
	})
	done, complaint := child(t, dir, as)
	if done != 0 || !strings.Contains(complaint, "permission denied") || !strings.Contains(complaint, dir) {
		t.Errorf("%d steps were made, told: %q", done, complaint)
	}
	unharmed(t, "read-only folder", dir, all, 1)
}
