package drawing

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// edge is one segment of a strand.
type edge struct{ strand, i int32 }

// tangle is the work on doubles and overlaps among the strands of one use.
type tangle struct {
	h     *healer
	s     []strand
	edges []edge
	gone  []bool
	more  []strand // merged pieces
}

func (t *tangle) seg(k int) geom.Seg {
	e := t.edges[k]
	s := &t.s[e.strand]
	j := int(e.i) + 1
	if j == len(s.v) {
		j = 0
	}
	return geom.Seg{A: s.v[e.i].P, B: s.v[j].P, Bulge: s.v[e.i].Bulge}
}

func (t *tangle) open(k int) bool { return !t.s[t.edges[k].strand].closed }
func (t *tangle) src(k int) int32 { return t.s[t.edges[k].strand].v[t.edges[k].i].Src }

// untangle removes doubles and merges overlaps of one list of strands, which
// are settled and sorted.
func (h *healer) untangle(s []strand) []strand {
	s = h.closedDoubles(s)
	open := 0
	n := 0
	for i := range s {
		n += s[i].path().NumSegs()
		if !s[i].closed {
			open++
		}
	}
	if open == 0 {
		return s
	}
	t := &tangle{h: h, s: s, edges: make([]edge, 0, n)}
	for i := range s {
		for k := range s[i].path().NumSegs() {
			t.edges = append(t.edges, edge{int32(i), int32(k)})
		}
	}
	t.gone = make([]bool, len(t.edges))
	t.doubles()
	t.overlaps()
	return t.rest()
}

// doubles drops segments that lie on another within the gap, ends and middle.
func (t *tangle) doubles() {
	mids := make([]geom.Point, len(t.edges))
	for k := range t.edges {
		mids[k] = t.seg(k).Mid()
	}
	g := newPointGrid(len(mids), func(i int) geom.Point { return mids[i] }, t.h.gap, &t.h.doubling)
	for i := range t.edges {
		if t.gone[i] || !t.open(i) {
			continue
		}
		a := t.seg(i)
		g.near(i, t.h.gap, func(j int, d float64) bool {
			if !t.h.doubling.spend(lookAlong) {
				return false
			}
			if t.gone[j] || t.open(j) && j < i {
				return true
			}
			b := t.seg(j)
			off, same := doubled(a, b, min(t.h.gap, 0.25*min(a.A.Dist(a.B), b.A.Dist(b.B))))
			if !same {
				return true
			}
			drop := j
			if !t.open(j) || len(t.s[t.edges[j].strand].v) > len(t.s[t.edges[i].strand].v) {
				drop = i
			}
			t.gone[drop] = true
			t.h.rep.add("double", off, mids[drop], func() finding {
				return finding{p: mids[drop], entity: t.h.entity(t.src(drop)), what: "a double removed, " + length(off) + " off"}
			})
			return drop != i
		})
	}
	if g.spent() {
		t.h.give(lostPairs)
	}
}

// doubled reports whether two segments lie on one another: ends and middles
// within the tolerance, in either direction.
func doubled(a, b geom.Seg, within float64) (off float64, same bool) {
	d := max(a.A.Dist(b.A), a.B.Dist(b.B))
	if r := max(a.A.Dist(b.B), a.B.Dist(b.A)); r < d {
		d = r
	}
	if d > within {
		return d, false
	}
	d = max(d, a.Mid().Dist(b.Mid()))
	return d, d <= within
}

// closedDoubles drops closed strands that lie on another.
func (h *healer) closedDoubles(s []strand) []strand {
	type entry struct {
		box geom.Box
		id  int
	}
	var e []entry
	for i := range s {
		if s[i].closed {
			e = append(e, entry{s[i].path().Box(), i})
		}
	}
	if len(e) < 2 {
		return s
	}
	slices.SortStableFunc(e, func(a, b entry) int { return comparePoints(a.box.Min, b.box.Min) })
	gone := make([]bool, len(s))
	some := false
	for i := range e {
		if gone[e[i].id] {
			continue
		}
		for j := i + 1; j < len(e) && e[j].box.Min.X-e[i].box.Min.X <= h.gap; j++ {
			if !h.doubling.spend(1) {
				h.give(lostPairs)
				break
			}
			a, b := e[i].box, e[j].box
			if gone[e[j].id] || math.Abs(a.Min.Y-b.Min.Y) > h.gap || math.Abs(a.Max.X-b.Max.X) > h.gap || math.Abs(a.Max.Y-b.Max.Y) > h.gap {
				continue
			}
			p, q := s[e[i].id].path(), s[e[j].id].path()
			// Small figures must be told apart by more than the gap.
			off, same := sameLoop(p, q, min(h.gap, 0.1*max(a.Width(), a.Height())), &h.doubling)
			if !same {
				continue
			}
			gone[e[j].id], some = true, true
			h.rep.add("double", off, b.Center(), func() finding {
				return finding{p: b.Center(), entity: h.entity(q.V[0].Src), what: "a double removed, " + length(off) + " off"}
			})
		}
	}
	if !some {
		return s
	}
	out := s[:0]
	for i := range s {
		if !gone[i] {
			out = append(out, s[i])
		}
	}
	return out
}

// sameLoop reports whether every vertex and every middle of each of two loops
// lies within the tolerance of the other.
func sameLoop(p, q geom.Path, within float64, left *effort) (off float64, same bool) {
	if math.Abs(math.Abs(p.Area())-math.Abs(q.Area())) > within*(p.Length()+q.Length()) {
		return 0, false
	}
	if len(p.V) == len(q.V) { // drawn alike, perhaps from another start
		left.spend(len(p.V))
		if off, same = alike(p, q, within); same {
			return off, true
		}
	}
	for range 2 {
		for i := range p.NumSegs() {
			s := p.Seg(i)
			for _, m := range [2]geom.Point{s.A, s.Mid()} {
				if !left.spend(len(q.V)) {
					return 0, false
				}
				_, _, _, d := q.Nearest(m)
				if d > within {
					return d, false
				}
				off = max(off, d)
			}
		}
		p, q = q, p
	}
	return off, true
}

// alike compares two loops of as many vertices, from that vertex of q on which
// is nearest to the first of p.
func alike(p, q geom.Path, within float64) (off float64, same bool) {
	n := len(p.V)
	best, at := math.Inf(1), 0
	for i := range q.V {
		if d := q.V[i].P.Dist(p.V[0].P); d < best {
			best, at = d, i
		}
	}
	for i := range n {
		a, b := p.Seg(i), q.Seg((at+i)%n)
		off = max(off, a.A.Dist(b.A), a.Mid().Dist(b.Mid()))
		if off > within {
			return off, false
		}
	}
	return off, true
}

// rest puts the strands together from the edges that are left, and from the
// pieces that were merged.
func (t *tangle) rest() []strand {
	out := make([]strand, 0, len(t.s)+len(t.more))
	k := 0
	for i := range t.s {
		s := t.s[i]
		n := s.path().NumSegs()
		gone := t.gone[k : k+n]
		k += n
		if s.closed || !slices.Contains(gone, true) {
			out = append(out, s)
			continue
		}
		for from := 0; from < n; {
			if gone[from] {
				from++
				continue
			}
			to := from
			for to < n && !gone[to] {
				to++
			}
			v := slices.Clone(s.v[from : to+1])
			v[len(v)-1].Bulge = 0
			out = append(out, strand{v: v, mark: s.mark})
			from = to
		}
	}
	out = append(out, t.more...)
	return out
}
