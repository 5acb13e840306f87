package drawing

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// Figures: equal-handle biarcs, R = (L^2+h^2)/(4h) for the S curve, worked
// apart by the closed formulas.
func TestBiarcWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		name          string
		p, t, q, u, j geom.Point
		r1, r2        float64 // positive left, 0 a line
	}{
		{"S curve", geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(10, 5), geom.Pt(1, 0), geom.Pt(5, 2.5), 6.25, -6.25},
		{"quarter circle", geom.Pt(10, 0), geom.Pt(0, 1), geom.Pt(0, 10), geom.Pt(-1, 0), geom.Pt(7.07106781187, 7.07106781187), 10, 10},
		{"C curve", geom.Pt(0, 0), geom.Pt(0, 1), geom.Pt(20, 0), geom.Pt(0.6, -0.8), geom.Pt(7.68337520964, 6.94987437107), -6.98488655422, -17.5951782719},
		{"corner", geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(30, 10), geom.Pt(0, 1), geom.Pt(20, 0), 0, 10},
	} {
		a, b, ok := biarc(c.p, c.t, c.q, c.u)
		if !ok || a.B.Dist(c.j) > 1e-9 {
			t.Errorf("%s: joint %v, want %v", c.name, a.B, c.j)
			continue
		}
		for i, s := range []geom.Seg{a, b} {
			want := []float64{c.r1, c.r2}[i]
			got := 0.0
			if s.IsArc() {
				got = math.Copysign(s.Radius(), s.Bulge)
			}
			if math.Abs(got-want) > 1e-8 {
				t.Errorf("%s: radius %d is %g, want %g", c.name, i+1, got, want)
			}
		}
		if d := a.Tangent(1).Dist(b.Tangent(0)); d > 1e-9 {
			t.Errorf("%s: a kink of %g at the joint", c.name, d)
		}
	}
	if _, _, ok := biarc(geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(-10, 0), geom.Pt(1, 0)); ok {
		t.Error("no two half circles run back along their own tangent")
	}
}

func quarterEllipse() smooth {
	return smooth{kind: curveEllipse, maj: geom.Pt(50, 0), min: geom.Pt(0, 30), t0: 0, t1: math.Pi / 2}
}

// deviation is the largest distance of the curve from the arcs and of the arcs
// from the curve, both on n points of each piece.
func deviation(r curveRun, p geom.Path, n int) (out, back float64) {
	x := geom.IndexPaths(p)
	var flat geom.Path
	for i := range r {
		for k := range n + 1 {
			q, _ := r[i].at(float64(k) / float64(n))
			out = max(out, x.Dist(q))
			flat.V = append(flat.V, geom.Vertex{P: q})
		}
	}
	y := geom.IndexPaths(flat)
	for i := range p.NumSegs() {
		for k := range 101 {
			back = max(back, y.Dist(p.Seg(i).At(float64(k)/100)))
		}
	}
	return
}

// Deviations on a quarter of the ellipse 50 x 30 with 1, 2, 4, 8 and 16 biarcs
// of equal parameter steps: third order; computed apart, 401 samples a piece.
func TestBiarcsConvergeByTheThirdPower(t *testing.T) {
	for n, want := range map[int]float64{1: 1.75487805092, 2: 0.110300255782, 4: 0.019140127555, 8: 0.00193847385101, 16: 0.000219620000703} {
		s := quarterEllipse()
		var segs []geom.Seg
		for k := range n {
			u, v := float64(k)/float64(n), float64(k+1)/float64(n)
			p, _ := s.at(u)
			q, _ := s.at(v)
			a, b, ok := biarc(p, s.tangent(u), q, s.tangent(v))
			if !ok {
				t.Fatal("no biarc")
			}
			segs = append(segs, a, b)
		}
		out, back := deviation(curveRun{s}, geom.FromSegs(segs, false), 4000)
		if math.Abs(out-want) > 0.002*want || back > out+1e-5 { // the curve's own points are 0.02 mm apart
			t.Errorf("%d biarcs: %g and back %g, want %g", n, out, back, want)
		}
	}
}

// TestFitStaysWithinToleranceBothWays on the ellipse and on random Béziers and
// splines, with tangents that run on and a bounded number of arcs.
func TestFitStaysWithinToleranceBothWays(t *testing.T) {
	fit := func(fail func(string, ...any), r curveRun, tol float64, most, n int) geom.Path {
		f := fitter{tol: tol, budget: 1 << 40}
		_, end := r.ends()
		p := geom.Path{V: append(f.run(nil, r, 0), geom.Vertex{P: end})}
		out, back := deviation(r, p, n)
		if out > tol || back > 1.02*tol { // the points to measure by lie apart
			fail("tolerance %g: curve %g from arcs, arcs %g from curve", tol, out, back)
		}
		if p.NumSegs() > most {
			fail("tolerance %g: %d arcs, more than %d", tol, p.NumSegs(), most)
		}
		return p
	}
	// 2 biarcs of equal steps reach 0.11, 4 reach 0.019, 8 reach 0.0019: free
	// steps do about as well.
	for tol, most := range map[float64]int{0.1: 6, 0.01: 12, 0.001: 22, 0.0001: 46} {
		p := fit(t.Fatalf, curveRun{quarterEllipse()}, tol, most, 4000)
		t.Logf("ellipse 50 x 30, a quarter, within %g: %d arcs", tol, p.NumSegs())
		for i := 1; i < p.NumSegs(); i++ {
			if d := p.Seg(i - 1).Tangent(1).Dist(p.Seg(i).Tangent(0)); d > 1e-6 {
				t.Errorf("a kink of %g", d)
			}
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		coord := rapid.Float64Range(-100, 100)
		n := rapid.IntRange(3, 8).Draw(rt, "points")
		ctrl := make([]hpoint, n)
		rational := rapid.Bool().Draw(rt, "rational")
		for i := range ctrl {
			w := 1.0
			if rational {
				w = rapid.Float64Range(0.2, 5).Draw(rt, "w")
			}
			ctrl[i] = hpoint{coord.Draw(rt, "x") * w, coord.Draw(rt, "y") * w, w}
		}
		d := rapid.IntRange(1, min(n-1, 5)).Draw(rt, "degree")
		for i := 1; i < n && ctrl[i].x/ctrl[i].w == ctrl[0].x/ctrl[0].w && ctrl[i].y/ctrl[i].w == ctrl[0].y/ctrl[0].w; i++ {
			if i == n-1 {
				rt.Skip("all one point")
			}
		}
		knots := clampedKnots(n, d)
		fit(rt.Fatalf, bezierPieces(d, knots, ctrl, rational), geom.Fit, 1000, 4000)
	})
}

