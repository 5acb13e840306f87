package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// push appends a vertex to the pen's run.
func (b *builder) push(p geom.Point, bulge float64, curve int32) {
	if b.blown != "" {
		return
	}
	if !(math.Abs(p.X) <= b.lim.coordinate && math.Abs(p.Y) <= b.lim.coordinate) {
		b.bad = true
		return
	}
	if len(b.raw.verts) >= b.lim.vertices {
		b.overLimit("vertices", b.lim.vertices)
		return
	}
	if len(b.raw.verts) == cap(b.raw.verts) {
		b.raw.verts = b.grow(b.raw.verts)
	}
	b.raw.verts = append(b.raw.verts, rawVertex{P: p, Bulge: bulge, Src: curve})
}

// grow makes room for what the rest of the file will most likely need, where
// the reader says how far it has come: growing step by step would hold the
// vertices of a large file twice, again and again.
func (b *builder) grow(v []rawVertex) []rawVertex {
	n := 2*len(v) + 64
	if b.progress != nil {
		if f := b.progress(); f > 0.01 {
			n = int(float64(len(v)) / f * 1.04)
		}
	}
	n = min(max(n, len(v)+len(v)/8+64), b.lim.vertices)
	return append(make([]rawVertex, 0, n), v...)
}

func (b *builder) start() {
	if !b.open {
		b.open, b.bad = true, false
		b.cur.first = int32(len(b.raw.verts))
		b.cur.closed = false
	}
}

// moveTo starts a new run at p.
func (b *builder) moveTo(p geom.Point) {
	b.endPath()
	b.start()
	b.push(b.m.apply(p), 0, 0)
}

// last returns the vertex that the pen stands on, nil before moveTo.
func (b *builder) last() *rawVertex {
	if !b.open || len(b.raw.verts) <= int(b.cur.first) {
		return nil
	}
	return &b.raw.verts[len(b.raw.verts)-1]
}

// lineTo draws a straight segment.
func (b *builder) lineTo(p geom.Point) { b.bulgeTo(p, 0) }

// bulgeTo draws an arc with the bulge tan(sweep/4), positive
// counter-clockwise, or a line if it is 0. Under a map that does not keep
// circles it becomes part of an ellipse.
func (b *builder) bulgeTo(p geom.Point, bulge float64) {
	v := b.last()
	if v == nil {
		b.moveTo(p)
		return
	}
	if math.IsNaN(bulge) || math.Abs(bulge) > maxBulge {
		b.bad = true
		return
	}
	q := b.m.apply(p)
	if bulge != 0 && !b.similarM {
		b.ovalTo(p, q, bulge)
		return
	}
	if b.mirrorM {
		bulge = -bulge
	}
	v.Bulge = bulge
	b.push(q, 0, 0)
}

// ovalTo draws the image under m of an arc that starts at the pen.
func (b *builder) ovalTo(p, q geom.Point, bulge float64) {
	inv, ok := b.m.inverse()
	if !ok { // all of the plane falls on a line
		b.push(q, 0, 0)
		return
	}
	s := geom.Seg{A: inv.apply(b.last().P), B: p, Bulge: bulge}
	if !s.IsArc() {
		b.push(q, 0, 0)
		return
	}
	c, r := s.Center(), s.Radius()
	a := s.A.Sub(c).Angle()
	b.ellipse(b.m.apply(c), b.m.vector(geom.Pt(r, 0)), b.m.vector(geom.Pt(0, r)), a, a+s.Sweep())
	b.push(q, 0, 0)
}

// addNums appends numbers to the pool and returns where they begin.
func (b *builder) addNums(v ...float64) int32 {
	first := int32(len(b.raw.nums))
	for _, x := range v {
		if !(math.Abs(x) <= b.lim.coordinate) {
			b.bad = true
		}
	}
	if len(b.raw.nums)+len(v) > b.lim.numbers {
		b.overLimit("numbers of curves", b.lim.numbers)
		return first
	}
	b.raw.nums = append(b.raw.nums, v...)
	return first
}

func (b *builder) curve(c rawCurve) {
	if b.blown != "" {
		return
	}
	b.raw.curves = append(b.raw.curves, c)
	if v := b.last(); v != nil {
		v.Src = int32(len(b.raw.curves))
	}
}

// ellipse hangs an elliptical arc, already mapped, on the pen's vertex.
func (b *builder) ellipse(c, major, minor geom.Point, t0, t1 float64) {
	first := b.addNums(c.X, c.Y, major.X, major.Y, minor.X, minor.Y, t0, t1)
	b.curve(rawCurve{first: first, kind: curveEllipse})
}

