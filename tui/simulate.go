package tui

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/unit"
)

// sim is the run of the program on the plate view, by the plan's own times.
type sim struct {
	prog   *planner.Program
	line   *planner.Timeline
	at     float64 // s since the start
	play   bool
	speed  int // index into speeds
	follow bool
	last   time.Time // when at was last moved on
	n      int       // counts the plays, so that an old beat moves nothing
}

var speeds = [...]float64{1, 2, 5, 10, 20, 50, 100}

// simBeat is how often the picture moves on: ten times a second is as much as
// a slow link carries.
const simBeat = 100 * time.Millisecond

type simDue struct{ n int }

// startSim begins the simulation, or plays it on.
func (m *Model) startSim() (bool, tea.Cmd) {
	p := m.shownProgram()
	if p == nil || len(p.Cuts) == 0 {
		m.say(inkPlain, "there is no plan to run yet.")
		return true, nil
	}
	if s := m.res.scene; s.line == nil {
		s.line = p.Timeline(m.d.Job)
	}
	m.plate.sim = &sim{prog: p, line: m.res.scene.line, speed: 3}
	return true, m.playSim(true)
}

func (m *Model) endSim() { m.plate.sim = nil }

func (m *Model) playSim(play bool) tea.Cmd {
	s := m.plate.sim
	s.play = play
	s.n++
	if !play {
		return nil
	}
	if s.at >= s.line.Total {
		s.at = 0
	}
	s.last = m.now()
	return m.simTick()
}

func (m *Model) simTick() tea.Cmd {
	n := m.plate.sim.n
	return tea.Tick(m.simBeat, func(time.Time) tea.Msg { return simDue{n} })
}

// onSim moves the simulation on by the time that went by.
func (m *Model) onSim(msg simDue) tea.Cmd {
	s := m.plate.sim
	if s == nil || s.n != msg.n || !s.play {
		return nil
	}
	if s.prog != m.shownProgram() || !m.whole { // another plan, or not looked at
		m.endSim()
		return nil
	}
	now := m.now()
	went := now.Sub(s.last).Seconds()
	if went <= 0 { // a clock that stands still plays nothing
		s.play = false
		return nil
	}
	s.last = now
	m.simTo(s.at + went*speeds[s.speed])
	if s.at >= s.line.Total {
		s.play = false
		return nil
	}
	return m.simTick()
}

func (m *Model) simTo(t float64) {
	s := m.plate.sim
	s.at = max(0, min(t, s.line.Total))
	if s.follow && m.plate.level > 0 {
		at := s.line.At(s.at).At
		if r := m.plate.base; r == nil || !r.view().Grow(-r.view().Height()/8).Contains(at) {
			m.plate.center = &at
		}
	}
}

// pressSim acts on the keys of the simulation.
func (m *Model) pressSim(k tea.KeyMsg) (bool, tea.Cmd) {
	s := m.plate.sim
	if s == nil {
		return false, nil
	}
	if s.prog != m.shownProgram() {
		m.endSim()
		return false, nil
	}
	switch k.String() {
	case " ":
		return true, m.playSim(!s.play)
	case "esc":
		m.endSim()
	case "right", "l":
		m.simTo(s.line.Begin(s.line.At(s.at).Cut + 1))
	case "left", "h":
		c := s.line.At(s.at).Cut
		if s.at-s.line.Begin(c) < 0.05 { // at its begin already: the one before
			c--
		}
		m.simTo(s.line.Begin(max(0, c)))
	case "up", "k":
		if s.speed == len(speeds)-1 {
			return false, nil
		}
		s.speed++
	case "down", "j":
		if s.speed == 0 {
			return false, nil
		}
		s.speed--
	case "pgdown":
		m.simTo(s.at + 5)
	case "pgup":
		m.simTo(s.at - 5)
	case "home":
		m.simTo(0)
	case "end":
		m.simTo(s.line.Total)
	case "w":
		s.follow = !s.follow
		m.simTo(s.at)
	default:
		return false, nil
	}
	return true, nil
}

