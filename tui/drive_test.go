package tui

import (
	"context"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"
)

// TestMain lets no test hang: one watchdog tells where it hung.
func TestMain(m *testing.M) {
	patience := 9 * time.Minute // go test ends at 10
	if slices.ContainsFunc(os.Args, func(a string) bool { return strings.HasPrefix(a, "-test.fuzz=") }) {
		patience = 24 * time.Hour // a long look has its own end
	}
	watchdog := time.AfterFunc(patience, func() {
		buf := make([]byte, 1<<20)
		os.Stderr.Write(buf[:runtime.Stack(buf, true)])
		os.Exit(3)
	})
	code := m.Run()
	watchdog.Stop()
	os.Exit(code)
}

// driver sits at a wizard: it presses keys and reads the screen.
type driver struct {
	t   testing.TB
	m   *Model
	eng *fake
	// quiet keeps commands that were returned for later instead of running them.
	quiet bool
	later []tea.Cmd
	quit  bool
	loop  func(on bool) // if set, told of when the wizard acts on a message or draws
}

func start(t testing.TB, w, h int, change ...func(*Session)) *driver {
	t.Helper()
	eng := &fake{}
	clock := time.Date(2026, 3, 9, 14, 5, 0, 0, time.FixedZone("", 3600))
	s := Session{Engine: eng, NoColor: true, Dir: "/shop", StateDir: t.TempDir(), Now: func() time.Time { return clock }}
	for _, c := range change {
		c(&s)
	}
	if f, ok := s.Engine.(*fake); ok {
		eng = f
	}
	m, err := New(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	m.in.wait = 0 // nobody sits at the other end of a slow link
	m.beat, m.simBeat = 0, 0
	d := &driver{t: t, m: m, eng: eng}
	d.run(m.Init())
	d.send(tea.WindowSizeMsg{Width: w, Height: h})
	return d
}

// send hands one message over and runs what comes of it.
func (d *driver) send(msg tea.Msg) {
	d.on(true)
	_, cmd := d.m.Update(msg)
	d.on(false)
	d.run(cmd)
}

func (d *driver) on(loop bool) {
	if d.loop != nil {
		d.loop(loop)
	}
}

// run does the work of a command, at once and in order.
func (d *driver) run(cmd tea.Cmd) {
	if cmd == nil || d.quit {
		return
	}
	if d.quiet {
		d.later = append(d.later, cmd)
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			d.run(c)
		}
	case tea.QuitMsg:
		d.quit = true
	default:
		d.send(msg)
	}
}

// keys presses keys by name: "down down enter 6mm". A word that is no key's
// name is typed sign by sign.
func (d *driver) keys(s string) {
	d.t.Helper()
	named := map[string]tea.KeyType{"up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight,
		"enter": tea.KeyEnter, "esc": tea.KeyEscape, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab, "space": tea.KeySpace,
		"home": tea.KeyHome, "end": tea.KeyEnd, "pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "backspace": tea.KeyBackspace,
		"ctrl+c": tea.KeyCtrlC, "ctrl+u": tea.KeyCtrlU, "delete": tea.KeyDelete}
	for _, w := range strings.Fields(s) {
		if k, ok := named[w]; ok {
			msg := tea.KeyMsg{Type: k}
			if k == tea.KeySpace {
				msg.Runes = []rune{' '}
			}
			d.send(msg)
			continue
		}
		for _, r := range w {
			d.send(runeKey(r))
		}
	}
}

// typed presses the signs of a text, blanks included.
func (d *driver) typed(s string) {
	for _, r := range s {
		d.send(runeKey(r))
	}
}

// at puts the cursor on a row of the view on top.
func (d *driver) at(id string) *driver {
	d.t.Helper()
	l := d.m.top().list(d.m)
	if l.find(id) < 0 {
		d.t.Fatalf("no row %q on %q:\n%s", id, d.m.top().id(), d.frame())
	}
	d.m.spot().id = id
	return d
}

// row returns a row of the view on top.
func (d *driver) row(id string) row {
	d.t.Helper()
	l := d.m.top().list(d.m)
	i := l.find(id)
	if i < 0 {
		d.t.Fatalf("no row %q on %q:\n%s", id, d.m.top().id(), d.frame())
	}
	return l.at(i)
}

// pick takes the line of a list that begins with the text.
func (d *driver) pick(text string) {
	d.t.Helper()
	l := d.m.top().list(d.m)
	for i := range l.n {
		if r := l.at(i); r.plain != nil && strings.HasPrefix(r.plain[0].s, text) {
			d.at(r.id).keys("enter")
			return
		}
	}
	d.t.Fatalf("no line %q:\n%s", text, d.frame())
}

// set types a value into a row.
func (d *driver) set(id, value string) {
	d.t.Helper()
	d.at(id)
	d.keys("enter ctrl+u")
	d.typed(value)
	d.keys("enter")
	if d.m.ed != nil {
		d.t.Fatalf("%s: %q is not taken: %s", id, value, d.m.no)
	}
}

// inBothSizes returns what holds the frame of a small and of a large screen
// under a name, and goes back to the small one.
func inBothSizes(t *testing.T, d *driver) func(name string) {
	return func(name string) {
		for _, s := range [][2]int{{80, 24}, {200, 60}} {
			d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
			t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
		}
		d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	}
}

func (d *driver) frame() string { return d.m.View() }

// flat is a frame as one line, so that a text is found also where it was broken.
func flat(s string) string { return strings.Join(strings.Fields(ansi.Strip(s)), " ") }

// shows fails unless the frame holds the text.
func (d *driver) shows(s string) {
	d.t.Helper()
	if !strings.Contains(flat(d.frame()), flat(s)) {
		d.t.Fatalf("the frame does not show %q:\n%s", s, d.frame())
	}
}

func (d *driver) lacks(s string) {
	d.t.Helper()
	if strings.Contains(flat(d.frame()), flat(s)) {
		d.t.Fatalf("the frame shows %q:\n%s", s, d.frame())
	}
}

// stock fills in the first stage.
func (d *driver) stock(files ...string) {
	d.t.Helper()
	if len(files) == 0 {
		files = []string{"hinge.dxf"}
	}
	d.set("name", "gate hinge leaf")
	d.at("units").keys("right")
	for _, f := range files {
		d.run(d.m.change(func(dr *Draft) { dr.addDrawing("/shop/" + f) }))
	}
	d.at("stock.material").keys("right")
	d.at("surface").keys("right right")
	d.set("stock.thickness", "6")
	d.at("stock.hold").keys("right")
	d.set("stock.width", "500")
	d.set("stock.height", "250")
	d.at("under").keys("right")
	d.at("machine").keys("right right")
}

// process fills in the third stage from the preset.
func (d *driver) process() {
	d.t.Helper()
	d.go_(processStage)
	d.at("process.amps").keys("right")
	d.at("preset").keys("enter")
}

func (d *driver) go_(s stage) {
	d.t.Helper()
	for i := 0; d.m.d.Stage != int(s) && i < 10; i++ {
		if d.m.d.Stage < int(s) {
			d.keys("tab")
		} else {
			d.keys("shift+tab")
		}
	}
	if d.m.d.Stage != int(s) {
		d.t.Fatalf("stage %s is not reached", s)
	}
}

// confirmAll goes down the checklist and confirms each line by itself.
func (d *driver) confirmAll() {
	d.t.Helper()
	d.go_(checkStage)
	d.set("operator", "J. Berg")
	for _, it := range d.m.res.items {
		d.at("item:" + it.ID).keys("space")
	}
}
