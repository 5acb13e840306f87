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
	n := 0
	for i := range h.strands {
		n += len(h.strands[i].v)
	}
	h.joining, h.doubling, h.crossing = effortOf(n, h.r.size), effortOf(n, h.r.size), effortOf(n, h.r.size)
	cut, mark := h.split()
	h.strands = nil
	cut, a := h.healList(cut)
	h.rep.merge(a.rep)
	if len(mark) > 0 {
		mark, _ = h.healList(mark) // marks may cross
		cut, a.boxes = inOrder(append(cut, mark...))
	}
	h.hand(out, cut, a.boxes)
	h.openLines(out)
	h.tellLost(out)
}

// lost is what healing gave up, as a set.
type lost uint8

const (
	lostEnds lost = 1 << iota
	lostPairs
)

func (h *healer) give(up lost) { h.lost |= up }

// tellLost says what was given up, and at what limit.
func (h *healer) tellLost(out *Loops) {
	h.rep.kind("too-many", fault.Warning, "", "", "Look for lines drawn many times over one another, or a filling made of lines, and leave them out")
	h.rep.kinds["too-many"].all = true
	tell := func(which lost, most int, left string) {
		if h.lost&which != 0 {
			p := h.somewhere(out)
			h.rep.add("too-many", 0, p, func() finding {
				return finding{p: p, what: fmt.Sprintf("too many lines lie close together: after %d comparisons, the limit for a file of this size, %s", most, left)}
			})
		}
	}
	tell(lostEnds, h.joining.most, "ends may be left unjoined")
	tell(lostPairs, max(h.doubling.most, h.crossing.most), "doubles, overlaps or crossings may be left")
}

// healList heals the strands of one use. Most drawings hold no doubles and no
// overlaps: they are joined at once, and what was joined is then searched for
// both, and for crossings, in one go. Only if there are any is it taken apart
// again, cleaned and joined anew.
func (h *healer) healList(s []strand) ([]strand, audit) {
	s, crowded := h.join(s, false)
	if crowded {
		s = h.rejoin(s)
	}
	s, boxes := inOrder(h.mendAll(s))
	a := h.audit(s, boxes, false)
	if a.over {
		s = h.mendAll(h.rejoin(explode(s)))
		s, boxes = inOrder(h.closedDoubles(s))
		a = h.audit(s, boxes, true)
	}
	return s, a
}

// rejoin removes doubles and overlaps and joins what is left.
func (h *healer) rejoin(s []strand) []strand {
	sortStrands(s)
	s = h.untangle(s)
	sortStrands(s)
	s, _ = h.join(s, true)
	return s
}

// explode opens every loop that was joined from pieces.
func explode(s []strand) []strand {
	for i := range s {
		if s[i].closed && !s[i].whole {
			v := append(slices.Clone(s[i].v), s[i].v[0])
			v[len(v)-1].Bulge = 0
			s[i].v, s[i].closed = v, false
		}
	}
	return s
}

// mendAll mends every strand and drops those that come to nothing.
func (h *healer) mendAll(s []strand) []strand {
	out := s[:0]
	for i := range s {
		if h.tidy(&s[i]) {
			h.mend(&s[i])
			out = append(out, s[i])
		}
	}
	return out
}

// tidy drops segments that joining left without length; false if that is all
// that there was, or if all of it is smaller than what counts as a piece.
func (h *healer) tidy(s *strand) bool {
	n := len(s.v)
	if a, b := s.v[0].P, s.v[n/2].P; math.Abs(a.X-b.X)+math.Abs(a.Y-b.Y) < h.tiny() {
		if b := s.box(); max(b.Width(), b.Height()) < h.tiny() {
			h.rep.add("dust", max(b.Width(), b.Height()), b.Center(), func() finding {
				return finding{p: b.Center(), entity: h.entity(s.v[0].Src), what: "a speck of " + length(max(b.Width(), b.Height())) + " dropped"}
			})
			return false
		}
	}
	for i := range s.path().NumSegs() {
		j := i + 1
		if j == n {
			j = 0
		}
		if a, b := s.v[i].P, s.v[j].P; math.Abs(a.X-b.X) <= geom.Same && math.Abs(a.Y-b.Y) <= geom.Same && a.Near(b) {
			s.v, s.closed = h.clean(s.v, s.closed, s.v[0].Src)
			return len(s.v) > 0
		}
	}
	return true
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
	if s.circle() {
		return
	}
	s.settle()
	if len(s.v) > 2 {
		n := len(s.v)
		h.collapse(s)
		h.roundOff(s)
		if s.circle() {
			return
		}
		if len(s.v) != n {
			s.settle()
			n = len(s.v)
		}
		h.mergeArcs(s)
		h.straighten(s)
		if len(s.v) != n {
			s.settle()
		}
	}
	if s.closed && len(s.v) <= 4 && h.roundCircle(s) {
		s.circle()
	}
	if s.closed && s.thin() {
		s.v = append(slices.Clone(s.v), s.v[0])
		s.closed, s.whole = false, false
		s.settle()
	}
}

// thin reports whether a loop encloses nothing: lines and arcs there and back,
// whose area is rounding and has no side.
func (s *strand) thin() bool {
	return math.Abs(area(s.v)) <= geom.Same*s.path().Length() && (!bent(s.v) || s.retraced())
}

