package proof

import (
	"cmp"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// Where height must be held is worked out here from the text and the true
// feed, whatever the planner thought. Control that follows the arc voltage
// takes a slow torch, or a wall that is missing, for a plate that is further
// away, and dives.

// longFree is how much of a cut, mm, may be held without need before it is
// told: a stretch in which the plate may rise and fall, and control should
// follow it (common practice, no source).
const longFree = 50.0

// demand is a stretch in which height must be held.
type demand struct {
	Span
	why string
}

// demands holds the text to every stretch in which height must be held.
func (c *check) demands() {
	in := c.in
	if in.Holds != HoldsAsMarked || !(in.HoldBelow > 0) || !(in.Machine.AccelXY > 0) || len(c.w.holdOn) == 0 || len(c.w.holdOff) == 0 {
		return
	}
	var boxes *tree
	if in.HoldNear > 0 {
		bs := make([]geom.Box, len(c.runs))
		for i := range c.runs {
			bs[i] = c.runs[i].box
		}
		boxes = newTree(bs)
	}
	var ds []demand
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		if r.loop == nil || r.loop.Hold || len(r.path) == 0 || r.loop.Rule == "mark" {
			continue
		}
		ds = c.demandsOf(r, ds[:0])
		if boxes != nil {
			ds = c.beside(i, boxes, ds)
		}
		ds = joined(ds)
		free := r.free()
		c.heldWhere(r, ds, free)
		c.freeSomewhere(r, ds, free)
	}
}

// demandsOf lists what a run asks for by itself: its lead, wherever it is
// slow, and where it comes back to its own kerf.
func (c *check) demandsOf(r *run, ds []demand) []demand {
	ds = append(ds, demand{Span{0, r.path[r.from].along}, "on the lead-in"})
	for _, s := range r.slow {
		ds = append(ds, demand{s, "slower than " + bare(100*c.in.HoldBelow) + " % of the programmed feed"})
	}
	ds = c.offEdges(r, ds)
	if at, ok := r.closes(c.half(r)); ok {
		ds = append(ds, demand{Span{max(0, at-c.half(r)), r.length}, "back over its own kerf"})
	}
	return ds
}

// closes returns where along a closed cut the torch comes back to the place
// where it met the edge. The front of the jet breaks into the old kerf half a
// kerf before.
func (r *run) closes(half float64) (at float64, ok bool) {
	if r.loop.Rule == "trim" {
		return 0, false
	}
	start, begun := r.path[r.from].a, r.path[r.from].along
	turn := (begun + r.length) / 2 // half way round
	best := half + 2*geom.Same
	for k := r.from; k < r.to; k++ {
		p := &r.path[k]
		q := p.nearest(start)
		if d := q.Dist(start); d < best-geom.Same {
			if way := p.along + p.wayTo(q); way > turn {
				at, ok, best = way, true, d
			}
		}
	}
	return at, ok
}

// wayTo returns the way, mm, from the piece's start to a point on it.
func (p *piece) wayTo(q geom.Point) float64 {
	if !p.arc() {
		return p.a.Dist(q)
	}
	u, v := p.a.Sub(p.c), q.Sub(p.c)
	t := math.Atan2(u.Cross(v), u.Dot(v))
	if p.sweep < 0 {
		t = -t
	}
	if t < -geom.Angle { // an arc of half a circle and its rounding
		t += 2 * math.Pi
	}
	return min(p.length(), p.r*max(0, t))
}

// beside adds where a run comes near the kerf of an earlier one.
func (c *check) beside(i int, boxes *tree, ds []demand) []demand {
	r := &c.runs[i]
	reach := c.in.HoldNear + c.half(r) + c.loads[r.load].wide/2
	any := false
	boxes.each(r.box.Grow(reach), func(o int) bool {
		any = any || c.kerfBefore(o, i)
		return !any
	})
	if !any {
		return ds
	}
	for k := range r.path {
		p := &r.path[k]
		c.kerfs.tree.each(p.box().Grow(reach), func(x int) bool {
			o := int(c.kerfs.owner[x])
			if !c.kerfBefore(o, i) {
				return true
			}
			within := c.in.HoldNear + c.half(r) + c.half(&c.runs[o]) - c.tol
			step := max(besideStep, p.length()/besideSteps)
			for _, s := range nearer(&p.piece, &c.kerfs.all[x], within, p.along, step, nil) {
				ds = append(ds, demand{s, "beside the kerf of " + nameOr(&c.runs[o], "an earlier run")})
			}
			return true
		})
	}
	return ds
}

// kerfBefore reports whether run o has left a kerf in the metal of run i
// before it begins. A cut that goes on where it was lost does so in its own.
func (c *check) kerfBefore(o, i int) bool {
	a, b := &c.runs[o], &c.runs[i]
	return o < i && a.load == b.load && !(a.loop != nil && a.loop.Rule == "mark") && !(a.lost && (a.loop == nil || a.loop == b.loop))
}

const (
	// besideStep is how exactly such a stretch is found, mm: a fifth of
	// holdWithin.
	besideStep = 0.1
	// besideSteps bounds the work on one piece: no more than besideStep for
	// pieces of up to 800 mm.
	besideSteps = 8192
)

