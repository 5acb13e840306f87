package tui

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/progress"
	"example.org/kerfwright/planner/unit"
)

// running is work off the update loop that a person waits for. How far it has
// come stands in the head of the screen; esc ends it, b takes its best so far.
type running struct {
	what  string
	watch *progress.Watch
	stop  context.CancelFunc
	since time.Time
	text  string // how far it has come, as it stands on the screen
	left  string // what the rest takes, as measured, or else how long it has been going on
	best  string // what would be kept if it ended now

	// Work that always has something to keep: esc takes it, and only esc once
	// more stops without it. draw, if there is one, draws it off the update loop.
	keeps   bool
	enough  bool // that was asked for
	draw    func(look any) *scene
	drawing bool
	look    any    // what was drawn last
	scene   *scene // the same

	phase int       // the phase that was seen last,
	began time.Time // when it was seen first,
	from  int       // and how much of it was done then
}

// longDone is the message of work that has ended.
type longDone struct {
	run *running
	msg tea.Msg
}

// bestDrawn brings the drawing of what work would keep.
type bestDrawn struct {
	run   *running
	scene *scene
}

// beatDue says that it is time to look how far the work has come.
type beatDue struct{}

const (
	// beat is how often that is looked at: more would only cost bytes.
	beat = 250 * time.Millisecond
	// patience is how long work may take before it is told how far it is.
	patience = time.Second
)

// long runs f as work that a person waits for. Its context is ended by esc,
// and carries a progress.Watch: whatever f calls may tell through package
// progress how far it is and what it has in hand. f's message comes to on
// like any other, also after esc: f then finds its context ended.
func (m *Model) long(what string, f func(ctx context.Context) tea.Msg) tea.Cmd {
	r, ctx := m.startRun(what)
	work := m.work(what, func() tea.Msg { return f(ctx) })
	return tea.Batch(func() tea.Msg { return longDone{r, work()} }, m.startBeat())
}

// startRun notes work that begins.
func (m *Model) startRun(what string) (*running, context.Context) {
	ctx, stop := context.WithCancel(m.ctx)
	r := &running{what: what, watch: &progress.Watch{}, stop: stop, since: m.now()}
	m.runs = append(m.runs, r)
	return r, progress.With(ctx, r.watch)
}

// endRun ends work and forgets it; nil is none.
func (m *Model) endRun(r *running) {
	if r != nil {
		r.stop()
		m.runs = slices.DeleteFunc(m.runs, func(x *running) bool { return x == r })
	}
}

// waited is the work that a person waits for: what began last.
func (m *Model) waited() *running {
	if n := len(m.runs); n > 0 {
		return m.runs[n-1]
	}
	return nil
}

func (m *Model) startBeat() tea.Cmd {
	if m.beating {
		return nil
	}
	m.beating = true
	return tea.Tick(m.beat, func(time.Time) tea.Msg { return beatDue{} })
}

// onBeat looks how far the work has come.
func (m *Model) onBeat() tea.Cmd {
	m.beating = false
	if len(m.runs) == 0 {
		return nil
	}
	cmds := []tea.Cmd{m.startBeat()}
	for _, r := range m.runs {
		r.see(m.now())
		cmds = append(cmds, m.drawBest(r))
	}
	return tea.Batch(cmds...)
}

// drawBest draws what work has in hand, if that is new; nil if it is not.
func (m *Model) drawBest(r *running) tea.Cmd {
	s, _ := r.watch.Step()
	if r.draw == nil || r.drawing || s.Look == nil || s.Look == r.look {
		return nil
	}
	r.drawing, r.look = true, s.Look
	draw := r.draw
	return m.work("draw the best so far", func() tea.Msg { return bestDrawn{r, draw(s.Look)} })
}

func (m *Model) onBestDrawn(msg bestDrawn) {
	msg.run.drawing, msg.run.scene = false, msg.scene
}

// bestSoFar is the drawing of what the work under way would keep, nil if there
// is none.
func (m *Model) bestSoFar() *scene {
	if r := m.waited(); r != nil {
		return r.scene
	}
	return nil
}

func (r *running) see(now time.Time) {
	s, told := r.watch.Step()
	if told && s.Phase != r.phase {
		r.phase, r.began, r.from = s.Phase, now, s.Done
	}
	took := now.Sub(r.since)
	if took < patience {
		return
	}
	r.text, r.left, r.best = r.what, unit.Duration(took.Seconds())+" so far", s.Best
	if told {
		r.text = s.What
	}
	if s.In != "" {
		r.text = s.In + ", " + s.What
	}
	if s.All == 0 {
		return
	}
	r.text += fmt.Sprintf(": %d of %d %s", s.Done, s.All, s.Of)
	// The rest goes on as what was seen went, at least a tenth of it all.
	if did, took := s.Done-r.from, now.Sub(r.began); did*10 >= s.All && took >= patience {
		r.left = unit.Duration(took.Seconds()*float64(s.All-s.Done)/float64(did)) + " more"
	}
}

// progressLine says what is under way, how far it is and how to end it.
func (m *Model) progressLine() line {
	r := m.waited()
	if r == nil || r.text == "" {
		return nil
	}
	say := func(left, best string) line {
		l := line{{r.text, inkRule}}
		if left != "" {
			l = l.add(inkRule, ", "+left)
		}
		switch {
		case r.keeps && !r.enough && best != "":
			return append(l, span{"  esc", inkHead}, span{" keeps " + best, inkFaint})
		case best == "" || r.enough:
			return append(l, span{"  esc", inkHead}, span{" stops", inkFaint})
		}
		return append(l, span{"  esc", inkHead}, span{" stops", inkFaint}, span{"  b", inkHead}, span{" keeps " + best, inkFaint})
	}
	brief, _, _ := strings.Cut(r.best, ",")
	all := []line{say(r.left, r.best), say(r.left, brief), say("", brief)}
	if brief != "" {
		all = append(all, say("", "it"))
	}
	for _, l := range all {
		if l.width()+3 <= m.w {
			return l
		}
	}
	return all[len(all)-1]
}

// stopWork ends what a person waits for, and reports whether there was any.
func (m *Model) stopWork() bool {
	r := m.waited()
	if r == nil {
		return false
	}
	if m.escKeeps() {
		return true
	}
	if r != m.planRun {
		m.endRun(r)
		m.say(inkWarn, "stopped: "+r.what+".")
		return true
	}
	m.workGen++ // what still comes of it counts no more
	m.endPlan()
	m.noPlan()
	m.res.stopped = true
	m.refresh()
	m.say(inkWarn, "stopped: there is no plan. Stage "+fmt.Sprint(int(saveStage)+1)+" plans again, so does any change.")
	return true
}

// keepBest asks the work to end with what it has.
func (m *Model) keepBest() bool {
	r := m.waited()
	if r == nil {
		return false
	}
	if s, _ := r.watch.Step(); s.Best == "" {
		return false
	}
	r.watch.Enough()
	r.enough = true
	m.say(inkPlain, "it ends with the best so far.")
	return true
}

// escKeeps takes what work has in hand that always has something.
func (m *Model) escKeeps() bool {
	r := m.waited()
	return r != nil && r.keeps && !r.enough && m.keepBest()
}

func (m *Model) endPlan() {
	m.endRun(m.planRun)
	m.planRun = nil
}

// endAll ends all work: the wizard is left.
func (m *Model) endAll() {
	for len(m.runs) > 0 {
		m.endRun(m.runs[0])
	}
	m.planRun = nil
}
