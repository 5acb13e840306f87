package tui

import (
	"bytes"
	"context"
	"io"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// wire counts what goes over the link.
type wire struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (w *wire) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(p)
}

func (w *wire) len() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Len()
}

func (w *wire) since(n int) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return string(w.b.Bytes()[n:])
}

// says reports whether a text was sent since n bytes, whatever its colours.
func (w *wire) says(n int, text string) bool { return strings.Contains(ansi.Strip(w.since(n)), text) }

// grate is a drainage grate with many holes: one outline and n holes.
func grate(n int) *drawing.Loops {
	cols := int(math.Ceil(math.Sqrt(float64(2 * n))))
	rows := (n + cols - 1) / cols
	w, h := float64(20*cols+20), float64(20*rows+20)
	l := &drawing.Loops{Name: plain.Of("grate"), Units: unit.MM, UnitFrom: drawing.UnitInFile}
	add := func(p geom.Path) {
		l.Closed = append(l.Closed, drawing.Loop{Path: p, Use: job.LayerCut})
	}
	add(geom.Polygon(geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h)))
	for i := range n {
		add(geom.Circle(geom.Pt(float64(20+20*(i%cols)), float64(20+20*(i/cols))), 6))
	}
	l.Box = geom.Box{Max: geom.Pt(w, h)}
	return l
}

type grateEngine struct {
	fake
	n    int
	real bool // it is planned, with ways and times
}

func (g *grateEngine) Read(ctx context.Context, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	return []*drawing.Loops{grate(g.n)}, nil
}

func (g *grateEngine) Plan(ctx context.Context, j job.Job, l []*drawing.Loops) (*planner.Program, fault.List) {
	if g.real {
		return planner.Plan(ctx, j, l)
	}
	return g.fake.Plan(ctx, j, l)
}

// bigJob is a wizard on a planned plate with n holes, without colour unless said.
func bigJob(t testing.TB, n, w, h int, color bool) *driver {
	return bigJobOf(t, &grateEngine{n: n}, w, h, color)
}

func bigJobOf(t testing.TB, e *grateEngine, w, h int, color bool) *driver {
	n := e.n
	d := start(t, w, h, func(s *Session) { s.Engine, s.NoColor = e, !color })
	d.stock()
	d.set("stock.width", "3000")
	d.set("stock.height", "3000")
	d.set("stock.thickness", "3")
	d.process()
	if d.m.res.prog == nil || len(d.m.res.prog.Cuts) != n+1 {
		t.Fatalf("not planned: %v", d.m.res.told)
	}
	d.go_(stockStage)
	return d
}

// overLink runs the wizard at 200x60 with its output counted, until the test
// ends.
func overLink(t *testing.T, m *Model) (*tea.Program, *wire) {
	out := &wire{}
	in, typing := io.Pipe()
	p := tea.NewProgram(stepper{m}, tea.WithInput(in), tea.WithOutput(out), tea.WithoutSignalHandler())
	done := make(chan error, 1)
	go func() {
		_, err := p.Run()
		done <- err
	}()
	t.Cleanup(func() {
		p.Kill()
		<-done
		typing.Close()
	})
	p.Send(tea.WindowSizeMsg{Width: 200, Height: 60})
	return p, out
}

