package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// readSpline: 70 flags (1 closed, 2 periodic, 4 rational), 71 degree, 40
// knots, 41 weights, 10 20 30 control points, 11 21 31 fit points, 12 22 and
// 13 23 tangents at the ends. World coordinates.
func (d *dxf) readSpline() {
	e := d.start("SPLINE")
	degree, flags := 3, 0
	d.knots, d.weights, d.ctrl, d.fit = d.knots[:0], d.weights[:0], d.ctrl[:0], d.fit[:0]
	var t0, t1 point3
	last := func(p []point3) *point3 {
		if len(p) == 0 {
			return &point3{}
		}
		return &p[len(p)-1]
	}
	for d.next() && d.code != 0 {
		switch d.code {
		case 70:
			flags = d.whole()
		case 71:
			degree = d.whole()
		case 40:
			d.knots = append(d.knots, d.num())
		case 41:
			d.weights = append(d.weights, d.num())
		case 10:
			d.ctrl = append(d.ctrl, point3{d.num()})
		case 20:
			last(d.ctrl)[1] = d.num()
		case 30:
			last(d.ctrl)[2] = d.num()
		case 11:
			d.fit = append(d.fit, point3{d.num()})
		case 21:
			last(d.fit)[1] = d.num()
		case 31:
			last(d.fit)[2] = d.num()
		case 12:
			t0[0] = d.num()
		case 22:
			t0[1] = d.num()
		case 13:
			t1[0] = d.num()
		case 23:
			t1[1] = d.num()
		case 210, 220, 230: // says only that the curve is flat
		default:
			d.common(&e)
		}
	}
	if !d.open(&e) {
		return
	}
	pts, fitted := d.ctrl, false
	if len(pts) == 0 {
		pts, fitted = d.fit, true
	}
	if len(pts) == 0 {
		d.badSpline("a spline without points", "Explode it in the CAD or delete it", geom.Point{}, false)
		return
	}
	flat, ok := d.flatten(&e, pts)
	if !ok {
		return
	}
	closed := flags&1 != 0
	if fitted {
		d.through(flat, closed, t0.flat(), t1.flat())
		return
	}
	d.controlled(degree, flat, closed)
}

func (d *dxf) badSpline(what, do string, p geom.Point, at bool) {
	d.to.note(fault.Error, "bad-spline", what, do, p, at)
}

// flatten drops the heights of points that lie at one.
func (d *dxf) flatten(e *entity, pts []point3) ([]geom.Point, bool) {
	out := make([]geom.Point, len(pts))
	low, high := pts[0][2], pts[0][2]
	box := geom.EmptyBox()
	for i, p := range pts {
		out[i] = p.flat()
		low, high = min(low, p[2]), max(high, p[2])
		box = box.Add(out[i])
	}
	if !level(high-low, box.Max.Dist(box.Min)) {
		d.steep(out[0])
		return nil, false
	}
	d.raised(e, max(math.Abs(low), math.Abs(high)), out[0])
	return out, true
}

// controlled draws a spline by its control points.
func (d *dxf) controlled(p int, ctrl []geom.Point, closed bool) {
	n := len(ctrl)
	const do = "Explode it in the CAD or delete it"
	bad := func(format string, args ...any) { d.badSpline(fmt.Sprintf(format, args...), do, ctrl[0], true) }
	switch {
	case p < 1 || p > maxDegree:
		bad("a spline of degree %d; degrees 1 to %d can be read", p, maxDegree)
		return
	case n <= p:
		bad("a spline with %d control points; degree %d needs %d", n, p, p+1)
		return
	}
	knots := d.knots
	switch len(knots) {
	case n + p + 1:
	case n + p - 1: // some programs leave out the first and the last
		padded := make([]float64, 0, n+p+1)
		padded = append(append(append(padded, knots[0]), knots...), knots[len(knots)-1])
		knots = padded
	case 0:
		knots = clampedKnots(n, p)
	default:
		bad("a spline with %d knots; %d control points of degree %d need %d", len(knots), n, p, n+p+1)
		return
	}
	same := 1
	for i := 1; i < len(knots); i++ {
		if !(knots[i] >= knots[i-1]) {
			bad("a spline whose knots fall from %g to %g", knots[i-1], knots[i])
			return
		}
		if knots[i] > knots[i-1] {
			same = 0
		}
		if same++; same > p && i > p+1 && i < n {
			bad("a spline that breaks apart at knot %g", knots[i])
			return
		}
	}
	if !(knots[n] > knots[p]) {
		bad("a spline whose knots span nothing")
		return
	}
	weights := d.weights
	if len(weights) > 0 && len(weights) != n {
		bad("a spline with %d weights for %d control points", len(weights), n)
		return
	}
	rational := false
	for _, w := range weights {
		if !(w > 0) || math.IsInf(w, 0) {
			bad("a spline with the weight %g; weights are over 0", w)
			return
		}
		rational = rational || w != weights[0]
	}
	if !rational {
		weights = nil
	}
	d.to.addSpline(p, knots, ctrl, weights, closed)
}

// clampedKnots returns evenly spaced knots that make the curve begin and end
// at its first and last control point.
func clampedKnots(n, p int) []float64 {
	k := make([]float64, n+p+1)
	for i := range k {
		k[i] = float64(max(0, min(i-p, n-p)))
	}
	return k
}

