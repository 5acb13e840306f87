package geom

import "math"

// Seg is a line or an arc from A to B. Bulge is tan(sweep/4): 0 a line,
// positive counter-clockwise, 1 half a circle (DXF reference, VERTEX code 42).
type Seg struct {
	A, B  Point
	Bulge float64
}

// Line returns the straight segment from a to b.
func Line(a, b Point) Seg { return Seg{a, b, 0} }

// BulgeOf returns the bulge of an arc that sweeps the angle (rad, positive
// counter-clockwise), for |sweep| < 2 pi.
func BulgeOf(sweep float64) float64 { return math.Tan(sweep / 4) }

// IsArc reports whether the segment is bent: its sagitta is over Flat.
func (s Seg) IsArc() bool {
	if s.Bulge == 0 {
		return false
	}
	d := s.B.Sub(s.A)
	return s.Bulge*s.Bulge*d.Dot(d) > 4*Flat*Flat
}

// Sweep returns the turn from A to B in rad, positive counter-clockwise, 0 for a line.
func (s Seg) Sweep() float64 {
	if !s.IsArc() {
		return 0
	}
	return 4 * math.Atan(s.Bulge)
}

// Center returns the arc's centre: c(1-b^2)/(4b) left of the middle of the
// chord c. It is without meaning for a line.
func (s Seg) Center() Point {
	d := s.B.Sub(s.A)
	return s.A.Lerp(s.B, 0.5).Add(d.Left().Mul((1 - s.Bulge*s.Bulge) / (4 * s.Bulge)))
}

// Radius returns the arc's radius c(1+b^2)/(4|b|), +Inf for a line.
func (s Seg) Radius() float64 {
	if !s.IsArc() {
		return math.Inf(1)
	}
	return s.A.Dist(s.B) * (1 + s.Bulge*s.Bulge) / (4 * math.Abs(s.Bulge))
}

// Length returns the length along the segment.
func (s Seg) Length() float64 {
	if !s.IsArc() {
		return s.A.Dist(s.B)
	}
	return s.Radius() * math.Abs(s.Sweep())
}

// Reverse returns the same segment run from B to A.
func (s Seg) Reverse() Seg { return Seg{s.B, s.A, -s.Bulge} }

// At returns the point at the part t (0 to 1) of the length from A.
func (s Seg) At(t float64) Point {
	switch {
	case t <= 0:
		return s.A
	case t >= 1:
		return s.B
	case !s.IsArc():
		return s.A.Lerp(s.B, t)
	}
	// On the chord's own axes: a turn of half the sweep plus a chord, which
	// keeps its digits when the radius is large.
	sweep := s.Sweep()
	a := t * sweep
	chord := s.B.Sub(s.A)
	k := math.Sin(a/2) / math.Sin(sweep/2)
	sin, cos := math.Sincos((a - sweep) / 2)
	return Point{
		s.A.X + k*(chord.X*cos-chord.Y*sin),
		s.A.Y + k*(chord.X*sin+chord.Y*cos),
	}
}

// Mid returns the middle of the segment.
func (s Seg) Mid() Point {
	// The sagitta is |b|c/2, to the right of the chord if b is positive.
	return s.A.Lerp(s.B, 0.5).Add(s.B.Sub(s.A).Left().Mul(-s.Bulge / 2))
}

// Tangent returns the unit direction of travel at the part t of the length.
func (s Seg) Tangent(t float64) Point {
	d := s.B.Sub(s.A).Unit()
	if !s.IsArc() {
		return d
	}
	return turn(d, s.Sweep()*(t-0.5))
}

func turn(d Point, a float64) Point {
	sin, cos := math.Sincos(a)
	return Point{d.X*cos - d.Y*sin, d.X*sin + d.Y*cos}
}

// Part returns the piece between the parts t0 < t1 of the length.
func (s Seg) Part(t0, t1 float64) Seg {
	p := Seg{s.At(t0), s.At(t1), 0}
	if s.IsArc() {
		p.Bulge = BulgeOf(s.Sweep() * (t1 - t0))
	}
	return p
}

// Box returns the segment's exact box, with the axis points an arc passes.
func (s Seg) Box() Box {
	if s.Bulge == 0 {
		return Box{Point{min(s.A.X, s.B.X), min(s.A.Y, s.B.Y)}, Point{max(s.A.X, s.B.X), max(s.A.Y, s.B.Y)}}
	}
	if math.Abs(s.Bulge) <= 1 {
		f := newForm(s)
		return f.box()
	}
	b := EmptyBox()
	for _, h := range s.Split() {
		f := newForm(h)
		b = b.Union(f.box())
	}
	return b
}

// Nearest returns the point of the segment nearest to p, its part of the
// length, and its distance from p.
func (s Seg) Nearest(p Point) (q Point, t, dist float64) {
	if math.Abs(s.Bulge) <= 1 {
		f := newForm(s)
		return f.nearest(p)
	}
	halves := s.Split()
	q, t, dist = halves[0].Nearest(p)
	if q2, t2, d2 := halves[1].Nearest(p); d2 < dist {
		return q2, 0.5 + t2/2, d2
	}
	return q, t / 2, dist
}

// Dist returns the distance from p to the segment.
func (s Seg) Dist(p Point) float64 {
	if math.Abs(s.Bulge) > 1 {
		_, _, d := s.Nearest(p)
		return d
	}
	f := newForm(s)
	return f.dist(p)
}

// Split returns the segment as one piece, or as two halves if it sweeps more
// than half a circle, so that every piece has |Bulge| <= 1.
func (s Seg) Split() []Seg {
	if math.Abs(s.Bulge) <= 1 {
		return []Seg{s}
	}
	half := BulgeOf(4 * math.Atan(s.Bulge) / 2)
	m := s.Mid()
	return []Seg{{s.A, m, half}, {m, s.B, half}}
}