// TestBytesOnTheWire: at 200x60 with 5,000 contours a one-field edit takes
// under 4 KiB and a key without effect nothing (design.md section 7).
func TestBytesOnTheWire(t *testing.T) {
	d := bigJob(t, 5000, 200, 60, true)
	d.at("stock.thickness")
	m := d.m
	p, out := overLink(t, m)
	wait := func(what string, ok func() bool) {
		t.Helper()
		for deadline := time.Now().Add(30 * time.Second); !ok(); {
			if time.Now().After(deadline) {
				t.Fatalf("waited for %s in vain; last came %q", what, out.since(max(0, out.len()-300)))
			}
			time.Sleep(time.Millisecond) // polls for text; nothing is measured by time
		}
	}
	wait("the first frame", func() bool { return out.says(0, "q leave") })
	first := out.len()
	step := func(msg tea.Msg, text string) string {
		n := out.len()
		p.Send(msg)
		wait(text, func() bool { return out.says(n, text) })
		return out.since(n)
	}
	// The row that is edited shows on its line and in the explanation.
	edit := step(tea.KeyMsg{Type: tea.KeyEnter}, "take it")
	typed := step(runeKey('4'), "4▏")
	t.Logf("first frame %d bytes, into the field %d, a sign %d", first, len(edit), len(typed))
	for name, n := range map[string]int{"into the field": len(edit), "a sign": len(typed)} {
		if n >= 4096 {
			t.Errorf("%s takes %d bytes, at most 4095 are allowed", name, n)
		}
	}
	// Taken: it is read, sorted and planned again; the picture stays the same.
	from := out.len()
	step(tea.KeyMsg{Type: tea.KeyEnter}, "4 mm")
	wait("the plan", func() bool { return idle(p) })
	taken := out.len() - from
	t.Logf("taken and planned anew %d", taken)
	if taken >= 4096 {
		t.Errorf("taking the value takes %d bytes", taken)
	}
	// Down and up again: what was drawn before has been sent by then.
	step(tea.KeyMsg{Type: tea.KeyDown}, "Whether outlines are cut")
	step(tea.KeyMsg{Type: tea.KeyUp}, "Measure it at the edge")
	n := out.len()
	p.Send(runeKey('Q'))
	p.Send(tea.KeyMsg{Type: tea.KeyF7})
	// A key with effect behind them proves that they were dealt with; only what
	// it changes may have been sent: two rows, the explanation and the keys.
	step(tea.KeyMsg{Type: tea.KeyDown}, "Whether outlines are cut")
	if got := out.since(n); strings.Count(got, "\x1b[59A") > 1 {
		t.Errorf("keys without effect drew a frame: %q", got)
	}
}

// idle asks the running wizard whether it waits for nothing.
func idle(p *tea.Program) bool {
	answer := make(chan bool, 1)
	p.Send(ask{answer})
	return <-answer
}

// ask is answered by stepper inside the update loop.
type ask struct{ idle chan bool }

// stepper hands the model on without starting it anew.
type stepper struct{ *Model }

func (s stepper) Init() tea.Cmd { return nil }
func (s stepper) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if a, ok := msg.(ask); ok {
		a.idle <- s.Model.res.busy == ""
		return s, nil
	}
	_, cmd := s.Model.Update(msg)
	return s, cmd
}

// BenchmarkKeyToFrame is one key and its frame at 200x60 with 5,000 contours;
// design.md section 7 wants it under 16 ms.
func BenchmarkKeyToFrame(b *testing.B) {
	for _, c := range []struct {
		name  string
		stage stage
		keys  []tea.KeyMsg
	}{
		{"rows", stockStage, []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyUp}}},
		{"features", featureStage, []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyUp}}},
		{"nearer", featureStage, []tea.KeyMsg{runeKey('+'), runeKey('-')}},
		{"cost", saveStage, []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyUp}}},
		{"checks", checkStage, []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyUp}}},
		{"typing", stockStage, []tea.KeyMsg{runeKey('4'), {Type: tea.KeyBackspace}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			d := bigJob(b, 5000, 200, 60, true)
			d.go_(c.stage)
			if c.name == "typing" {
				d.at("stock.thickness").keys("enter")
			}
			d.frame()
			for i := 0; b.Loop(); i++ {
				d.m.Update(c.keys[i%len(c.keys)])
				d.m.View()
			}
		})
	}
}

// BenchmarkFirstFrame is the plate of 5,000 contours drawn anew.
func BenchmarkFirstFrame(b *testing.B) {
	d := bigJob(b, 5000, 200, 60, true)
	for b.Loop() {
		d.m.plate = plateView{}
		d.m.View()
	}
}

