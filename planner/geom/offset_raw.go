package geom

import "math"

// piece is a candidate for the boundary of an offset: a segment moved to its
// right by r, or an arc of radius r round a corner that turns left. Whatever
// the true boundary is, it consists of stretches of pieces: its points are r
// from their nearest point of the source, square to it on its free side.
type piece struct {
	form
	box  Box
	src  int32 // form of the source; for a corner the form that leaves it
	next int32 // the piece that follows smoothly, or -1
	join bool  // goes round a corner
	dot  bool  // an arc moved onto its centre: it has no length left
}

// raw makes the pieces. Segments that the move turns over (arcs on the free
// side of a radius under r) are left out: each of their points is r from the
// far side of its arc, so nearer to the rest of it.
func (o *offsetter) raw() {
	o.pieces = o.pieces[:0]
	if cap(o.movedTo) < len(o.forms) {
		o.movedTo = make([]int32, len(o.forms))
		o.pieces = make([]piece, 0, 2*len(o.forms))
	}
	o.movedTo = o.movedTo[:len(o.forms)]
	for i := range o.forms {
		o.movedTo[i] = -1
		if p, ok := o.forms[i].moved(o.r); ok {
			p.src = int32(i)
			o.movedTo[i] = int32(len(o.pieces))
			o.pieces = append(o.pieces, p)
		}
	}
	for i := range o.forms {
		j := o.next(int32(i))
		f, g := &o.forms[i], &o.forms[j]
		a, b := o.movedTo[i], o.movedTo[j]
		chord := o.r * f.tb.Dist(g.ta)
		switch {
		case chord <= Meet:
			o.link(a, b)
		case turnsLeft(f, g):
			if f.tb.Cross(g.ta) >= 0 {
				c := o.round(f.B, f.tb, g.ta, j)
				o.link(a, c)
				o.link(c, b)
				break
			}
			// A cusp that turns a hair more than half a circle: in two.
			m := f.tb.Sub(g.ta).Unit().Left()
			c, d := o.round(f.B, f.tb, m, j), o.round(f.B, m, g.ta, j)
			o.link(a, c)
			o.link(c, d)
			o.link(d, b)
		}
	}
	for i := range o.pieces {
		o.pieces[i].box = o.pieces[i].form.box()
	}
}

// round makes the arc about p from square to the direction u to square to v,
// a left turn of at most half a circle.
func (o *offsetter) round(p, u, v Point, src int32) int32 {
	sin, cos := u.Dist(v)/2, u.Add(v).Len()/2 // of half the turn
	arc := Seg{p.Sub(u.Left().Mul(o.r)), p.Sub(v.Left().Mul(o.r)), sin / (1 + cos)}
	o.pieces = append(o.pieces, piece{form: newForm(arc), src: src, next: -1, join: true})
	return int32(len(o.pieces) - 1)
}

func (o *offsetter) link(a, b int32) {
	if a >= 0 && b >= 0 {
		o.pieces[a].next = b
	}
}

// moved returns f moved to its right by r; ok is false if that turns it over.
// Sweep and directions stay, lengths grow with the radius.
func (f *form) moved(r float64) (p piece, ok bool) {
	k := 1 + 2*f.half*r
	p = piece{form: *f, next: -1}
	p.A = f.A.Sub(f.ta.Left().Mul(r))
	p.B = f.B.Sub(f.tb.Left().Mul(r))
	p.m = p.A.Lerp(p.B, 0.5)
	if f.half == 0 {
		return p, true
	}
	c := p.A.Dist(p.B)
	if p.dot = c <= Meet; p.dot {
		return p, true
	}
	p.half = f.half / k
	p.gamma = -p.half * c * c / 4
	p.length = f.length * k
	return p, k > 0
}

// turnsLeft reports whether the path turns left from f to g, which follows.
// At a cusp the directions do not tell; points along both do.
func turnsLeft(f, g *form) bool {
	cross := f.tb.Cross(g.ta)
	if f.tb.Dot(g.ta) > 0 || math.Abs(cross) > foldAngle {
		return cross > 0
	}
	l := min(f.length, g.length) / 8
	return Orient(f.At(1-l/f.length), f.B, g.At(l/g.length)) == Left
}
