package proof

import (
	"bytes"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
)

// heightWithin is how far a height over the plate may be off, mm, besides the
// rounding of the text: under what a sensor repeats (common practice, no source).
const heightWithin = 0.01

// reach is the largest coordinate that geom promises to work with, mm.
const reach = 1e6

// lit is one piece of torch path with the arc on.
type lit struct {
	piece
	line      int
	feed      float64
	low, high float64 // heights of its ends
	held      bool
	rest      bool    // the torch stands still before it
	exact     bool    // no corner may be cut short (G61)
	along     float64 // mm from the pierce to its start
}

// run is one stretch with the arc on; in a dry run, one stretch of feed moves.
type run struct {
	first, last int // lines
	pierce      geom.Point
	height      float64 // over the plate when the arc is lit
	delay       float64 // s of dwell before anything moves
	lift        int     // line that raises the torch, 0 if none
	liftTo      float64
	probe       int // into walker.touches, -1 without one
	path        []lit
	box         geom.Box // of the path
	length      float64
	stops       int     // stops of the program before it
	earlier     bool    // of an earlier program: cut already
	base        int     // lines of the programs before its own
	program     int     // of a set, from 1; 0: there is one
	lost        bool    // the earlier program was left in it
	load        int     // of the stock, into check.loads
	away        float64 // mm from the pierce to an edge that stays, negative in a part
	bounded     bool    // away is known: edges stay
	loop        *loop
	guess       *loop   // what it may have been meant for, if loop is nil
	from, to    int     // path[from:to] runs along the loop; the rest is leads
	time        float64 // s along the path at the true feed
	slow        []Span  // where the true feed is under Input.HoldBelow
	split       *loop   // whose slug it cuts across
}

// hop is one move in the plane with the arc off.
type hop struct {
	line     int
	from, to geom.Point
	height   float64 // of the lower end
	after    int     // runs before it
}

// touch is one touch-off.
type touch struct {
	line  int
	at    geom.Point
	after int // runs before it
}

// walker follows the program and notes what the torch does and when.
type walker struct {
	c       *check
	text    [][]byte
	runs    []run
	hops    []hop
	touches []touch
	stops   int
	corners []corner // first moves of a dry run
	room    []lit    // where paths of runs lie, see add

	// Lines of the profile that mean something.
	arcOn, arcOff            pattern // nil if the spindle words do it
	holdOn, holdOff, pauseAt template
	touchAt                  template // a touch-off without G38.2

	lit, byWord bool
	moved       bool // since the arc was lit
	still       bool // the torch stood still since the last move
	held        bool
	heldLine    int
	at          geom.Point // on the stock
	known       rs274.Axes // axes of at and of the height that are certain
	height      float64    // over the plate; +Inf raised to the top
	surface     float64    // machine Z of the plate's top in the simulation
	probed      bool       // surface has been met
	zeroed      bool       // Z was set after the last touch-off
	unsetAt     int        // touch-offs when a missing Z was told of last
	shift       rs274.Vec  // offset in force
	begun       bool       // something has moved
	wrongUnits  bool
	cornersTold bool
	open        bool // a stretch of a dry run
	sides       [4]side
	end         int // line of the end
}

// side is how far the torch went one way, and the line that took it there.
type side struct {
	at   float64
	line int
}

type corner struct {
	line int
	at   geom.Point
}

// firstTouch is where along the way to its programmed end the first touch-off
// meets the plate in the simulation: off any round figure, so that a program
// which relies on a zero left by hand is found out.
const firstTouch = 0.437

// nowhere is where the simulation starts: a place that no program knows.
var nowhere = rs274.Vec{X: -7654.321, Y: -6543.219, Z: -5432.198}

