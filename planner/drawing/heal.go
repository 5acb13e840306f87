package drawing

import (
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// heal turns the strands into out.Closed and out.Open.
func (h *healer) heal(out *Loops) {
	cut, mark := h.split()
	var all []strand
	for _, s := range [2][]strand{cut, mark} {
		for i := range s {
			s[i].settle()
		}
		slices.SortStableFunc(s, compareStrands)
		s = h.untangle(s)
		slices.SortStableFunc(s, compareStrands)
		s = h.join(s)
		for i := range s {
			h.mend(&s[i])
		}
		s = h.closedDoubles(s)
		all = append(all, s...)
	}
	h.strands = nil
	h.give(out, all)
	h.crossings(out)
	h.openLines(out)
	if h.lost > 0 {
		h.rep.kind("too-many", fault.Warning, "", "", "Look for lines drawn many times over one another")
		h.rep.add("too-many", 0, finding{p: h.somewhere(out), what: "too many lines lie close together to compare them all; doubles, overlaps or crossings may be left"})
	}
}

func (h *healer) somewhere(out *Loops) geom.Point {
	switch {
	case len(out.Closed) > 0:
		return out.Closed[0].Path.Start()
	case len(out.Open) > 0:
		return out.Open[0].Path.Start()
	}
	return geom.Point{}
}

// split parts the strands by use.
func (h *healer) split() (cut, mark []strand) {
	if !slices.ContainsFunc(h.strands, func(s strand) bool { return s.mark }) {
		return h.strands, nil
	}
	for _, s := range h.strands {
		if s.mark {
			mark = append(mark, s)
		} else {
			cut = append(cut, s)
		}
	}
	return cut, mark
}

// mend cleans one joined strand and gives it its final start and direction.
func (h *healer) mend(s *strand) {
	s.settle()
	if len(s.v) > 2 {
		h.collapse(s)
		h.roundOff(s)
		s.settle()
		h.mergeArcs(s)
		h.straighten(s)
	}
	if s.closed {
		h.roundCircle(s)
	}
	s.settle()
	if s.closed && len(s.v) == 2 && s.v[0].Bulge == 1 && s.v[1].Bulge == 1 {
		// A circle starts on its right, as geom.Circle makes it.
		c := s.path().Seg(0)
		src := s.v[0].Src
		s.v = geom.Circle(c.Center(), c.Radius()).V
		s.v[0].Src, s.v[1].Src = src, src
	}
}

// give sorts the strands into closed loops and open lines.
func (h *healer) give(out *Loops, all []strand) {
	type entry struct {
		box  geom.Box
		area float64
		s    *strand
	}
	e := make([]entry, len(all))
	for i := range all {
		p := all[i].path()
		e[i] = entry{p.Box(), 0, &all[i]}
		if p.Closed {
			e[i].area = math.Abs(p.Area())
		}
	}
	slices.SortStableFunc(e, func(a, b entry) int {
		if c := comparePoints(a.box.Min, b.box.Min); c != 0 {
			return c
		}
		if c := comparePoints(a.box.Max, b.box.Max); c != 0 {
			return c
		}
		if a.area != b.area {
			return sign(a.area > b.area)
		}
		return compareStrands(*a.s, *b.s)
	})
	for _, x := range e {
		s := x.s
		l := Loop{Path: s.path(), Use: useCut.job()}
		if s.mark {
			l.Use = useMark.job()
		}
		ent := &out.Entities[s.v[0].Src]
		l.Layer = ent.Layer
		l.Style = h.styleOf[s.v[0].Src]
		if !s.closed {
			out.Open = append(out.Open, l)
			continue
		}
		out.Closed = append(out.Closed, l)
		if max(x.box.Width(), x.box.Height()) < speck {
			h.rep.add("speck", 0, finding{p: x.box.Center(), entity: out.entity(s.v[0].Src),
				what: fmt.Sprintf("a loop of %s by %s, smaller than any cut", length(x.box.Width()), length(x.box.Height()))})
		}
	}
}

// speck is the size under which a loop is no feature: a tenth of a narrow
// kerf, common practice, no source.
const speck = 0.1

// openLines reports every line that is left open, with both ends and the
// smallest gap that would close it.
func (h *healer) openLines(out *Loops) {
	var cut []int
	for i, l := range out.Open {
		if l.Use == useCut.job() {
			cut = append(cut, i)
		}
	}
	if len(cut) == 0 {
		return
	}
	ends := make([]geom.Box, 0, 2*len(cut))
	for _, i := range cut {
		p := out.Open[i].Path
		ends = append(ends, geom.Box{Min: p.Start(), Max: p.Start()}, geom.Box{Min: p.End(), Max: p.End()})
	}
	x := geom.NewIndex(ends)
	for k, i := range cut {
		l := out.Open[i]
		p, q := l.Path.Start(), l.Path.End()
		// Closed on itself, or at each end to the nearest end of another.
		self := p.Dist(q)
		apart := max(nearestEnd(x, ends, 2*k, 2*k+1), nearestEnd(x, ends, 2*k+1, 2*k))
		gap, how := self, "to its own other end"
		if apart < self {
			gap, how = apart, "to the nearest other ends"
		}
		h.rep.add("open", gap, finding{p: p, entity: out.entity(l.Path.V[0].Src),
			what: fmt.Sprintf("an open line of %s, %s long, from %s to %s; the smallest gap that would close it is %s, %s",
				count(l.Path.NumSegs(), "piece", "pieces"), length(l.Path.Length()), at(p), at(q), length(gap), how)})
	}
}

// nearestEnd is the distance from an end to the nearest other, its own
// strand's other end left out.
func nearestEnd(x *geom.Index, ends []geom.Box, e, own int) float64 {
	best := math.Inf(1)
	x.Nearest(ends[e].Min, best, func(k int) float64 {
		if k != e && k != own {
			best = min(best, ends[k].Min.Dist(ends[e].Min))
		}
		return best
	})
	return best
}
