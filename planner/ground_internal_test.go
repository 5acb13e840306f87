package planner

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// What Within says of a segment agrees with points walked along it.
func TestSegmentIsNearWhereItsPointsAre(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		pt := func(what string) geom.Point {
			return geom.Pt(rapid.Float64Range(-30, 30).Draw(rt, what+"x"), rapid.Float64Range(-30, 30).Draw(rt, what+"y"))
		}
		g := &ground{plate: geom.EmptyBox()}
		if rapid.Bool().Draw(rt, "round") {
			g.own = geom.Circle(pt("c"), rapid.Float64Range(2, 25).Draw(rt, "r"))
		} else {
			g.own = geom.Path{Closed: true, V: []geom.Vertex{{P: pt("a"), Bulge: rapid.Float64Range(-1, 1).Draw(rt, "bulge")}, {P: pt("b")}, {P: pt("d")}}}
		}
		if rapid.Bool().Draw(rt, "others") {
			g.stays(geom.Circle(pt("o"), rapid.Float64Range(1, 10).Draw(rt, "or")))
		}
		g.ready()
		sg := geom.Seg{A: pt("from"), B: pt("to"), Bulge: rapid.SampledFrom([]float64{0, 0, 0.3, -1, 1, 2.4}).Draw(rt, "seg")}
		if sg.A.Near(sg.B) {
			return
		}
		d := rapid.Float64Range(0.1, 8).Draw(rt, "d")
		const n = 4000
		least := math.Inf(1)
		for i := range n + 1 {
			q := sg.At(float64(i) / n)
			far := math.Inf(1)
			for _, p := range append([]geom.Path{g.own}, g.others...) {
				_, _, _, e := p.Nearest(q)
				far = min(far, e)
			}
			if math.Abs(far-g.Dist(q)) > 1e-6 {
				rt.Fatalf("at %v: %g away, Dist says %g", q, far, g.Dist(q))
			}
			least = min(least, far)
		}
		// Distance changes no faster than the point moves.
		if step := sg.Length() / n; math.Abs(least-d) > step && g.Within(sg, d) != (least < d) {
			rt.Fatalf("%v comes within %g, asked for %g", sg, least, d)
		}
	})
}

func TestFullCircleIsToldHoweverItIsCut(t *testing.T) {
	c := geom.Circle(geom.Pt(3, 4), 10)
	for name, p := range map[string]geom.Path{"two halves": c, "started elsewhere": c.StartAt(0, 0.3)} {
		if at, r, ok := circleOf(p); !ok || !at.Near(geom.Pt(3, 4)) || math.Abs(r-10) > 1e-9 {
			t.Errorf("%s: %v %g %v", name, at, r, ok)
		}
	}
	bean := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 0), Bulge: 1}, {P: geom.Pt(10, 0), Bulge: 0.5}}}
	if _, _, ok := circleOf(bean); ok {
		t.Error("a bean is a circle")
	}
}
