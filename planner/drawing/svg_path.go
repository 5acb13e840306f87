package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// svgPen draws path data: SVG 2, 9.3.
type svgPen struct {
	b     *builder
	scan  svgScan
	cur   geom.Point // current point
	first geom.Point // of the subpath
	ctrl  geom.Point // last control point, for the smooth forms
	last  byte       // last command, upper case
	drawn int        // segments of the subpath
	fill  bool       // open subpaths are closed: they are filled and not stroked
}

// svgPath draws path data. Data that breaks off is drawn up to there; at is
// then the place, counted in bytes from 0, and ok is false.
func (b *builder) svgPath(d string, fill bool) (at int, ok bool) {
	p := svgPen{b: b, scan: svgScan{s: d}, fill: fill}
	ok = p.run()
	p.endSub()
	b.endPath()
	return p.scan.i, ok
}

// endSub ends a subpath that has no closepath.
func (p *svgPen) endSub() {
	if p.fill && p.drawn > 1 {
		p.close()
	}
	p.drawn = 0
}

func (p *svgPen) close() {
	// A run that has come back to its start is closed without a segment of no
	// length. The comparison is exact: joining mends what only nearly meets.
	if p.cur == p.first && p.drawn > 0 {
		p.b.dropLast()
	}
	p.b.closePath()
}

// arguments of each command.
var svgArgs = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2, 'A': 7, 'Z': 0}

