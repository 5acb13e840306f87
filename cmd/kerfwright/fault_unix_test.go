//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"example.org/kerfwright/presets"
)

// sitting is the real program at a terminal of its own, on the demo job in a
// folder where it was planned before.
type sitting struct {
	t      *testing.T
	dir    string
	state  string
	before map[string][]byte
	cmd    *exec.Cmd
	screen *os.File

	mu  sync.Mutex
	got bytes.Buffer
}

func sit(t *testing.T) *sitting {
	t.Helper()
	s := &sitting{t: t, dir: t.TempDir(), state: t.TempDir(), before: map[string][]byte{}}
	job, drawings := presets.Demo()
	drawings[presets.DemoJob] = job
	for name, data := range drawings {
		if err := os.WriteFile(filepath.Join(s.dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := s.command("plan", presets.DemoJob).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	all, err := os.ReadDir(s.dir)
	if err != nil || len(all) < 4 {
		t.Fatal(all, err)
	}
	for _, e := range all {
		if s.before[e.Name()], err = os.ReadFile(filepath.Join(s.dir, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
	s.start()
	s.shows("name")
	return s
}

func (s *sitting) command(args ...string) *exec.Cmd {
	cmd := exec.Command("kerfwright", args...)
	cmd.Dir = s.dir
	cmd.Env = append(os.Environ(), "TERM=xterm", "LC_ALL=C.UTF-8", "XDG_STATE_HOME="+s.state, "XDG_CONFIG_HOME="+s.state)
	return cmd
}

// start opens the wizard on the job and waits until it draws.
func (s *sitting) start() {
	s.t.Helper()
	s.cmd = s.command(presets.DemoJob)
	screen, err := pty.StartWithSize(s.cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		s.t.Skip("no pseudo-terminal here: ", err)
	}
	s.screen = screen
	s.mu.Lock()
	s.got.Reset()
	s.mu.Unlock()
	go func() {
		buf := make([]byte, 1<<14)
		for {
			n, err := screen.Read(buf)
			s.mu.Lock()
			s.got.Write(buf[:n])
			s.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	s.t.Cleanup(func() {
		if s.cmd.ProcessState == nil {
			s.cmd.Process.Kill()
			s.cmd.Wait()
		}
		screen.Close()
	})
	s.shows("KERFWRIGHT")
}

// until waits for something that must come.
func (s *sitting) until(what string, there func() bool) {
	s.t.Helper()
	for end := time.Now().Add(30 * time.Second); !there(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			s.mu.Lock()
			defer s.mu.Unlock()
			text := s.got.String()
			s.t.Fatalf("waited for %s in vain; the screen got %q", what, text[max(0, len(text)-600):])
		}
	}
}

func (s *sitting) shows(text string) {
	s.t.Helper()
	s.until(text, func() bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return strings.Contains(s.got.String(), text)
	})
}

// rename gives the job another name, the first thing on the first stage.
func (s *sitting) rename(name string) {
	s.t.Helper()
	s.screen.WriteString("\r")
	s.shows("take it")
	s.screen.WriteString("\x15" + name + "\r")
	s.shows(name)
}

// ended waits for the end and returns the exit code, -1 if a signal took it.
func (s *sitting) ended() int {
	s.t.Helper()
	over := make(chan struct{})
	go func() { s.cmd.Wait(); close(over) }()
	select {
	case <-over:
	case <-time.After(30 * time.Second):
		s.cmd.Process.Kill()
		s.t.Fatal("the program does not end")
	}
	return s.cmd.ProcessState.ExitCode()
}

// drafts returns the names of the jobs in the recovery files.
func (s *sitting) drafts() (all []string) {
	s.t.Helper()
	names, _ := filepath.Glob(filepath.Join(s.state, "kerfwright", "draft-*.json"))
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			s.t.Fatal(err)
		}
		var v struct{ Job struct{ Name any } }
		if err := json.Unmarshal(text, &v); err != nil {
			s.t.Fatalf("a recovery file is broken: %v\n%s", err, text)
		}
		b, _ := json.Marshal(v.Job.Name)
		all = append(all, string(b))
	}
	return all
}

// whole fails unless every file of the last save is as it was.
func (s *sitting) whole() {
	s.t.Helper()
	all, err := os.ReadDir(s.dir)
	if err != nil || len(all) != len(s.before) {
		s.t.Errorf("the folder holds %v, held %d files: %v", all, len(s.before), err)
	}
	for name, was := range s.before {
		if now, err := os.ReadFile(filepath.Join(s.dir, name)); err != nil || !bytes.Equal(now, was) {
			s.t.Errorf("%s is not as it was: %v", name, err)
		}
	}
}

// However the program ends, the files of the last save are as they were and
// the work since lies in a recovery file. Exit codes are those that a shell
// gives to a program that a signal ended: 128 and the signal's number.
func TestLostSittingLosesNothing(t *testing.T) {
	for _, row := range []struct {
		name string
		end  func(*sitting)
		exit int
	}{
		{"TERM", func(s *sitting) { s.cmd.Process.Signal(syscall.SIGTERM) }, 128 + 15},
		{"HUP", func(s *sitting) { s.cmd.Process.Signal(syscall.SIGHUP) }, 128 + 1},
		{"INT", func(s *sitting) { s.cmd.Process.Signal(syscall.SIGINT) }, 128 + 2},
		{"terminal gone", func(s *sitting) { s.screen.Close() }, 128 + 1},
		{"kill -9", func(s *sitting) {
			s.until("a recovery file", func() bool { return len(s.drafts()) > 0 && strings.Contains(s.drafts()[0], "second") })
			s.cmd.Process.Kill()
		}, -1},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := sit(t)
			s.rename("second gate")
			row.end(s)
			if code := s.ended(); code != row.exit {
				t.Errorf("exit code %d, want %d", code, row.exit)
			}
			s.whole()
			if d := s.drafts(); len(d) != 1 || !strings.Contains(d[0], "second gate") {
				t.Errorf("recovery files of %v", d)
			}
			s.start()
			s.shows("second gate") // it is offered
			s.cmd.Process.Signal(syscall.SIGTERM)
			s.ended()
			s.whole()
		})
	}
}

// A window dragged to and fro while somebody types, down to nothing and up to
// a wall of screens.
func TestStormOfWindowSizesLosesNothing(t *testing.T) {
	s := sit(t)
	s.rename("second gate")
	random := rand.New(rand.NewPCG(1, 2))
	keys := []string{"\x1b[A", "\x1b[B", "\t", "t", "v", "\x1b", "?", "+", "-"}
	for range 1500 {
		size := pty.Winsize{Rows: uint16(random.IntN(60)), Cols: uint16(random.IntN(220))}
		if err := pty.Setsize(s.screen, &size); err != nil && !errors.Is(err, syscall.EIO) {
			t.Fatal(err)
		}
		if random.IntN(4) == 0 {
			s.screen.WriteString(keys[random.IntN(len(keys))])
		}
	}
	pty.Setsize(s.screen, &pty.Winsize{Rows: 24, Cols: 80})
	s.mu.Lock()
	s.got.Reset()
	s.mu.Unlock()
	s.screen.WriteString("\x1b\x1b")
	s.shows("KERFWRIGHT")
	s.cmd.Process.Signal(syscall.SIGTERM)
	if code := s.ended(); code != 128+15 {
		t.Errorf("exit code %d", code)
	}
	s.whole()
	if d := s.drafts(); len(d) != 1 || !strings.Contains(d[0], "second gate") {
		t.Errorf("recovery files of %v", d)
	}
}