// BenchmarkResize goes back and forth between two sizes.
func BenchmarkResize(b *testing.B) {
	d := bigJob(b, 5000, 200, 60, true)
	for i := 0; b.Loop(); i++ {
		d.m.Update(tea.WindowSizeMsg{Width: 200 - i%2, Height: 60})
		d.m.View()
	}
}

// bigRun is a run of a true plan on the whole screen, at 200x60 with n holes.
func bigRun(t testing.TB, n int, color bool) *driver {
	e := &grateEngine{n: n}
	d := bigJobOf(t, e, 200, 60, color)
	e.real = true // planned in earnest once, when all is decided
	d.set("stock.thickness", "3.2")
	d.quiet = true
	d.keys("v")
	d.frame()
	d.keys("space space")
	if d.m.plate.sim == nil || d.m.plate.sim.play {
		t.Fatal("no run that waits")
	}
	if d.m.plate.sim.line.Total < float64(n) { // s; a second a cut at the least
		t.Fatalf("the run takes %g s", d.m.plate.sim.line.Total)
	}
	d.frame()
	return d
}

// BenchmarkRunEnd jumps from the beginning of the run to its end and back: all
// that was cut is drawn anew.
func BenchmarkRunEnd(b *testing.B) {
	d := bigRun(b, 5000, true)
	s := d.m.plate.sim
	for i := 0; b.Loop(); i++ {
		d.m.simTo(float64(i%2) * s.line.Total)
		d.m.View()
	}
}

// TestBytesOfARun: at 200x60 a step of the run takes under 4 KiB of a slow link, from cut
// to cut or by the clock.
func TestBytesOfARun(t *testing.T) {
	d := bigRun(t, 1200, true)
	m := d.m
	p, out := overLink(t, m)
	step := func(msg tea.Msg, text string) int {
		n := out.len()
		p.Send(msg)
		for deadline := time.Now().Add(30 * time.Second); !out.says(n, text); {
			if time.Now().After(deadline) {
				t.Fatalf("waited for %q in vain: %q", text, out.since(n))
			}
			time.Sleep(time.Millisecond) // polls for text; nothing is measured by time
		}
		return out.len() - n
	}
	step(nil, clockOf(0)+" of")
	begin := m.plate.sim.line.Begin
	for _, c := range []struct {
		what string
		msg  tea.Msg
		text string
	}{
		{"a cut on", tea.KeyMsg{Type: tea.KeyRight}, "cut 2 of 1201"},
		{"another", tea.KeyMsg{Type: tea.KeyRight}, "cut 3 of 1201"},
		{"five seconds on", tea.KeyMsg{Type: tea.KeyPgDown}, clockOf(begin(2)+5) + " of"},
	} {
		n := step(c.msg, c.text)
		t.Logf("%s: %d bytes", c.what, n)
		if n >= 4096 {
			t.Errorf("%s takes %d bytes, at most 4095 are allowed", c.what, n)
		}
	}
}

// BenchmarkRunFrame is one beat of the run at 20x and its frame: design.md
// section 7 wants under 16 ms.
func BenchmarkRunFrame(b *testing.B) {
	d := bigRun(b, 5000, false)
	s := d.m.plate.sim
	for b.Loop() {
		if d.m.simTo(s.at + 2); s.at >= s.line.Total {
			d.m.simTo(0)
		}
		d.m.View()
	}
}

// BenchmarkPlanArrives is the moment at which a plan of 5,000 contours is
// taken in, and its first frame; the loop may be held 50 ms by it.
func BenchmarkPlanArrives(b *testing.B) {
	d := bigJob(b, 5000, 200, 60, false)
	r := d.m.res
	for b.Loop() {
		b.StopTimer()
		scene := planScene(d.m.d.Job, r.prog) // made off the loop
		b.StartTimer()
		d.m.onPlan(planDone{gen: d.m.workGen, prog: r.prog, faults: r.planFaults, scene: scene, checks: r.checks, items: r.items})
		d.m.View()
	}
}
