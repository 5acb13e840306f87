package motion_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/motion"
	"pgregory.net/rapid"
)

// TestPlaceOnAStraight: uniformly accelerated motion by its textbook formulas
// (s = a t^2 / 2, s = v t), worked by hand: 100 mm at 50 mm/s, 500 mm/s2. The
// ramps take 0.1 s and 2.5 mm each, the whole 2.1 s.
func TestPlaceOnAStraight(t *testing.T) {
	p := motion.Plan(geom.Path{V: []geom.Vertex{{}, {P: geom.Pt(100, 0)}}}, 3000, motion.Limits{Accel: 500, Deviation: 0.05})
	for _, c := range [][2]float64{{0, 0}, {0.05, 0.625}, {0.1, 2.5}, {1.05, 50}, {2, 97.5}, {2.05, 99.375}, {2.1, 100}, {9, 100}, {-1, 0}} {
		near(t, "place", p.Along(c[0]), c[1], 1e-9)
	}
}

// TestPlaceNeverGoesBackAndArrives on paths of any shape.
func TestPlaceNeverGoesBackAndArrives(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		path := anyPath(rt)
		p := motion.Plan(path, rapid.Float64Range(500, 8000).Draw(rt, "feed"), motion.Limits{Accel: 800, Deviation: 0.05})
		was, step := 0.0, p.Time/200
		for i := range 201 {
			now := p.Along(float64(i) * step)
			if now < was-1e-9 {
				rt.Fatalf("back from %g to %g", was, now)
			}
			if now-was > step*8000/60+1e-6 {
				rt.Fatalf("%g mm in %g s", now-was, step)
			}
			was = now
		}
		if math.Abs(p.Along(p.Time)-path.Length()) > 1e-6 {
			rt.Fatalf("arrives at %g of %g", p.Along(p.Time), path.Length())
		}
	})
}