// nearer appends the stretches of p, along mm from the pierce, that lie
// nearer to q than the distance. No point of a piece is further from its
// middle than half its length.
func nearer(p, q *piece, within, along, step float64, out []Span) []Span {
	l := p.length()
	d := q.dist(p.mid())
	switch {
	case d-l/2 >= within:
		return out
	case d+l/2 <= within || l <= step:
		if d >= within {
			return out
		}
		if n := len(out); n > 0 && along-out[n-1].To <= geom.Same {
			out[n-1].To = along + l
			return out
		}
		return append(out, Span{along, along + l})
	}
	first, second := p.halves()
	return nearer(&second, q, within, along+l/2, step, nearer(&first, q, within, along, step, out))
}

// joined makes one of demands that follow on each other for one reason, and
// puts them in order. Those beside two kerfs come in short pieces by turns.
func joined(ds []demand) []demand {
	slices.SortStableFunc(ds, func(a, b demand) int { return cmp.Or(cmp.Compare(a.why, b.why), cmp.Compare(a.From, b.From)) })
	out := ds[:0]
	for _, d := range ds {
		if n := len(out); n > 0 && out[n-1].why == d.why && d.From-out[n-1].To <= geom.Same {
			out[n-1].To = max(out[n-1].To, d.To)
		} else {
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b demand) int { return cmp.Compare(a.From, b.From) })
	return out
}

// free lists where height control may act along a run.
func (r *run) free() []Span {
	var out []Span
	for k := range r.path {
		p := &r.path[k]
		if p.held {
			continue
		}
		end := p.along + p.length()
		if n := len(out); n > 0 && p.along-out[n-1].To <= geom.Same {
			out[n-1].To = end
		} else {
			out = append(out, Span{p.along, end})
		}
	}
	return out
}

// after returns the stretches that end behind a place; they are in order.
func after(spans []Span, at float64) []Span {
	i, _ := slices.BinarySearchFunc(spans, at, func(s Span, at float64) int {
		if s.To <= at {
			return -1
		}
		return 1
	})
	return spans[i:]
}

// heldWhere finds demands that the text leaves free by more than holdWithin.
func (c *check) heldWhere(r *run, ds []demand, free []Span) {
	told := math.Inf(-1)
	for _, d := range ds {
		for _, f := range after(free, d.From) {
			if f.From >= d.To {
				break
			}
			from, to := max(d.From, f.From, told), min(d.To, f.To)
			if to-from <= holdWithin {
				continue
			}
			told = to
			find := c.find
			if c.goesOn(r) { // it is watched from its start
				find = c.warn
			}
			find(r.lineAt(from), r.id(), "hold-missing", "Put the hold lines round that stretch.", "height control may act from %s to %s along the cut, must be held there: %s",
				bare(from), mm(to), d.why).on(r.point(from / r.length))
		}
	}
}

// goesOn reports whether a run goes on with one that was lost.
func (c *check) goesOn(r *run) bool {
	return r.loop != nil && slices.ContainsFunc(r.loop.runs, func(i int) bool { return i >= 0 && c.runs[i].lost })
}

// freeSomewhere asks that height control may act somewhere on every long
// stretch that asks for no hold.
func (c *check) freeSomewhere(r *run, ds []demand, free []Span) {
	at := 0.0
	look := func(to float64) bool {
		if to-at < longFree {
			return true
		}
		if acts := after(free, at); len(acts) > 0 && acts[0].From < to {
			return true
		}
		c.warn(r.lineAt(at), r.id(), "hold-needless", "Let height control act there.", "height is held from %s to %s along the cut, where nothing asks for it: control cannot follow the plate", bare(at), mm(to)).on(r.point(at / r.length))
		return false
	}
	for _, d := range ds {
		if !look(d.From) {
			return
		}
		at = max(at, d.To)
	}
	look(r.length)
}

// lineAt returns the line that cuts at a place along the run.
func (r *run) lineAt(along float64) int {
	for k := range r.path {
		if p := &r.path[k]; along < p.along+p.length() {
			return p.line
		}
	}
	return r.last
}

// leadsOverKerfs warns of leads that cross an earlier kerf: the arc may go out
// over the gap (common practice, no source).
func (c *check) leadsOverKerfs() {
	if c.in.Dry {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		if r.loop == nil || r.to == 0 || r.loop.Rule == "mark" {
			continue
		}
		for k := range r.path {
			if k >= r.from && k < r.to || k >= r.to && len(r.loop.lent) > 0 { // it is meant to end in an open kerf
				continue
			}
			if o := c.crossed(i, &r.path[k].piece); o >= 0 {
				c.warn(r.path[k].line, r.id(), "lead-over-kerf", "Lead in from another side, or cut this one first.", "the lead crosses the kerf of %s (%s): the arc may go out over it", nameOr(&c.runs[o], "an earlier run"), c.runs[o].lines()).on(r.path[k].a)
				break
			}
		}
	}
}

// crossed returns the earlier run into whose kerf the torch comes on a piece,
// -1 if there is none.
func (c *check) crossed(i int, p *piece) int {
	found := -1
	c.kerfs.tree.each(p.box().Grow(c.loads[c.runs[i].load].wide/2), func(x int) bool {
		o := int(c.kerfs.owner[x])
		if s := c.runs[o].split; s != nil && s == c.runs[i].loop { // over the cut across its own slug, by wish
			return true
		}
		if c.kerfBefore(o, i) && apart(p, &c.kerfs.all[x]) < c.half(&c.runs[o])-c.tol {
			found = o
		}
		return found < 0
	})
	return found
}
