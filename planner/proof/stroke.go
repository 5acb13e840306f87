package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// stroke is a line from a to b, or a part of a circle or of an ellipse:
// c + u cos t + v sin t for t from t0 to t1. Any map that keeps lines straight
// maps it without loss.
type stroke struct {
	a, b    geom.Point
	bent    bool
	c, u, v geom.Point
	t0, t1  float64 // rad
}

func strokesOf(p geom.Path) []stroke {
	var out []stroke
	for _, x := range piecesOf(p) {
		s := stroke{a: x.a, b: x.b}
		if x.arc() {
			t := math.Atan2(x.a.Y-x.c.Y, x.a.X-x.c.X)
			s = stroke{bent: true, c: x.c, u: geom.Pt(x.r, 0), v: geom.Pt(0, x.r), t0: t, t1: t + x.sweep}
		}
		out = append(out, s)
	}
	return out
}

func (s stroke) at(t float64) geom.Point {
	sin, cos := math.Sincos(t)
	return geom.Pt(s.c.X+s.u.X*cos+s.v.X*sin, s.c.Y+s.u.Y*cos+s.v.Y*sin)
}

func (s stroke) mapped(m func(geom.Point) geom.Point) stroke {
	if !s.bent {
		s.a, s.b = m(s.a), m(s.b)
		return s
	}
	c := m(s.c)
	s.u, s.v = m(s.c.Add(s.u)).Sub(c), m(s.c.Add(s.v)).Sub(c)
	s.c = c
	return s
}

// isRound reports whether it is a part of a circle.
func (s stroke) isRound() bool {
	const within = 1e-9 // of its size
	return s.bent && math.Abs(length(s.u)-length(s.v)) <= within*length(s.u) && math.Abs(s.u.Dot(s.v)) <= within*square(s.u)
}

// fine is how much of a turn one arc stands for where a stroke is a part of
// an ellipse: at two degrees an arc through three points of an oval of 1 m
// that is a tenth out of round is off by under 0.2 µm.
const fine = math.Pi / 90

// path is the feature's edge, every circle and near-circle of it made wider by
// the taper (mm, of a hole alone).
func (f *redrawnFeature) path(taper float64) geom.Path {
	p := geom.Path{Closed: f.closed}
	var end geom.Point
	for _, s := range f.strokes {
		if !s.bent {
			p.V = append(p.V, geom.Vertex{P: s.a})
			end = s.b
			continue
		}
		if taper != 0 {
			r := math.Sqrt(math.Abs(s.u.Cross(s.v)))
			k := (r + taper/2) / r
			s.u, s.v = s.u.Mul(k), s.v.Mul(k)
		}
		most := fine
		if s.isRound() {
			most = math.Pi / 2
		}
		n := max(1, int(math.Ceil(math.Abs(s.t1-s.t0)/most-1e-9)))
		for i := range n {
			from, to := s.t0+(s.t1-s.t0)*float64(i)/float64(n), s.t0+(s.t1-s.t0)*float64(i+1)/float64(n)
			a, m, b := s.at(from), s.at((from+to)/2), s.at(to)
			chord := b.Sub(a)
			// The rise of the arc over its chord, left of it negative, over half the chord.
			rise := chord.Cross(m.Sub(a)) / chord.Dot(chord)
			p.V = append(p.V, geom.Vertex{P: a, Bulge: -2 * rise})
			end = b
		}
	}
	if !f.closed {
		p.V = append(p.V, geom.Vertex{P: end})
	}
	return p
}

// round is a full circle.
func round(c geom.Point, r float64) stroke {
	return stroke{bent: true, c: c, u: geom.Pt(r, 0), v: geom.Pt(0, r), t1: 2 * math.Pi}
}

// long is a slot with round ends: its middle, its direction, its length
// overall and the radius of its ends.
func long(mid, along geom.Point, overall, r float64) []stroke {
	reach, across := along.Mul(overall/2-r), turned(along, math.Pi/2)
	a, b := mid.Sub(reach), mid.Add(reach)
	side, end := across.Mul(r), along.Mul(r)
	return []stroke{
		{a: a.Sub(side), b: b.Sub(side)},
		{bent: true, c: b, u: end, v: side, t0: -math.Pi / 2, t1: math.Pi / 2},
		{a: b.Add(side), b: a.Add(side)},
		{bent: true, c: a, u: end, v: side, t0: math.Pi / 2, t1: 3 * math.Pi / 2},
	}
}

// middleOfRound is the centre of strokes that go once round one circle: the
// mean of theirs, each by how far it goes.
func middleOfRound(all []stroke) (c geom.Point, ok bool) {
	sum, r := 0.0, 0.0
	for _, s := range all {
		if !s.isRound() {
			return c, false
		}
		w := math.Abs(s.t1 - s.t0)
		c, r, sum = c.Add(s.c.Mul(w)), r+length(s.u)*w, sum+w
	}
	if sum == 0 {
		return c, false
	}
	c, r = c.Mul(1/sum), r/sum
	for _, s := range all {
		if length(s.c.Sub(c)) > geom.Proof || math.Abs(length(s.u)-r) > geom.Proof {
			return c, false
		}
	}
	return c, math.Abs(sum-2*math.Pi) < 0.01
}

// endsOfLong are the centres of a slot's ends, and their radius.
func endsOfLong(all []stroke) (a, b geom.Point, r float64, ok bool) {
	apart := 0.0
	var ends []stroke
	for _, s := range all {
		if s.isRound() { // where the slot is stretched none is
			ends = append(ends, s)
		}
	}
	for _, s := range ends {
		r += length(s.u) / float64(len(ends))
		for _, o := range ends {
			if d := length(s.c.Sub(o.c)); d > apart {
				a, b, apart = s.c, o.c, d
			}
		}
	}
	for _, s := range ends {
		if min(length(s.c.Sub(a)), length(s.c.Sub(b))) > geom.Proof || math.Abs(length(s.u)-r) > geom.Proof {
			return a, b, r, false
		}
	}
	return a, b, r, apart > 0
}
