package geom

import "math"

// Affine maps (x, y) to (A x + C y + E, B x + D y + F).
type Affine struct{ A, B, C, D, E, F float64 }

// Still is the map that changes nothing.
func Still() Affine { return Affine{A: 1, D: 1} }

// Stretch scales X and Y about a point.
func Stretch(about Point, x, y float64) Affine {
	return Affine{A: x, D: y, E: about.X * (1 - x), F: about.Y * (1 - y)}
}

// Turned turns by an angle, rad, about a point. Multiples of a right angle
// are exact.
func Turned(about Point, angle float64) Affine {
	s, c := math.Sincos(angle)
	if q := math.Round(angle / (math.Pi / 2)); math.Abs(angle-q*math.Pi/2) < 1e-12 {
		quarter := (int(q)%4 + 4) % 4
		s, c = [4]float64{0, 1, 0, -1}[quarter], [4]float64{1, 0, -1, 0}[quarter]
	}
	m := Affine{A: c, B: s, C: -s, D: c}
	return m.about(about)
}

// Shifted moves by d.
func Shifted(d Point) Affine { return Affine{A: 1, D: 1, E: d.X, F: d.Y} }

// about lets a map that leaves zero where it is leave p instead.
func (m Affine) about(p Point) Affine {
	q := m.Vector(p)
	m.E, m.F = p.X-q.X, p.Y-q.Y
	return m
}

// Apply maps a point.
func (m Affine) Apply(p Point) Point {
	return Point{m.A*p.X + m.C*p.Y + m.E, m.B*p.X + m.D*p.Y + m.F}
}

// Vector maps a direction: without the shift.
func (m Affine) Vector(p Point) Point { return Point{m.A*p.X + m.C*p.Y, m.B*p.X + m.D*p.Y} }

// After is the map that does n first and m then.
func (m Affine) After(n Affine) Affine {
	x, y, o := m.Vector(Point{n.A, n.B}), m.Vector(Point{n.C, n.D}), m.Apply(Point{n.E, n.F})
	return Affine{x.X, x.Y, y.X, y.Y, o.X, o.Y}
}

// Det is how much areas grow, negative if the map mirrors.
func (m Affine) Det() float64 { return m.A*m.D - m.B*m.C }

// Back undoes the map; ok is false for one that flattens the plane.
func (m Affine) Back() (back Affine, ok bool) {
	d := m.Det()
	if d == 0 {
		return Still(), false
	}
	back = Affine{A: m.D / d, B: -m.B / d, C: -m.C / d, D: m.A / d}
	p := back.Vector(Point{m.E, m.F})
	back.E, back.F = -p.X, -p.Y
	return back, Point{back.A, back.B}.Finite() && Point{back.C, back.D}.Finite() && p.Finite()
}

// Stretches returns the most and the least that a length grows by.
func (m Affine) Stretches() (most, least float64) {
	// Singular values of a 2 x 2 matrix in closed form.
	p, q := math.Hypot(m.A+m.D, m.B-m.C)/2, math.Hypot(m.A-m.D, m.B+m.C)/2
	return p + q, math.Abs(p - q)
}

// Similar reports whether circles stay circles: to within 1e-9 of a length,
// which moves no point of a 1 km drawing by more than Same.
func (m Affine) Similar() bool {
	most, least := m.Stretches()
	return most-least <= 1e-9*most
}
