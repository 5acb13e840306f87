package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// certain is how well a greatest distance is known, mm: a twentieth of what
// the proof allows.
const certain = 0.001

// beside, mm, is how far past the end of an arc or a line a point may lie and
// still be counted as over it. Half of certain, because on a path of no width
// the whole of it may enter a distance; beside a kerf of 0.3 mm it is 1e-6.
const beside = certain / 2

// few is the number of pieces up to which looking at all of them is quicker
// than a tree.
const few = 24

// pieces is a set of pieces that is asked for the nearest one.
type pieces struct {
	all  []piece
	tree *tree // nil for a few
	last int   // where the last answer was; the next is mostly beside it
}

func newPieces(all []piece) *pieces {
	s := &pieces{all: all}
	if len(all) > few {
		boxes := make([]geom.Box, len(all))
		for i := range all {
			boxes[i] = all[i].box()
		}
		s.tree = newTree(boxes)
	}
	return s
}

// nearest returns the piece nearest to q; -1 and infinity for an empty set.
func (s *pieces) nearest(q geom.Point) (int, float64) {
	best, d := -1, math.Inf(1)
	if s.tree == nil {
		for i := range s.all {
			if v := s.all[i].dist(q); v < d {
				best, d = i, v
			}
		}
		return best, d
	}
	hint := s.all[s.last].dist(q)
	best, d = s.tree.nearest(q, hint, func(i int) float64 { return s.all[i].dist(q) })
	if best < 0 {
		best, d = s.last, hint
	}
	s.last = best
	return best, d
}

// span is the search for the place of a run of pieces that lies furthest from
// a set.
type span struct {
	to    *pieces
	worst float64    // mm, the greatest distance found, starting from what is of no interest
	at    geom.Point // where
	from  int        // the piece on which it lies, -1 if nothing passed the start
	// skip, if set, is asked about a stretch that lies too far away, its
	// middle by d: whether all of it, or its middle, is not to count.
	skip func(p piece, m geom.Point, d float64) (all, middle bool)
}

// look walks over one piece, number n. Afterwards no place of it is further
// than worst + certain from the set: where a bound from one piece of the set
// is not good enough, the piece is cut in two.
func (s *span) look(p *piece, n int) {
	m := p.mid()
	k, d := s.to.nearest(m)
	if k < 0 {
		s.worst, s.at, s.from = math.Inf(1), m, n
		return
	}
	bound := furthest(p, &s.to.all[k])
	if bound <= s.worst+certain {
		return
	}
	count := d > s.worst
	if s.skip != nil && bound > s.worst {
		all, middle := s.skip(*p, m, d)
		if all {
			return
		}
		count = count && !middle
	}
	if count {
		s.worst, s.at, s.from = d, m, n
	}
	if p.length() <= certain { // the distance changes by half of that at most
		return
	}
	first, second := p.halves()
	s.look(&first, n)
	s.look(&second, n)
}

// furthest bounds from above how far any place of p lies from k.
func furthest(p, k *piece) float64 {
	bound := min(furthestFromPoint(p, k.a), furthestFromPoint(p, k.b))
	if k.arc() {
		return min(bound, furthestFromArc(p, k))
	}
	return min(bound, furthestFromLine(p, k))
}

func furthestFromPoint(p *piece, q geom.Point) float64 {
	d := math.Sqrt(max(square(p.a.Sub(q)), square(p.b.Sub(q))))
	if p.arc() { // the circle's far side from q, if the arc has it
		if v := p.c.Sub(q); p.over(p.c.Add(v), 0) {
			return length(v) + p.r
		}
	}
	return d
}

// furthestFromLine is good where all of p lies beside the line k.
func furthestFromLine(p, k *piece) float64 {
	d := k.b.Sub(k.a)
	l := length(d)
	u := d.Mul(1 / l)
	worst := 0.0
	see := func(q geom.Point) bool {
		v := q.Sub(k.a)
		worst = max(worst, math.Abs(u.Cross(v)))
		t := v.Dot(u)
		return t >= -beside && t <= l+beside
	}
	if !see(p.a) || !see(p.b) {
		return math.Inf(1)
	}
	if p.arc() {
		n := u.Left()
		for _, w := range [4]geom.Point{u, u.Mul(-1), n, n.Mul(-1)} {
			if q := p.c.Add(w.Mul(p.r)); p.over(q, 0) && !see(q) {
				return math.Inf(1)
			}
		}
	}
	return worst
}

// furthestFromArc is good where all of p lies in the cone of the arc k.
func furthestFromArc(p, k *piece) float64 {
	if !k.over(p.a, beside) || !k.over(p.b, beside) {
		return math.Inf(1)
	}
	// Just past the centre every place is beside the cone of a short arc, and
	// the far side of the circle is no part of it.
	towards := k.a.Add(k.b).Sub(k.c.Mul(2))
	if least := -beside * k.r; towards.Dot(p.a.Sub(k.c)) < least || towards.Dot(p.b.Sub(k.c)) < least {
		return math.Inf(1)
	}
	ra, rb := length(p.a.Sub(k.c)), length(p.b.Sub(k.c))
	worst := max(math.Abs(ra-k.r), math.Abs(rb-k.r))
	if !p.arc() {
		// A cone up to half a turn is convex, so the line between stays in it;
		// its foot is where it comes nearest to the centre.
		d := p.b.Sub(p.a)
		if t := k.c.Sub(p.a).Dot(d); t > 0 && t < d.Dot(d) {
			foot := math.Abs(d.Cross(k.c.Sub(p.a))) / length(d)
			worst = max(worst, math.Abs(foot-k.r))
		}
		return worst
	}
	// The arc lies in the triangle of its ends and the crossing of its end
	// tangents. About one centre the middle will do: both halves turn less
	// than the cone may.
	v := p.c.Sub(k.c)
	l := length(v)
	m := p.mid()
	corner := m
	if l > beside {
		cos := math.Cos(p.sweep / 2)
		if cos < 0.1 { // the tangents cross far away or not at all
			return math.Inf(1)
		}
		corner = p.c.Add(m.Sub(p.c).Mul(1 / cos))
	}
	if !k.over(corner, beside) {
		return math.Inf(1)
	}
	if p.over(p.c.Add(v), 0) {
		worst = max(worst, math.Abs(l+p.r-k.r))
	}
	if p.over(p.c.Sub(v), 0) {
		worst = max(worst, math.Abs(math.Abs(l-p.r)-k.r))
	}
	return worst
}
