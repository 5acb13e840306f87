package proof

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// through returns a piece that runs through x at the part t of its length, in
// the direction way (rad) there.
func through(x geom.Point, way, t float64, arc bool, rng *rand.Rand) piece {
	if !arc {
		l := 1 + 30*rng.Float64()
		return piece{a: geom.Polar(x, -t*l, way), b: geom.Polar(x, (1-t)*l, way)}
	}
	r := 0.5 + 20*rng.Float64()
	sweep := (0.3 + (math.Pi-0.3)*rng.Float64()) * float64(1-2*rng.IntN(2))
	side := way + math.Copysign(math.Pi/2, sweep) // towards the centre
	c := geom.Polar(x, r, side)
	start := side + math.Pi - t*sweep
	return piece{a: geom.Polar(c, r, start), b: geom.Polar(c, r, start+sweep), c: c, r: r, sweep: sweep}
}

// until returns the first part of a piece, by the plain circle formulas.
func until(p piece, t float64) piece {
	q := p
	if p.sweep == 0 {
		q.b = geom.Pt(p.a.X+t*(p.b.X-p.a.X), p.a.Y+t*(p.b.Y-p.a.Y))
		return q
	}
	q.sweep *= t
	q.b = geom.Polar(p.c, p.r, math.Atan2(p.a.Y-p.c.Y, p.a.X-p.c.X)+q.sweep)
	return q
}

// Pairs that cross at a known place, and the same ones with one or both ended
// before it.
func TestPiecesMeetWhereTheyCrossAndNotShortOfIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	short := 0
	for range 400 {
		x := geom.Pt(40*rng.Float64()-20, 40*rng.Float64()-20)
		way := 2 * math.Pi * rng.Float64()
		s, u := 0.2+0.6*rng.Float64(), 0.2+0.6*rng.Float64()
		p := through(x, way, s, rng.IntN(3) > 0, rng)
		q := through(x, way+0.3+2.5*rng.Float64(), u, rng.IntN(3) > 0, rng)
		if d := p.dist(x) + q.dist(x); d > 1e-9 {
			t.Fatalf("the place lies %g beside the pieces", d)
		}
		if d := apart(&p, &q); d != 0 {
			t.Errorf("%+v and %+v cross at %v, apart %g", p, q, x, d)
		}
		ps, qs := until(p, s-0.1), until(q, u-0.1)
		for _, pair := range [][2]piece{{ps, q}, {p, qs}, {ps, qs}} {
			a, b := pair[0], pair[1]
			want := math.Inf(1)
			for _, y := range points(a, steps) {
				want = min(want, b.dist(y))
			}
			got := apart(&a, &b)
			if got > want+1e-9 || got < want-step(a)/2-1e-9 {
				t.Errorf("%+v and %+v: apart %g, by points %g", a, b, got, want)
			}
			if want > step(a) {
				short++
			}
		}
	}
	if short < 400 {
		t.Errorf("only %d pairs stay apart", short)
	}
}

func TestPlaceAtAPartOfAPiece(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for i := range 100 {
		p := through(geom.Pt(3, -4), 6*rng.Float64(), rng.Float64(), i%3 > 0, rng)
		for k, want := range points(p, 8) {
			if got := p.at(float64(k) / 8); got.Dist(want) > 1e-9 {
				t.Errorf("%+v at %d/8: %v, must be %v", p, k, got, want)
			}
		}
		want := geom.EmptyBox()
		for _, q := range points(p, steps) {
			want = want.Add(q)
		}
		// Between two points an arc bows out by r (step/r)^2 / 8.
		if b := p.box(); !want.Grow(0.001).Encloses(b) {
			t.Errorf("%+v: the box %v is wider than its points %v", p, b, want)
		}
	}
}

// A place beside the cone of an arc by a known amount, square to its edge.
func TestSlackBesideTheConeOfAnArcIsALength(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	for range 200 {
		p := through(geom.Pt(1, 2), 6*rng.Float64(), 0.5, true, rng)
		if math.Abs(p.sweep) > 2.5 {
			continue // near the centre the other edge is as near
		}
		const slack = 0.01
		for _, end := range []geom.Point{p.a, p.b} {
			u := end.Sub(p.c).Mul(1 / p.r)
			out := u.Left() // away from the arc
			if (p.sweep > 0) == (end == p.a) {
				out = out.Mul(-1)
			}
			foot := p.c.Add(u.Mul(p.r * (0.5 + rng.Float64())))
			for _, off := range []float64{-0.02, 0.008, 0.012, 0.3} {
				if got := p.over(foot.Add(out.Mul(off)), slack); got != (off <= slack) {
					t.Errorf("%+v: %g beside its cone, slack %g: %v", p, off, slack, got)
				}
			}
		}
	}
}
