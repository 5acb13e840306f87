package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// builder collects a Raw. A reader says where it is (begin), then draws: a
// pen (moveTo, lineTo, ..., closePath) or whole figures (addLine, addCircle,
// ...). Every figure passes the transform m, which the reader may change at
// any time. Bad numbers and limits are noted once and the figure dropped, so
// that a reader needs no checks of its own.
type builder struct {
	raw Raw
	m   affine
	lim limits

	// progress says which part of the file has been read, 0 to 1; nil: unknown.
	progress func() float64

	plainM   bool // m is the identity
	similarM bool
	mirrorM  bool

	layerOf map[string]int32
	styleOf map[Style]int32
	typeOf  map[string]uint16
	noteOf  map[noteKey]int

	root *builder // holds layers and types; itself, unless made by sub

	cur   item // what begin said; also the open pen's
	open  bool // a pen run is under way
	bad   bool // it holds a number that is not finite or too large
	blown string
}

type noteKey struct {
	code, typ string
	layer     int32
}

func newBuilder(f Format, name plain.Text) *builder {
	b := &builder{
		raw:     Raw{Name: name, Format: f},
		lim:     defaultLimits,
		layerOf: map[string]int32{},
		styleOf: map[Style]int32{},
		typeOf:  map[string]uint16{},
		noteOf:  map[noteKey]int{},
	}
	b.root = b
	b.style(Style{})
	b.setTransform(identity)
	return b
}

// sub returns a builder with figures and notes of its own that shares the
// layers and types of b: for blocks, symbols and forms that are drawn later.
func (b *builder) sub() *builder {
	s := newBuilder(b.raw.Format, b.raw.Name)
	s.root, s.lim = b.root, b.lim
	return s
}

// setTransform sets the map that every figure passes from now on.
func (b *builder) setTransform(m affine) {
	b.m = m
	b.plainM, b.similarM, b.mirrorM = m.isIdentity(), m.similar(), m.mirrors()
}

// layer returns the index of the layer of that name (any text; case does not
// count) and makes it if it is new.
func (b *builder) layer(name string) int32 {
	b = b.root
	key := foldName(name)
	if i, ok := b.layerOf[key]; ok {
		return i
	}
	if len(b.raw.Layers) >= b.lim.layers {
		b.overLimit("layers", b.lim.layers)
		return 0
	}
	i := int32(len(b.raw.Layers))
	b.raw.Layers = append(b.raw.Layers, RawLayer{Name: plain.Of(name)})
	b.layerOf[key] = i
	return i
}

// style returns the index of an equal style.
func (b *builder) style(s Style) int32 {
	b = b.root
	if i, ok := b.styleOf[s]; ok {
		return i
	}
	if len(b.raw.Styles) >= b.lim.styles {
		return 0
	}
	i := int32(len(b.raw.Styles))
	b.raw.Styles = append(b.raw.Styles, s)
	b.styleOf[s] = i
	return i
}

func (b *builder) typeIndex(name string) uint16 {
	b = b.root
	if i, ok := b.typeOf[name]; ok {
		return i
	}
	if len(b.raw.types) >= b.lim.types {
		return 0
	}
	i := uint16(len(b.raw.types))
	name = plain.Clean(name)
	b.raw.types = append(b.raw.types, name)
	b.typeOf[name] = i
	return i
}

// begin says what the next figures belong to: the entity's type, such as
// "LINE" or "path", its line in the file (0 unknown), its layer and style.
func (b *builder) begin(typ string, line int, layer, style int32, hidden bool) {
	b.endPath()
	b.cur = item{typ: b.typeIndex(typ), line: int32(line), layer: layer, style: style, hidden: hidden}
}

// overLimit notes that a limit was reached. Everything later is dropped.
func (b *builder) overLimit(what string, limit int) {
	if b.blown == "" {
		b.root.blown = fmt.Sprintf("more than %d %s", limit, what)
		b.blown = fmt.Sprintf("more than %d %s", limit, what)
	}
}

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
	b.raw.verts = append(b.raw.verts, rawVertex{p, bulge, curve})
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
	v.bulge = bulge
	b.push(q, 0, 0)
}

// ovalTo draws the image under m of an arc that starts at the pen.
func (b *builder) ovalTo(p, q geom.Point, bulge float64) {
	inv, ok := b.m.inverse()
	if !ok { // all of the plane falls on a line
		b.push(q, 0, 0)
		return
	}
	s := geom.Seg{A: inv.apply(b.last().p), B: p, Bulge: bulge}
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
		v.curve = int32(len(b.raw.curves))
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
	} else if q := b.m.apply(p); v.p.Dist(q) > 1e-9*(1+q.Len()) { // rounding of sin and cos, with room
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
	first := b.addNums(v.p.X, v.p.Y)
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
		b.raw.verts = b.raw.verts[:b.cur.first]
		b.note(fault.Error, "bad-number", fmt.Sprintf("a coordinate that is not a number or over %g", b.lim.coordinate),
			"Draw it again or delete it", geom.Point{}, false)
		return
	case n < 2 && !(n == 1 && b.cur.closed && b.raw.verts[b.cur.first].curve != 0):
		b.raw.verts = b.raw.verts[:b.cur.first]
		if n == 1 {
			b.note(fault.Note, "zero-length", "a path without length dropped", "", geom.Point{}, false)
		}
		return
	}
	b.keep(n)
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

