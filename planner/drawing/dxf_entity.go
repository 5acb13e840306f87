package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// entity is what all entities have.
type entity struct {
	typ     string
	line    int
	layer   int32
	color   int32
	weight  int16
	ltype   int16
	paper   bool
	hidden  bool
	n       point3 // extrusion
	thick   bool
	counted bool // the note on elevation was made
}

// start resets the entity that the reader stands on.
func (d *dxf) start(typ string) entity {
	d.badNum = false
	return entity{typ: typ, line: d.line, color: byLayer, weight: byLayer, ltype: byLayer, n: point3{0, 0, 1}}
}

// common takes a group that means the same in every entity.
func (d *dxf) common(e *entity) {
	switch d.code {
	case 8:
		e.layer = d.layer(d.str())
	case 6:
		e.ltype = d.styles.lineType(d.names.decode(d.str()), false)
	case 62:
		switch c := d.whole(); c {
		case 0:
			e.color = byBlock
		case 256:
			e.color = byLayer
		default:
			e.color = aciColor(abs(c))
		}
	case 420:
		e.color = int32(d.whole() & 0xffffff)
	case 370:
		switch w := d.whole(); {
		case w == -1, w == -2, w == -3:
			e.weight = int16(w)
		case w > 0:
			e.weight = int16(min(w, 1000))
		}
	case 60:
		e.hidden = d.whole() == 1
	case 67:
		e.paper = d.whole() == 1
	case 210:
		e.n[0] = d.num()
	case 220:
		e.n[1] = d.num()
	case 230:
		e.n[2] = d.num()
	case 39:
		e.thick = d.num() != 0
	}
}

func (d *dxf) styleOf(e *entity) int32 {
	return d.styles.index(dxfStyle{e.color, e.weight, e.ltype})
}

// open tells the builder whose figures follow. It is false for what is not to
// be drawn: entities on layouts, and those with a number that cannot be read.
func (d *dxf) open(e *entity) bool {
	if e.paper {
		d.paper++
		return false
	}
	d.to.begin(e.typ, e.line, e.layer, d.styleOf(e), e.hidden)
	return !d.spoiled(e)
}

// spoiled reports, and notes, that a number of the entity could not be read.
func (d *dxf) spoiled(e *entity) bool {
	if !d.badNum {
		return false
	}
	d.badNum = false
	d.to.noteOn(fault.Error, "bad-number", e.typ, e.layer, fmt.Sprintf("%q is not a number", plain.Clean(string(d.badVal[:min(len(d.badVal), 40)]))),
		"Draw the entity again or delete it", place{line: d.badAt})
	return true
}

// entities reads entities up to the end of the section or block.
func (d *dxf) entities(end string) {
	for d.next() {
		if d.code != 0 {
			continue
		}
		switch string(d.val) { // the common ones first, without a copy of the name
		case "LINE":
			d.readLine("LINE")
		case "ARC":
			d.readArc()
		case "CIRCLE":
			d.readCircle()
		case "LWPOLYLINE":
			d.readLWPolyline()
		default:
			if !d.entity(string(d.str()), end) {
				return
			}
		}
		d.backAtEntity()
	}
}

// entity reads one of the rarer entities; false at the end of the section.
func (d *dxf) entity(typ, end string) bool {
	switch typ {
	case end:
		d.code = noCode
		return false
	case "EOF", "SECTION", "ENDSEC", "BLOCK", "ENDBLK":
		// The end that was looked for is missing; let the caller see this one.
		return d.strayEnd(typ)
	case "LINE", "3DLINE":
		d.readLine(typ)
	case "ARC":
		d.readArc()
	case "CIRCLE":
		d.readCircle()
	case "LWPOLYLINE":
		d.readLWPolyline()
	case "POLYLINE":
		d.readPolyline()
	case "ELLIPSE":
		d.readEllipse()
	case "SPLINE":
		d.readSpline()
	case "INSERT":
		d.readInsert()
	case "POINT":
		d.readPoint()
	case "SOLID", "TRACE":
		d.readSolid(typ)
	case "MLINE":
		d.readMline()
	case "SEQEND":
		d.skipEntity()
	case "VIEWPORT":
		d.skipEntity()
	default:
		d.readOther(typ)
	}
	return true
}

