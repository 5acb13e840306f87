package drawing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func ngon(n int, r, turn float64, jitter func() float64) geom.Path {
	p := geom.Path{Closed: true}
	for i := range n {
		q := geom.Polar(geom.Pt(100, 80), r, turn+2*math.Pi*float64(i)/float64(n))
		p.V = append(p.V, geom.Vertex{P: q.Add(geom.Pt(jitter(), jitter()))})
	}
	return p
}

func still() float64 { return 0 }

// TestFlattenedCirclesBecomeCircles for 30 to 500 lines whose sagitta is small,
// from any start, jittered by a third of the tolerance.
func TestFlattenedCirclesBecomeCircles(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for _, n := range []int{30, 32, 36, 48, 64, 72, 90, 100, 128, 180, 360, 500} {
		for _, radius := range []float64{2, 5, 10, 30} {
			for _, e := range []float64{0, geom.Fit / 3} {
				p := ngon(n, radius, r.Float64(), func() float64 { return e / math.Sqrt2 * (2*r.Float64() - 1) })
				l := mustRead(t, newDXF().mm().path(p).bytes(), drawing.Options{})
				if len(l.Closed) != 1 || len(l.Closed[0].Path.V) != 2 {
					t.Errorf("%d lines, r %g, jitter %g: %d segments", n, radius, e, len(l.Closed[0].Path.V))
					continue
				}
				s := l.Closed[0].Path.Seg(0)
				if math.Abs(s.Radius()-radius) > e+1e-9 || s.Center().Dist(geom.Pt(100, 80)) > e+1e-9 {
					t.Errorf("%d lines, r %g, jitter %g: radius %g, centre %v", n, radius, e, s.Radius(), s.Center())
				}
				f := find(t, l.Report, "circle")
				if f.Severity != fault.Note || f.Frame != fault.InDrawing || math.Abs(f.X-100) > 0.1 {
					t.Errorf("%v", f.Error())
				}
			}
		}
	}
}

// TestPolygonsStayPolygons: up to 12 corners never, whatever their size; more
// only if nobody could tell.
func TestPolygonsStayPolygons(t *testing.T) {
	for _, n := range []int{3, 4, 5, 6, 8, 10, 12} {
		for _, radius := range []float64{0.5, 5, 10, 100, 1000} {
			l := mustRead(t, newDXF().mm().path(ngon(n, radius, 0.3, still)).bytes(), drawing.Options{})
			if len(l.Closed) != 1 || len(l.Closed[0].Path.V) != n {
				t.Errorf("%d corners, r %g: %d loops", n, radius, len(l.Closed))
				continue
			}
			for i := range n {
				if l.Closed[0].Path.Seg(i).IsArc() {
					t.Errorf("%d corners, r %g: an arc", n, radius)
				}
			}
		}
	}
	// 64 lines on 1 m radius lie 1.2 mm inside the circle: left, and told.
	l := mustRead(t, newDXF().mm().path(ngon(64, 1000, 0, still)).bytes(), drawing.Options{})
	if len(l.Closed[0].Path.V) != 64 {
		t.Errorf("%d segments", len(l.Closed[0].Path.V))
	}
	find(t, l.Report, "facets")
}

func TestFlattenedSlotIsTwoArcsAndTwoLines(t *testing.T) {
	slot := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, -6)}, {P: geom.Pt(40, -6), Bulge: 1}, {P: geom.Pt(40, 6)}, {P: geom.Pt(0, 6), Bulge: 1}}}
	for _, n := range []int{16, 24, 32, 50} { // to the half turn
		for start := range 5 {
			flat := geom.Path{Closed: true}
			for _, s := range slot.Segs() {
				k := 1
				if s.IsArc() {
					k = n
				}
				for i := range k {
					flat.V = append(flat.V, geom.Vertex{P: s.At(float64(i) / float64(k))})
				}
			}
			i := start * len(flat.V) / 5
			flat.V = append(flat.V[i:], flat.V[:i]...)
			l := mustRead(t, newDXF().mm().path(flat).bytes(), drawing.Options{})
			p := l.Closed[0].Path
			if len(p.V) != 4 || math.Abs(p.Area()-slot.Area()) > 1e-6 || math.Abs(p.Length()-slot.Length()) > 1e-6 {
				t.Errorf("%d lines, start %d: %d segments, area %g, want %g", n, start, len(p.V), p.Area(), slot.Area())
			}
		}
	}
}

// TestOtherCurvesKeepTheirShape: what is made an arc lies within the tolerance
// of the lines that were there, on curves that are no arcs.
func TestOtherCurvesKeepTheirShape(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(5, 120).Draw(rt, "n")
		a, b := rapid.Float64Range(1, 200).Draw(rt, "a"), rapid.Float64Range(1, 200).Draw(rt, "b")
		wave := rapid.Float64Range(0, 0.2).Draw(rt, "wave")
		k := float64(rapid.IntRange(2, 9).Draw(rt, "waves"))
		p := geom.Path{Closed: true}
		for i := range n {
			u := 2 * math.Pi * float64(i) / float64(n)
			r := 1 + wave*math.Cos(k*u)
			p.V = append(p.V, geom.Vertex{P: geom.Pt(a*r*math.Cos(u), b*r*math.Sin(u))})
		}
		l := mustRead(rt, newDXF().mm().path(p).bytes(), drawing.Options{})
		if len(l.Closed) != 1 {
			rt.Fatalf("%d loops", len(l.Closed))
		}
		got := geom.IndexPaths(l.Closed[0].Path)
		for _, v := range p.V {
			if d := got.Dist(v.P); d > geom.Fit+geom.Join {
				rt.Fatalf("a corner is %g away", d)
			}
		}
		if d, _ := away([]geom.Path{l.Closed[0].Path}, geom.IndexPaths(p)); d > 0.2+geom.Fit {
			rt.Fatalf("the new path leaves the lines by %g", d)
		}
	})
}