func newWalker(c *check, text []byte) *walker {
	l := &c.in.Form.Lines
	w := &walker{
		c: c, text: splitLines(text), at: geom.Pt(nowhere.X, nowhere.Y),
		holdOn: newTemplate(l.HoldOn), holdOff: newTemplate(l.HoldOff), pauseAt: newTemplate(l.Pause),
	}
	w.arcOn, _ = worker(l.ArcOn, "M3", "M4")
	w.arcOff, _ = worker(l.ArcOff, "M5")
	probing := false
	for _, t := range l.TouchOff {
		probing = probing || strings.Contains(plainLine([]byte(t)), "G38.2")
	}
	if !probing {
		w.touchAt = newTemplate(l.TouchOff)
	}
	for i := range w.sides {
		w.sides[i].at = math.Inf(1)
	}
	n := 0 // of cuts, most likely
	for i := range c.loads {
		n += len(c.loads[i].loops)
	}
	w.runs, w.hops, w.touches = make([]run, 0, n), make([]hop, 0, n), make([]touch, 0, n)
	return w
}

// begin looks at a line before its moves: words that the profile gives a
// meaning.
func (w *walker) begin(n int, line []byte) {
	i := n - 1
	if !w.c.in.Form.Dialect.DeleteSlashed && bytes.HasPrefix(bytes.TrimLeft(line, " \t"), []byte{'/'}) {
		w.c.find(n, "", "block-delete", "Remove the slash, or the line.", "a line that begins with /: whether it is done depends on a switch of the machine")
	}
	switch {
	case w.holdOn.at(w.text, i):
		w.held, w.heldLine = true, n
	case w.holdOff.at(w.text, i):
		w.held, w.heldLine = false, n
	}
	if w.pauseAt.at(w.text, i) {
		w.stops++
	}
	if w.touchAt.at(w.text, i) {
		w.touched(n)
		w.zeroed = true
	}
	if w.arcOn == nil && w.arcOff == nil {
		return
	}
	plain := plainLine(w.text[i])
	if w.arcOn != nil && w.arcOn.matches(plain) {
		w.light(n)
		w.byWord = true
	}
	if w.arcOff != nil && w.arcOff.matches(plain) {
		w.dark(n)
	}
}

// probe answers where a touch-off meets the plate.
func (w *walker) probe(m *rs274.Move) (float64, bool) {
	from, to := m.From.Z+m.Off.Z, m.To.Z+m.Off.Z
	offset := w.c.in.Machine.SensorOffset
	if !w.probed {
		w.surface = from + firstTouch*(to-from) + offset
		w.probed = true
		return firstTouch, to < from
	}
	trip := w.surface - offset
	if !(trip < from && trip >= to) {
		return 0, false
	}
	return (from - trip) / (from - to), true
}

func (w *walker) touched(line int) {
	w.touches = append(w.touches, touch{line, w.at, len(w.runs)})
	w.zeroed = false
}

func (w *walker) move(m *rs274.Move) {
	switch m.Kind {
	case rs274.Tool:
		w.dark(m.Line)
		f := &w.c.in.Form.Lines
		if _, told := worker(slices.Concat(f.Header, f.Footer), "M6", "M06"); !told {
			w.c.find(m.Line, "", "tool-change", "Take the line out.", "M6 changes the tool, and the profile has no such line: where the machine goes for that is not known")
		}
	case rs274.Spindle:
		if m.Modal.Spindle != 0 {
			w.light(m.Line)
		} else if !w.byWord || w.arcOff == nil {
			w.dark(m.Line)
		}
	case rs274.Dwell:
		switch {
		case w.lit && !w.moved:
			w.runs[len(w.runs)-1].delay += m.Seconds
		case w.lit && len(w.runs[len(w.runs)-1].path) > 0 && m.Seconds > 0:
			w.still = true
			w.c.find(m.Line, "", "lit-dwell", "Wait only before the torch moves off.", "the torch stands still for %s s in the middle of the cut", bare(m.Seconds)).on(w.at)
		}
	case rs274.Stop:
		w.stops++
		if w.lit {
			w.c.find(m.Line, "", "lit-stop", "Put the arc out first.", "%s with the torch lit", m.Code)
		}
	case rs274.Offset:
		w.offset(m)
	case rs274.End:
		w.end = m.Line
		w.finish(m.Line)
	case rs274.Rapid, rs274.Feed, rs274.Arc, rs274.Probe:
		w.motion(m)
	}
}

