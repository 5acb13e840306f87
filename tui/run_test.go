package tui

import (
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/creack/pty"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// screen is the other end of a terminal on which Run works.
type screen struct {
	t    *testing.T
	ptmx *os.File
	tty  *os.File
	mu   sync.Mutex
	got  []byte
	news chan struct{}

	out  Outcome
	err  error
	done chan struct{}
}

func runOn(t *testing.T, ctx context.Context, s Session) *screen {
	t.Helper()
	ptmx, tty, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	pty.Setsize(ptmx, &pty.Winsize{Rows: 24, Cols: 80})
	t.Setenv("TERM", "xterm")
	sc := &screen{t: t, ptmx: ptmx, tty: tty, news: make(chan struct{}, 1), done: make(chan struct{})}
	go func() {
		buf := make([]byte, 1<<14)
		for {
			n, err := ptmx.Read(buf)
			sc.mu.Lock()
			sc.got = append(sc.got, buf[:n]...)
			sc.mu.Unlock()
			select {
			case sc.news <- struct{}{}:
			default:
			}
			if err != nil {
				return
			}
		}
	}()
	s.In, s.Out, s.NoColor = tty, tty, true
	go func() {
		defer close(sc.done)
		sc.out, sc.err = Run(ctx, s)
	}()
	// Neither end is closed: Bubble Tea's reader may still be looking at it
	// when Run returns.
	terminals = append(terminals, ptmx, tty)
	return sc
}

// terminals stay open until the tests are over.
var terminals []*os.File

// wait reads until the text has come.
func (s *screen) wait(text string) {
	s.t.Helper()
	watchdog := time.After(30 * time.Second)
	for {
		s.mu.Lock()
		got := string(s.got)
		s.mu.Unlock()
		if strings.Contains(ansi.Strip(got), text) || strings.Contains(got, text) {
			return
		}
		select {
		case <-s.news:
		case <-watchdog:
			s.t.Fatalf("waited for %q in vain; last came %q", text, got[max(0, len(got)-400):])
		}
	}
}

func (s *screen) end() {
	s.t.Helper()
	select {
	case <-s.done:
	case <-time.After(30 * time.Second):
		s.t.Fatal("Run does not end")
	}
	s.tty.WriteString("<over>") // comes after all that Run sent
	s.wait("<over>")
}

// TestRunOnATerminal: keys over a real terminal, and the screen left clean.
func TestRunOnATerminal(t *testing.T) {
	s := runOn(t, context.Background(), Session{Engine: &fake{}, Dir: "/shop", StateDir: t.TempDir()})
	s.wait("no job yet")
	s.ptmx.WriteString("\r")
	s.wait("take it")
	s.ptmx.WriteString("gate leaf\r")
	s.wait("gate leaf")
	s.ptmx.WriteString("q")
	s.wait("leave, keep the draft")
	s.ptmx.WriteString("\r")
	s.end()
	if s.err != nil || s.out.Draft == "" {
		t.Errorf("%v %+v", s.err, s.out)
	}
	s.clean()
}

// clean fails unless the terminal was given back: main screen, cursor shown,
// no bracketed paste.
func (s *screen) clean() {
	s.t.Helper()
	s.mu.Lock()
	got := string(s.got)
	s.mu.Unlock()
	for on, off := range map[string]string{"\x1b[?1049h": "\x1b[?1049l", "\x1b[?25l": "\x1b[?25h", "\x1b[?2004h": "\x1b[?2004l"} {
		if strings.LastIndex(got, on) > strings.LastIndex(got, off) {
			s.t.Errorf("%q is not taken back: ends with %q", on, got[max(0, len(got)-200):])
		}
	}
}

// TestSignalEndsRunAndKeepsTheDraft: main ends the context when a signal comes.
func TestSignalEndsRunAndKeepsTheDraft(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	h := &Holder{}
	s := runOn(t, ctx, Session{Engine: &fake{}, Dir: "/shop", StateDir: t.TempDir(), Holder: h})
	s.wait("no job yet")
	s.ptmx.WriteString("\rgate leaf\r")
	s.wait("not saved")
	cancel()
	s.end()
	if !errors.Is(s.err, context.Canceled) {
		t.Errorf("%v", s.err)
	}
	d, _, err := readKept(s.out.Draft)
	if err != nil || d.Job.Name.String() != "gate leaf" {
		t.Errorf("%+v %v", d, err)
	}
	s.clean()
}

// readyPanics breaks a promise inside Update, from the moment it is told to.
type readyPanics struct {
	fake
	now bool
}

// drawn breaks a promise while the screen is drawn, once a key was pressed.
type drawn struct {
	pressed bool
}

func (d *drawn) Init() tea.Cmd { return nil }

func (d *drawn) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	_, d.pressed = msg.(tea.KeyMsg)
	return d, nil
}

func (d *drawn) View() string {
	if d.pressed {
		panic("nothing to draw")
	}
	return "here"
}

func (r *readyPanics) Ready(j job.Job) fault.List {
	if r.now && j.Stock.Thickness != 0 {
		panic("a broken promise")
	}
	return r.fake.Ready(j)
}

// TestPanicLeavesTheScreenAndKeepsTheDraft: a fault of ours in the update loop
// ends the wizard; the work is offered at the next start.
func TestPanicLeavesTheScreenAndKeepsTheDraft(t *testing.T) {
	state := t.TempDir()
	s := runOn(t, context.Background(), Session{Engine: &readyPanics{now: true}, Dir: "/shop", StateDir: state})
	s.wait("no job yet")
	s.ptmx.WriteString("\rgate leaf\r")
	s.wait("not saved")
	for range 6 { // down to the thickness
		s.ptmx.WriteString("\x1b[B")
	}
	s.wait("▸? thickness")
	s.ptmx.WriteString("6\r")
	s.end()
	if !errors.Is(s.err, ErrBroken) || !strings.Contains(s.err.Error(), "a broken promise") || !strings.Contains(s.err.Error(), "readyPanics") {
		t.Errorf("%v", s.err)
	}
	s.clean()
	found := find(state)
	if len(found) != 1 || found[0].Draft == nil || found[0].Draft.Job.Stock.Thickness != 6 {
		t.Errorf("%+v", found)
	}
}

// TestPanicInTheViewEndsTheProgram also if no other message follows.
func TestPanicInTheViewEndsTheProgram(t *testing.T) {
	g := &guarded{Model: &drawn{}}
	r, w := io.Pipe()
	p := tea.NewProgram(g, tea.WithInput(r), tea.WithOutput(io.Discard), tea.WithoutSignalHandler())
	g.wake = func() { go p.Quit() }
	go w.Write([]byte("x"))
	if _, err := p.Run(); err != nil {
		t.Error(err)
	}
	if !errors.Is(g.broken, ErrBroken) || !strings.Contains(g.broken.Error(), "nothing to draw") {
		t.Errorf("%v", g.broken)
	}
}

// TestDumbTerminalIsRefused before anything is sent to it.
func TestDumbTerminalIsRefused(t *testing.T) {
	t.Setenv("TERM", "dumb")
	if _, err := Run(context.Background(), Session{Engine: &fake{}}); !errors.Is(err, ErrTerminal) {
		t.Errorf("%v", err)
	}
}
