package tui

import (
	"fmt"
	"math"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// The keys of the plate on the whole screen. A cross is laid with the first
// arrow key and goes cell by cell; where it leaves the picture the picture
// follows.

// showPlate fills the screen with the plate.
func (m *Model) showPlate() {
	m.whole = true
	m.plate.cross, m.plate.picked, m.plate.center, m.plate.from = nil, -1, nil, nil
	m.endSim()
}

// pressPlate acts on a key while the plate fills the screen.
func (m *Model) pressPlate(k tea.KeyMsg) (bool, tea.Cmd) {
	if did, cmd := m.pressSim(k); did {
		return true, cmd
	}
	v := &m.plate
	s := k.String()
	switch s {
	case "esc", "v":
		m.whole, v.from = false, nil
		m.endSim()
		return true, nil
	case "up", "k":
		return m.moveCross(0, 1), nil
	case "down", "j":
		return m.moveCross(0, -1), nil
	case "left", "h":
		return m.moveCross(-1, 0), nil
	case "right", "l":
		return m.moveCross(1, 0), nil
	case "shift+up":
		return m.pan(0, 1), nil
	case "shift+down":
		return m.pan(0, -1), nil
	case "shift+left":
		return m.pan(-1, 0), nil
	case "shift+right":
		return m.pan(1, 0), nil
	case "tab":
		return m.pickCut(1), nil
	case "shift+tab":
		return m.pickCut(-1), nil
	case "enter":
		return m.enterPicked(), nil
	case "m":
		return m.measure(), nil
	case "g":
		return m.goOnHere()
	case " ":
		return m.startSim()
	case "c":
		m.th.picture = (m.th.picture + 1) % pictures
		return true, nil
	case "+", "=":
		return m.nearer(1), nil
	case "-":
		return m.nearer(-1), nil
	case "f":
		did := m.fitPlate()
		return did, nil
	}
	if len(s) == 1 && s[0] >= '1' && s[0] < '1'+byte(layers) {
		return m.toggleLayer(layer(s[0] - '1')), nil
	}
	// What else belongs to the whole screen and not to the rows below it.
	switch {
	case match(k, keyOpen), match(k, keyTold), match(k, keyWhy), match(k, keyQuit), match(k, keyStop), match(k, keyUndo), match(k, keyRedo):
		return m.pressCommon(k, row{})
	case match(k, keyHolds):
		return m.showHolds(), nil
	}
	return false, nil
}

// plateBox is all that the picture may show.
func (m *Model) plateBox() (geom.Box, bool) {
	s := m.scene()
	if s == nil {
		return geom.Box{}, false
	}
	k := m.plate.key.drawing
	b := s.box(k)
	return b, !b.Empty()
}

// moveCross moves the cross by cells, and lays it where the eye is if it does
// not lie there yet.
func (m *Model) moveCross(dx, dy float64) bool {
	box, ok := m.plateBox()
	r := m.plate.base
	if !ok || r == nil {
		return false
	}
	v := &m.plate
	if v.cross == nil {
		c := v.key.center
		v.cross, v.picked = &c, -1
		return true
	}
	q := geom.Pt(v.cross.X+2*dx/r.k, v.cross.Y+4*dy/r.k)
	view := r.view()
	// Half a cell beyond the box, so that its edge can be met.
	edge := box.Grow(2 / r.k)
	q = geom.Pt(math.Max(edge.Min.X, math.Min(q.X, edge.Max.X)), math.Max(edge.Min.Y, math.Min(q.Y, edge.Max.Y)))
	if q == *v.cross {
		return false
	}
	v.cross, v.picked = &q, -1
	if v.level > 0 && !view.Contains(q) {
		m.pan(dx, dy)
	}
	return true
}

// pan moves the picture by a quarter of what is seen.
func (m *Model) pan(dx, dy float64) bool {
	r := m.plate.base
	box, ok := m.plateBox()
	if r == nil || !ok || m.plate.level == 0 {
		return false
	}
	view := r.view()
	c := m.plate.key.center
	c = geom.Pt(c.X+dx*view.Width()/4, c.Y+dy*view.Height()/4)
	c = geom.Pt(math.Max(box.Min.X, math.Min(c.X, box.Max.X)), math.Max(box.Min.Y, math.Min(c.Y, box.Max.Y)))
	if c == m.plate.key.center {
		return false
	}
	m.plate.center = &c
	return true
}

// nearer magnifies about the cross.
func (m *Model) nearer(step int) bool {
	if !m.zoom(step) {
		return false
	}
	if c := m.plate.cross; c != nil {
		at := *c
		m.plate.center = &at
	}
	return true
}

// shownProgram is the plan that the picture shows, nil if it shows a drawing.
func (m *Model) shownProgram() *planner.Program {
	if s := m.scene(); s != nil && s.planned && s.prog != nil && m.res.busy == "" {
		return s.prog
	}
	return nil
}

// pickCut lays the cross on the pierce of the next cut, or of the one before.
func (m *Model) pickCut(step int) bool {
	p := m.shownProgram()
	if p == nil || len(p.Cuts) == 0 {
		return false
	}
	v := &m.plate
	k := v.picked + step
	if v.cross != nil && v.picked < 0 { // from where the cross lies
		k, _ = p.NearestCut(*v.cross)
	}
	if v.picked < 0 && v.cross == nil && step < 0 {
		k = len(p.Cuts) - 1
	}
	k = (k + len(p.Cuts)) % len(p.Cuts)
	at := p.Cuts[k].Pierce
	v.cross, v.picked = &at, k
	if v.level > 0 {
		c := at
		v.center = &c
	}
	return true
}

// underCross is the cut under the cross, if one passes within two cells of it.
func (m *Model) underCross() int {
	p, v := m.shownProgram(), &m.plate
	if p == nil || v.cross == nil || v.base == nil {
		return -1
	}
	if v.picked >= 0 && v.picked < len(p.Cuts) {
		return v.picked
	}
	if k, mm := p.NearestCut(*v.cross); mm <= 8/v.base.k {
		return k
	}
	return -1
}

// enterPicked opens the feature under the cross.
func (m *Model) enterPicked() bool {
	k := m.underCross()
	if k < 0 {
		m.say(inkPlain, "tab lays the cross on a cut; enter then opens its feature.")
		return true
	}
	f := m.res.tree.Features[m.shownProgram().Cuts[k].Feature]
	m.whole, m.plate.from = false, nil
	m.goTo(block{stage: featureStage, row: "f:" + f.ID})
	return true
}

// measure lays the first of two points, or takes it up again.
func (m *Model) measure() bool {
	v := &m.plate
	switch {
	case v.from != nil:
		v.from = nil
	case v.cross == nil:
		m.say(inkPlain, "lay the cross with an arrow key or tab first, then m begins to measure there.")
	default:
		at := *v.cross
		v.from = &at
	}
	return true
}

// goOnHere takes the place under the cross as the end of a kerf that was lost.
func (m *Model) goOnHere() (bool, tea.Cmd) {
	if m.shownProgram() == nil {
		return false, nil
	}
	if m.plate.cross == nil {
		m.say(inkPlain, "lay the cross where the kerf ends first, then g goes on from there.")
		return true, nil
	}
	at := *m.plate.cross
	m.whole, m.plate.from = false, nil
	m.setStage(saveStage)
	m.lay(resumePage{})
	return true, m.takeUpFrom(planner.From{At: &at})
}

// crossLine tells where the cross lies, what is there, and what is measured.
func (m *Model) crossLine() line {
	v, u := &m.plate, m.d.Job.Units
	if v.cross == nil {
		return line{{" an arrow key lays a cross, tab lays it on a cut", inkFaint}}
	}
	l := line{{" " + placeText(*v.cross, u), inkPlain}}
	if v.from != nil {
		d := v.cross.Sub(*v.from)
		l = l.add(inkRule, fmt.Sprintf("   %s from there: %s along X, %s along Y, %s deg", u.Length(v.cross.Dist(*v.from)), u.Length(d.X), u.Length(d.Y),
			unit.Number(math.Atan2(d.Y, d.X)*180/math.Pi, 1)))
		return l
	}
	if k := m.underCross(); k >= 0 {
		c := m.shownProgram().Cuts[k]
		f := &m.shownProgram().Tree.Features[c.Feature]
		l = l.add(inkAimed, fmt.Sprintf("   cut %d", c.N)).add(inkPlain, fmt.Sprintf(": %s, %s %s, %s, %s",
			c.Label, f.Kind, featureSize(f, u), ruleWord(f.Rule), unit.Duration(c.Times.Sum())))
	}
	return l
}

// underPlate are the three lines below the plate on the whole screen.
func (m *Model) underPlate() []line {
	out := []line{m.crossLine(), m.layerLine(), m.simLine()}
	if m.said != nil {
		out[0] = line{{" " + m.said[0].s, m.said[0].ink}}
	}
	return out
}

// plateKeys are the keys of the plate on the whole screen.
func (m *Model) plateKeys() []key.Binding {
	near := bind("+ -", "nearer", "+")
	if m.plate.sim != nil {
		return []key.Binding{bind("space", "play or wait", " "), bind("←→", "cut", "left"), bind("↑↓", "speed", "up"),
			bind("PgUp PgDn", "5 s", "pgup"), near, bind("w", "follow", "w"), bind("esc", "end", "esc")}
	}
	if m.shownProgram() == nil {
		return []key.Binding{bind("v", "back", "v"), bind("↑↓←→", "cross", "up"), near, bind("f", "all", "f"), bind("m", "measure", "m"),
			bind("shift+arrows", "pan", "shift+up"), bind("c", "signs", "c"), keyWhy, keyQuit}
	}
	return []key.Binding{bind("v", "back", "v"), bind("↑↓←→", "cross", "up"), bind("tab", "next cut", "tab"), near, bind("f", "all", "f"),
		bind("m", "measure", "m"), bind("space", "run", " "), bind("g", "go on here", "g"), keyWhy, bind("enter", "open", "enter"),
		bind("shift+arrows", "pan", "shift+up"), bind("c", "signs", "c"), keyQuit}
}