// finish closes what is open at the end of the text.
func (w *walker) finish(line int) {
	if w.lit {
		w.c.find(line, "", "lit-end", "Put the arc out before the end.", "the program ends with the torch lit")
		w.dark(line)
	}
	w.open = false
	if low := min(w.c.in.Machine.TravelZ, w.c.in.Machine.SafeZ); w.begun && w.height < low-w.c.aloft {
		w.c.warn(line, "", "end-height", "Raise the torch at the end.", "the program leaves the torch %s over the plate", mm(w.height))
	}
}

// offset follows G92 and its kin: after a touch-off they say where the plate is.
func (w *walker) offset(m *rs274.Move) {
	now := m.Off
	if now.X != w.shift.X || now.Y != w.shift.Y {
		w.c.find(m.Line, "", "zero-moved", "Leave X and Y zero alone.", "%s moves the XY zero by (%s, %s), so that the parts lie elsewhere on the stock", m.Code,
			mm(now.X-w.shift.X), mm(now.Y-w.shift.Y))
	}
	if m.Code != "G92" && !w.probed && now.Z != w.shift.Z {
		w.c.find(m.Line, "", "first-height", "Take the line out.", "%s takes back what was said of the height before the first touch-off: the next move up or down goes astray", m.Code)
	}
	w.shift = now
	if w.lit {
		w.c.find(m.Line, "", "lit-offset", "Set offsets with the arc off.", "%s with the torch lit", m.Code)
	}
	if reach := w.c.in.Machine.Reach; reach > 0 && !w.probed && m.Code == "G92" && math.Abs(m.To.Z-reach) > w.c.aloft {
		w.c.find(m.Line, "", "first-height", "Set Z to the reach of the machine profile.", "before the first touch-off the raised torch is said to be %s over the plate, the profile says %s: the next move up or down goes astray",
			mm(m.To.Z), mm(reach))
	} else if reach > 0 && !w.probed && m.Code == "G92" && w.c.in.Machine.HasTop && !math.IsInf(w.height, 1) {
		w.c.find(m.Line, "", "first-height", "Raise the torch by G53 first.", "before the first touch-off the height is said where the torch has not been raised to the top: the next move up or down goes astray")
	}
	if !w.probed || w.zeroed {
		return
	}
	w.zeroed = true
	w.known |= rs274.Z
	if off := now.Z - w.surface; math.Abs(off) > w.c.aloft {
		w.c.find(m.Line, "", "touch-off-zero", "Set Z to minus the sensor offset where the probe trips.",
			"after the touch-off Z0 lies %s over the plate, must lie on it: with a sensor offset of %s the torch trips at Z%s, not at Z%s",
			mm(off), mm(w.c.in.Machine.SensorOffset), bare(-w.c.in.Machine.SensorOffset), bare(-w.c.in.Machine.SensorOffset-off))
	}
}

// light begins a run.
func (w *walker) light(line int) {
	if w.c.in.Dry {
		w.c.find(line, "", "dry-lit", "A dry run never lights the torch.", "the dry run lights the torch")
		return
	}
	if w.lit {
		return
	}
	w.lit, w.moved, w.byWord = true, false, false
	w.runs = append(w.runs, run{first: line, pierce: w.at, height: w.height, probe: len(w.touches) - 1, stops: w.stops, box: geom.EmptyBox()})
	if w.known != rs274.AllAxes {
		w.c.find(line, "", "place-unknown", "Move to an absolute place first.", "the torch is lit before the program has said where it is")
	}
	if w.c.in.Machine.Probes && len(w.touches) > 0 && !w.zeroed {
		w.c.find(line, "", "touch-off-zero", "Set Z after the touch-off.", "the torch is lit but Z was not set after the touch-off of line %d", w.touches[len(w.touches)-1].line)
	}
}

func (w *walker) dark(line int) {
	if !w.lit {
		return
	}
	w.lit, w.byWord = false, false
	w.runs[len(w.runs)-1].last = line
}