// through draws the smooth cubic curve through points that some programs write
// instead of control points: piecewise cubic, second derivative continuous,
// parameter by chord length. Ends have the tangents given, or no curvature; a
// closed curve is smooth at its seam.
func (d *dxf) through(pts []geom.Point, closed bool, t0, t1 geom.Point) {
	q := pts[:0]
	for i, p := range pts {
		if i == 0 || p != q[len(q)-1] {
			q = append(q, p)
		}
	}
	if closed && len(q) > 2 && q[0] == q[len(q)-1] {
		q = q[:len(q)-1]
	}
	switch {
	case len(q) < 2:
		d.to.note(fault.Note, "zero-length", "a spline through one point dropped", "", q[0], true)
		return
	case len(q) == 2 && t0.Len() == 0 && t1.Len() == 0:
		d.to.addLine(q[0], q[1])
		return
	}
	closed = closed && len(q) > 2
	if t0.Len() == 0 || t1.Len() == 0 {
		// DXF does not say how such a curve leaves its ends.
		d.to.note(fault.Warning, "fit-points", "a spline given by points alone; the smoothest curve through them was taken", "Compare it with the CAD, or export control points", q[0], true)
	}
	h, m := hermite(q, closed, t0.Unit(), t1.Unit())
	b := d.to
	b.moveTo(q[0])
	for i := range h {
		j := (i + 1) % len(q)
		b.cubicTo(q[i].Add(m[i].Mul(h[i]/3)), q[j].Sub(m[j].Mul(h[i]/3)), q[j])
	}
	if closed {
		b.dropLast()
		b.closePath()
	}
	b.endPath()
}

// hermite returns chord lengths h and the derivatives m at the points of a
// cubic spline: with a = 1/h, a[i-1] m[i-1] + 2(a[i-1]+a[i]) m[i] + a[i] m[i+1]
// = 3(a[i-1]^2 (p[i]-p[i-1]) + a[i]^2 (p[i+1]-p[i])) (continuity of the second
// derivative). Zero tangents mean a natural end.
func hermite(p []geom.Point, closed bool, t0, t1 geom.Point) (h []float64, m []geom.Point) {
	n := len(p)
	segs := n - 1
	if closed {
		segs = n
	}
	h = make([]float64, segs)
	for i := range h {
		h[i] = p[i].Dist(p[(i+1)%n])
	}
	lo, di, up := make([]float64, n), make([]float64, n), make([]float64, n)
	r := make([]geom.Point, n)
	slope := func(i int) geom.Point { return p[(i+1)%n].Sub(p[i]).Mul(3 / (h[i] * h[i])) }
	for i := range n {
		before, after := i-1, i
		if closed {
			before = (i + n - 1) % n
		}
		switch {
		case !closed && i == 0:
			if t0.Len() > 0 {
				di[0], r[0] = 1, t0
			} else {
				di[0], up[0], r[0] = 2/h[0], 1/h[0], slope(0)
			}
		case !closed && i == n-1:
			if t1.Len() > 0 {
				di[i], r[i] = 1, t1
			} else {
				di[i], lo[i], r[i] = 2/h[i-1], 1/h[i-1], slope(i-1)
			}
		default:
			lo[i], up[i] = 1/h[before], 1/h[after]
			di[i] = 2 * (lo[i] + up[i])
			r[i] = slope(before).Add(slope(after))
		}
	}
	if closed {
		return h, cyclic(lo, di, up, r)
	}
	return h, tridiagonal(lo, di, up, r)
}

// tridiagonal solves lo[i] x[i-1] + di[i] x[i] + up[i] x[i+1] = r[i]. The
// matrix is diagonally dominant, so no pivots are needed.
func tridiagonal(lo, di, up []float64, r []geom.Point) []geom.Point {
	n := len(r)
	c := make([]float64, n)
	x := make([]geom.Point, n)
	c[0] = up[0] / di[0]
	x[0] = r[0].Mul(1 / di[0])
	for i := 1; i < n; i++ {
		k := 1 / (di[i] - lo[i]*c[i-1])
		c[i] = up[i] * k
		x[i] = r[i].Sub(x[i-1].Mul(lo[i])).Mul(k)
	}
	for i := n - 2; i >= 0; i-- {
		x[i] = x[i].Sub(x[i+1].Mul(c[i]))
	}
	return x
}

// cyclic solves the same with x[-1] = x[n-1] and x[n] = x[0] (Sherman and
// Morrison's formula).
func cyclic(lo, di, up []float64, r []geom.Point) []geom.Point {
	n := len(r)
	g := -di[0]
	d := make([]float64, n)
	copy(d, di)
	d[0] -= g
	d[n-1] -= up[n-1] * lo[0] / g
	u := make([]geom.Point, n)
	u[0], u[n-1] = geom.Pt(g, 0), geom.Pt(up[n-1], 0)
	x := tridiagonal(lo, d, up, r)
	z := tridiagonal(lo, d, up, u)
	w := lo[0] / g
	k := x[0].Add(x[n-1].Mul(w)).Mul(1 / (1 + z[0].X + w*z[n-1].X))
	for i := range x {
		x[i] = x[i].Sub(k.Mul(z[i].X))
	}
	return x
}
