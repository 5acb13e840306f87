package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// piece is a line, or an arc of at most half a circle, made ready for many
// questions about distance. The proof asks its own routines, not those that
// the planner cut the path with.
type piece struct {
	a, b  geom.Point
	c     geom.Point // centre of an arc
	r     float64    // its radius
	sweep float64    // rad, positive counter-clockwise; 0 is a line
}

func pieceOf(s geom.Seg) piece {
	p := piece{a: s.A, b: s.B}
	if s.IsArc() {
		p.c, p.r, p.sweep = s.Center(), s.Radius(), s.Sweep()
	}
	return p
}

// piecesOf returns the pieces of a path.
func piecesOf(p geom.Path) []piece {
	p = p.SplitArcs()
	out := make([]piece, 0, p.NumSegs())
	for i := range p.NumSegs() {
		if s := p.Seg(i); s.A != s.B {
			out = append(out, pieceOf(s))
		}
	}
	return out
}

func (p *piece) arc() bool { return p.sweep != 0 }

func (p *piece) length() float64 {
	if p.arc() {
		return p.r * math.Abs(p.sweep)
	}
	return p.a.Dist(p.b)
}

// mid returns the middle of the piece.
func (p *piece) mid() geom.Point {
	if !p.arc() {
		return p.a.Lerp(p.b, 0.5)
	}
	return p.c.Add(turned(p.a.Sub(p.c), p.sweep/2))
}

// at returns the point at the part t of the length.
func (p *piece) at(t float64) geom.Point {
	if !p.arc() {
		return p.a.Lerp(p.b, t)
	}
	return p.c.Add(turned(p.a.Sub(p.c), p.sweep*t))
}

func turned(v geom.Point, angle float64) geom.Point {
	sin, cos := math.Sincos(angle)
	return geom.Pt(v.X*cos-v.Y*sin, v.X*sin+v.Y*cos)
}

// halves cuts the piece in two.
func (p *piece) halves() (first, second piece) {
	m := p.mid()
	first, second = *p, *p
	first.b, second.a = m, m
	first.sweep /= 2
	second.sweep /= 2
	return
}

func (p *piece) box() geom.Box {
	b := geom.EmptyBox().Add(p.a).Add(p.b)
	if p.arc() {
		for _, d := range [4]geom.Point{{X: p.r}, {Y: p.r}, {X: -p.r}, {Y: -p.r}} {
			if q := p.c.Add(d); p.over(q, 0) {
				b = b.Add(q)
			}
		}
	}
	return b
}

// over reports whether q lies in the cone that the arc spans from its centre,
// or beside it by no more than slack (mm).
func (p *piece) over(q geom.Point, slack float64) bool {
	a, b, d := p.a.Sub(p.c), p.b.Sub(p.c), q.Sub(p.c)
	if p.sweep < 0 {
		a, b = b, a
	}
	// The cross product over the radius is how far q lies from the cone's edge.
	return a.Cross(d) >= -slack*p.r && d.Cross(b) >= -slack*p.r
}

// dist returns the distance from q to the piece.
func (p *piece) dist(q geom.Point) float64 {
	if p.arc() {
		if p.over(q, 0) {
			return math.Abs(length(q.Sub(p.c)) - p.r)
		}
		return math.Sqrt(min(square(q.Sub(p.a)), square(q.Sub(p.b))))
	}
	d, v := p.b.Sub(p.a), q.Sub(p.a)
	t, l2 := v.Dot(d), d.Dot(d)
	switch {
	case t <= 0:
		return length(v)
	case t >= l2:
		return length(q.Sub(p.b))
	}
	return math.Abs(d.Cross(v)) / math.Sqrt(l2)
}

// length and square skip the care that math.Hypot takes of huge numbers:
// coordinates are under 1e6 mm.
func length(v geom.Point) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y) }
func square(v geom.Point) float64 { return v.X*v.X + v.Y*v.Y }