// mostRetraced bounds the segments of a bent loop without area, each of which
// is compared with all.
const mostRetraced = 1000

// retraced reports whether every segment is run both ways; two bent eyes that
// meet in a point have no area either, and are something.
func (s *strand) retraced() bool {
	p := s.path()
	n := p.NumSegs()
	if n > mostRetraced {
		return false
	}
	back := make([]bool, n)
	for i := range n {
		a := p.Seg(i)
		for k := i + 1; k < n && !back[i]; k++ {
			if b := p.Seg(k); !back[k] && a.A.Near(b.B) && a.B.Near(b.A) && a.Mid().Near(b.Mid()) {
				back[i], back[k] = true, true
			}
		}
		if !back[i] {
			return false
		}
	}
	return true
}

// circle reports whether the strand is a circle of two halves, and makes it
// start on its right, as geom.Circle does.
func (s *strand) circle() bool {
	if !s.closed || len(s.v) != 2 || s.v[0].Bulge != s.v[1].Bulge || math.Abs(s.v[0].Bulge) != 1 {
		return false
	}
	a, b := s.v[0].P, s.v[1].P
	if a.Y == b.Y && a.X > b.X && s.v[0].Bulge == 1 {
		return true
	}
	src := s.v[0].Src
	c, r := a.Lerp(b, 0.5), a.Dist(b)/2
	s.v[0] = geom.Vertex{P: geom.Pt(c.X+r, c.Y), Bulge: 1, Src: src}
	s.v[1] = geom.Vertex{P: geom.Pt(c.X-r, c.Y), Bulge: 1, Src: src}
	return true
}

// inOrder sorts mended strands by their boxes, then by area, then by what is
// drawn, and returns the boxes.
func inOrder(s []strand) ([]strand, []geom.Box) {
	type entry struct {
		box  geom.Box
		area float64
		i    int32
	}
	e := make([]entry, len(s))
	for i := range s {
		e[i] = entry{s[i].box(), 0, int32(i)}
		if s[i].closed {
			e[i].area = math.Abs(area(s[i].v))
		}
	}
	slices.SortFunc(e, func(a, b entry) int {
		if c := comparePoints(a.box.Min, b.box.Min); c != 0 {
			return c
		}
		if c := comparePoints(a.box.Max, b.box.Max); c != 0 {
			return c
		}
		if a.area != b.area {
			return sign(a.area > b.area)
		}
		if c := compareStrands(s[a.i], s[b.i]); c != 0 {
			return c
		}
		return int(a.i - b.i)
	})
	out, boxes := make([]strand, len(s)), make([]geom.Box, len(s))
	for i, x := range e {
		out[i], boxes[i] = s[x.i], x.box
	}
	return out, boxes
}

func (s *strand) box() geom.Box {
	if s.isCircle() {
		m, r := s.v[1].P.Lerp(s.v[0].P, 0.5), (s.v[0].P.X-s.v[1].P.X)/2
		return geom.Box{Min: m, Max: m}.Grow(r)
	}
	return s.path().Box()
}

// hand makes loops and open lines of sorted strands.
func (h *healer) hand(out *Loops, all []strand, boxes []geom.Box) {
	r := h.r
	out.Entities = make([]Entity, len(h.refs))
	for i, e := range h.refs {
		out.Entities[i] = Entity{Type: r.types[e.typ], Layer: r.Layers[e.layer].Name, Line: int(e.line)}
	}
	closed := 0
	for i := range all {
		if all[i].closed {
			closed++
		}
	}
	out.Closed = make([]Loop, 0, closed)
	out.Open = make([]Loop, 0, len(all)-closed)
	for i := range all {
		s, b := &all[i], boxes[i]
		ref := h.refs[s.v[0].Src]
		l := Loop{Path: s.path(), Use: useCut.job(), Layer: r.Layers[ref.layer].Name, Style: ref.style}
		if s.mark {
			l.Use = useMark.job()
		}
		out.Box = out.Box.Union(b)
		if !s.closed {
			out.Open = append(out.Open, l)
			continue
		}
		out.Closed = append(out.Closed, l)
		if max(b.Width(), b.Height()) < speck {
			h.rep.add("speck", 0, b.Center(), func() finding {
				return finding{p: b.Center(), entity: h.entity(s.v[0].Src),
					what: fmt.Sprintf("a loop of %s by %s, smaller than any cut", length(b.Width()), length(b.Height()))}
			})
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
		h.rep.add("open", 0, p, func() finding {
			// Closed on itself, or at each end to the nearest end of another.
			gap, how := p.Dist(q), "to its own other end"
			apart := max(nearestEnd(x, ends, 2*k, 2*k+1), nearestEnd(x, ends, 2*k+1, 2*k))
			if apart < gap {
				gap, how = apart, "to the nearest other ends"
			}
			return finding{p: p, entity: h.entity(l.Path.V[0].Src),
				what: fmt.Sprintf("an open line of %s, %s long, from %s to %s; the smallest gap that would close it is %s, %s",
					count(l.Path.NumSegs(), "piece", "pieces"), length(l.Path.Length()), at(p), at(q), length(gap), how)}
		})
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
