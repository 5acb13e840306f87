package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// oval fits a part of an ellipse. It is cut at its four vertices, between
// which the curvature only rises or only falls, and each quarter is fitted
// from its sharper end, so that equal quarters get equal arcs.
func (f *fitter) oval(dst []geom.Vertex, s smooth, src int32) []geom.Vertex {
	s = s.principal()
	a, b := s.maj.Len(), s.min.Len()
	if a == 0 {
		return append(dst, geom.Vertex{P: s.start(), Src: src})
	}
	if b <= geom.Flat { // seen edge on: a line there and back
		return f.edgeOn(dst, s, src)
	}
	if math.Abs(a-b) <= f.tol/10 && math.Abs(a-b) <= 1e-3*a { // a circle, but for rounding
		return roundArc(dst, s, (a+b)/2, src)
	}
	for _, q := range s.quarters() {
		if q.sharpFirst() {
			dst = f.stretch(dst, curveRun{q}, src)
			continue
		}
		from, end := len(dst), q.start()
		dst = f.stretch(dst, curveRun{q}.reverse(), src)
		dst = turnTail(dst, from, end, src)
	}
	return dst
}

// principal turns any two half axes into the long and the short one, at right
// angles: the angle is half atan2(2 a.b, a.a - b.b).
func (s smooth) principal() smooth {
	x := math.Atan2(2*s.maj.Dot(s.min), s.maj.Dot(s.maj)-s.min.Dot(s.min)) / 2
	if x == 0 {
		return s
	}
	sin, cos := math.Sincos(x)
	s.maj, s.min = s.maj.Mul(cos).Add(s.min.Mul(sin)), s.min.Mul(cos).Sub(s.maj.Mul(sin))
	s.t0, s.t1 = s.t0-x, s.t1-x
	return s
}

// quarters cuts at multiples of half pi of the parameter.
func (s smooth) quarters() []smooth {
	var out []smooth
	t, end := s.t0, s.t1
	dir := 1.0
	if end < t {
		dir = -1
	}
	for dir*(end-t) > 0 {
		// The next multiple beyond t; one nearer than the angle tolerance is t itself.
		next := (math.Floor(dir*t/(math.Pi/2)+geom.Angle) + 1) * (math.Pi / 2) * dir
		if dir*(end-next) < geom.Angle {
			next = end
		}
		q := s
		q.t0, q.t1 = t, next
		out = append(out, q)
		t = next
	}
	return out
}

// sharpFirst reports whether the quarter begins nearer to the end of the long
// axis, where the curve is sharpest.
func (s *smooth) sharpFirst() bool {
	return math.Abs(math.Cos(s.t0)) >= math.Abs(math.Cos(s.t1))
}

// roundArc appends an arc of the radius r in place of a part of an ellipse.
func roundArc(dst []geom.Vertex, s smooth, r float64, src int32) []geom.Vertex {
	sweep := s.t1 - s.t0
	n := max(1, int(math.Ceil(math.Abs(sweep)/math.Pi-geom.Angle)))
	bulge := geom.BulgeOf(sweep / float64(n))
	if s.maj.Cross(s.min) < 0 {
		bulge = -bulge
	}
	for k := range n {
		m := s
		m.maj, m.min = s.maj.Unit().Mul(r), s.min.Unit().Mul(r)
		p, _ := m.at(float64(k) / float64(n))
		dst = append(dst, geom.Vertex{P: p, Bulge: bulge, Src: src})
	}
	return dst
}

// edgeOn draws an ellipse without width as the line that it is.
func (f *fitter) edgeOn(dst []geom.Vertex, s smooth, src int32) []geom.Vertex {
	for _, q := range s.quarters() {
		dst = append(dst, geom.Vertex{P: q.start(), Src: src})
	}
	return dst
}
