package presets_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
)

// onceFolder tells the test binary, started again under a tracer, to save
// once, all from its first thread: the tracer counts the calls of each thread.
const onceFolder = "KERFWRIGHT_TEST_SAVE_ONCE_INTO"

func init() {
	if os.Getenv(onceFolder) != "" {
		runtime.LockOSThread()
	}
}

// Exit codes of a save under the tracer.
const (
	exitSaved = iota
	_
	exitFailed // an error that says that nothing was changed
	exitTorn   // one that says what was
)

// saveOnce saves version 2 between two marks in the trace.
func saveOnce(dir string) {
	os.Stdout.WriteString("begin")
	err := saveVersion(presets.Folder(dir), 2)
	os.Stdout.WriteString("end")
	var torn *bundle.Torn
	switch {
	case errors.As(err, &torn):
		fmt.Fprintln(os.Stderr, err)
		os.Exit(exitTorn)
	case err != nil:
		fmt.Fprintln(os.Stderr, err)
		os.Exit(exitFailed)
	}
	os.Exit(exitSaved)
}

// sysCall is the nth call of its name in the first thread.
type sysCall struct {
	name string
	n    int
	text string
}

var traced = regexp.MustCompile(`^(\d+) +([a-z0-9_]+)\(`)

// underTracer runs a save in a folder that holds a version, and returns what
// the tracer saw of the first thread, and the exit code; -1 is a kill.
func underTracer(t *testing.T, dir string, options ...string) (calls []sysCall, code int, said string) {
	t.Helper()
	trace := filepath.Join(t.TempDir(), "trace")
	cmd := exec.Command("strace", append(append([]string{"-f", "-qq", "-s", "16", "-o", trace}, options...), os.Args[0])...)
	cmd.Env = append(os.Environ(), onceFolder+"="+dir, "GOGC=off")
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	cmd.Run()
	text, err := os.ReadFile(trace)
	if err != nil {
		t.Skip("the tracer does not work here: ", err, complaint.String())
	}
	first, counts, inside := "", map[string]int{}, false
	for _, l := range strings.Split(string(text), "\n") {
		m := traced.FindStringSubmatch(l)
		if m == nil {
			continue
		}
		if first == "" {
			first = m[1]
		}
		if m[1] != first {
			continue
		}
		counts[m[2]]++
		switch {
		case strings.Contains(l, `"begin"`):
			inside = true
		case strings.Contains(l, `"end"`):
			inside = false
		case inside:
			calls = append(calls, sysCall{m[2], counts[m[2]], l})
		}
	}
	return calls, cmd.ProcessState.ExitCode(), complaint.String()
}

// folderOf makes a folder that holds a version, nothing for 0.
func folderOf(t *testing.T, v int) string {
	t.Helper()
	dir := t.TempDir()
	if v > 0 {
		if err := saveVersion(presets.Folder(dir), v); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// state reads which versions lie in a folder, and whether Mixed names a set
// that is not of one version.
func state(t *testing.T, dir string) (all []int, named bool) {
	t.Helper()
	for _, name := range killSet {
		all = append(all, versionOf(t, dir, name))
	}
	d := presets.Folder(dir)
	if text, err := d.Read("gate.toml"); err == nil {
		j, _ := jobfile.Decode("gate.toml", text)
		named = len(bundle.Mixed(d, "gate.toml", j)) > 0
	}
	return all, named
}

func allAre(all []int, v int) bool {
	return !slices.ContainsFunc(all, func(x int) bool { return x != v })
}

// listed traces one good save over a version.
func listed(t *testing.T, before int) []sysCall {
	t.Helper()
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("strace is not here")
	}
	dir := folderOf(t, before)
	calls, code, said := underTracer(t, dir)
	if len(calls) == 0 {
		t.Skip("the tracer sees nothing here: ", said)
	}
	if all, named := state(t, dir); code != exitSaved || !allAre(all, 2) || named {
		t.Fatalf("the traced save itself: exit %d, files of versions %v, named %v, %s", code, all, named, said)
	}
	return calls
}

func TestSaveKilledAtEverySystemCallLeavesGoodFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("starts some hundred processes")
	}
	for before := range 2 {
		killed, mixtures := 0, 0
		calls := listed(t, before)
		if os.Getenv("KERFWRIGHT_LONG") == "" { // those that are not about files
			calls = slices.DeleteFunc(calls, func(c sysCall) bool { return errorsOf[c.name] == nil })
		}
		for _, c := range calls {
			dir := folderOf(t, before)
			_, code, _ := underTracer(t, dir, "-e", fmt.Sprintf("inject=%s:signal=KILL:when=%d", c.name, c.n))
			all, named := state(t, dir)
			whole := allAre(all, before) || allAre(all, 2)
			if whole == named || before > 0 && slices.Contains(all, 0) {
				t.Errorf("killed at %s: files of versions %v, named %v", c.text, all, named)
			}
			if code != exitSaved {
				killed++
			}
			if !whole {
				mixtures++
			}
			if err := saveVersion(presets.Folder(dir), 2); err != nil || tempsIn(t, dir) > 0 {
				t.Errorf("killed at %s: saved again: %v, %d temporary files", c.text, err, tempsIn(t, dir))
			}
		}
		t.Logf("over version %d: %d system calls in a save, killed at %d, %d mixtures, all named", before, len(calls), killed, mixtures)
		if killed < len(calls)*3/4 || mixtures == 0 {
			t.Errorf("%d of %d calls were hit, %d mixtures: the test itself is broken", killed, len(calls), mixtures)
		}
	}
}

// errorsOf are what the kernel may answer to a call of a save (POSIX.1-2017,
// ERRORS of each function), and calls that cannot be refused.
var errorsOf = map[string][]string{
	"openat": {"ENOSPC", "EACCES", "EROFS", "EMFILE"}, "write": {"ENOSPC", "EIO", "EDQUOT"}, "fsync": {"EIO", "ENOSPC"},
	"renameat": {"EACCES", "EIO", "EROFS", "ENOSPC"}, "newfstatat": {"EACCES", "EIO"}, "fstat": {"EIO"}, "read": {"EIO"},
	"getdents64": {"EIO"}, "unlinkat": {"EACCES", "EROFS"}, "close": {"EIO", "ENOSPC"},
}

func TestSaveRefusedAtAnySystemCallSaysTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("starts some hundred processes")
	}
	for before := range 2 {
		tries, failed, torn := 0, 0, 0
		for _, c := range listed(t, before) {
			answers := errorsOf[c.name]
			if os.Getenv("KERFWRIGHT_LONG") == "" && len(answers) > 1 {
				answers = answers[:1]
			}
			for _, e := range answers {
				tries++
				dir := folderOf(t, before)
				_, code, said := underTracer(t, dir, "-e", fmt.Sprintf("inject=%s:error=%s:when=%d", c.name, e, c.n))
				all, named := state(t, dir)
				ok := false
				switch code {
				case exitSaved: // what was refused was no part of the save itself, such as sweeping up
					ok = allAre(all, 2) && !named
				case exitFailed:
					failed++
					ok = allAre(all, before) && !named
				case exitTorn:
					torn++
					ok = named || allAre(all, 2) || allAre(all, before)
				}
				if !ok {
					t.Errorf("%s answered to %s: exit %d, files of versions %v, named %v\n%s", e, c.text, code, all, named, said)
				}
			}
		}
		t.Logf("over version %d: %d refusals, %d saves failed with everything as before, %d said what was changed", before, tries, failed, torn)
		if failed < 10 {
			t.Errorf("%d of %d refusals made a save fail: the test itself is broken", failed, tries)
		}
	}
}
