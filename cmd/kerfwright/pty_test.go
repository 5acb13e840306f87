package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/creack/pty"
)

// terminal is the real program on a pseudo-terminal.
type ptyRun struct {
	t    *testing.T
	cmd  *exec.Cmd
	ptmx *os.File
	mu   sync.Mutex
	got  []byte
	news chan struct{}
	done chan error
}

// onPTY starts the real program: this test's binary under its other name.
func onPTY(t *testing.T, home string, argv ...string) *ptyRun {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path := self
	if argv[0] != "kerfwright" { // a shell, which finds the program by its name
		if path, err = exec.LookPath(argv[0]); err != nil {
			t.Skipf("no %s here: %v", argv[0], err)
		}
		if err := os.Symlink(self, filepath.Join(home, "kerfwright")); err != nil && !os.IsExist(err) {
			t.Fatal(err)
		}
	}
	cmd := &exec.Cmd{Path: path, Args: argv, Dir: home}
	cmd.Env = append(os.Environ(), "TERM=xterm", "LC_ALL=C.UTF-8", "NO_COLOR=1", "HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_STATE_HOME="+home, "PATH="+home+":"+os.Getenv("PATH"))
	ptmx, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	p := &ptyRun{t: t, cmd: cmd, ptmx: ptmx, news: make(chan struct{}, 1), done: make(chan error, 1)}
	go func() {
		buf := make([]byte, 1<<14)
		for {
			n, err := ptmx.Read(buf)
			p.mu.Lock()
			p.got = append(p.got, buf[:n]...)
			p.mu.Unlock()
			select {
			case p.news <- struct{}{}:
			default:
			}
			if err != nil {
				p.done <- cmd.Wait()
				return
			}
		}
	}()
	t.Cleanup(func() { cmd.Process.Kill(); ptmx.Close() })
	return p
}

func (p *ptyRun) len() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return len(p.got)
}

// wait reads until the text has come after the first from bytes.
func (p *ptyRun) wait(from int, text string) {
	p.t.Helper()
	watchdog := time.After(60 * time.Second)
	for {
		p.mu.Lock()
		got := string(p.got[from:])
		p.mu.Unlock()
		if strings.Contains(ansi.Strip(got), text) {
			return
		}
		select {
		case <-p.news:
		case <-watchdog:
			p.t.Fatalf("waited for %q in vain; last came %q", text, got[max(0, len(got)-6000):])
		}
	}
}

// code waits for the end and returns the exit code, -1 if it was killed.
func (p *ptyRun) code() int {
	p.t.Helper()
	select {
	case err := <-p.done:
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			return exit.ExitCode()
		}
		return 0
	case <-time.After(60 * time.Second):
		p.t.Fatal("the program does not end")
	}
	return 0
}

// clean fails unless the terminal was given back.
func (p *ptyRun) clean() {
	p.t.Helper()
	p.mu.Lock()
	got := string(p.got)
	p.mu.Unlock()
	for on, off := range map[string]string{"\x1b[?1049h": "\x1b[?1049l", "\x1b[?25l": "\x1b[?25h", "\x1b[?2004h": "\x1b[?2004l"} {
		if !strings.Contains(got, on) || strings.LastIndex(got, on) > strings.LastIndex(got, off) {
			p.t.Errorf("%q is not taken back", on)
		}
	}
}

func (p *ptyRun) size(rows, cols uint16) int {
	n := p.len()
	pty.Setsize(p.ptmx, &pty.Winsize{Rows: rows, Cols: cols})
	return n
}

// TestRealProgramIsResizedAndHungUp: made smaller than it can be, larger, and
// its line dropped; the draft is offered at the next start.
func TestRealProgramIsResizedAndHungUp(t *testing.T) {
	home := t.TempDir()
	p := onPTY(t, home, "kerfwright")
	p.wait(0, "no job yet")
	p.ptmx.WriteString("\rgate leaf\r")
	p.wait(0, "KERFWRIGHT  gate leaf")
	p.wait(p.size(20, 60), "Needs 80 by 24")
	p.wait(p.size(40, 120), "gate leaf")
	p.wait(p.size(24, 80), "gate leaf")
	p.cmd.Process.Signal(syscall.SIGHUP)
	if code := p.code(); code != 128+int(syscall.SIGHUP) {
		t.Errorf("exit code %d", code)
	}
	p.clean()
	again := onPTY(t, home, "kerfwright")
	again.wait(0, "drafts left behind")
	again.ptmx.WriteString("\r")
	again.wait(0, "draft taken up")
	again.cmd.Process.Signal(syscall.SIGTERM)
	if code := again.code(); code != 128+int(syscall.SIGTERM) {
		t.Errorf("exit code %d", code)
	}
	again.clean()
}

// TestRealProgramIsKilled: nothing can be done then, and nothing is lost all
// the same.
func TestRealProgramIsKilled(t *testing.T) {
	home := t.TempDir()
	p := onPTY(t, home, "kerfwright")
	p.wait(0, "no job yet")
	p.ptmx.WriteString("\rgate leaf\r")
	draft := filepath.Join(home, "kerfwright", "draft-01.json")
	for deadline := time.Now().Add(60 * time.Second); ; time.Sleep(5 * time.Millisecond) { // polls for a file
		if b, err := os.ReadFile(draft); err == nil && strings.Contains(string(b), "gate leaf") {
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("no draft is kept while the wizard runs")
		}
	}
	p.cmd.Process.Kill()
	p.code()
	again := onPTY(t, home, "kerfwright")
	again.wait(0, "drafts left behind")
	again.wait(0, "gate leaf")
}

// TestRealProgramIsSuspendedAndTakenUp by a shell with job control.
func TestRealProgramIsSuspendedAndTakenUp(t *testing.T) {
	p := onPTY(t, t.TempDir(), "bash", "--norc", "-c", "set -m; kerfwright; echo STOPPED; fg >/dev/null; echo OVER")
	p.wait(0, "no job yet")
	n := p.len()
	p.ptmx.WriteString("\x1a")
	p.wait(n, "STOPPED")
	p.wait(n, "no job yet") // drawn again
	n = p.len()
	p.ptmx.WriteString("q")
	p.wait(n, "OVER")
	p.clean()
}

// TestLinesByPipe: TERM=dumb and a pipe, no escape sequence.
func TestLinesByPipe(t *testing.T) {
	home := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := &exec.Cmd{Path: self, Args: []string{"kerfwright", "--lines"}, Dir: home, Stdin: strings.NewReader("1 gate leaf\n? 1\nquit\n1\n")}
	cmd.Env = append(os.Environ(), "TERM=dumb", "LC_ALL=C", "HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_STATE_HOME="+home)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	s := string(out)
	for _, want := range []string{"Stage 1 of ", "1. OPEN: name: unknown", "1. name: gate leaf", "What the shop calls the job", "leave, keep the draft"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is not told:\n%s", want, s)
		}
	}
	if strings.ContainsFunc(s, func(r rune) bool { return r != '\n' && (r < 0x20 || r > 0x7e) }) {
		t.Errorf("signs beyond plain text: %q", s)
	}
}
