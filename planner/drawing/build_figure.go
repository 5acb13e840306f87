package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// addLine draws one line.
func (b *builder) addLine(p, q geom.Point) {
	b.moveTo(p)
	b.lineTo(q)
	b.endPath()
}

// addCircle draws a circle.
func (b *builder) addCircle(c geom.Point, r float64) {
	if b.similarM {
		b.moveTo(geom.Pt(c.X+r, c.Y))
		b.bulgeTo(geom.Pt(c.X-r, c.Y), 1)
		b.bulgeTo(geom.Pt(c.X+r, c.Y), 1)
		b.dropLast()
		b.closePath()
		return
	}
	b.addEllipse(c, geom.Pt(r, 0), geom.Pt(0, r), 0, 2*math.Pi)
}

// dropLast removes the pen's last vertex, so that a run that has come back to
// its start can be closed without a segment of no length.
func (b *builder) dropLast() {
	if b.blown == "" && b.open && len(b.raw.verts) > int(b.cur.first)+1 {
		b.raw.verts = b.raw.verts[:len(b.raw.verts)-1]
	}
}

// addEllipse draws an ellipse or a part of one; from t0 to t0 + 2 pi it is closed.
func (b *builder) addEllipse(c, major, minor geom.Point, t0, t1 float64) {
	b.endPath()
	b.ellipseTo(c, major, minor, t0, t1)
	if math.Abs(t1-t0) >= 2*math.Pi-geom.Angle {
		b.dropLast()
		b.closePath()
		return
	}
	b.endPath()
}

// addPath draws lines and arcs at once.
func (b *builder) addPath(p geom.Path) {
	if len(p.V) == 0 {
		return
	}
	b.moveTo(p.V[0].P)
	for i := range p.NumSegs() {
		s := p.Seg(i)
		b.bulgeTo(s.B, s.Bulge)
	}
	if p.Closed {
		b.dropLast()
		b.closePath()
	}
	b.endPath()
}

// addPoint adds a centre mark.
func (b *builder) addPoint(p geom.Point) {
	b.endPath()
	b.start()
	b.push(b.m.apply(p), 0, 0)
	b.open = false
	if b.bad {
		b.open = true
		b.endPath()
		return
	}
	if b.blown == "" {
		b.keep(1)
	}
}

// addSpline draws a B-spline as its file gives it. Knots must number
// len(ctrl)+degree+1 and not fall; weights are nil or one for each point, over 0.
func (b *builder) addSpline(degree int, knots []float64, ctrl []geom.Point, weights []float64, closed bool) {
	b.endPath()
	n := len(ctrl)
	if degree < 1 || degree > maxDegree || n <= degree || len(knots) != n+degree+1 || (weights != nil && len(weights) != n) {
		panic("drawing: internal: spline counts")
	}
	b.start()
	first := int32(len(b.raw.nums))
	for _, p := range ctrl {
		q := b.m.apply(p)
		b.addNums(q.X, q.Y)
	}
	b.addNums(knots...)
	b.addNums(weights...)
	if b.blown != "" || b.bad {
		b.endPath()
		return
	}
	c := rawCurve{first: first, n: int32(n), degree: uint8(degree), kind: curveSpline, rational: weights != nil}
	b.raw.curves = append(b.raw.curves, c)
	k := int32(len(b.raw.curves))
	run := b.raw.splineOf(c)
	p, q := run.ends()
	b.push(p, 0, k)
	if closed && p.Dist(q) <= 1e-9*(1+p.Len()) { // rounding of the basis, with room
		b.cur.closed = true
	} else {
		b.push(q, 0, 0)
	}
	b.endPath()
}