func (d *dxf) strayEnd(typ string) bool {
	if typ == "ENDBLK" || typ == "BLOCK" && d.inBlk == nil {
		d.skipEntity() // without meaning here
		return true
	}
	d.back()
	return false
}

func (d *dxf) skipEntity() {
	for d.next() && d.code != 0 {
	}
}

func (d *dxf) readLine(typ string) {
	e := d.start(typ)
	var p, q point3
	for d.next() && d.code != 0 {
		switch d.code {
		case 10, 20, 30:
			p[d.code/10-1] = d.num()
		case 11, 21, 31:
			q[d.code/10-1] = d.num()
		default:
			d.common(&e)
		}
	}
	if !d.open(&e) {
		return
	}
	// A line's ends are in world coordinates whatever its extrusion.
	if p[2] != 0 || q[2] != 0 {
		if !level(q[2]-p[2], p.flat().Dist(q.flat())) {
			d.steep(p.flat())
			return
		}
		d.raised(&e, max(math.Abs(p[2]), math.Abs(q[2])), p.flat())
	}
	d.to.addLine(p.flat(), q.flat())
}

// circular reads what ARC and CIRCLE share.
func (d *dxf) circular(typ string) (e entity, c point3, r, a0, a1 float64) {
	e = d.start(typ)
	a1 = 360
	for d.next() && d.code != 0 {
		switch d.code {
		case 10, 20, 30:
			c[d.code/10-1] = d.num()
		case 40:
			r = d.num()
		case 50:
			a0 = d.num()
		case 51:
			a1 = d.num()
		default:
			d.common(&e)
		}
	}
	return
}

// drawable notes a radius that cannot be drawn.
func (d *dxf) drawable(r float64, c geom.Point) bool {
	if r > 0 && !math.IsInf(r, 0) {
		return true
	}
	if r == 0 {
		d.to.note(fault.Note, "zero-length", "radius 0: dropped", "", c, true)
	} else {
		d.to.note(fault.Error, "bad-number", fmt.Sprintf("radius %g is not over 0", r), "Draw it again or delete it", c, true)
	}
	return false
}

func (d *dxf) readCircle() {
	e, c, r, _, _ := d.circular("CIRCLE")
	if !d.open(&e) {
		return
	}
	if m, ok := d.plane(&e, c); ok && d.drawable(r, m.apply(c.flat())) {
		d.in(m, func() { d.to.addCircle(c.flat(), r) })
	}
}

func (d *dxf) readArc() {
	e, c, r, a0, a1 := d.circular("ARC")
	if !d.open(&e) {
		return
	}
	m, ok := d.plane(&e, c)
	if !ok || !d.drawable(r, m.apply(c.flat())) {
		return
	}
	if a0 == a1 {
		d.to.note(fault.Note, "zero-length", "an arc from an angle to the same angle dropped", "", m.apply(c.flat()), true)
		return
	}
	// Counter-clockwise in the entity's own axes (from memory), in degrees.
	sweep := math.Mod(a1-a0, 360)
	if sweep <= 0 {
		sweep += 360
	}
	d.in(m, func() { d.arcDeg(c.flat(), r, a0, sweep) })
}

// arcDeg is addArc in degrees, exact at right angles.
func (d *dxf) arcDeg(c geom.Point, r, a0, sweep float64) {
	at := func(a float64) geom.Point {
		sin, cos := sincosDeg(a)
		return geom.Pt(c.X+r*cos, c.Y+r*sin)
	}
	b := d.to
	if sweep >= 360 {
		b.addCircle(c, r)
		return
	}
	b.moveTo(at(a0))
	if sweep > 180 {
		bulge := geom.BulgeOf(sweep / 2 * math.Pi / 180)
		b.bulgeTo(at(a0+sweep/2), bulge)
		b.bulgeTo(at(a0+sweep), bulge)
	} else if sweep == 180 {
		b.bulgeTo(at(a0+sweep), 1)
	} else {
		b.bulgeTo(at(a0+sweep), geom.BulgeOf(sweep*math.Pi/180))
	}
	b.endPath()
}

