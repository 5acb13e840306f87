package geom

import "math"

// form is a segment of at most half a circle with what every question about
// it needs. Line and arc have one equation, which keeps its digits as the arc
// grows flat: with q = p - m, where m is the middle of the chord c, k the
// half curvature and n the chord's left normal,
//
//	F(p) = k |q|^2 + 2 beta.q - k c^2/4,  beta = -n (1-b^2)/(1+b^2)/2
//
// F is 0 on the line or circle, has slope 1 there, and is positive to the
// right of travel; for an arc it is (|p-centre|^2 - r^2) / 2r, with the sign
// of its bulge.
type form struct {
	Seg
	ta, tb Point   // unit directions of travel at A and B
	m      Point   // middle of the chord
	half   float64 // half the curvature, positive turning left, 0 for a line
	beta   Point
	gamma  float64
	length float64
}

func newForm(s Seg) form {
	f := form{Seg: s, m: s.A.Lerp(s.B, 0.5)}
	d := s.B.Sub(s.A)
	c := d.Len()
	u := Point{1, 0}
	if c > 0 {
		u = Point{d.X / c, d.Y / c}
	}
	b := s.Bulge
	if math.Abs(b)*c/2 <= Flat {
		f.Bulge = 0
		f.ta, f.tb, f.length = u, u, c
		f.beta = u.Left().Mul(-0.5)
		return f
	}
	// Half the sweep is 2 atan b: cos (1-b^2)/(1+b^2), sin 2b/(1+b^2).
	den := 1 / (1 + b*b)
	cos, sin := (1-b*b)*den, 2*b*den
	f.ta = Point{u.X*cos + u.Y*sin, u.Y*cos - u.X*sin}
	f.tb = Point{u.X*cos - u.Y*sin, u.Y*cos + u.X*sin}
	f.half = sin / c
	f.beta = u.Left().Mul(-cos / 2)
	f.gamma = -f.half * c * c / 4
	f.length = 2 * math.Atan(b) / f.half
	return f
}

func (f *form) isArc() bool { return f.half != 0 }

// value is F at p.
func (f *form) value(p Point) float64 {
	x, y := p.X-f.m.X, p.Y-f.m.Y
	return f.half*(x*x+y*y) + 2*(f.beta.X*x+f.beta.Y*y) + f.gamma
}

// offset returns the distance from p to the whole line or circle, positive to
// the right of travel: F with its slope put right.
func (f *form) offset(p Point) float64 {
	v := f.value(p)
	if f.half == 0 {
		return v
	}
	return 2 * v / (1 + math.Sqrt(max(0, 1+4*f.half*v)))
}

// abreast reports whether the foot of p on the line or circle lies on the
// segment.
func (f *form) abreast(p Point) bool {
	return (p.X-f.A.X)*f.ta.X+(p.Y-f.A.Y)*f.ta.Y >= 0 && (p.X-f.B.X)*f.tb.X+(p.Y-f.B.Y)*f.tb.Y <= 0
}

func (f *form) dist(p Point) float64 {
	if f.abreast(p) {
		return math.Abs(f.offset(p))
	}
	ax, ay, bx, by := p.X-f.A.X, p.Y-f.A.Y, p.X-f.B.X, p.Y-f.B.Y
	return math.Sqrt(min(ax*ax+ay*ay, bx*bx+by*by))
}

// nearest returns the foot of p on the segment, its part of the length and
// the distance.
func (f *form) nearest(p Point) (q Point, t, d float64) {
	if f.abreast(p) {
		off := f.offset(p)
		g := Point{2*f.half*(p.X-f.m.X) + 2*f.beta.X, 2*f.half*(p.Y-f.m.Y) + 2*f.beta.Y}
		if l := g.Len(); l > 0 {
			q = p.Sub(g.Mul(off / l))
		} else { // p is the centre
			q = f.At(0.5)
		}
		return q, f.partOf(q), math.Abs(off)
	}
	da, db := p.Dist(f.A), p.Dist(f.B)
	if da <= db {
		return f.A, 0, da
	}
	return f.B, 1, db
}

// partOf returns the part of the length at which the segment passes q, which
// must lie on it: the chord to the nearer end is sin(a)/half, a half the
// angle it spans.
func (f *form) partOf(q Point) float64 {
	if f.half == 0 {
		if f.length == 0 {
			return 0
		}
		return min(1, max(0, q.Sub(f.A).Dot(f.ta)/f.length))
	}
	la, lb := q.Dist(f.A), q.Dist(f.B)
	k := math.Abs(f.half)
	if la <= lb {
		return min(0.5, math.Asin(min(1, la*k))/(f.length*k))
	}
	return 1 - min(0.5, math.Asin(min(1, lb*k))/(f.length*k))
}

// spans reports whether a point of the arc's circle lies on the arc: on its
// side of the chord.
func (f *form) spans(p Point) bool {
	side := f.B.Sub(f.A).Cross(p.Sub(f.m))
	return f.half > 0 && side <= 0 || f.half < 0 && side >= 0
}

// box returns the exact box of the segment.
func (f *form) box() Box {
	b := Box{Point{min(f.A.X, f.B.X), min(f.A.Y, f.B.Y)}, Point{max(f.A.X, f.B.X), max(f.A.Y, f.B.Y)}}
	if f.half == 0 {
		return b
	}
	r := 1 / (2 * math.Abs(f.half))
	c := Point{f.m.X - f.beta.X/f.half, f.m.Y - f.beta.Y/f.half}
	for _, p := range [4]Point{{c.X + r, c.Y}, {c.X, c.Y + r}, {c.X - r, c.Y}, {c.X, c.Y - r}} {
		if f.spans(p) {
			b = b.Add(p)
		}
	}
	return b
}

func (f *form) center() Point   { return f.m.Sub(f.beta.Mul(1 / f.half)) }
func (f *form) radius() float64 { return 1 / (2 * math.Abs(f.half)) }

// around returns the equation k|p|^2 + 2 b.p + g with p measured from o.
func (f *form) around(o Point) (k float64, b Point, g float64) {
	e := o.Sub(f.m)
	return f.half, Point{f.beta.X + f.half*e.X, f.beta.Y + f.half*e.Y}, f.value(o)
}
