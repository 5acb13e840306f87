package drawing

import (
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// readLWPolyline: 70 flags (1 closed), 38 elevation, and for each vertex 10
// 20 and the bulge 42 of the segment that leaves it. The extrusion comes after
// the vertices, so they are drawn first and moved then.
func (d *dxf) readLWPolyline() {
	e := d.start("LWPOLYLINE")
	b := d.to
	b.endPath()
	z := 0.0
	pen := polyPen{b: b}
	wide := false
	var x float64
	for d.next() && d.code != 0 {
		switch d.code {
		case 10:
			x = d.num()
		case 20:
			pen.vertex(geom.Pt(x, d.num()))
		case 42:
			pen.bulge = d.num()
		case 70:
			pen.closed = d.whole()&1 != 0
		case 38:
			z = d.num()
		case 40, 41, 43:
			wide = wide || d.num() != 0
		default:
			d.common(&e)
		}
	}
	pen.finish()
	if e.paper || d.badNum {
		b.abandon()
		d.open(&e)
		return
	}
	b.retag(e.typ, e.line, e.layer, d.styleOf(&e), e.hidden)
	m, ok := d.plane(&e, pen.at(z))
	if !ok {
		b.abandon()
		return
	}
	if !m.isIdentity() {
		b.mapRun(m)
	}
	if wide {
		d.wide2d(m.apply(pen.first))
	}
	b.endPath()
}

// wide2d notes a line drawn with a width, which a torch cannot follow.
func (d *dxf) wide2d(p geom.Point) {
	d.to.note(fault.Note, "line-width", "drawn with a width; its middle was taken", "", p, true)
}

// polyPen draws a polyline whose bulges come after their vertices.
type polyPen struct {
	b      *builder
	n      int
	bulge  float64 // of the segment that leaves the last vertex
	first  geom.Point
	closed bool
}

func (p *polyPen) vertex(q geom.Point) {
	if p.n == 0 {
		p.first = q
		p.b.moveTo(q)
	} else {
		p.b.bulgeTo(q, p.bulge)
	}
	p.bulge = 0
	p.n++
}

// nowhere is the place of what has no point.
var nowhere = geom.Pt(math.NaN(), math.NaN())

// at is the first vertex at the height z, nowhere if there is none.
func (p *polyPen) at(z float64) point3 {
	if p.n == 0 {
		return point3{nowhere.X, nowhere.Y, z}
	}
	return point3{p.first.X, p.first.Y, z}
}

// finish draws the closing segment. The run stays with the pen.
func (p *polyPen) finish() {
	if !p.closed || p.n < 2 {
		return
	}
	p.b.bulgeTo(p.first, p.bulge)
	if p.b.bad || p.b.blown != "" {
		return
	}
	p.b.dropLast()
	p.b.cur.closed = true
}

// readPolyline: 70 flags (1 closed, 2 curve-fit, 4 spline-fit, 8 in space, 16
// mesh, 64 faces), 30 elevation, then VERTEX entities up to SEQEND. Of a
// spline-fit one the vertices with flag 16 are the frame and are left out.
func (d *dxf) readPolyline() {
	e := d.start("POLYLINE")
	flags, z := 0, 0.0
	wide := false
	for d.next() && d.code != 0 {
		switch d.code {
		case 70:
			flags = d.whole()
		case 30:
			z = d.num()
		case 40, 41:
			wide = wide || d.num() != 0
		case 10, 20:
		default:
			d.common(&e)
		}
	}
	drawn := d.open(&e)
	m, space := identity, flags&8 != 0
	mesh := drawn && flags&(16|64) != 0
	drawn = drawn && !mesh
	corner := nowhere // of a mesh
	pen := polyPen{b: d.to, closed: flags&1 != 0}
	low, high := math.Inf(1), math.Inf(-1)
	box := geom.EmptyBox()
	var v polyVertex
	for d.code == 0 && string(d.str()) == "VERTEX" {
		d.readVertex(&v)
		if mesh && !corner.Finite() {
			corner = v.p.flat()
		}
		if !drawn || v.flags&16 != 0 || v.flags&(64|128) == 128 {
			continue
		}
		pen.vertex(v.p.flat())
		pen.bulge = v.bulge
		if space {
			pen.bulge = 0
			low, high = min(low, v.p[2]), max(high, v.p[2])
			box = box.Add(v.p.flat())
		}
	}
	// At SEQEND, or at the next entity where SEQEND is missing.
	if d.code == 0 && string(d.str()) == "SEQEND" {
		d.skipEntity()
	}
	if mesh {
		d.to.note(fault.Error, "solid", "a mesh of faces cannot be cut: it has no flat edge of its own",
			"Export a flat view of the part as lines and arcs, or set its layer to ignore", corner, true)
	}
	if !drawn {
		d.badNum = false
		return
	}
	pen.finish()
	if d.spoiled(&e) {
		d.to.abandon()
		return
	}
	if space && !box.Empty() {
		if !level(high-low, box.Max.Dist(box.Min)) {
			d.to.abandon()
			d.steep(pen.first)
			return
		}
		d.raised(&e, max(math.Abs(low), math.Abs(high)), pen.first)
	}
	if !space {
		if m, drawn = d.plane(&e, pen.at(z)); !drawn {
			d.to.abandon()
			return
		}
	}
	if !m.isIdentity() {
		d.to.mapRun(m)
	}
	if wide {
		d.wide2d(m.apply(pen.first))
	}
	d.to.endPath()
}

type polyVertex struct {
	p     point3
	bulge float64
	flags int
}

// readVertex reads the VERTEX that the reader stands on.
func (d *dxf) readVertex(v *polyVertex) {
	*v = polyVertex{}
	for d.next() && d.code != 0 {
		switch d.code {
		case 10:
			v.p[0] = d.num()
		case 20:
			v.p[1] = d.num()
		case 30:
			v.p[2] = d.num()
		case 42:
			v.bulge = d.num()
		case 70:
			v.flags = d.whole()
		}
	}
}
