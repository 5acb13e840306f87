package tui

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// keepOnce tells the test binary, started again under a tracer, to write the
// recovery file in a folder once more, from its first thread.
const keepOnce = "KERFWRIGHT_TEST_KEEP_ONCE_IN"

func init() {
	dir := os.Getenv(keepOnce)
	if dir == "" {
		return
	}
	runtime.LockOSThread()
	k := &keeper{dir: dir, path: filepath.Join(dir, "draft-01.json"), now: clockAt("2026-03-09T14:06:00+01:00")}
	os.Stdout.WriteString("begin")
	_, err := k.write(draftOf("second"))
	os.Stdout.WriteString("end")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
	os.Exit(0)
}

func draftOf(name string) *Draft {
	j := fullJob()
	j.Name = plain.Of(name)
	return &Draft{Gen: 1, Job: j, Name: name}
}

// keptOnce runs one write over the recovery file of a first draft, or over
// none, under the tracer, and returns what was traced, the exit code (-1 is a
// kill) and the name of the draft that is then found.
func keptOnce(t *testing.T, first bool, options ...string) (calls [][3]string, code int, name string) {
	t.Helper()
	dir := t.TempDir()
	if first {
		k := keeperIn(t, dir)
		if _, err := k.write(draftOf("first")); err != nil {
			t.Fatal(err)
		}
		k.close()
	}
	trace := filepath.Join(t.TempDir(), "trace")
	cmd := exec.Command("strace", append(append([]string{"-f", "-qq", "-s", "16", "-o", trace}, options...), os.Args[0])...)
	cmd.Env = append(os.Environ(), keepOnce+"="+dir, "GOGC=off")
	said, _ := cmd.CombinedOutput()
	text, err := os.ReadFile(trace)
	if err != nil {
		t.Skip("the tracer does not work here: ", err, string(said))
	}
	thread, counts, inside := "", map[string]int{}, false
	for _, l := range strings.Split(string(text), "\n") {
		m := regexp.MustCompile(`^(\d+) +([a-z0-9_]+)\(`).FindStringSubmatch(l)
		if m == nil || thread != "" && m[1] != thread {
			continue
		}
		thread = m[1]
		counts[m[2]]++
		switch {
		case strings.Contains(l, `"begin"`):
			inside = true
		case strings.Contains(l, `"end"`):
			inside = false
		case inside:
			calls = append(calls, [3]string{m[2], fmt.Sprint(counts[m[2]]), l})
		}
	}
	switch found := find(dir); {
	case len(found) == 0:
	case len(found) > 1 || found[0].Err != nil:
		name = fmt.Sprintf("broken: %+v", found)
	default:
		name = found[0].Draft.Name
		if d := draftOf(name); found[0].Draft.Job.Name != d.Job.Name || len(found[0].Draft.Job.Drawings) != len(d.Job.Drawings) {
			name = "another job than was written"
		}
	}
	// What a killed write left is no draft, and in nobody's way.
	k, err := newKeeper(dir, clockAt("2026-03-09T14:07:00+01:00"))
	if err != nil {
		t.Error("no place for a recovery file afterwards:", err)
	} else if _, err := k.write(&Draft{Gen: 1, Job: job.Job{Name: plain.Of("third")}}); err != nil {
		t.Error("no recovery file can be written afterwards:", err)
	}
	return calls, cmd.ProcessState.ExitCode(), name
}

// Killed at any system call of its own write, or refused it, the recovery file
// is the old one or the new one, whole.
func TestDraftKilledOrRefusedAtEverySystemCallIsOldOrNew(t *testing.T) {
	if testing.Short() {
		t.Skip("starts some fifty processes")
	}
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("strace is not here")
	}
	refusals := map[string]string{"openat": "ENOSPC", "write": "ENOSPC", "fsync": "EIO", "renameat": "EROFS", "close": "EIO", "fcntl": "EIO"}
	for _, first := range []bool{true, false} {
		if !first && os.Getenv("KERFWRIGHT_LONG") == "" {
			break
		}
		old := map[bool]string{true: "first"}[first]
		calls, code, name := keptOnce(t, first)
		if len(calls) == 0 {
			t.Skip("the tracer sees nothing here")
		}
		if code != 0 || name != "second" {
			t.Fatalf("the traced write itself: exit %d, %q", code, name)
		}
		if os.Getenv("KERFWRIGHT_LONG") == "" { // those that are not about files
			calls = slices.DeleteFunc(calls, func(c [3]string) bool { return refusals[c[0]] == "" })
		}
		killed, refused, asOld := 0, 0, 0
		for _, c := range calls {
			_, code, name := keptOnce(t, first, "-e", "inject="+c[0]+":signal=KILL:when="+c[1])
			if name != old && name != "second" {
				t.Errorf("killed at %s: %q", c[2], name)
			}
			if code != 0 {
				killed++
			}
			if name == old {
				asOld++
			}
			e := refusals[c[0]]
			if e == "" {
				continue
			}
			_, code, name = keptOnce(t, first, "-e", "inject="+c[0]+":error="+e+":when="+c[1])
			if code == 0 && name != "second" || code == 2 && name != old || code != 0 && code != 2 {
				t.Errorf("%s answered to %s: exit %d, %q", e, c[2], code, name)
			}
			if code == 2 {
				refused++
			}
		}
		t.Logf("over %q: %d system calls, killed at %d, the old one stood after %d; %d refusals were told", old, len(calls), killed, asOld, refused)
		if killed < len(calls)*3/4 || asOld == 0 || refused < 3 {
			t.Errorf("killed at %d of %d, %d as before, %d refusals: the test itself is broken", killed, len(calls), asOld, refused)
		}
	}
}