func (p *svgPen) run() bool {
	var op byte
	for p.scan.more() {
		c := p.scan.s[p.scan.i]
		up := c &^ 0x20
		n, isOp := svgArgs[up]
		switch {
		case isOp && (c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'):
			op = c
			p.scan.i++
		case op == 0 || op == 'z' || op == 'Z':
			return false
		default: // the same command again; after a moveto, linetos
			if op == 'M' {
				op = 'L'
			} else if op == 'm' {
				op = 'l'
			}
			up = op &^ 0x20
			n = svgArgs[up]
		}
		if p.last == 0 && up != 'M' {
			return false
		}
		var v [7]float64
		if !p.arguments(up, v[:n]) {
			return false
		}
		p.do(up, op >= 'a', v)
		p.last = up
		if n > 0 {
			p.scan.comma()
		}
	}
	return true
}

// arguments reads the numbers of one command; the two flags of an arc are one
// digit each and may run into what follows.
func (p *svgPen) arguments(op byte, v []float64) bool {
	for i := range v {
		if i > 0 {
			p.scan.comma()
		}
		if op == 'A' && (i == 3 || i == 4) {
			if !p.scan.more() || p.scan.s[p.scan.i] != '0' && p.scan.s[p.scan.i] != '1' {
				return false
			}
			v[i] = float64(p.scan.s[p.scan.i] - '0')
			p.scan.i++
			continue
		}
		x, ok := p.scan.number()
		if !ok {
			return false
		}
		v[i] = x
	}
	return true
}

func (p *svgPen) do(op byte, relative bool, v [7]float64) {
	var o geom.Point
	if relative {
		o = p.cur
	}
	pt := func(i int) geom.Point { return geom.Pt(o.X+v[i], o.Y+v[i+1]) }
	switch op {
	case 'M':
		p.endSub()
		p.cur, p.first = pt(0), pt(0)
		p.b.moveTo(p.cur)
		return
	case 'Z':
		p.close()
		p.drawn, p.cur = 0, p.first
		return
	}
	if p.last == 'Z' { // a subpath that begins where the last one did
		p.b.moveTo(p.cur)
	}
	p.drawn++
	switch op {
	case 'L':
		p.lineTo(pt(0))
	case 'H':
		p.lineTo(geom.Pt(o.X+v[0], p.cur.Y))
	case 'V':
		p.lineTo(geom.Pt(p.cur.X, o.Y+v[0]))
	case 'C':
		p.cubic(pt(0), pt(2), pt(4))
	case 'S':
		p.cubic(p.mirrored('C', 'S'), pt(0), pt(2))
	case 'Q':
		p.quad(pt(0), pt(2))
	case 'T':
		p.quad(p.mirrored('Q', 'T'), pt(0))
	case 'A':
		p.arc(v[0], v[1], v[2], v[3] == 1, v[4] == 1, pt(5))
	}
}

// mirrored is the control point of a smooth form: the last one mirrored in the
// current point, or the current point after another kind of command.
func (p *svgPen) mirrored(a, b byte) geom.Point {
	if p.last != a && p.last != b {
		return p.cur
	}
	return p.cur.Mul(2).Sub(p.ctrl)
}

func (p *svgPen) lineTo(q geom.Point) {
	p.b.lineTo(q)
	p.cur = q
}

func (p *svgPen) cubic(c1, c2, q geom.Point) {
	p.b.smoothTo(p.cur, c1, c2, q)
	p.ctrl, p.cur = c2, q
}

func (p *svgPen) quad(c, q geom.Point) {
	p.b.smoothTo(p.cur, c, q)
	p.ctrl, p.cur = c, q
}

// smoothTo draws a Bézier from p, where the pen stands, or the line that it is
// when all its control points lie on its chord in order. Many programs write
// every line so.
func (b *builder) smoothTo(p geom.Point, pts ...geom.Point) {
	q := pts[len(pts)-1]
	d := q.Sub(p)
	l2, last, straight := d.Dot(d), 0.0, true
	for _, c := range pts[:len(pts)-1] {
		v := c.Sub(p)
		t := v.Dot(d)
		// Off the chord by less than 1e-12 of it: the rounding of the products,
		// 4 x 1.1e-16 of the squared length, with room for that of the points. A
		// curve that comes back to its start has no chord: it is a drop, no line.
		straight = straight && math.Abs(v.Cross(d)) <= 1e-12*l2 && t >= last && t <= l2 && (l2 > 0 || c == p)
		last = t
	}
	switch {
	case straight:
		b.lineTo(q)
	case len(pts) == 2:
		b.quadTo(pts[0], q)
	default:
		b.cubicTo(pts[0], pts[1], q)
	}
}

// svgArc is an arc by its centre: the point at t is c + major cos t + minor
// sin t, from t0 through sweep.
type svgArc struct {
	c            geom.Point
	rx, ry, turn float64 // turn of the X half axis, degrees
	t0, sweep    float64
}

// arcByEnds converts an arc from its end points to its centre: SVG 2, B.2.4,
// with radii that are too small scaled up (B.2.5). ok is false if it is a line.
func arcByEnds(p, q geom.Point, rx, ry, turn float64, large, positive bool) (a svgArc, ok bool) {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 || p == q {
		return a, false
	}
	back := rotation(-turn)
	h := back.vector(p.Sub(q)).Mul(0.5)
	// On axes that make the ellipse a unit circle the ends are u and -u off
	// the middle of the chord.
	u := geom.Pt(h.X/rx, h.Y/ry)
	l := u.Dot(u)
	if !(l > 0) || math.IsInf(l, 0) {
		return a, false
	}
	if l > 1 {
		k := math.Sqrt(l)
		rx, ry, u, l = rx*k, ry*k, u.Mul(1/k), 1
	}
	off := math.Sqrt(max(0, 1/l-1))
	if large == positive {
		off = -off
	}
	w := geom.Pt(u.Y*off, -u.X*off) // centre on those axes, from the middle
	c := rotation(turn).vector(geom.Pt(w.X*rx, w.Y*ry)).Add(p.Lerp(q, 0.5))
	from, to := u.Sub(w), u.Mul(-1).Sub(w)
	sweep := math.Atan2(from.Cross(to), from.Dot(to))
	if positive && sweep < 0 {
		sweep += 2 * math.Pi
	} else if !positive && sweep > 0 {
		sweep -= 2 * math.Pi
	}
	return svgArc{c, rx, ry, turn, from.Angle(), sweep}, sweep != 0
}

func (p *svgPen) arc(rx, ry, turn float64, large, positive bool, q geom.Point) {
	start := p.cur
	p.cur = q
	if start == q { // left out
		p.drawn--
		return
	}
	a, ok := arcByEnds(start, q, rx, ry, turn, large, positive)
	if !ok {
		p.b.lineTo(q)
		return
	}
	p.b.ovalArc(a, q)
}

// ovalArc draws an arc from the pen to q: of a circle as an arc.
func (b *builder) ovalArc(a svgArc, q geom.Point) {
	if a.rx == a.ry {
		if math.Abs(a.sweep) > math.Pi { // at most half circles
			b.bulgeTo(geom.Polar(a.c, a.rx, (a.turn*math.Pi/180)+a.t0+a.sweep/2), geom.BulgeOf(a.sweep/2))
			b.bulgeTo(q, geom.BulgeOf(a.sweep/2))
			return
		}
		b.bulgeTo(q, geom.BulgeOf(a.sweep))
		return
	}
	r := rotation(a.turn)
	b.ellipseTo(a.c, r.vector(geom.Pt(a.rx, 0)), r.vector(geom.Pt(0, a.ry)), a.t0, a.t0+a.sweep)
}

// svgPoints draws a polyline or polygon. Like path data, points that break off
// are drawn up to there.
func (b *builder) svgPoints(s string, closed bool) (at int, ok bool) {
	c := svgScan{s: s}
	n := 0
	ok = true
	for c.more() {
		x, okX := c.number()
		c.comma()
		y, okY := c.number()
		if !okX || !okY {
			ok = false
			break
		}
		if n == 0 {
			b.moveTo(geom.Pt(x, y))
		} else {
			b.lineTo(geom.Pt(x, y))
		}
		n++
		c.comma()
	}
	if closed && n > 1 {
		b.closePath()
	}
	b.endPath()
	return c.i, ok
}

// svgRect draws a rectangle with corners of the radii rx and ry: SVG 2, 10.2.
func (b *builder) svgRect(x, y, w, h, rx, ry float64) {
	rx, ry = min(rx, w/2), min(ry, h/2)
	if !(rx > 0) || !(ry > 0) {
		b.moveTo(geom.Pt(x, y))
		b.lineTo(geom.Pt(x+w, y))
		b.lineTo(geom.Pt(x+w, y+h))
		b.lineTo(geom.Pt(x, y+h))
		b.closePath()
		return
	}
	first := geom.Pt(x+rx, y)
	b.moveTo(first)
	side := func(p geom.Point, c geom.Point, q geom.Point, t0 float64) {
		if v := b.last(); v != nil && b.m.apply(p) != v.P {
			b.lineTo(p)
		}
		b.ovalArc(svgArc{c, rx, ry, 0, t0, math.Pi / 2}, q)
	}
	side(geom.Pt(x+w-rx, y), geom.Pt(x+w-rx, y+ry), geom.Pt(x+w, y+ry), -math.Pi/2)
	side(geom.Pt(x+w, y+h-ry), geom.Pt(x+w-rx, y+h-ry), geom.Pt(x+w-rx, y+h), 0)
	side(geom.Pt(x+rx, y+h), geom.Pt(x+rx, y+h-ry), geom.Pt(x, y+h-ry), math.Pi/2)
	side(geom.Pt(x, y+ry), geom.Pt(x+rx, y+ry), first, math.Pi)
	if v := b.last(); v != nil && v.P == b.m.apply(first) && w == 2*rx {
		b.dropLast()
	}
	b.closePath()
}
