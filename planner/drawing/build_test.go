package drawing

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"pgregory.net/rapid"
)

// deBoor is the textbook rule: basis functions by the Cox-de Boor recursion.
func deBoor(p int, knots []float64, ctrl []geom.Point, w []float64, u float64) geom.Point {
	var basis func(i, p int) float64
	basis = func(i, p int) float64 {
		if p == 0 {
			if knots[i] <= u && u < knots[i+1] {
				return 1
			}
			return 0
		}
		v := 0.0
		if d := knots[i+p] - knots[i]; d > 0 {
			v += (u - knots[i]) / d * basis(i, p-1)
		}
		if d := knots[i+p+1] - knots[i+1]; d > 0 {
			v += (knots[i+p+1] - u) / d * basis(i+1, p-1)
		}
		return v
	}
	var q geom.Point
	sum := 0.0
	for i, c := range ctrl {
		b := basis(i, p) * w[i]
		q, sum = q.Add(c.Mul(b)), sum+b
	}
	return q.Mul(1 / sum)
}

func TestBezierPiecesOfASplineFollowTheBasisFunctions(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := rapid.IntRange(1, 5).Draw(rt, "degree")
		n := p + 1 + rapid.IntRange(0, 6).Draw(rt, "more")
		ctrl := make([]geom.Point, n)
		w := make([]float64, n)
		hp := make([]hpoint, n)
		for i := range ctrl {
			ctrl[i] = geom.Pt(rapid.Float64Range(-50, 50).Draw(rt, "x"), rapid.Float64Range(-50, 50).Draw(rt, "y"))
			w[i] = rapid.Float64Range(0.2, 5).Draw(rt, "w")
			hp[i] = hpoint{ctrl[i].X * w[i], ctrl[i].Y * w[i], w[i]}
		}
		knots := make([]float64, n+p+1)
		for i := 1; i < len(knots); i++ {
			knots[i] = knots[i-1] + rapid.SampledFrom([]float64{0, 0.5, 1, 3}).Draw(rt, "step")
		}
		if !(knots[n] > knots[p]) {
			rt.Skip("no span")
		}
		run := bezierPieces(p, knots, hp, true)
		i := 0
		for k := p; k < n; k++ {
			if knots[k+1] <= knots[k] {
				continue
			}
			for _, u := range []float64{0, 0.25, 0.7} {
				want := deBoor(p, knots, ctrl, w, knots[k]+u*(knots[k+1]-knots[k]))
				got, _ := run[i].at(u)
				if got.Dist(want) > 1e-8 {
					rt.Fatalf("piece %d at %g: %v, want %v", i, u, got, want)
				}
			}
			i++
		}
	})
}

// Source of figures: centre + major cos t + minor sin t, minor = ratio x
// major turned 90 degrees (DXF reference, ELLIPSE codes 11, 40, 41, 42);
// computed apart.
func TestEllipsePointsAreAtTheirParameters(t *testing.T) {
	for _, c := range []struct{ t, x, y float64 }{
		{0, 35, 45},
		{0.523598775598, 20.9807621135, 47.1410161514},
		{0.785398163397, 12.0710678119, 43.8908729653},
		{1.57079632679, -15, 20},
		{3.14159265359, -25, -35},
	} {
		s := smooth{kind: curveEllipse, c: geom.Pt(5, 5), maj: geom.Pt(30, 40), min: geom.Pt(-20, 15), t0: 0, t1: c.t}
		if p, _ := s.at(1); p.Dist(geom.Pt(c.x, c.y)) > 1e-9 {
			t.Errorf("at %g: %v, want (%g, %g)", c.t, p, c.x, c.y)
		}
	}
}

func TestDerivativeIsTheSlopeOfThePoint(t *testing.T) {
	const h = 1e-6 // central difference errs by h^2
	for name, s := range map[string]smooth{
		"ellipse":         {kind: curveEllipse, maj: geom.Pt(3, 4), min: geom.Pt(-2, 1), t0: 1, t1: 3},
		"cubic":           {kind: curveBezier, h: []hpoint{{0, 0, 1}, {1, 2, 1}, {3, -1, 1}, {4, 0, 1}}},
		"rational square": {kind: curveBezier, rational: true, h: []hpoint{{1, 0, 1}, {math.Sqrt2 / 2, math.Sqrt2 / 2, math.Sqrt2 / 2}, {0, 1, 1}}},
	} {
		for _, u := range []float64{0.1, 0.5, 0.9} {
			a, _ := s.at(u - h)
			b, _ := s.at(u + h)
			_, d := s.at(u)
			if got := b.Sub(a).Mul(1 / (2 * h)); got.Dist(d) > 1e-6 {
				t.Errorf("%s at %g: %v, difference %v", name, u, d, got)
			}
		}
	}
}

// Figures from the rule: subtract the base, scale, turn, move (DXF reference,
// INSERT codes 41 to 43 and 50); computed apart.
func TestInsertTransformMovesPoints(t *testing.T) {
	for _, c := range []struct {
		p, base, at, scale geom.Point
		deg                float64
		want               geom.Point
		flips              bool
	}{
		{geom.Pt(2, 1), geom.Pt(0, 0), geom.Pt(10, 20), geom.Pt(2, -1), 90, geom.Pt(11, 24), true},
		{geom.Pt(2, 1), geom.Pt(1, 1), geom.Pt(10, 20), geom.Pt(1, 1), 0, geom.Pt(11, 20), false},
		{geom.Pt(5, 0), geom.Pt(0, 0), geom.Pt(0, 0), geom.Pt(1, 1), 30, geom.Pt(4.33012701892, 2.5), false},
		{geom.Pt(1, 1), geom.Pt(0, 0), geom.Pt(100, 50), geom.Pt(-1, 1), 45, geom.Pt(98.5857864376, 50), true},
	} {
		m := translation(c.at).after(rotation(c.deg)).after(scaling(c.scale.X, c.scale.Y)).after(translation(c.base.Mul(-1)))
		if got := m.apply(c.p); got.Dist(c.want) > 1e-9 || m.mirrors() != c.flips {
			t.Errorf("%v: %v, mirrors %v", c, got, m.mirrors())
		}
		if inv, ok := m.inverse(); !ok || inv.apply(c.want).Dist(c.p) > 1e-9 {
			t.Errorf("%v: inverse %v", c, inv.apply(c.want))
		}
	}
}

func TestArcUnderUnevenScaleBecomesAnEllipse(t *testing.T) {
	b := newBuilder(FormatDXF, plain.Text{})
	b.begin("ARC", 1, 0, 0, false)
	b.setTransform(affine{2, 0, 0, -1, 5, 0})
	b.addArc(geom.Pt(0, 0), 10, 0, math.Pi/2)
	r, l := b.done()
	if l.Bad() || len(r.curves) != 1 {
		t.Fatalf("%v, %d curves", l, len(r.curves))
	}
	run := r.splineOf(r.curves[0])
	for _, u := range []float64{0, 0.5, 1} {
		p, _ := run[0].at(u)
		sin, cos := math.Sincos(u * math.Pi / 2)
		if want := geom.Pt(5+20*cos, -10*sin); p.Dist(want) > 1e-9 {
			t.Errorf("at %g: %v, want %v", u, p, want)
		}
	}
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
