package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// place of a segment among all paths of a drawing.
type segPlace struct{ path, seg int32 }

// crosser finds where paths cross themselves and one another.
type crosser struct {
	h     *healer
	paths []geom.Path
	of    []segPlace
	said  map[[2]int32]int // crossings told of, by pair of paths
	seen  map[geom.Point]bool
}

// crossings reports places where loops and open lines that are cut cross.
func (h *healer) crossings(out *Loops) {
	c := &crosser{h: h, said: map[[2]int32]int{}, seen: map[geom.Point]bool{}}
	n := 0
	for _, list := range [2][]Loop{out.Closed, out.Open} {
		for _, l := range list {
			if l.Use == useCut.job() {
				c.paths = append(c.paths, l.Path)
				n += l.Path.NumSegs()
			}
		}
	}
	c.of = make([]segPlace, 0, n)
	boxes := make([]geom.Box, 0, n)
	for i, p := range c.paths {
		for k := range p.NumSegs() {
			c.of = append(c.of, segPlace{int32(i), int32(k)})
			boxes = append(boxes, p.Seg(k).Box())
		}
	}
	if n < 2 {
		return
	}
	budget := pairBudget(n)
	geom.NewIndex(boxes).SelfPairs(0, func(i, j int) bool {
		if budget--; budget < 0 {
			h.lost++
			return false
		}
		c.pair(c.of[i], c.of[j])
		return true
	})
}

func (c *crosser) pair(a, b segPlace) {
	p, q := c.paths[a.path], c.paths[b.path]
	s, t := p.Seg(int(a.seg)), q.Seg(int(b.seg))
	same := a.path == b.path
	if same && len(p.V) == 2 && p.Closed {
		return // two segments between two points: they can only meet there
	}
	next := same && c.follow(p, a.seg, b.seg)
	prev := same && c.follow(p, b.seg, a.seg)
	if (next || prev) && !s.IsArc() && !t.IsArc() {
		// Two lines with a common end meet nowhere else, unless one runs back
		// over the other.
		u, v := s.B.Sub(s.A), t.B.Sub(t.A)
		if u.Dot(v) < 0 && math.Abs(u.Cross(v)) <= geom.Same*max(u.Len(), v.Len()) {
			c.tell(a, b, s.B, "overlap-left", "a line runs back over itself")
		}
		return
	}
	m := geom.Intersect(s, t, geom.Same)
	if m.Kind == geom.Apart {
		return
	}
	if m.Kind == geom.Overlap && !next && !prev {
		c.tell(a, b, m.At[0].P, "overlap-left", overWhat(same))
		return
	}
	for _, k := range m.At[:m.N] {
		if k.Kind != geom.Crossing {
			continue
		}
		atA := k.P.Near(s.A) || k.P.Near(s.B)
		atB := k.P.Near(t.A) || k.P.Near(t.B)
		switch {
		case (next || prev) && (atA || atB || c.nearJoint(s, t, k.P)):
			continue
		case !atA && !atB:
		case !c.through(a, b, k.P):
			continue // they touch, but neither goes to the other side
		}
		if same {
			c.tell(a, b, k.P, "self-crossing", "a loop crosses itself")
		} else {
			c.tell(a, b, k.P, "crossing", "two lines cross")
		}
	}
}

func overWhat(same bool) string {
	if same {
		return "a loop runs over itself"
	}
	return "two loops run over one another"
}

// follow reports whether segment j follows segment i.
func (c *crosser) follow(p geom.Path, i, j int32) bool {
	n := int32(p.NumSegs())
	return j == i+1 || p.Closed && i == n-1 && j == 0
}

// nearJoint reports whether a crossing of two segments that follow one another
// is only the rounding of their common end.
func (c *crosser) nearJoint(s, t geom.Seg, p geom.Point) bool {
	j := s.B
	if t.B == s.A {
		j = s.A
	}
	return j.Dist(p) <= c.h.fit.tol
}

// through reports whether, at a point where at least one of two paths has a
// vertex, each goes to the other side of the other: the four directions out of
// the point take turns.
func (c *crosser) through(a, b segPlace, p geom.Point) bool {
	a0, a1, ok := c.ways(a, p)
	if !ok {
		return false
	}
	b0, b1, ok := c.ways(b, p)
	if !ok {
		return false
	}
	return between(a0, a1, b0) != between(a0, a1, b1)
}

// ways returns the directions in which a path leaves a point of segment s,
// backwards and forwards; not ok at the end of an open path.
func (c *crosser) ways(s segPlace, p geom.Point) (back, ahead float64, ok bool) {
	path := c.paths[s.path]
	n := path.NumSegs()
	g := path.Seg(int(s.seg))
	i, j := int(s.seg), int(s.seg) // segments before and after the point
	switch {
	case p.Near(g.A):
		i--
	case p.Near(g.B):
		j++
	default:
		_, t, _ := g.Nearest(p)
		d := g.Tangent(t)
		return d.Mul(-1).Angle(), d.Angle(), true
	}
	if !path.Closed && (i < 0 || j >= n) {
		return 0, 0, false
	}
	return path.Seg((i + n) % n).Tangent(1).Mul(-1).Angle(), path.Seg(j % n).Tangent(0).Angle(), true
}

// between reports whether the direction d lies in the turn left from a to b.
func between(a, b, d float64) bool {
	turn := func(x float64) float64 {
		x = math.Mod(x-a, 2*math.Pi)
		if x < 0 {
			x += 2 * math.Pi
		}
		return x
	}
	return turn(d) < turn(b)
}

// perPair is how many crossings of the same two paths are told of.
const perPair = 3

func (c *crosser) tell(a, b segPlace, p geom.Point, code, what string) {
	key := [2]int32{min(a.path, b.path), max(a.path, b.path)}
	// A crossing at a vertex is found by both segments there.
	q := geom.Pt(math.Round(p.X/geom.Join)*geom.Join, math.Round(p.Y/geom.Join)*geom.Join)
	if c.seen[q] || c.said[key] >= perPair {
		return
	}
	c.seen[q] = true
	c.said[key]++
	c.h.rep.add(code, 0, finding{p: p, entity: c.h.out.entity(c.paths[a.path].V[a.seg].Src), what: what})
}
