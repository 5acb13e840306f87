package proof

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// A bound is held to points laid along the piece by the plain circle formulas:
// 120 of them, which miss the furthest place of an arc by under missed x r.
const (
	laid   = 120
	missed = 1e-4 // (pi / 120)^2 / 8
)

// past reports how far a place lies past the ends of a line or
// beside the cone of an arc, mm; under 0 is over it.
func past(k piece, q geom.Point) float64 {
	if k.sweep == 0 {
		u := k.b.Sub(k.a).Mul(1 / k.a.Dist(k.b))
		return max(-u.Dot(q.Sub(k.a)), u.Dot(q.Sub(k.b)))
	}
	v := q.Sub(k.c)
	middle := math.Atan2(k.a.Y-k.c.Y, k.a.X-k.c.X) + k.sweep/2
	off := math.Abs(math.Remainder(math.Atan2(v.Y, v.X)-middle, 2*math.Pi)) - math.Abs(k.sweep)/2
	return math.Hypot(v.X, v.Y) * math.Sin(min(off, math.Pi/2))
}

// off is how far a place lies from the whole line or circle that k is a part of.
func off(k piece, q geom.Point) float64 {
	if k.sweep == 0 {
		u := k.b.Sub(k.a).Mul(1 / k.a.Dist(k.b))
		return math.Abs(u.X*(q.Y-k.a.Y) - u.Y*(q.X-k.a.X))
	}
	return math.Abs(q.Dist(k.c) - k.r)
}

// pairOver draws a piece that lies for the most part over another one.
func pairOver(rng *rand.Rand) (p, k piece) {
	k = through(geom.Pt(3, -4), 6*rng.Float64(), 0.5, rng.IntN(4) > 0, rng)
	at := func() geom.Point {
		q := k.at(min(1, max(0, 1.2*rng.Float64()-0.1)))
		n := q.Sub(k.c).Unit()
		if !k.arc() {
			n = k.b.Sub(k.a).Unit().Left()
		}
		return q.Add(n.Mul(3*rng.Float64() - 1.5))
	}
	a, b := at(), at()
	sweep := 0.0
	switch rng.IntN(4) {
	case 0: // a bow of the same centre, or of nearly the same
		if k.arc() {
			c := k.c.Add(geom.Polar(geom.Point{}, float64(rng.IntN(2))*0.3*rng.Float64(), 6*rng.Float64()))
			r, from := k.r*(0.7+0.6*rng.Float64()), k.a.Sub(k.c).Angle()+0.3*rng.Float64()*k.sweep
			turn := k.sweep * (0.1 + 0.8*rng.Float64())
			return piece{a: geom.Polar(c, r, from), b: geom.Polar(c, r, from+turn), c: c, r: r, sweep: turn}, k
		}
	case 1:
	default:
		sweep = 6*rng.Float64() - 3
	}
	return pieceOf(geom.Seg{A: a, B: b, Bulge: geom.BulgeOf(sweep)}), k
}

func TestBoundOverALineOrAnArcIsTheGreatestDistanceFromIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	told, line, untold := 0, 0, 0
	for range 3000 {
		p, k := pairOver(rng)
		if p.length() < 0.01 {
			continue
		}
		got := furthestFromLine
		if k.arc() {
			got = furthestFromArc
		}
		bound := got(&p, &k)
		worst, out, near := 0.0, math.Inf(-1), math.Inf(1)
		for _, q := range points(p, laid) {
			worst, out, near = max(worst, off(k, q)), max(out, past(k, q)), min(near, q.Dist(k.c))
		}
		slack := missed*p.r + 1e-9
		if step := p.length() / laid; k.arc() { // its circles bow the other way
			slack += step * step / (4 * max(near, step))
		}
		switch {
		case !math.IsInf(bound, 1):
			told++
			if !k.arc() {
				line++
			}
			if out > beside+slack {
				t.Errorf("%+v leaves %+v by %g, but is bounded by %g", p, k, out, bound)
			}
			if bound < worst-1e-9 || bound > worst+slack {
				t.Errorf("%+v over %+v: bound %g, by points %g", p, k, bound, worst)
			}
		case !k.arc() && out < beside-slack, k.arc() && !p.arc() && out < -slack:
			t.Errorf("%+v lies over %+v, but has no bound", p, k)
		case k.arc() && out < -slack:
			// About one centre nothing bows out; else the end tangents cross past
			// the cone, or far away.
			cross := p.r / math.Cos(p.sweep/2)
			if p.c.Dist(k.c) < 1e-9 || math.Cos(p.sweep/2) > 0.1 && past(k, geom.Polar(p.c, cross, p.mid().Sub(p.c).Angle())) < -slack {
				t.Errorf("%+v lies over %+v, but has no bound", p, k)
			}
			untold++
		}
	}
	if told < 750 || line < 150 || untold < 10 {
		t.Errorf("%d bounds, %d of them beside lines, %d arcs without", told, line, untold)
	}
}

// Behind the centre of a short arc the cones of its two ends come together:
// nothing there may be taken for being over the arc.
func TestPlaceBehindTheCentreOfAShortArcIsNotOverIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for range 4000 {
		r, sweep := math.Exp(math.Log(0.05)+6*rng.Float64()), 0.002+0.3*rng.Float64()
		k := piece{a: geom.Pt(r, 0), b: geom.Polar(geom.Point{}, r, sweep), r: r, sweep: sweep}
		at := func() geom.Point {
			return geom.Polar(geom.Point{}, min(r, 0.3)*(1.5*rng.Float64()-1), sweep*rng.Float64())
		}
		p := piece{a: at(), b: at()}
		worst := 0.0
		for _, q := range [2]geom.Point{p.a, p.b} {
			d := min(q.Dist(k.a), q.Dist(k.b))
			if past(k, q) < 0 {
				d = off(k, q)
			}
			worst = max(worst, d)
		}
		if bound := furthestFromArc(&p, &k); bound < worst-beside-1e-9 {
			t.Errorf("%+v of %+v: bound %g, an end is %g away", p, k, bound, worst)
		}
	}
}

func TestBoundOfAPlaceIsTheGreatestDistanceFromIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 600 {
		p := through(geom.Pt(1, 2), 6*rng.Float64(), rng.Float64(), rng.IntN(3) > 0, rng)
		q := geom.Pt(40*rng.Float64()-20, 40*rng.Float64()-20)
		if rng.IntN(8) == 0 {
			q = p.c
		}
		worst := 0.0
		for _, x := range points(p, laid) {
			worst = max(worst, x.Dist(q))
		}
		// At the far end of a bow, the point that is missed lies back by the bow
		// of its own circle and of that about q.
		if got := furthestFromPoint(&p, q); got < worst-1e-9 || got > worst+2*missed*p.r+1e-9 {
			t.Errorf("%+v from %v: bound %g, by points %g", p, q, got, worst)
		}
	}
}

// What nothing was cut beside is further off than any limit.
func TestNothingIsInfinitelyFar(t *testing.T) {
	p := piece{a: geom.Pt(1, 2), b: geom.Pt(5, 2)}
	s := span{to: newPieces(nil), from: -1}
	if s.look(&p, 3); !math.IsInf(s.worst, 1) || s.from != 3 || p.dist(s.at) > 1e-9 {
		t.Errorf("%g at %v, piece %d", s.worst, s.at, s.from)
	}
}
