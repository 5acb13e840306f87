package geom_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

func TestTolerancesAreInOrder(t *testing.T) {
	chain := []float64{geom.Flat, geom.Meet, geom.Same, geom.Join, geom.Fit, geom.Proof, geom.Gap}
	for i := 1; i < len(chain); i++ {
		if chain[i-1] >= chain[i] {
			t.Errorf("tolerance %d (%g) is not under the next (%g)", i-1, chain[i-1], chain[i])
		}
	}
}

// Figures: bulge = tan(sweep/4), closed formulas of the circular segment;
// computed apart with python3.
func TestArcFromBulgeHasItsClosedFormMeasures(t *testing.T) {
	s := geom.Seg{A: geom.Pt(0, 0), B: geom.Pt(10, 0), Bulge: 0.5}
	near(t, "radius", s.Radius(), 6.25, 1e-12)
	near(t, "centre x", s.Center().X, 5, 1e-12)
	near(t, "centre y", s.Center().Y, 3.75, 1e-12)
	near(t, "mid x", s.Mid().X, 5, 1e-12)
	near(t, "mid y", s.Mid().Y, -2.5, 1e-12)
	near(t, "sweep", s.Sweep()*180/math.Pi, 106.260205, 1e-6)
	near(t, "length", s.Length(), 11.5911902, 1e-6)
	near(t, "at half", s.At(0.5).Dist(s.Mid()), 0, 1e-12)
	near(t, "box", s.Box().Min.Y, -2.5, 1e-12)
}

func TestBigArcIsSplitAtItsMiddle(t *testing.T) {
	s := geom.Seg{A: geom.Pt(1, 0), B: geom.Pt(0, 1), Bulge: -geom.BulgeOf(3 * math.Pi / 2)}
	parts := s.Split()
	if len(parts) != 2 {
		t.Fatalf("%d parts", len(parts))
	}
	near(t, "length", parts[0].Length()+parts[1].Length(), 3*math.Pi/2, 1e-9)
	for _, p := range parts {
		if math.Abs(p.Bulge) > 1 {
			t.Errorf("bulge %g", p.Bulge)
		}
	}
	near(t, "middle on arc", parts[0].B.Dist(s.Center()), s.Radius(), 1e-12)
}

// Slot, ring and rounded rectangle: handbook formulas w(L-w)+pi w^2/4,
// pi(R^2-r^2), wh-(4-pi)r^2.
func TestAreasOfHandbookShapes(t *testing.T) {
	slot := geom.Path{V: []geom.Vertex{{P: geom.Pt(5, 0)}, {P: geom.Pt(35, 0), Bulge: 1}, {P: geom.Pt(35, 10)}, {P: geom.Pt(5, 10), Bulge: 1}}, Closed: true}
	near(t, "slot 40 x 10", slot.Area(), 378.5398163, 1e-6)
	near(t, "slot perimeter", slot.Length(), 91.41592654, 1e-7)
	ring := geom.Circle(geom.Pt(3, 4), 50).Area() - geom.Circle(geom.Pt(3, 4), 30).Area()
	near(t, "ring 100/60", ring, 5026.548246, 1e-5)
	b := geom.BulgeOf(math.Pi / 2)
	rr := geom.Path{V: []geom.Vertex{{P: geom.Pt(10, 0)}, {P: geom.Pt(90, 0), Bulge: b}, {P: geom.Pt(100, 10)}, {P: geom.Pt(100, 50), Bulge: b},
		{P: geom.Pt(90, 60)}, {P: geom.Pt(10, 60), Bulge: b}, {P: geom.Pt(0, 50)}, {P: geom.Pt(0, 10), Bulge: b}}, Closed: true}
	near(t, "rounded rectangle", rr.Area(), 5914.159265, 1e-6)
	near(t, "its perimeter", rr.Length(), 302.8318531, 1e-7)
	near(t, "reversed", rr.Reverse().Area(), -5914.159265, 1e-6)
	seg := geom.Path{V: []geom.Vertex{{P: geom.Pt(10, 0), Bulge: b}, {P: geom.Pt(0, 10)}}, Closed: true}
	near(t, "circular segment r 10, 90 deg", seg.Area(), 28.53981634, 1e-8)
}

func anyLoop(rt *rapid.T) geom.Path {
	n := rapid.IntRange(2, 9).Draw(rt, "n")
	p := geom.Path{Closed: true}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		r := rapid.Float64Range(5, 50).Draw(rt, "r")
		p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(7, -3), r, a), Bulge: rapid.Float64Range(-1, 1).Draw(rt, "bulge"), Src: int32(i)})
	}
	return p
}