// TestCurveIsFittedAlikeFromEitherEnd, so that a copy drawn the other way is
// known for a double.
func TestCurveIsFittedAlikeFromEitherEnd(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.Float64Range(-100, 100)
		h := make([]hpoint, 4)
		for i := range h {
			h[i] = hpoint{c.Draw(rt, "x"), c.Draw(rt, "y"), 1}
		}
		r := curveRun{{kind: curveBezier, h: h}}
		f := fitter{tol: geom.Fit, budget: 1 << 40}
		p, q := r.ends()
		if p.Dist(q) < geom.Join {
			rt.Skip("a closed curve has no first end")
		}
		a := geom.Path{V: append(f.run(nil, r, 0), geom.Vertex{P: q})}
		b := geom.Path{V: append(f.run(nil, r.reverse(), 0), geom.Vertex{P: p})}.Reverse()
		if len(a.V) != len(b.V) {
			rt.Fatalf("%d and %d arcs", a.NumSegs(), b.NumSegs())
		}
		for i := range a.V {
			if a.V[i].P.Dist(b.V[i].P) > 1e-9 {
				rt.Fatalf("vertex %d: %v and %v", i, a.V[i], b.V[i])
			}
		}
	})
}

// A circle of four cubics with the usual handle 0.5523 r is out by up to
// 2.7e-4 of its radius, so at 100 mm by 0.027: more than the tolerance, and
// yet the circle is what was meant, with the diameter of its joints.
func TestCubicsThatStandForACircleAreArcs(t *testing.T) {
	for _, k := range []float64{0.552284749831, 0.551915024494} { // 4/3 (sqrt 2 - 1); least greatest error
		for _, r := range []float64{1.5, 10, 100, 400} {
			for _, round := range []float64{0, 1e-3} {
				dir := geom.Pt(1, 0)
				for range 4 {
					n := dir.Left()
					at := func(p geom.Point) hpoint {
						if round > 0 {
							p = geom.Pt(math.Round(p.X/round)*round, math.Round(p.Y/round)*round)
						}
						return hpoint{p.X, p.Y, 1}
					}
					s := smooth{kind: curveBezier, h: []hpoint{at(dir.Mul(r)), at(dir.Mul(r).Add(n.Mul(k * r))), at(n.Mul(r).Add(dir.Mul(k * r))), at(n.Mul(r))}}
					seg, ok := s.asSeg()
					if !ok || math.Abs(seg.Radius()-r) > max(1e-9*r, 3*round) {
						t.Errorf("k %g, r %g, rounded to %g: %v, radius %g", k, r, round, ok, seg.Radius())
					}
					dir = n
				}
			}
		}
	}
	// A quarter of an ellipse by the same construction is none.
	s := smooth{kind: curveBezier, h: []hpoint{{50, 0, 1}, {50, 30 * 0.5523, 1}, {50 * 0.5523, 30, 1}, {0, 30, 1}}}
	if seg, ok := s.asSeg(); ok {
		t.Errorf("an ellipse became %v", seg)
	}
}

func TestCuspsAndFoldsEnd(t *testing.T) {
	for name, h := range map[string][]hpoint{
		"cusp":              {{0, 0, 1}, {100, 100, 1}, {0, 100, 1}, {100, 0, 1}},
		"loop":              {{0, 0, 1}, {200, 100, 1}, {-100, 100, 1}, {100, 0, 1}},
		"handles on points": {{0, 0, 1}, {0, 0, 1}, {100, 50, 1}, {100, 50, 1}},
		"there and back":    {{0, 0, 1}, {200, 0, 1}, {-100, 0, 1}, {100, 0, 1}},
		"closed drop":       {{0, 0, 1}, {100, 100, 1}, {-100, 100, 1}, {0, 0, 1}},
	} {
		r := curveRun{{kind: curveBezier, h: h}}
		f := fitter{tol: geom.Fit, budget: 1_000_000}
		_, end := r.ends()
		p := geom.Path{V: append(f.run(nil, r, 0), geom.Vertex{P: end})}
		if f.spent() {
			t.Errorf("%s: took %d steps", name, f.work)
		}
		if out, back := deviation(r, p, 4000); out > geom.Fit || back > 1.01*geom.Fit {
			t.Errorf("%s: curve %g from arcs, arcs %g from curve", name, out, back)
		}
		t.Logf("%s: %d arcs, %d steps", name, p.NumSegs(), f.work)
	}
}
