package proof

import (
	"bytes"
	"math"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
)

// heightWithin is how far a height over the plate may be off, mm: under what a
// sensor repeats (common practice, no source) and ten times the rounding of
// three decimals.
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
	load        int     // of the stock, into check.loads
	away        float64 // mm from the pierce to an edge that stays, negative in a part
	bounded     bool    // away is known: edges stay
	loop        *loop
	guess       *loop // what it may have been meant for, if loop is nil
	from, to    int   // path[from:to] runs along the loop; the rest is leads
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

	// Lines of the profile that mean something.
	arcOn, arcOff            pattern // nil if the spindle words do it
	holdOn, holdOff, pauseAt template
	touchAt                  template // a touch-off without G38.2

	lit, byWord bool
	moved       bool // since the arc was lit
	held        bool
	heldLine    int
	at          geom.Point // on the stock
	known       rs274.Axes // axes of at and of the height that are certain
	height      float64    // over the plate; +Inf raised to the top
	surface     float64    // machine Z of the plate's top in the simulation
	probed      bool       // surface has been met
	zeroed      bool       // Z was set after the last touch-off
	shift       rs274.Vec  // offset in force
	begun       bool       // something has moved
	wrongUnits  bool
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

func newWalker(c *check) *walker {
	l := &c.in.Form.Lines
	w := &walker{
		c: c, text: splitLines(c.in.Text), at: geom.Pt(nowhere.X, nowhere.Y),
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
	return w
}

// begin looks at a line before its moves: words that the profile gives a
// meaning.
func (w *walker) begin(n int, line []byte) {
	i := n - 1
	if i >= len(w.text) {
		return
	}
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
	if !(to < from && trip < from && trip >= to) {
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
	case rs274.Spindle, rs274.Tool:
		if m.Modal.Spindle != 0 {
			w.light(m.Line)
		} else if w.lit && !w.byWord {
			w.dark(m.Line)
		}
	case rs274.Dwell:
		if w.lit && !w.moved {
			w.runs[len(w.runs)-1].delay += m.Seconds
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
	if low := min(w.c.in.Machine.TravelZ, w.c.in.Machine.SafeZ); w.begun && w.height < low-heightWithin {
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
	w.shift = now
	if w.lit {
		w.c.find(m.Line, "", "lit-offset", "Set offsets with the arc off.", "%s with the torch lit", m.Code)
	}
	if !w.probed || w.zeroed {
		return
	}
	w.zeroed = true
	w.known |= rs274.Z
	if off := now.Z - w.surface; math.Abs(off) > heightWithin {
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

// preamble holds the program to saying its modes before anything moves.
func (w *walker) preamble(m *rs274.Move) {
	modal := m.Modal
	for _, word := range []struct {
		group rs274.Group
		name  string
		good  bool
	}{
		{rs274.GroupUnits, "G20 or G21", true}, {rs274.GroupDistance, "G90", !modal.Incremental}, {rs274.GroupPlane, "G17", modal.Plane == rs274.XY},
		{rs274.GroupComp, "G40", true}, {rs274.GroupFeedMode, "G94", !modal.InverseTime},
	} {
		if modal.Set&word.group == 0 || !word.good {
			w.c.find(m.Line, "", "preamble", "Write it at the start.", "%s is not said before the first move: what is in force depends on the machine's last program", word.name)
		}
	}
}

func (w *walker) motion(m *rs274.Move) {
	if !w.begun {
		w.begun = true
		w.preamble(m)
	}
	if !w.wrongUnits && m.Modal.Units != w.c.units {
		w.wrongUnits = true
		w.c.find(m.Line, "", "units", "Write the profile's own units word.", "the program is in %s, the machine profile says %s", m.Modal.Units, w.c.units)
	}
	from, to := m.From.Add(m.Off), m.To.Add(m.Off)
	if !(math.Abs(to.X) <= reach && math.Abs(to.Y) <= reach && math.Abs(to.Z) <= reach) {
		w.c.find(m.Line, "", "off-table", "Correct the number.", "a move to X%s Y%s Z%s mm, further than any table", bare(to.X), bare(to.Y), bare(to.Z))
		w.known = 0
		return
	}
	certain := m.Known & w.known
	before, zKnown := w.height, w.known&rs274.Z != 0
	after := before
	if m.Given&rs274.Z != 0 {
		after = w.heightAt(m, to.Z)
		if !m.Modal.Incremental {
			w.known |= rs274.Z
		}
	}
	dest := geom.Pt(to.X, to.Y)
	sideways := m.Given&(rs274.X|rs274.Y) != 0 && (dest != w.at || m.Kind == rs274.Arc || certain&(rs274.X|rs274.Y) != rs274.X|rs274.Y)
	if sideways {
		w.sideways(m, geom.Pt(from.X, from.Y), dest, before, after, certain, zKnown)
	} else if w.lit {
		w.litZ(m, before, after)
	}
	if !m.Modal.Incremental && m.Given&(rs274.X|rs274.Y) != 0 {
		if m.Machine { // where that is on the stock, only the machine knows
			w.known &^= m.Given & (rs274.X | rs274.Y)
		} else {
			w.known |= m.Given & (rs274.X | rs274.Y)
		}
	}
	if zKnown && m.Kind != rs274.Probe && after < before && after < -heightWithin {
		w.c.find(m.Line, "", "into-plate", "Correct the height.", "goes down to %s under the top of the plate", mm(-after))
	}
	w.at, w.height = dest, after
	if m.Kind == rs274.Probe {
		w.probing(m, sideways)
	}
	w.moved = true
}

// heightAt returns the height over the plate of a Z of the machine.
func (w *walker) heightAt(m *rs274.Move, z float64) float64 {
	machine := &w.c.in.Machine
	switch {
	case m.Machine && machine.HasTop && z >= machine.TopZ-heightWithin:
		return math.Inf(1)
	case m.Machine:
		w.c.find(m.Line, "", "height-unknown", "Use G53 only to raise the torch to its top.", "G53 Z%s: how high that is over the plate is not known", bare(z))
		return 0
	case w.probed:
		return z - w.surface
	}
	return m.To.Z
}

func (w *walker) probing(m *rs274.Move, sideways bool) {
	if sideways {
		w.c.find(m.Line, "", "touch-off", "Probe straight down.", "the touch-off moves sideways")
	}
	if limit := w.c.in.Machine.ProbeFeed; limit > 0 && m.Feed > limit+w.c.feedRounding() {
		w.c.find(m.Line, "", "probe-feed", "Probe more slowly.", "the touch-off runs at %s, at most %s", feed(m.Feed), feed(limit))
	}
	if w.lit {
		w.c.find(m.Line, "", "lit-probe", "Put the arc out first.", "a touch-off with the torch lit")
		w.dark(m.Line)
	}
	w.known |= rs274.Z // met the plate
	w.touched(m.Line)
}

// litZ is a move up or down with the arc on.
func (w *walker) litZ(m *rs274.Move, before, after float64) {
	r := &w.runs[len(w.runs)-1]
	switch {
	case m.Kind == rs274.Probe:
		return
	case m.Kind == rs274.Rapid:
		w.c.find(m.Line, "", "lit-rapid", "Put the arc out first.", "a rapid with the torch lit")
		w.dark(m.Line)
	case after > before+heightWithin && r.lift == 0:
		r.lift, r.liftTo = m.Line, after
		if len(r.path) > 0 {
			r.liftTo = math.Inf(1)
		}
	}
}

// sideways is a move in the plane.
func (w *walker) sideways(m *rs274.Move, from, dest geom.Point, before, after float64, certain rs274.Axes, zKnown bool) {
	const xy = rs274.X | rs274.Y
	low := min(before, after)
	clear := certain&xy == xy // where it comes from is known
	if w.lit && m.Machine {
		w.c.find(m.Line, "", "place-unknown", "Cut in the program's own coordinates.", "G53 with the torch lit: where that is on the stock is not known")
		clear = false
	}
	if m.Kind == rs274.Arc && m.Modal.Plane != rs274.XY {
		w.c.find(m.Line, "", "arc-plane", "Write arcs in G17.", "an arc outside the XY plane")
	}
	segs := w.segments(m, from, dest)
	for _, s := range segs {
		b := s.box()
		if !m.Machine {
			if clear {
				w.reached(m.Line, b)
			} else {
				w.reached(m.Line, geom.Box{Min: dest, Max: dest})
			}
		}
	}
	if m.Kind != rs274.Rapid {
		if limit := w.c.in.Machine.MaxFeed; limit > 0 && m.Feed > limit+w.c.feedRounding() {
			w.c.find(m.Line, "", "max-feed", "Lower the feed.", "a feed of %s, the machine's limit is %s", feed(m.Feed), feed(limit))
		}
	}
	if w.lit {
		if m.Kind == rs274.Rapid || m.Kind == rs274.Probe {
			w.c.find(m.Line, "", "lit-rapid", "Put the arc out first.", "a rapid with the torch lit")
			w.dark(m.Line)
			return
		}
		if clear {
			w.extend(&w.runs[len(w.runs)-1], m, segs, before, after)
		}
		return
	}
	dry := w.c.in.Dry
	need, name := w.c.in.Machine.TravelZ, "travel height"
	if dry {
		need, name = w.c.in.Machine.SafeZ, "safe height"
		w.corners = append(w.corners, corner{m.Line, dest})
	}
	switch {
	case !zKnown:
		w.c.find(m.Line, "", "height-unknown", "Raise the torch first.", "the torch moves sideways before the program has said how high it is")
	case low < need-heightWithin && (m.Machine || w.overPlate(segs, clear)):
		w.c.find(m.Line, "", "low-travel", "Raise the torch before it moves sideways.", "the torch, not lit, moves sideways %s over the plate, %s is %s", mm(low), name, mm(need))
	}
	if dry && clear && (m.Kind == rs274.Feed || m.Kind == rs274.Arc) {
		if !w.open {
			w.open = true
			w.runs = append(w.runs, run{first: m.Line, pierce: from, height: before, probe: -1, stops: w.stops, box: geom.EmptyBox()})
		}
		r := &w.runs[len(w.runs)-1]
		w.extend(r, m, segs, before, after)
		r.last = m.Line
		return
	}
	w.open = false
	if clear && !m.Machine {
		w.hops = append(w.hops, hop{m.Line, from, dest, low, len(w.runs)})
	}
}

// segments cuts a move into pieces of at most half a circle.
func (w *walker) segments(m *rs274.Move, from, dest geom.Point) []piece {
	if m.Kind != rs274.Arc || m.Modal.Plane != rs274.XY {
		return append(w.c.scratch[:0], piece{a: from, b: dest})
	}
	out := w.c.scratch[:0]
	c := geom.Pt(m.Center.X+m.Off.X, m.Center.Y+m.Off.Y)
	n := int(math.Ceil(math.Abs(m.Sweep) / (math.Pi * (1 + geom.Angle))))
	r0, r1 := from.Dist(c), dest.Dist(c)
	a := from
	for i := range max(1, n) {
		b := dest
		if i < n-1 {
			// The radii at both ends may differ within the standard's tolerance.
			part := float64(i+1) / float64(n)
			b = c.Add(turned(from.Sub(c), m.Sweep*part).Mul((r0 + (r1-r0)*part) / r0))
		}
		if a != b {
			out = append(out, pieceOf(geom.Seg{A: a, B: b, Bulge: geom.BulgeOf(m.Sweep / float64(n))}))
		}
		a = b
	}
	w.c.scratch = out
	return out
}

// extend adds a move to the run's path.
func (w *walker) extend(r *run, m *rs274.Move, segs []piece, before, after float64) {
	if after > before+heightWithin && r.lift == 0 {
		r.lift, r.liftTo = m.Line, math.Inf(1)
	}
	for _, s := range segs {
		if s.a == s.b {
			continue
		}
		r.path = append(r.path, lit{piece: s, line: m.Line, feed: m.Feed, low: min(before, after), high: max(before, after), held: w.held, along: r.length})
		r.length += s.length()
		r.box = r.box.Union(s.box())
	}
}

// overPlate reports whether a move passes over the stock.
func (w *walker) overPlate(segs []piece, clear bool) bool {
	for _, s := range segs {
		b := s.box()
		if !clear {
			b = geom.Box{Min: s.b, Max: s.b}
		}
		for _, l := range w.c.stock {
			if l != nil && l.box.Overlaps(b) {
				return true
			}
		}
	}
	return len(w.c.stock) == 0
}

// reached notes how far the torch goes, and holds it to the table.
func (w *walker) reached(line int, b geom.Box) {
	for i, v := range [4]float64{b.Min.X, b.Min.Y, -b.Max.X, -b.Max.Y} {
		if v < w.sides[i].at {
			w.sides[i] = side{v, line}
		}
	}
	if t := w.c.in.Machine.Table; t != (geom.Box{}) && !t.Grow(geom.Join).Encloses(b) {
		w.c.find(line, "", "off-table", "Move the parts or the zero.", "the torch goes to (%s, %s), off the table, which ends at (%s, %s) and (%s, %s)",
			bare(farther(b.Min.X, b.Max.X, t.Min.X, t.Max.X)), bare(farther(b.Min.Y, b.Max.Y, t.Min.Y, t.Max.Y)), bare(t.Min.X), bare(t.Min.Y), bare(t.Max.X), bare(t.Max.Y))
	}
}

// farther picks the side that sticks out of the range further.
func farther(low, high, least, most float64) float64 {
	if least-low > high-most {
		return low
	}
	return high
}

// travel holds all that the torch did to the machine's travel.
func (w *walker) travel() {
	m := &w.c.in.Machine
	for axis, limit := range [2]float64{m.TravelX, m.TravelY} {
		low, high := w.sides[axis], w.sides[axis+2]
		if limit <= 0 || math.IsInf(low.at, 0) {
			continue
		}
		if way := -high.at - low.at; way > limit+geom.Join {
			w.c.find(max(low.line, high.line), "", "off-table", "Move the parts or the zero.", "the torch goes from %c%s to %c%s, %s, the table has %s",
				'X'+axis, bare(low.at), 'X'+axis, bare(-high.at), mm(way), mm(limit))
		}
	}
}