func TestReverseTwiceIsTheSame(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyLoop(rt)
		if rapid.Bool().Draw(rt, "open") {
			p.Closed = false
			p.V[len(p.V)-1].Bulge = 0
		}
		q := p.Reverse().Reverse()
		for i := range p.NumSegs() {
			if p.Seg(i) != q.Seg(i) || p.V[i].Src != q.V[i].Src {
				rt.Fatalf("segment %d: %v, %v", i, p.Seg(i), q.Seg(i))
			}
		}
		near(t, "length", p.Reverse().Length(), p.Length(), 1e-9)
	})
}

func TestNearestAndBoxAgreeWithFlattenedPath(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyLoop(rt)
		q := geom.Pt(rapid.Float64Range(-90, 90).Draw(rt, "x"), rapid.Float64Range(-90, 90).Draw(rt, "y"))
		best, box := math.Inf(1), geom.EmptyBox()
		pts := p.Flatten(1e-4)
		for i, a := range pts {
			best = min(best, geom.Line(a, pts[(i+1)%len(pts)]).Dist(q))
			box = box.Add(a)
		}
		seg, u, at, d := p.Nearest(q)
		if math.Abs(d-best) > 2e-4 {
			rt.Fatalf("nearest %g, flattened %g", d, best)
		}
		if p.Seg(seg).At(u).Dist(at) > 1e-6 || math.Abs(at.Dist(q)-d) > 1e-9 {
			rt.Fatalf("part %g of segment %d is not the point %v", u, seg, at)
		}
		if b := p.Box(); math.Abs(b.Min.X-box.Min.X)+math.Abs(b.Max.Y-box.Max.Y) > 1e-3 {
			rt.Fatalf("box %v, flattened %v", b, box)
		}
		w := 0
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			side := b.Sub(a).Cross(q.Sub(a))
			if a.Y <= q.Y && b.Y > q.Y && side > 0 {
				w++
			}
			if a.Y > q.Y && b.Y <= q.Y && side < 0 {
				w--
			}
		}
		if best > 1e-3 && w != p.Winding(q) {
			rt.Fatalf("winding %d, flattened %d", p.Winding(q), w)
		}
	})
}

func TestStartAtKeepsAreaAndLength(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyLoop(rt)
		i := rapid.IntRange(0, len(p.V)-1).Draw(rt, "i")
		u := rapid.Float64Range(0, 1).Draw(rt, "t")
		q := p.StartAt(i, u)
		if math.Abs(q.Area()-p.Area()) > geom.Flat*p.Length() || // a piece under Flat becomes straight
			math.Abs(q.Length()-p.Length()) > 1e-6 || q.Start().Dist(p.Seg(i).At(u)) > geom.Same {
			rt.Fatalf("start at %d, %g: area %g -> %g", i, u, p.Area(), q.Area())
		}
	})
}

// The chord of an arc is no edge: points on it are inside or outside like
// their neighbours.
func TestWindingOnAChord(t *testing.T) {
	for _, turn := range []float64{0, math.Pi / 4, math.Pi / 2, 1, math.Pi, 4} {
		m := geom.Move{Angle: turn}
		c := m.Path(geom.Circle(geom.Pt(0, 0), 5))
		for _, x := range []float64{-7, -4, 0, 0.5, 4.999, 5.001} {
			want := 0
			if math.Abs(x) < 5 {
				want = 1
			}
			if q := m.Apply(geom.Pt(x, 0)); c.Winding(q) != want || c.Reverse().Winding(q) != -want {
				t.Errorf("turned %g: winding %d round %v", turn, c.Winding(q), q)
			}
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 8).Draw(rt, "n")
		p := geom.Path{Closed: true}
		for range n {
			co := rapid.IntRange(-4, 4)
			p.V = append(p.V, geom.Vertex{P: geom.Pt(float64(co.Draw(rt, "x")), float64(co.Draw(rt, "y"))), Bulge: rapid.SampledFrom([]float64{0, 1, -1, 0.5, -0.3}).Draw(rt, "bulge")})
		}
		q := geom.Pt(float64(rapid.IntRange(-8, 8).Draw(rt, "qx"))/2, float64(rapid.IntRange(-8, 8).Draw(rt, "qy"))/2)
		if _, _, _, d := p.Nearest(q); d < 0.01 {
			rt.Skip("on the path")
		}
		// Next to a chord nothing is straight.
		if near := q.Add(geom.Pt(1.3e-5, 1.7e-5)); p.Winding(q) != p.Winding(near) {
			rt.Fatalf("winding %d, beside it %d", p.Winding(q), p.Winding(near))
		}
	})
}
