package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// segPlace is a segment among all strands; seg -1 is a whole circle.
type segPlace struct{ path, seg int32 }

// audit is what a search of finished strands for overlaps and crossings found.
type audit struct {
	over  bool       // pieces run over one another
	rep   *reporter  // crossings and what is left of overlaps
	boxes []geom.Box // of each strand
}

// crosser finds where strands cross themselves and one another.
type crosser struct {
	h    *healer
	s    []strand
	of   []segPlace // entries of the index
	side float64    // how far beside one another two pieces run over one another
	out  audit
	said map[[2]int32]int // crossings told of, by pair of strands
	seen map[told]bool
}

// audit searches sorted strands, whose boxes are given, for overlaps and
// crossings. Unless it is the last search it stops at the first overlap.
func (h *healer) audit(s []strand, own []geom.Box, last bool) audit {
	c := &crosser{h: h, out: audit{rep: newReporter(h.r.Name), boxes: own}, s: s, side: h.gap / 2, said: map[[2]int32]int{}, seen: map[told]bool{}}
	declareCrossings(c.out.rep)
	n := 0
	for i := range s {
		n += s[i].entries()
	}
	c.of = make([]segPlace, 0, n)
	boxes := make([]geom.Box, 0, n)
	for i := range s {
		switch {
		case s[i].isCircle():
			c.of, boxes = append(c.of, segPlace{int32(i), wholeCircleSeg}), append(boxes, own[i])
		case s[i].small():
			c.of, boxes = append(c.of, segPlace{int32(i), smallSeg}), append(boxes, own[i])
		default:
			p := s[i].path()
			for k := range p.NumSegs() {
				c.of, boxes = append(c.of, segPlace{int32(i), int32(k)}), append(boxes, p.Seg(k).Box())
			}
		}
	}
	on := func() bool { // whether to look further
		if h.crossing.spent() {
			if last || !c.out.over {
				h.give(lostPairs)
			}
			return false
		}
		return last || !c.out.over
	}
	for i := range s {
		if s[i].small() && !s[i].isCircle() {
			c.within(int32(i))
			if !on() {
				return c.out
			}
		}
	}
	geom.NewIndex(boxes).SelfPairs(c.side, func(i, j int) bool {
		h.crossing.spend(1)
		c.items(i, j, boxes[i], boxes[j])
		return on()
	})
	return c.out
}

// Entries of the index that stand for all segments of a strand.
const (
	wholeCircleSeg = -1
	smallSeg       = -2
)

// fewSegs: strands of no more segments are one entry of the index, and their
// segments are compared one by one when it is found. Most parts of most
// drawings are rectangles and slots.
const fewSegs = 8

func (s *strand) small() bool { return s.path().NumSegs() <= fewSegs }

// entries is how many entries of the index the strand takes.
func (s *strand) entries() int {
	if s.small() {
		return 1
	}
	return s.path().NumSegs()
}

// within compares the segments of a small strand with one another.
func (c *crosser) within(i int32) {
	p := c.s[i].path()
	n := p.NumSegs()
	var box [fewSegs]geom.Box
	for k := range n {
		box[k] = p.Seg(k).Box()
		for j := range k {
			c.h.crossing.spend(1)
			if box[j].Grow(c.side).Overlaps(box[k]) {
				c.pair(segPlace{i, int32(j)}, segPlace{i, int32(k)})
			}
		}
	}
}

// isCircle: a circle as circle makes it.
func (s *strand) isCircle() bool {
	return s.closed && len(s.v) == 2 && s.v[0].Bulge == 1 && s.v[1].Bulge == 1
}

// items compares two entries of the index.
func (c *crosser) items(i, j int, boxI, boxJ geom.Box) {
	a, b := c.of[i], c.of[j]
	if a.seg >= 0 && b.seg >= 0 {
		c.pair(a, b)
		return
	}
	if a.seg == wholeCircleSeg && b.seg == wholeCircleSeg && c.clearCircles(int(a.path), int(b.path)) {
		return
	}
	for x, box := range c.segs(a, boxI, boxJ) {
		for y := range c.segs(b, boxJ, box) {
			c.pair(x, y)
		}
	}
}

