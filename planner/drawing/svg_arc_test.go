package drawing

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// Worked by the formulae of SVG 2, B.2.4 and B.2.5, apart from this code and
// checked by mapping both ends back; derived, 12 digits. Angles in degrees.
func TestArcsByTheirEndsHaveTheWorkedCentres(t *testing.T) {
	for _, c := range []struct {
		x1, y1, rx, ry, phi  float64
		large, sweep         bool
		x2, y2               float64
		wantRX, wantRY       float64
		cx, cy, theta, delta float64
		midX, midY           float64
	}{
		{100, 100, 50, 25, 30, false, true, 150, 130, 50, 25, 113.670287097, 131.892479273, -123.759019138, 71.3719742914, 127.619249382, 111.09472753},
		{100, 100, 50, 25, 30, true, true, 150, 130, 50, 25, 136.329712903, 98.1075207268, 127.612955154, 288.628025709, 150.278675187, 77.3097689836},
		{100, 100, 50, 25, 30, false, false, 150, 130, 50, 25, 136.329712903, 98.1075207268, 127.612955154, -71.3719742914, 122.380750618, 118.90527247},
		{100, 100, 50, 25, 30, true, false, 150, 130, 50, 25, 113.670287097, 131.892479273, -123.759019138, -288.628025709, 99.7213248129, 152.690231016},
		{0, 0, 10, 10, 0, false, true, 100, 0, 50, 50, 50, 0, 180, 180, 50, -50},
		{0, 0, 50, 50, 0, false, true, 60, 0, 50, 50, 30, 40, -126.869897646, 73.7397952917, 30, -10},
		{0, 0, 30, 20, 0, true, false, 0, 30, 30, 20, -19.843134833, 15, -48.5903778907, -262.819244219, -49.843134833, 15},
		{10, 0, 10, 10, 0, false, true, 0, 10, 10, 10, 0, 0, 0, 90, 7.07106781187, 7.07106781187},
	} {
		a, ok := arcByEnds(geom.Pt(c.x1, c.y1), geom.Pt(c.x2, c.y2), c.rx, c.ry, c.phi, c.large, c.sweep)
		if !ok {
			t.Errorf("%v: no arc", c)
			continue
		}
		const digits = 1e-8
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > digits {
				t.Errorf("%v: %s %.10g, want %.10g", c, what, got, want)
			}
		}
		turn := func(deg float64) float64 { return math.Mod(deg+540, 360) - 180 }
		near("rx", a.rx, c.wantRX)
		near("ry", a.ry, c.wantRY)
		near("cx", a.c.X, c.cx)
		near("cy", a.c.Y, c.cy)
		near("theta", math.Abs(turn(a.t0*180/math.Pi-c.theta)), 0)
		near("delta", a.sweep*180/math.Pi, c.delta)
		r := rotation(a.turn)
		sin, cos := math.Sincos(a.t0 + a.sweep/2)
		mid := a.c.Add(r.vector(geom.Pt(a.rx*cos, a.ry*sin)))
		near("middle x", mid.X, c.midX)
		near("middle y", mid.Y, c.midY)
	}
}

// SVG 2, 9.5.1, out of range parameters.
func TestArcsWithoutAnArcAreLinesOrNothing(t *testing.T) {
	if _, ok := arcByEnds(geom.Pt(0, 0), geom.Pt(10, 0), 0, 5, 0, false, true); ok {
		t.Error("a radius of 0 makes an arc")
	}
	if _, ok := arcByEnds(geom.Pt(3, 4), geom.Pt(3, 4), 5, 5, 0, true, true); ok {
		t.Error("equal ends make an arc")
	}
	if a, ok := arcByEnds(geom.Pt(0, 0), geom.Pt(10, 0), -20, -20, 0, false, true); !ok || a.rx != 20 {
		t.Error("a negative radius does not count as its size")
	}
}

func TestArcsMeetBothTheirEnds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		at := rapid.Float64Range(-500, 500)
		p, q := geom.Pt(at.Draw(rt, "x1"), at.Draw(rt, "y1")), geom.Pt(at.Draw(rt, "x2"), at.Draw(rt, "y2"))
		rx, ry := rapid.Float64Range(0.1, 900).Draw(rt, "rx"), rapid.Float64Range(0.1, 900).Draw(rt, "ry")
		turn := rapid.Float64Range(-400, 400).Draw(rt, "turn")
		large, positive := rapid.Bool().Draw(rt, "large"), rapid.Bool().Draw(rt, "sweep")
		a, ok := arcByEnds(p, q, rx, ry, turn, large, positive)
		if !ok {
			return
		}
		at2 := func(t float64) geom.Point {
			sin, cos := math.Sincos(t)
			return a.c.Add(rotation(a.turn).vector(geom.Pt(a.rx*cos, a.ry*sin)))
		}
		scale := 1 + a.rx + a.ry
		if d := at2(a.t0).Dist(p) + at2(a.t0+a.sweep).Dist(q); d > 1e-7*scale { // asin and sqrt near their ends lose half the digits
			rt.Fatalf("ends off by %g: %+v", d, a)
		}
		if (a.sweep > 0) != positive {
			rt.Fatalf("sweep %g", a.sweep)
		}
		if l := math.Abs(a.sweep); a.rx == rx && math.Abs(l-math.Pi) > 1e-6 && (l > math.Pi) != large {
			rt.Fatalf("large %v, sweep %g", large, a.sweep)
		}
	})
}
