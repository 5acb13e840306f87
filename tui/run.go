// Package tui is the wizard: a full-screen walk along one road, stock,
// features, process, checks, save. A job comes in, or nothing; a saved job
// goes out, or a draft. It draws, asks and remembers; what is true of a cut
// it asks the planner and the presets through Engine, and it holds no geometry
// and no rule of the trade of its own.
//
// The root (root.go) owns the draft, which is replaced and never changed
// (draft.go), and the stack of views. A view (view.go) is a list of rows
// (row.go) made anew from the draft whenever they are needed. The planner
// works off the update loop (work.go); what it returns decides what still
// blocks saving (blocks.go). frame.go draws all of it, plate.go the plate.
package tui

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"example.org/kerfwright/planner/fault"
	// Answers the background question before Bubble Tea's own init asks it.
	_ "example.org/kerfwright/tui/quiet"
)

// Session is what the wizard is started with.
type Session struct {
	In  io.Reader // a terminal
	Out io.Writer // a terminal
	// Paths are one job file, or drawings for a new job.
	Paths []string

	ASCII   bool // draw with ASCII only, whatever the locale
	NoColor bool // no colour, whatever the terminal
	Lines   bool // line by line, without moving the cursor (lines.go)

	Dir      string           // where names are relative to; "" is the working folder
	StateDir string           // for recovery files; "" is StateDir()
	Engine   Engine           // nil is the real one
	Now      func() time.Time // nil is time.Now
	Holder   *Holder          // for main, which writes the draft when a signal comes; may be nil
}

// Outcome says how the wizard ended.
type Outcome struct {
	Saved []string // files written by the last save
	Draft string   // recovery file, if work was left unsaved
	Err   error    // of writing the draft
}

// Lines are what to print once the screen is left: nothing can be printed
// while it is in use.
func (o Outcome) Lines() []string {
	var out []string
	for _, p := range o.Saved {
		out = append(out, "saved "+p)
	}
	if o.Draft != "" {
		out = append(out, "not saved: kept as a draft, offered at the next start ("+o.Draft+")")
	}
	if o.Err != nil {
		out = append(out, "the draft could not be kept: "+o.Err.Error())
	}
	return out
}

// ErrTerminal says that the terminal cannot show the wizard.
var ErrTerminal = errors.New("the wizard needs a terminal that can move its cursor: use the commands (kerfwright help), or set TERM")

// Terminal returns ErrTerminal if TERM names a terminal without a cursor.
func Terminal(getenv func(string) string) error {
	switch getenv("TERM") {
	case "", "dumb", "unknown":
		return ErrTerminal
	}
	return nil
}

// WantsASCII reports whether the locale cannot show more than ASCII.
func WantsASCII(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := getenv(name); v != "" {
			v = strings.ToLower(v)
			return !strings.Contains(v, "utf-8") && !strings.Contains(v, "utf8")
		}
	}
	return true
}

// New makes the wizard's model, ready for Bubble Tea. The recovery file is
// given free by Close.
func New(ctx context.Context, s Session) (*Model, error) {
	if s.Now == nil {
		s.Now = time.Now
	}
	if s.Engine == nil {
		s.Engine = RealEngine()
	}
	if s.Holder == nil {
		s.Holder = &Holder{}
	}
	var err error
	if s.Dir == "" {
		s.Dir = "."
	}
	if s.Dir, err = filepath.Abs(s.Dir); err != nil {
		return nil, fmt.Errorf("find the working folder: %w", err)
	}
	profile := termenv.ANSI
	if s.NoColor {
		profile = termenv.Ascii
	}
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(profile)
	r.SetHasDarkBackground(true)
	m := &Model{
		eng: s.Engine, th: newTheme(r, s.ASCII), now: s.Now, ctx: ctx, holder: s.Holder,
		given: s.Paths, d: &Draft{Dir: s.Dir}, spots: map[string]*spot{}, dirs: map[string]listing{},
		beat: beat, simBeat: simBeat, in: input{wait: escWait},
	}
	if s.StateDir == "" {
		s.StateDir, err = StateDir()
	}
	if err == nil {
		m.stateDir = s.StateDir
		m.keep, err = newKeeper(s.StateDir, s.Now)
	}
	if err != nil {
		m.say(inkWarn, "no draft can be kept: "+err.Error())
	} else {
		s.Holder.k.Store(m.keep)
	}
	m.holder.publish(m.d)
	m.notes = m.eng.Notes()
	prices, faults := m.eng.Prices()
	for _, f := range faults {
		f.Severity = min(f.Severity, fault.Warning) // the job can be made without them
		m.notes.Add(f)
	}
	m.d.Prices = prices
	m.holder.publish(m.d)
	m.res.notes = m.notes
	m.res.told = m.res.faults()
	m.refresh()
	return m, nil
}

// Close gives the recovery file free. A draft that lies there stays.
func (m *Model) Close() {
	m.endAll()
	if m.keep != nil {
		m.keep.close()
	}
}

// Run shows the wizard until the person leaves or ctx ends; the error then
// wraps ctx's. Signals are main's business: it ends ctx, and may call
// Holder.Keep at any time.
func Run(ctx context.Context, s Session) (Outcome, error) {
	if s.Lines {
		return RunLines(ctx, s)
	}
	if err := Terminal(os.Getenv); err != nil {
		return Outcome{}, err
	}
	if s.Holder == nil {
		s.Holder = &Holder{}
	}
	m, err := New(ctx, s)
	if err != nil {
		return Outcome{}, err
	}
	defer m.Close()
	g := &guarded{Model: m}
	p := tea.NewProgram(g, tea.WithInput(s.In), tea.WithOutput(s.Out), tea.WithAltScreen(), tea.WithoutSignalHandler())
	g.wake = func() { go p.Quit() }
	defer context.AfterFunc(ctx, p.Quit)() // killed by its context, Bubble Tea closes its reader while that reads
	_, err = p.Run()
	err = cmp.Or(g.broken, err, ctx.Err())
	out := m.outcome
	if err != nil {
		path, kerr := s.Holder.Keep()
		if path != "" {
			out.Draft = path
		}
		if out.Err == nil {
			out.Err = kerr
		}
		return out, fmt.Errorf("the wizard: %w", err)
	}
	return out, nil
}