// simLine tells what the machine does at the moment that is seen.
func (m *Model) simLine() line {
	s := m.plate.sim
	if s == nil {
		if m.shownProgram() == nil {
			return nil
		}
		if m.plate.layers.shown(layHeat) && m.plate.hottest > 0 {
			return line{{fmt.Sprintf(" heat: darkest where the arc burns longest, %s s on a cm2", unit.Number(m.plate.hottest, 1)), inkFaint}}
		}
		return line{{" space runs the program here, by the plan's own times", inkFaint}}
	}
	now := s.line.At(s.at)
	u := m.d.Job.Units
	state := ", waits"
	if s.play {
		state = ""
	}
	left := fmt.Sprintf(", %s left", clockOf(s.line.Total-s.at))
	if s.follow {
		state += ", follows"
	}
	doing, label := string(now.Doing), ""
	if now.Cut < len(s.prog.Cuts) && now.Doing != planner.DoingNothing {
		c := s.prog.Cuts[now.Cut]
		doing = ": " + doing
		if now.Doing == planner.DoingCut {
			places := 0
			if u == unit.Inch {
				places = 1
			}
			doing += fmt.Sprintf(" %s of %s %s", unit.Number(u.FromMM(now.Along), places), unit.Number(u.FromMM(c.Path.Length()), places), short(u))
		}
		label = " " + c.Label
		doing = fmt.Sprintf("cut %d of %d", c.N, s.prog.Before+len(s.prog.Cuts)) + "%s" + doing
	} else {
		doing += "%s"
	}
	tell := func(left, label string) line {
		return line{{fmt.Sprintf(" %s of %s", clockOf(s.at), clockOf(s.line.Total)), inkHead},
			{fmt.Sprintf("%s, %gx%s", left, speeds[s.speed], state), inkPlain},
			{"  " + fmt.Sprintf(doing, label), inkAimed}}
	}
	// What can be told from the rest goes first: the time left is the
	// difference of two that stay, the cut's name follows from its number.
	l := tell(left, label)
	if l.width() > m.w {
		l = tell("", label)
	}
	if l.width() > m.w {
		l = tell("", "")
	}
	return l
}

// clockOf is a time that does not jump in width: 0:07.3.
func clockOf(s float64) string {
	tenths := int(s*10 + 0.5)
	return fmt.Sprintf("%d:%02d.%d", tenths/600, tenths/10%60, tenths%10)
}

// simCut lays what is cut by now over the picture: whole cuts are kept, so that
// a moment costs what came since.
func (v *plateView) simCut(k plateKey, base *raster) *raster {
	s := v.sim
	now := s.line.At(s.at)
	k.at = 0
	if v.simBase == nil || v.simKey != k || v.simDone > now.Cut {
		v.simBase, v.simKey, v.simDone = base.clone(), k, 0
	}
	sc := k.scene
	for ; v.simDone < now.Cut && v.simDone < len(s.prog.Cuts); v.simDone++ {
		c := &s.prog.Cuts[v.simDone]
		v.simBase.fill(c.Frees, markLoose)
		v.simBase.draw(&sc.cuts[v.simDone], markDone)
	}
	r := v.simBase.clone()
	if done := now.Done(); len(done.V) > 0 {
		r.draw(&stroke{path: done, box: done.Box()}, markDone)
	} else if now.Cut < len(s.prog.Cuts) && now.Doing == planner.DoingRaise && now.At != sc.cuts[now.Cut].path.Start() {
		r.draw(&sc.cuts[now.Cut], markDone)
	}
	return r
}

// torch is the sign of the torch at the moment that is seen.
func (v *plateView) torch(r *raster, t *theme, over map[int]tagCell) {
	now := v.sim.line.At(v.sim.at)
	x, y, ok := r.at(now.At)
	if !ok {
		return
	}
	sign := t.torch
	if now.Doing == planner.DoingCut || now.Doing == planner.DoingPierce {
		sign = t.lit
	}
	over[y*r.w+x] = tagCell{[]rune(sign)[0], inkBad}
}