// addLine draws one line.
func (b *builder) addLine(p, q geom.Point) {
	b.moveTo(p)
	b.lineTo(q)
	b.endPath()
}

// addArc draws an arc about c from the angle a0 (rad) through sweep (rad,
// positive counter-clockwise); a sweep of a full turn or more is a circle.
func (b *builder) addArc(c geom.Point, r, a0, sweep float64) {
	if math.Abs(sweep) >= 2*math.Pi {
		b.addCircle(c, r)
		return
	}
	b.moveTo(geom.Polar(c, r, a0))
	if math.Abs(sweep) > math.Pi { // at most half circles inside
		b.bulgeTo(geom.Polar(c, r, a0+sweep/2), geom.BulgeOf(sweep/2))
		b.bulgeTo(geom.Polar(c, r, a0+sweep), geom.BulgeOf(sweep/2))
	} else {
		b.bulgeTo(geom.Polar(c, r, a0+sweep), geom.BulgeOf(sweep))
	}
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

// copyItem draws a finished item of another drawing, such as a block, under
// the transform; begin has said whose it is.
func (b *builder) copyItem(src *Raw, it item) {
	v := src.verts[it.first : it.first+it.n]
	if len(v) == 1 && v[0].curve == 0 {
		b.addPoint(v[0].p)
		return
	}
	b.moveTo(v[0].p)
	for i := range v {
		next := i + 1
		if next == len(v) {
			if !it.closed {
				break
			}
			next = 0
		}
		if v[i].curve != 0 {
			b.copyCurve(src, src.curves[v[i].curve-1])
			b.push(b.m.apply(v[next].p), 0, 0)
		} else {
			b.bulgeTo(v[next].p, v[i].bulge)
		}
	}
	if it.closed {
		b.dropLast()
		b.closePath()
	}
	b.endPath()
}

func (b *builder) copyCurve(src *Raw, c rawCurve) {
	v := src.nums[c.first : int(c.first)+c.length()]
	first := int32(len(b.raw.nums))
	if c.kind == curveEllipse {
		p, x, y := b.m.apply(geom.Pt(v[0], v[1])), b.m.vector(geom.Pt(v[2], v[3])), b.m.vector(geom.Pt(v[4], v[5]))
		b.addNums(p.X, p.Y, x.X, x.Y, y.X, y.Y, v[6], v[7])
	} else {
		for i := range int(c.n) {
			p := b.m.apply(geom.Pt(v[2*i], v[2*i+1]))
			b.addNums(p.X, p.Y)
		}
		b.addNums(v[2*c.n:]...)
	}
	c.first = first
	b.curve(c)
}

// mapRun moves the pen's run, which was drawn under the identity, by m, which
// must keep circles.
func (b *builder) mapRun(m affine) {
	v := b.raw.verts[b.cur.first:]
	for i := range v {
		v[i].p = m.apply(v[i].p)
		if m.mirrors() {
			v[i].bulge = -v[i].bulge
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

// note records something about the entity that begin named, in the place p if
// at is set. Notes of one code, type and layer are counted on one line.
func (b *builder) note(sev fault.Severity, code, what, do string, p geom.Point, at bool) {
	typ := ""
	if types := b.root.raw.types; int(b.cur.typ) < len(types) {
		typ = types[b.cur.typ]
	}
	if at {
		p = b.m.apply(p)
	}
	b.noteOn(sev, code, typ, b.cur.layer, what, do, place{int(b.cur.line), p, at && p.Finite()})
}

// noteOn is note for things that are not an entity's; layer -1 is none.
func (b *builder) noteOn(sev fault.Severity, code, typ string, layer int32, what, do string, at place) {
	key := noteKey{code, typ, layer}
	i, ok := b.noteOf[key]
	if !ok {
		if len(b.raw.notes) >= b.lim.notes { // too many kinds: one line for each code
			key = noteKey{code: code, layer: -1}
			if i, ok = b.noteOf[key]; !ok && len(b.raw.notes) >= 2*b.lim.notes {
				return
			}
			layer, typ = -1, ""
		}
		if !ok {
			i = len(b.raw.notes)
			b.noteOf[key] = i
			b.raw.notes = append(b.raw.notes, note{sev: sev, code: code, typ: typ, layer: layer, what: what, do: do})
		}
	}
	n := &b.raw.notes[i]
	n.sev = max(n.sev, sev)
	if n.count < notePlaces {
		n.places[n.count] = at
	}
	n.count++
}

// noteMore counts more of a note that noteOn made.
func (b *builder) noteMore(code, typ string, layer int32, more int) {
	i, ok := b.noteOf[noteKey{code, typ, layer}]
	if !ok {
		i, ok = b.noteOf[noteKey{code: code, layer: -1}]
	}
	if ok {
		b.raw.notes[i].count += more
	}
}

// done ends the drawing. It returns nil and a fault if a limit was passed.
func (b *builder) done() (*Raw, fault.List) {
	b.endPath()
	var l fault.List
	if b.blown != "" {
		l.Errorf(fault.Where{File: b.raw.Name.String()}, "limit", "Split the drawing or take away what is not to be cut",
			"the drawing has %s", b.blown)
		return nil, l
	}
	return &b.raw, nil
}
