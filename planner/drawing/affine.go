package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// affine maps (x, y) to (a x + c y + e, b x + d y + f), the order of SVG and PDF.
type affine struct{ a, b, c, d, e, f float64 }

var identity = affine{a: 1, d: 1}

func translation(p geom.Point) affine { return affine{1, 0, 0, 1, p.X, p.Y} }
func scaling(x, y float64) affine     { return affine{x, 0, 0, y, 0, 0} }
func (m affine) det() float64         { return m.a*m.d - m.b*m.c }
func (m affine) isIdentity() bool     { return m == identity }
func (m affine) x() geom.Point        { return geom.Pt(m.a, m.b) }
func (m affine) y() geom.Point        { return geom.Pt(m.c, m.d) }
func (m affine) mirrors() bool        { return m.det() < 0 }
func (m affine) finite() bool         { return m.x().Finite() && m.y().Finite() && geom.Pt(m.e, m.f).Finite() }
func (m affine) apply(p geom.Point) geom.Point {
	return geom.Pt(m.a*p.X+m.c*p.Y+m.e, m.b*p.X+m.d*p.Y+m.f)
}

// vector maps a direction: no shift.
func (m affine) vector(p geom.Point) geom.Point {
	return geom.Pt(m.a*p.X+m.c*p.Y, m.b*p.X+m.d*p.Y)
}

// after returns the map that does n first and m then.
func (m affine) after(n affine) affine {
	p := m.apply(geom.Pt(n.e, n.f))
	x, y := m.vector(n.x()), m.vector(n.y())
	return affine{x.X, x.Y, y.X, y.Y, p.X, p.Y}
}

// rotation turns by the angle in degrees. Multiples of a right angle are
// exact, so that turned drawings keep their round figures.
func rotation(deg float64) affine {
	s, c := sincosDeg(deg)
	return affine{c, s, -s, c, 0, 0}
}

// similar reports whether circles stay circles: the columns are of one length
// and at right angles, to within 1e-9 of their length, which moves no point of
// a 1 km drawing by more than geom.Same.
func (m affine) similar() bool {
	const relative = 1e-9
	x, y := m.x(), m.y()
	l := max(x.Dot(x), y.Dot(y))
	return math.Abs(x.Dot(x)-y.Dot(y)) <= 2*relative*l && math.Abs(x.Dot(y)) <= relative*l
}

// sincosDeg is exact at multiples of 90 degrees.
func sincosDeg(deg float64) (sin, cos float64) {
	r := math.Mod(deg, 360)
	if r < 0 {
		r += 360
	}
	switch r {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(r * math.Pi / 180)
}

// inverse is not ok for a map that flattens the plane.
func (m affine) inverse() (inv affine, ok bool) {
	d := m.det()
	if d == 0 || !m.finite() {
		return identity, false
	}
	inv = affine{a: m.d / d, b: -m.b / d, c: -m.c / d, d: m.a / d}
	p := inv.vector(geom.Pt(m.e, m.f))
	inv.e, inv.f = -p.X, -p.Y
	return inv, inv.finite()
}
