package drawing

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// turnRound reverses a run in place; a closed one keeps its first vertex.
func turnRound(v []geom.Vertex, closed bool) {
	if len(v) < 2 {
		return
	}
	first := v[0]
	if closed {
		slices.Reverse(v[1:])
	} else {
		slices.Reverse(v)
	}
	last := len(v) - 1
	for i := range last {
		v[i].Bulge, v[i].Src = -v[i+1].Bulge, v[i+1].Src
	}
	if closed {
		v[last].Bulge, v[last].Src = -first.Bulge, first.Src
		// The shift above took v[1] for v[0]: the segment that arrived there.
		return
	}
	v[last].Bulge = 0
	v[last].Src = v[max(0, last-1)].Src
}

// rotate makes vertex i of a closed run the first.
func rotate(v []geom.Vertex, i int) {
	if i == 0 {
		return
	}
	slices.Reverse(v[:i])
	slices.Reverse(v[i:])
	slices.Reverse(v)
}

// settle gives a strand its one direction and start, whatever it was drawn
// like: an open one runs from its smaller end, by x and then y; a closed one
// counter-clockwise from its smallest vertex.
func (s *strand) settle() {
	if s.closed {
		if area(s.v) < 0 {
			turnRound(s.v, true)
		}
		best := 0
		for i := range s.v {
			if less(s.v[i].P, s.v[best].P) {
				best = i
			}
		}
		rotate(s.v, best)
		return
	}
	a, b := s.start(), s.end()
	if less(b, a) || a == b && area(s.v) < 0 {
		turnRound(s.v, false)
	}
}

// area is the signed area of a closed run: the chord polygon, and for each arc
// the circular segment r^2/2 (a - sin a), with r = c(1+b^2)/(4b), a = 4 atan b
// and so sin a = 4b(1-b^2)/(1+b^2)^2.
func area(v []geom.Vertex) float64 {
	if len(v) == 0 {
		return 0
	}
	o := v[0].P
	sum := 0.0
	for i := range v {
		j := i + 1
		if j == len(v) {
			j = 0
		}
		p, q, b := v[i].P.Sub(o), v[j].P.Sub(o), v[i].Bulge
		sum += p.Cross(q) / 2
		if b == 0 {
			continue
		}
		d := q.Sub(p)
		c2 := d.Dot(d)
		switch k := 1 + b*b; {
		case b == 1:
			sum += math.Pi / 8 * c2
		case b == -1:
			sum -= math.Pi / 8 * c2
		case math.Abs(b) < 1e-2: // the next term of the series is under b^5
			sum += c2 * b / 3 * (1 + b*b/5)
		default:
			sum += c2 * k * k / (32 * b * b) * (4*math.Atan(b) - 4*b*(1-b*b)/(k*k))
		}
	}
	return sum
}

// strandKey is what strands are mostly sorted by, close at hand.
type strandKey struct {
	p geom.Point
	i int32
}

// sortStrands settles strands and sorts them by what is drawn.
func sortStrands(s []strand) []strand {
	keys := make([]strandKey, len(s))
	for i := range s {
		s[i].settle()
		keys[i] = strandKey{s[i].v[0].P, int32(i)}
	}
	slices.SortFunc(keys, func(a, b strandKey) int {
		if c := comparePoints(a.p, b.p); c != 0 {
			return c
		}
		if c := compareStrands(s[a.i], s[b.i]); c != 0 {
			return c
		}
		return int(a.i - b.i)
	})
	// Put them in order in place, cycle by cycle.
	for i := range keys {
		if keys[i].i < 0 {
			continue
		}
		first := s[i]
		for at := i; ; {
			from := int(keys[at].i)
			keys[at].i = -1
			if from == i {
				s[at] = first
				break
			}
			s[at] = s[from]
			at = from
		}
	}
	return s
}

// compareStrands orders by what is drawn, and by nothing else.
func compareStrands(a, b strand) int {
	if c := comparePoints(a.v[0].P, b.v[0].P); c != 0 {
		return c
	}
	if a.closed != b.closed {
		return sign(a.closed)
	}
	if a.mark != b.mark {
		return sign(b.mark)
	}
	for i := 0; i < len(a.v) && i < len(b.v); i++ {
		if c := comparePoints(a.v[i].P, b.v[i].P); c != 0 {
			return c
		}
		if a.v[i].Bulge != b.v[i].Bulge {
			return sign(a.v[i].Bulge < b.v[i].Bulge)
		}
	}
	return len(a.v) - len(b.v)
}