// clearCircles reports whether two circles keep clear of one another.
func (c *crosser) clearCircles(a, b int) bool {
	p, q := c.s[a].v, c.s[b].v
	r, s := (p[0].P.X-p[1].P.X)/2, (q[0].P.X-q[1].P.X)/2
	d := geom.Pt(p[0].P.X-r, p[0].P.Y).Dist(geom.Pt(q[0].P.X-s, q[0].P.Y))
	return d > r+s+c.side || d < math.Abs(r-s)-c.side
}

// segs are the segments of an entry, whose box is own, that come near a box,
// with their boxes.
func (c *crosser) segs(p segPlace, own, near geom.Box) func(func(segPlace, geom.Box) bool) {
	return func(yield func(segPlace, geom.Box) bool) {
		switch p.seg {
		default:
			yield(p, own)
		case wholeCircleSeg:
			_ = yield(segPlace{p.path, 0}, own) && yield(segPlace{p.path, 1}, own)
		case smallSeg:
			near = near.Grow(c.side)
			path := c.s[p.path].path()
			for k := range path.NumSegs() {
				c.h.crossing.spend(1)
				if b := path.Seg(k).Box(); near.Overlaps(b) && !yield(segPlace{p.path, int32(k)}, b) {
					return
				}
			}
		}
	}
}

func (c *crosser) pair(a, b segPlace) {
	p, q := c.s[a.path].path(), c.s[b.path].path()
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
			c.overAt(a, b, s.B, "a line runs back over itself")
		}
		return
	}
	if (next || prev) && !c.meetAgain(s, t, next) {
		return
	}
	c.h.crossing.spend(lookMeet)
	if !c.out.over && !next && !prev && runOver(s, t, c.side, c.h.gap) {
		c.out.over = true
	}
	m := geom.Intersect(s, t, geom.Same)
	if m.Kind == geom.Apart {
		return
	}
	if m.Kind == geom.Overlap && !next && !prev {
		c.overAt(a, b, m.At[0].P, overWhat(same))
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

// meetAgain is false for an arc and a line with a common end that surely have
// no other point in common: from that end the line meets the arc's circle again
// at 2 n.d/d.d of its length d, n being the way to the centre.
func (c *crosser) meetAgain(s, t geom.Seg, next bool) bool {
	if s.IsArc() == t.IsArc() {
		return true
	}
	j := s.B
	if !next {
		j = s.A
	}
	if t.IsArc() {
		s, t = t, s
	}
	d := t.B.Sub(t.A)
	if j == t.B {
		d = d.Mul(-1)
	}
	n := s.Center().Sub(j)
	again := 2 * n.Dot(d)
	return again > c.h.fit.tol*d.Len() && again < d.Dot(d)+c.h.fit.tol*d.Len()
}

// overAt tells of an overlap that healing cannot undo by itself.
func (c *crosser) overAt(a, b segPlace, p geom.Point, what string) {
	c.out.over = c.out.over || !c.s[a.path].whole || !c.s[b.path].whole
	c.tell(a, b, p, "overlap-left", what)
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
	for _, a := range [2]float64{a0, a1} {
		for _, b := range [2]float64{b0, b1} {
			if d := math.Abs(math.Remainder(a-b, 2*math.Pi)); d <= geom.Angle {
				return false // they leave together: an overlap, not a crossing
			}
		}
	}
	return between(a0, a1, b0) != between(a0, a1, b1)
}

// ways returns the directions in which a path leaves a point of segment s,
// backwards and forwards; not ok at the end of an open path.
func (c *crosser) ways(s segPlace, p geom.Point) (back, ahead float64, ok bool) {
	path := c.s[s.path].path()
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

// told is something already told of at a place.
type told struct {
	code string
	at   geom.Point
}

// perPair is how many crossings of the same two paths are told of.
const perPair = 3

func (c *crosser) tell(a, b segPlace, p geom.Point, code, what string) {
	key := [2]int32{min(a.path, b.path), max(a.path, b.path)}
	// A crossing at a vertex is found by both segments there.
	q := geom.Pt(math.Round(p.X/geom.Join)*geom.Join, math.Round(p.Y/geom.Join)*geom.Join)
	k := told{code, q}
	if c.seen[k] || c.said[key] >= perPair {
		return
	}
	c.seen[k] = true
	c.said[key]++
	c.out.rep.add(code, 0, p, func() finding {
		return finding{p: p, entity: c.h.entity(c.s[a.path].v[a.seg].Src), what: what}
	})
}
