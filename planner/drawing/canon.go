package drawing

import (
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
		if s.path().Area() < 0 {
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
	if less(b, a) || a == b && geom.Path.Area(geom.Path{V: s.v, Closed: true}) < 0 {
		turnRound(s.v, false)
	}
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
