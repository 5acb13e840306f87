package geom_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// By hand: a quarter turn about (1, 2) takes (4, 2) to (1, 5), exactly.
func TestTurnedByQuartersIsExact(t *testing.T) {
	m := geom.Turned(geom.Pt(1, 2), math.Pi/2)
	if got := m.Apply(geom.Pt(4, 2)); got != geom.Pt(1, 5) {
		t.Error(got)
	}
	if got := geom.Turned(geom.Pt(1, 2), -3*math.Pi).Apply(geom.Pt(4, 2)); got != geom.Pt(-2, 2) {
		t.Error(got)
	}
}

func TestAffineMaps(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64Range(-50, 50)
		k := rapid.Float64Range(0.2, 5)
		m := geom.Turned(geom.Pt(v.Draw(rt, "x"), v.Draw(rt, "y")), v.Draw(rt, "turn"))
		x, y := k.Draw(rt, "sx"), k.Draw(rt, "sy")
		n := geom.Stretch(geom.Pt(v.Draw(rt, "x"), v.Draw(rt, "y")), x, -y)
		p := geom.Pt(v.Draw(rt, "px"), v.Draw(rt, "py"))
		both := m.After(n)
		if d := both.Apply(p).Dist(m.Apply(n.Apply(p))); d > 1e-9 {
			rt.Errorf("one after the other is off by %g", d)
		}
		back, ok := both.Back()
		if d := back.Apply(both.Apply(p)).Dist(p); !ok || d > 1e-9 {
			rt.Errorf("back is off by %g", d)
		}
		most, least := both.Stretches() // a turn changes no length
		if math.Abs(most-max(x, y)) > 1e-9 || math.Abs(least-min(x, y)) > 1e-9 || math.Abs(both.Det()+x*y) > 1e-9 {
			rt.Errorf("stretches %g, %g, area %g; want %g, %g", most, least, both.Det(), x, y)
		}
		if !m.Similar() || both.Similar() != (math.Abs(x-y) <= 1e-9*max(x, y)) {
			rt.Error("similar")
		}
	})
	if _, ok := (geom.Affine{A: 1, B: 2, C: 2, D: 4}).Back(); ok {
		t.Error("a flat map has a way back")
	}
}