// ellipseTo draws an elliptical arc from the pen: centre + major cos t + minor
// sin t for t from t0 to t1 (rad). It draws a line first if the pen does not
// stand where the arc begins.
func (b *builder) ellipseTo(c, major, minor geom.Point, t0, t1 float64) {
	at := func(t float64) geom.Point {
		sin, cos := math.Sincos(t)
		return c.Add(major.Mul(cos)).Add(minor.Mul(sin))
	}
	b.reach(at(t0))
	b.ellipse(b.m.apply(c), b.m.vector(major), b.m.vector(minor), t0, t1)
	b.push(b.m.apply(at(t1)), 0, 0)
}

// reach brings the pen to p: by moveTo if there is none, by a line if it
// stands elsewhere. Rounding is let pass; joining takes care of it.
func (b *builder) reach(p geom.Point) {
	v := b.last()
	if v == nil {
		b.moveTo(p)
	} else if q := b.m.apply(p); v.P.Dist(q) > 1e-9*(1+q.Len()) { // rounding of sin and cos, with room
		b.push(q, 0, 0)
	}
}

// cubicTo draws a cubic Bézier from the pen.
func (b *builder) cubicTo(c1, c2, p geom.Point) { b.bezierTo(c1, c2, p) }

// quadTo draws a quadratic Bézier from the pen.
func (b *builder) quadTo(c, p geom.Point) { b.bezierTo(c, p) }

func (b *builder) bezierTo(pts ...geom.Point) {
	v := b.last()
	if v == nil {
		b.moveTo(pts[0])
		v = b.last()
	}
	if v == nil {
		return
	}
	first := b.addNums(v.P.X, v.P.Y)
	var q geom.Point
	for _, p := range pts {
		q = b.m.apply(p)
		b.addNums(q.X, q.Y)
	}
	b.curve(rawCurve{first: first, n: int32(len(pts) + 1), degree: uint8(len(pts)), kind: curveBezier})
	b.push(q, 0, 0)
}

// closePath joins the pen to the start of its run and ends it.
func (b *builder) closePath() {
	if b.open {
		b.cur.closed = true
		b.endPath()
	}
}

// endPath ends the run. A run of one vertex is dropped: points are made by addPoint.
func (b *builder) endPath() {
	if !b.open {
		return
	}
	b.open = false
	n := int32(len(b.raw.verts)) - b.cur.first
	switch {
	case b.blown != "":
		return
	case b.bad:
		b.bad = false
		p := b.begun()
		b.raw.verts = b.raw.verts[:b.cur.first]
		b.noteHere(fault.Error, "bad-number", fmt.Sprintf("a coordinate that is not a number or over %g", b.lim.coordinate),
			"Draw it again or delete it", p)
		return
	case n < 2 && !(n == 1 && b.cur.closed && b.raw.verts[b.cur.first].Src != 0):
		p := b.begun()
		b.raw.verts = b.raw.verts[:b.cur.first]
		if n == 1 {
			b.noteHere(fault.Note, "zero-length", "a path without length dropped", "", p)
		}
		return
	}
	b.keep(n)
}

// begun is where the pen's run begins, nowhere if it has no vertex.
func (b *builder) begun() geom.Point {
	if int(b.cur.first) < len(b.raw.verts) {
		return b.raw.verts[b.cur.first].P
	}
	return nowhere
}

func (b *builder) keep(n int32) {
	if len(b.raw.items) >= b.lim.items {
		b.overLimit("entities", b.lim.items)
		return
	}
	b.cur.n = n
	if k := len(b.raw.items); k == cap(b.raw.items) {
		// As many as the vertices have room for, at the rate so far.
		room := int(float64(cap(b.raw.verts)) * float64(k+1) / float64(len(b.raw.verts)+1) * 1.02)
		b.raw.items = append(make([]item, 0, max(room, k+k/8+64)), b.raw.items...)
	}
	b.raw.items = append(b.raw.items, b.cur)
}

// mapRun moves the pen's run, which was drawn under the identity, by m, which
// must keep circles.
func (b *builder) mapRun(m affine) {
	v := b.raw.verts[b.cur.first:]
	for i := range v {
		v[i].P = m.apply(v[i].P)
		if m.mirrors() {
			v[i].Bulge = -v[i].Bulge
		}
	}
}

// abandon drops the pen's run.
func (b *builder) abandon() {
	if b.open {
		b.open, b.bad = false, false
		b.raw.verts = b.raw.verts[:b.cur.first]
	}
}

// retag says anew whose the pen's run is.
func (b *builder) retag(typ string, line int, layer, style int32, hidden bool) {
	first, closed := b.cur.first, b.cur.closed
	b.cur = item{first: first, closed: closed, typ: b.typeIndex(typ), line: int32(line), layer: layer, style: style, hidden: hidden}
}
