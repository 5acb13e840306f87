package proof

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// sides of the rectangle with which a dry run begins: the first move goes to a
// corner, the next four round it.
const sides = 4

// traced reports whether the first moves go round a rectangle, and which.
func traced(corners []corner, within float64) (got geom.Box, ok bool) {
	if len(corners) <= sides {
		return got, false
	}
	got = geom.EmptyBox()
	// Sides along the axes, and opposite corners that differ both ways: with
	// the latter it goes round, not there and back.
	ok = corners[0].at.Dist(corners[sides].at) <= within
	for i := range sides {
		a, b := corners[i].at, corners[i+1].at
		c := corners[(i+2)%sides].at
		got = got.Add(a)
		ok = ok && (math.Abs(a.X-b.X) <= within || math.Abs(a.Y-b.Y) <= within) &&
			math.Abs(a.X-c.X) > within && math.Abs(a.Y-c.Y) > within
	}
	return got, ok
}

// dropTrace takes the rectangle out of what is compared with the parts.
func (w *walker) dropTrace(within float64) {
	if _, ok := traced(w.corners, within); !ok {
		return
	}
	n := 0
	for n < len(w.runs) && w.runs[n].last <= w.corners[sides].line {
		n++
	}
	w.runs = w.runs[n:]
	for i := range w.hops {
		w.hops[i].after = max(0, w.hops[i].after-n)
	}
	for i := range w.touches {
		w.touches[i].after = max(0, w.touches[i].after-n)
	}
}

// trace asks every dry run to begin with the rectangle that it needs.
func (c *check) trace() {
	for k := range c.programs {
		c.traceOf(&c.programs[k])
	}
}

func (c *check) traceOf(p *program) {
	need := geom.EmptyBox()
	kerf := 0.0
	for i := p.from; i < p.to; i++ {
		r := &c.runs[i]
		need = need.Union(r.box)
		kerf = max(kerf, 2*c.half(r))
	}
	for k := range c.loads {
		for _, l := range c.loads[k].loops {
			if slices.Contains(l.runs, -1) && c.seenIn(p, l) { // a pop has no run of its own in a dry run
				need, kerf = need.Add(l.box.Center()), max(kerf, l.Kerf)
			}
		}
	}
	if need.Empty() {
		return
	}
	got, ok := traced(p.corners, c.tol)
	if !ok {
		c.find(p.corners[0].line, "", "dry-trace", "Begin with the rectangle that the job needs.", "the dry run does not begin with a rectangle")
		return
	}
	if !got.Grow(c.tol).Encloses(need) {
		c.find(p.corners[1].line, "", "dry-trace", "Trace all that the job needs.", "the rectangle runs from (%s, %s) to (%s, %s), the job needs (%s, %s) to (%s, %s)",
			bare(got.Min.X), bare(got.Min.Y), bare(got.Max.X), bare(got.Max.Y), bare(need.Min.X), bare(need.Min.Y), bare(need.Max.X), bare(need.Max.Y))
	} else if !need.Grow(kerf + c.tol).Encloses(got) {
		c.find(p.corners[1].line, "", "dry-trace", "Trace what the job needs and no more.", "the rectangle runs from (%s, %s) to (%s, %s), more than a kerf outside what the job needs: (%s, %s) to (%s, %s)",
			bare(got.Min.X), bare(got.Min.Y), bare(got.Max.X), bare(got.Max.Y), bare(need.Min.X), bare(need.Min.Y), bare(need.Max.X), bare(need.Max.Y))
	}
}

// seenIn reports whether a dry run goes to the centre of a pop.
func (c *check) seenIn(p *program, l *loop) bool {
	return slices.ContainsFunc(c.w.hops, func(h hop) bool {
		return h.line > p.base && h.line <= p.base+p.lines && h.to.Dist(l.box.Center()) <= c.tol
	})
}
