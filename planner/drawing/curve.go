package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// smooth is a piece of curve without a break inside: a part of an ellipse, or
// one Bézier, rational or not, of any degree. Its parameter runs from 0 to 1.
type smooth struct {
	kind        curveKind // curveEllipse or curveBezier
	c, maj, min geom.Point
	t0, t1      float64
	h           []hpoint // degree+1
	rational    bool
}

// hpoint is a control point with its weight multiplied in.
type hpoint struct{ x, y, w float64 }

func (p hpoint) lerp(q hpoint, t float64) hpoint {
	return hpoint{p.x + t*(q.x-p.x), p.y + t*(q.y-p.y), p.w + t*(q.w-p.w)}
}

// at returns the point at u and the derivative by u.
func (s *smooth) at(u float64) (p, d geom.Point) {
	if s.kind == curveEllipse {
		w := s.t1 - s.t0
		sin, cos := math.Sincos(s.t0 + u*w)
		return geom.Pt(s.c.X+s.maj.X*cos+s.min.X*sin, s.c.Y+s.maj.Y*cos+s.min.Y*sin),
			geom.Pt(w*(s.min.X*cos-s.maj.X*sin), w*(s.min.Y*cos-s.maj.Y*sin))
	}
	n := len(s.h) - 1
	if n == 3 && !s.rational {
		return s.cubicAt(u)
	}
	var store [maxDegree + 1]hpoint
	h := store[:n+1]
	copy(h, s.h)
	// de Casteljau; the last two points give the tangent.
	for k := n; k > 1; k-- {
		for i := range k {
			h[i] = h[i].lerp(h[i+1], u)
		}
	}
	a, b := h[0], h[1]
	q := a.lerp(b, u)
	m := float64(n)
	if !s.rational {
		return geom.Pt(q.x, q.y), geom.Pt(m*(b.x-a.x), m*(b.y-a.y))
	}
	p = geom.Pt(q.x/q.w, q.y/q.w)
	// (f/w)' = (f' - p w')/w
	dw := b.w - a.w
	return p, geom.Pt(m*((b.x-a.x)-p.X*dw)/q.w, m*((b.y-a.y)-p.Y*dw)/q.w)
}

// cubicAt is at for the commonest curve, de Casteljau's rule written out.
func (s *smooth) cubicAt(u float64) (p, d geom.Point) {
	h := (*[4]hpoint)(s.h)
	step := func(a, b, c, e float64) (v, dv float64) {
		ab, bc, ce := a+u*(b-a), b+u*(c-b), c+u*(e-c)
		l, r := ab+u*(bc-ab), bc+u*(ce-bc)
		return l + u*(r-l), 3 * (r - l)
	}
	p.X, d.X = step(h[0].x, h[1].x, h[2].x, h[3].x)
	p.Y, d.Y = step(h[0].y, h[1].y, h[2].y, h[3].y)
	return p, d
}

func (s *smooth) start() geom.Point { p, _ := s.at(0); return p }
func (s *smooth) end() geom.Point   { p, _ := s.at(1); return p }

// scaled returns the piece times k, its control points in new storage of buf.
func (s smooth) scaled(k float64) smooth {
	s.c, s.maj, s.min = s.c.Mul(k), s.maj.Mul(k), s.min.Mul(k)
	for i := range s.h {
		s.h[i].x *= k
		s.h[i].y *= k
	}
	return s
}

// curveRun is one entity's curve as pieces, each beginning where the last one ends.
type curveRun []smooth

func (r curveRun) ends() (p, q geom.Point) { return r[0].start(), r[len(r)-1].end() }

// splineOf turns a stored curve into its pieces.
func (r *Raw) splineOf(c rawCurve) curveRun {
	v := r.nums[c.first : int(c.first)+c.length()]
	switch c.kind {
	case curveEllipse:
		return curveRun{{kind: curveEllipse, c: geom.Pt(v[0], v[1]), maj: geom.Pt(v[2], v[3]), min: geom.Pt(v[4], v[5]), t0: v[6], t1: v[7]}}
	case curveBezier:
		h := make([]hpoint, c.n)
		for i := range h {
			h[i] = hpoint{v[2*i], v[2*i+1], 1}
		}
		return curveRun{{kind: curveBezier, h: h}}
	}
	n, p := int(c.n), int(c.degree)
	ctrl := make([]hpoint, n)
	knots := v[2*n : 2*n+n+p+1]
	for i := range ctrl {
		w := 1.0
		if c.rational {
			w = v[2*n+n+p+1+i]
		}
		ctrl[i] = hpoint{v[2*i] * w, v[2*i+1] * w, w}
	}
	return bezierPieces(p, knots, ctrl, c.rational)
}

// bezierPieces cuts a B-spline at its knots. Control point j of the piece over
// the span (a, b) is the blossom of the spline at a, p-j times, and b, j times
// (Ramshaw 1987, from memory; the test compares with de Boor's rule).
func bezierPieces(p int, knots []float64, ctrl []hpoint, rational bool) curveRun {
	n := len(ctrl)
	var out curveRun
	var d [maxDegree + 1]hpoint
	for k := p; k < n; k++ {
		a, b := knots[k], knots[k+1]
		if !(b > a) {
			continue
		}
		h := make([]hpoint, p+1)
		for j := range h {
			copy(d[:p+1], ctrl[k-p:k+1])
			for r := 1; r <= p; r++ {
				u := a
				if r > p-j {
					u = b
				}
				for i := p; i >= r; i-- {
					lo, hi := knots[k-p+i], knots[k+1+i-r]
					d[i] = d[i-1].lerp(d[i], (u-lo)/(hi-lo))
				}
			}
			h[j] = d[p]
		}
		out = append(out, smooth{kind: curveBezier, h: h, rational: rational})
	}
	return out
}
