package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
)

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
		{rs274.GroupPath, "G64", true},
	} {
		if modal.Set&word.group == 0 || !word.good {
			w.c.find(m.Line, "", "preamble", "Write it at the start.", "%s is not said before the first move: what is in force depends on the machine's last program", word.name)
		}
	}
}

// within reports whether a place may be on a table; NaN is not.
func within(v rs274.Vec) bool {
	return math.Abs(v.X) <= reach && math.Abs(v.Y) <= reach && math.Abs(v.Z) <= reach
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
	if !within(to) {
		w.c.find(m.Line, "", "off-table", "Correct the number.", "a move to X%s Y%s Z%s mm, further than any table", bare(to.X), bare(to.Y), bare(to.Z))
		w.known = 0
		return
	}
	if !within(from) { // the move before was told of
		w.known, w.at = 0, geom.Pt(to.X, to.Y)
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
	if zKnown && m.Kind != rs274.Probe && after < before && after < -w.c.aloft {
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
	case m.Machine && machine.HasTop && z >= machine.TopZ-w.c.aloft:
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
	case after > before+w.c.aloft && r.lift == 0:
		r.lift, r.liftTo = m.Line, after
		if len(r.path) > 0 {
			r.liftTo = math.Inf(1)
		}
	}
}

// sideways is a move in the plane.
func (w *walker) sideways(m *rs274.Move, from, dest geom.Point, before, after float64, certain rs274.Axes, zKnown bool) {
	const xy = rs274.X | rs274.Y
	if m.Kind != rs274.Probe {
		w.unset(m.Line)
	}
	low := min(before, after)
	clear := certain&xy == xy // where it comes from is known
	if w.lit && m.Machine {
		w.c.find(m.Line, "", "place-unknown", "Cut in the program's own coordinates.", "G53 with the torch lit: where that is on the stock is not known")
		clear = false
	}
	if m.Kind == rs274.Arc {
		w.arc(m)
	}
	if m.Kind == rs274.Arc && m.Modal.Plane != rs274.XY {
		w.c.find(m.Line, "", "arc-plane", "Write arcs in G17.", "an arc outside the XY plane")
	}
	segs := w.segments(m, from, dest)
	if !m.Machine {
		if clear {
			for _, s := range segs {
				w.reached(m.Line, s.box())
			}
		} else {
			told := m.Given & xy // where it goes, as far as that is known
			if m.Modal.Incremental {
				told &= certain
			}
			w.arrived(m.Line, dest, told)
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
		w.corner(m)
		if clear {
			w.extend(&w.runs[len(w.runs)-1], m, segs, before, after)
		}
		return
	}
	dry := w.c.in.Dry
	need, name := w.c.in.Machine.TravelZ, "travel height"
	cutBefore := len(w.runs) > 0 || w.c.w != nil || w.c.in.Done != nil
	blind := m.Machine || !clear && cutBefore // nobody knows what it passes over
	if blind {
		need, name = max(need, w.c.in.Machine.SafeZ), "safe height"
	}
	if dry {
		need, name = w.c.in.Machine.SafeZ, "safe height"
		w.corners = append(w.corners, corner{m.Line, dest})
	}
	switch {
	case !zKnown:
		w.c.find(m.Line, "", "height-unknown", "Raise the torch first.", "the torch moves sideways before the program has said how high it is")
	case low < need-w.c.aloft && (blind || w.overPlate(segs, clear)):
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
		w.c.scratch = append(w.c.scratch[:0], piece{a: from, b: dest})
		return w.c.scratch
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

// How corners are passed, as the reader numbers G61, G61.1 and G64.
const (
	goodPath  = 640
	exactPath = 610
	exactStop = 611
)

// corner asks how the machine takes corners with the arc on: as its profile
// says, neither standing in them nor cutting them shorter.
func (w *walker) corner(m *rs274.Move) {
	if w.cornersTold {
		return
	}
	deviation := w.c.in.Machine.CornerDeviation
	switch {
	case m.Modal.Path != goodPath && !w.c.exact:
		w.cornersTold = true
		w.c.find(m.Line, "", "path-mode", "Write G64.", "the exact path with the torch lit: the torch all but stands at every corner; the machine profile never says so")
	case m.Modal.PathTolerance > deviation+geom.Same:
		w.cornersTold = true
		w.c.find(m.Line, "", "path-mode", "Write G64 with a smaller P, or correct the machine profile.", "corners may be cut %s short, the machine profile says %s", mm(m.Modal.PathTolerance), mm(deviation))
	}
}

// extend adds a move to the run's path.
func (w *walker) extend(r *run, m *rs274.Move, segs []piece, before, after float64) {
	if after > before+w.c.aloft && r.lift == 0 {
		r.lift, r.liftTo = m.Line, math.Inf(1)
	}
	first := true
	for _, s := range segs {
		if s.a == s.b {
			continue
		}
		w.add(r, lit{piece: s, line: m.Line, feed: m.Feed, low: min(before, after), high: max(before, after), held: w.held,
			rest: w.still || first && m.Modal.Path == exactStop, exact: m.Modal.Path == exactPath, along: r.length})
		w.still, first = false, false
		r.length += s.length()
		r.box = r.box.Union(s.box())
	}
}

// add puts a piece at the end of the last run's path. The paths of all runs lie
// in a few long slices: most runs are short, and there are many.
func (w *walker) add(r *run, p lit) {
	if len(w.room) == cap(w.room) {
		const least, most = 64, 4096
		room := make([]lit, 0, max(least, min(most, 2*cap(w.room)), 2*len(r.path)))
		w.room = append(room, r.path...)
	}
	w.room = append(w.room, p)
	end := len(w.room)
	r.path = w.room[end-1-len(r.path) : end : end]
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
		w.sides[i].note(v, line)
	}
	if t := w.c.in.Machine.Table; t != (geom.Box{}) && !t.Grow(geom.Join).Encloses(b) {
		w.c.find(line, "", "off-table", "Move the parts or the zero.", "the torch goes to (%s, %s), off the table, which ends at (%s, %s) and (%s, %s)",
			bare(farther(b.Min.X, b.Max.X, t.Min.X, t.Max.X)), bare(farther(b.Min.Y, b.Max.Y, t.Min.Y, t.Max.Y)), bare(t.Min.X), bare(t.Min.Y), bare(t.Max.X), bare(t.Max.Y))
	}
}

// arrived notes where a move from a place that is not known ends, by the axes
// that are, and holds that to the table.
func (w *walker) arrived(line int, q geom.Point, axes rs274.Axes) {
	if axes == rs274.X|rs274.Y {
		w.reached(line, geom.Box{Min: q, Max: q})
		return
	}
	t := w.c.in.Machine.Table
	for i, v := range [2]struct {
		axis            rs274.Axes
		at, least, most float64
	}{{rs274.X, q.X, t.Min.X, t.Max.X}, {rs274.Y, q.Y, t.Min.Y, t.Max.Y}} {
		if axes&v.axis == 0 {
			continue
		}
		w.sides[i].note(v.at, line)
		w.sides[i+2].note(-v.at, line)
		if name := 'X' + i; t != (geom.Box{}) && max(v.least-v.at, v.at-v.most) > geom.Join {
			w.c.find(line, "", "off-table", "Move the parts or the zero.", "the torch goes to %c%s, off the table, which ends at %c%s and %c%s", name, bare(v.at), name, bare(v.least), name, bare(v.most))
		}
	}
}

// note moves a side out to where the torch goes.
func (s *side) note(at float64, line int) {
	if at < s.at {
		*s = side{at, line}
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