// in draws in an entity's own axes.
func (d *dxf) in(m affine, draw func()) {
	if m.isIdentity() {
		draw()
		return
	}
	d.to.setTransform(m)
	draw()
	d.to.setTransform(identity)
}

func (d *dxf) readPoint() {
	e := d.start("POINT")
	var p point3
	for d.next() && d.code != 0 {
		switch d.code {
		case 10, 20, 30:
			p[d.code/10-1] = d.num()
		default:
			d.common(&e)
		}
	}
	if d.open(&e) {
		d.raised(&e, p[2], p.flat())
		d.to.addPoint(p.flat())
	}
}

// readSolid draws the outline of a SOLID or TRACE: corners 1, 2, 4, 3 (the
// third and fourth are swapped in the file).
func (d *dxf) readSolid(typ string) {
	e := d.start(typ)
	var p [4]point3
	has4 := false
	for d.next() && d.code != 0 {
		switch c := d.code; {
		case c >= 10 && c <= 13:
			p[c-10][0] = d.num()
			has4 = has4 || c == 13
		case c >= 20 && c <= 23:
			p[c-20][1] = d.num()
		case c >= 30 && c <= 33:
			p[c-30][2] = d.num()
		default:
			d.common(&e)
		}
	}
	if !d.open(&e) {
		return
	}
	if !has4 {
		p[3] = p[2]
	}
	m, ok := d.plane(&e, p[0])
	if !ok {
		return
	}
	corners := []geom.Point{p[0].flat(), p[1].flat(), p[3].flat(), p[2].flat()}
	if p[2].flat() == p[3].flat() {
		corners = corners[:3]
	}
	d.in(m, func() { d.to.addPath(geom.Polygon(corners...)) })
	d.to.note(fault.Note, "filled", "a filled area; its outline was taken", "", m.apply(corners[0]), true)
}

// readEllipse: world coordinates; the minor axis is ratio times the major,
// turned 90 degrees about the extrusion.
func (d *dxf) readEllipse() {
	e := d.start("ELLIPSE")
	var c, maj point3
	ratio, t0, t1 := 1.0, 0.0, 2*math.Pi
	for d.next() && d.code != 0 {
		switch d.code {
		case 10, 20, 30:
			c[d.code/10-1] = d.num()
		case 11, 21, 31:
			maj[d.code/10-1] = d.num()
		case 40:
			ratio = d.num()
		case 41:
			t0 = d.num()
		case 42:
			t1 = d.num()
		default:
			d.common(&e)
		}
	}
	if !d.open(&e) {
		return
	}
	if _, _, _, lies := flat(&e); !lies {
		d.tilted(&e, c.flat())
		return
	}
	d.raised(&e, c[2], c.flat())
	if !level(maj[2], maj.flat().Len()) {
		d.steep(c.flat())
		return
	}
	major := maj.flat()
	minor := major.Left().Mul(math.Abs(ratio))
	if e.n[2] < 0 {
		minor = minor.Mul(-1)
	}
	if major.Len() == 0 || ratio == 0 {
		d.to.note(fault.Note, "zero-length", "an ellipse without width dropped", "", c.flat(), true)
		return
	}
	sweep := math.Mod(t1-t0, 2*math.Pi)
	if sweep <= geom.Angle { // equal parameters, or a full turn of rounded figures
		sweep += 2 * math.Pi
	}
	if math.Abs(sweep-2*math.Pi) <= geom.Angle {
		sweep = 2 * math.Pi
	}
	// Within a turn of zero: at many turns the next quarter is lost in rounding.
	t0 = math.Mod(t0, 2*math.Pi)
	d.to.addEllipse(c.flat(), major, minor, t0, t0+sweep)
}