// nearest returns the point of the piece nearest to q.
func (p *piece) nearest(q geom.Point) geom.Point {
	if p.arc() {
		v := q.Sub(p.c)
		if l := length(v); l > 0 && p.over(q, 0) {
			return p.c.Add(v.Mul(p.r / l))
		}
	} else {
		d := p.b.Sub(p.a)
		if t := q.Sub(p.a).Dot(d) / d.Dot(d); t > 0 && t < 1 {
			return p.a.Lerp(p.b, t)
		}
	}
	if square(q.Sub(p.a)) <= square(q.Sub(p.b)) {
		return p.a
	}
	return p.b
}

// headingAt returns the unit direction of travel at a point of the piece.
func (p *piece) headingAt(q geom.Point) geom.Point {
	if !p.arc() {
		return p.b.Sub(p.a).Unit()
	}
	h := q.Sub(p.c).Unit().Left()
	if p.sweep < 0 {
		h = h.Mul(-1)
	}
	return h
}

// apart returns the least distance between two pieces, 0 if they meet. Where
// they do not, it is found at an end of one of them or where both are square
// to the shortest connection: for a line and an arc on the normal of the line
// through the centre, for two arcs on the line of the centres.
func apart(p, q *piece) float64 {
	if meet(p, q) {
		return 0
	}
	d := min(p.dist(q.a), p.dist(q.b), q.dist(p.a), q.dist(p.b))
	switch {
	case p.arc() && q.arc():
		if u := q.c.Sub(p.c); length(u) > 0 {
			u = u.Unit()
			d = min(d, square2(p, q, u), square2(p, q, u.Mul(-1)))
		}
	case p.arc():
		d = squareLine(p, q, d)
	case q.arc():
		d = squareLine(q, p, d)
	}
	return d
}

// square2 returns the distance from the arc p's point in direction u to q.
func square2(p, q *piece, u geom.Point) float64 {
	at := p.c.Add(u.Mul(p.r))
	if !p.over(at, 0) {
		return math.Inf(1)
	}
	return q.dist(at)
}

func squareLine(arc, line *piece, d float64) float64 {
	n := line.b.Sub(line.a).Unit().Left().Mul(arc.r)
	for _, at := range [2]geom.Point{arc.c.Add(n), arc.c.Sub(n)} {
		if arc.over(at, 0) {
			d = min(d, line.dist(at))
		}
	}
	return d
}

// meet reports whether two pieces share a point. Touching that rounding hides
// does no harm: the distance is then as good as 0.
func meet(p, q *piece) bool {
	switch {
	case !p.arc() && !q.arc():
		d, e := p.b.Sub(p.a), q.b.Sub(q.a)
		s1, s2 := d.Cross(q.a.Sub(p.a)), d.Cross(q.b.Sub(p.a))
		s3, s4 := e.Cross(p.a.Sub(q.a)), e.Cross(p.b.Sub(q.a))
		return s1 < 0 != (s2 < 0) && s3 < 0 != (s4 < 0)
	case p.arc() && q.arc():
		u := q.c.Sub(p.c)
		l2 := square(u)
		l := math.Sqrt(l2)
		if l > p.r+q.r || l < math.Abs(p.r-q.r) || l == 0 {
			return false
		}
		x := (l2 + (p.r-q.r)*(p.r+q.r)) / (2 * l)
		h := math.Sqrt(max(0, (p.r-x)*(p.r+x)))
		u = u.Mul(1 / l)
		foot := p.c.Add(u.Mul(x))
		for _, at := range [2]geom.Point{foot.Add(u.Left().Mul(h)), foot.Sub(u.Left().Mul(h))} {
			if p.over(at, 0) && q.over(at, 0) {
				return true
			}
		}
		return false
	case p.arc():
		return meetLine(p, q)
	}
	return meetLine(q, p)
}

func meetLine(arc, line *piece) bool {
	d := line.b.Sub(line.a)
	l := length(d)
	d = d.Mul(1 / l)
	v := arc.c.Sub(line.a)
	foot, off := v.Dot(d), math.Abs(d.Cross(v))
	if off > arc.r {
		return false
	}
	h := math.Sqrt((arc.r - off) * (arc.r + off))
	for _, t := range [2]float64{foot - h, foot + h} {
		if t >= 0 && t <= l && arc.over(line.a.Add(d.Mul(t)), 0) {
			return true
		}
	}
	return false
}
