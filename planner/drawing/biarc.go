package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// biarc returns two arcs that meet in one direction, from p along t to q along
// u (unit vectors). With equal tangent lengths d and v = q-p:
// 2(1-t.u) d^2 + 2d v.(t+u) - v.v = 0; the joint is the middle of p+dt and q-du
// (Bolton 1975; derivation in the usual way). ok is false where no arcs up to
// half a circle do it.
func biarc(p, t, q, u geom.Point) (a, b geom.Seg, ok bool) {
	v := q.Sub(p)
	vv := v.Dot(v)
	k := 2 * (1 - t.Dot(u))
	m := v.Dot(t.Add(u))
	var d float64
	if k < 1e-12 { // rounding of t.u; the linear equation then errs by less
		d = vv / (4 * v.Dot(u))
	} else {
		// The root that is over 0, in the form that does not cancel.
		root := math.Sqrt(m*m + k*vv)
		if m > 0 {
			d = vv / (m + root)
		} else {
			d = (root - m) / k
		}
	}
	if !(d > 0) || math.IsInf(d, 0) {
		return a, b, false
	}
	j := p.Add(t.Mul(d)).Lerp(q.Sub(u.Mul(d)), 0.5)
	a = geom.Seg{A: p, B: j, Bulge: halfTan(t, j.Sub(p))}
	b = geom.Seg{A: j, B: q, Bulge: halfTan(q.Sub(j), u)}
	return a, b, math.Abs(a.Bulge) <= 1 && math.Abs(b.Bulge) <= 1
}

// halfTan is tan of half the turn from v to w: of an arc whose tangent makes
// that angle with its chord it is the bulge.
func halfTan(v, w geom.Point) float64 {
	return v.Cross(w) / (v.Len()*w.Len() + v.Dot(w))
}

// gauge measures the distance of many points to one segment.
type gauge struct {
	s    geom.Seg
	arc  bool
	c    geom.Point
	r    float64
	a, b geom.Point // ends from the centre, so that the arc runs left from a to b
}

func newGauge(s geom.Seg) gauge {
	g := gauge{s: s, arc: s.IsArc()}
	if g.arc {
		g.c, g.r = s.Center(), s.Radius()
		g.a, g.b = s.A.Sub(g.c), s.B.Sub(g.c)
		if s.Bulge < 0 {
			g.a, g.b = g.b, g.a
		}
	}
	return g
}

// dist returns the distance from p. The segment sweeps at most half a circle.
func (g *gauge) dist(p geom.Point) float64 {
	if !g.arc {
		d := g.s.B.Sub(g.s.A)
		l2 := d.Dot(d)
		if l2 == 0 {
			return p.Dist(g.s.A)
		}
		v := p.Sub(g.s.A)
		t := v.Dot(d) / l2
		if t <= 0 {
			return v.Len()
		}
		if t >= 1 {
			return p.Dist(g.s.B)
		}
		return math.Abs(v.Cross(d)) / math.Sqrt(l2)
	}
	v := p.Sub(g.c)
	if g.a.Cross(v) >= 0 && v.Cross(g.b) >= 0 {
		return math.Abs(math.Sqrt(v.Dot(v)) - g.r)
	}
	return min(p.Dist(g.s.A), p.Dist(g.s.B))
}
