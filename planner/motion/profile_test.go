package motion_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/motion"
	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g", what, got, want)
	}
}

// Closed forms L/v + v/a and 2 sqrt(L/a), worked apart with python3.
func TestRestToRestTimes(t *testing.T) {
	for _, c := range []struct{ l, f, a, s float64 }{
		{100, 2540, 500, 2.4468714}, {10, 2540, 500, 0.32088714}, {3, 2540, 500, 0.15491933}, {1000, 2540, 500, 23.706714}, {500, 15000, 1000, 2.25},
	} {
		near(t, "time", motion.RestToRest(c.l, c.f, c.a), c.s, 1e-6)
		p := motion.Plan(geom.Path{V: []geom.Vertex{{}, {P: geom.Pt(c.l, 0)}}}, c.f, motion.Limits{Accel: c.a, Deviation: 0.05})
		near(t, "profile", p.Time, c.s, 1e-6)
	}
	near(t, "100 mm at 50 mm/s", motion.RestToRest(100, 3000, 500), 2.1, 1e-12)
}

// v^2 = a d sin(t/2)/(1 - sin(t/2)), worked apart with python3.
func TestCornerSpeeds(t *testing.T) {
	lim := motion.Limits{Accel: 500, Deviation: 0.05}
	for _, c := range []struct{ deg, v float64 }{{90, 7.76887}, {120, 12.7123}, {150, 26.6213}, {170, 80.8998}} {
		turn := math.Pi - c.deg*math.Pi/180
		in := geom.Line(geom.Pt(-1e5, 0), geom.Pt(0, 0))
		out := geom.Line(geom.Pt(0, 0), geom.Polar(geom.Point{}, 1e5, turn))
		near(t, "joint", motion.JointSpeed(in, out, lim), c.v, 1e-4)
	}
	near(t, "90 deg at 1000 mm/s2", motion.JointSpeed(geom.Line(geom.Pt(-1e5, 0), geom.Pt(0, 0)), geom.Line(geom.Pt(0, 0), geom.Pt(0, 1e5)),
		motion.Limits{Accel: 1000, Deviation: 0.05}), 10.99, 5e-3)
}

// sqrt(a r): 1897.37, 3000, 4242.64 mm/min at radius 2, 5, 10 and 500 mm/s2.
func TestArcSpeedIsHeldByItsRadius(t *testing.T) {
	for _, c := range []struct{ r, f float64 }{{2, 1897.37}, {5, 3000}, {10, 4242.64}} {
		circle := geom.Circle(geom.Pt(0, 0), c.r)
		p := motion.Plan(circle, 1e6, motion.Limits{Accel: 500, Deviation: 0.05})
		top := 0.0
		for _, s := range p.Segs {
			top = max(top, s.Peak)
		}
		if 60*top > c.f+0.01 {
			t.Errorf("radius %g: %g mm/min, limit %g", c.r, 60*top, c.f)
		}
	}
}

// (0.85 v)^2/(2a): 1.2948 mm from rest at 2540 mm/min and 500 mm/s2.
func TestSlowStretchAfterAStart(t *testing.T) {
	p := motion.Plan(geom.Path{V: []geom.Vertex{{}, {P: geom.Pt(50, 0)}}}, 2540, motion.Limits{Accel: 500, Deviation: 0.05})
	spans := p.Under(0.85)
	if len(spans) != 2 {
		t.Fatalf("%v", spans)
	}
	near(t, "start", spans[0].To, 1.2948, 1e-4)
	near(t, "end", 50-spans[1].From, 1.2948, 1e-4)
}

func TestRectangleWithStops(t *testing.T) { // 100 x 50 at 3000 mm/min, 500 mm/s2, stopping at corners: 6.4 s
	sum := 0.0
	for _, l := range []float64{100, 50, 100, 50} {
		sum += motion.RestToRest(l, 3000, 500)
	}
	near(t, "by hand", sum, 6.4, 1e-9)
	r := geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 50), geom.Pt(0, 50))
	near(t, "no deviation", motion.Plan(r, 3000, motion.Limits{Accel: 500}).Time, 6.4, 1e-9)
}

func TestArcAndItsPolygonTakeTheSameTime(t *testing.T) {
	for _, r := range []float64{3, 10, 40} {
		lim := motion.Limits{Accel: 500, Deviation: 0.05}
		arc := geom.Path{V: []geom.Vertex{{P: geom.Pt(r, 0), Bulge: 1}, {P: geom.Pt(-r, 0)}}}
		var poly geom.Path
		for _, q := range arc.Flatten(0.01) {
			poly.V = append(poly.V, geom.Vertex{P: q})
		}
		a, b := motion.Plan(arc, 4000, lim).Time, motion.Plan(poly, 4000, lim).Time
		if math.Abs(a-b) > 0.01*a {
			t.Errorf("radius %g: arc %g s, polygon %g s", r, a, b)
		}
	}
}

func anyPath(rt *rapid.T) geom.Path {
	p := geom.Path{V: []geom.Vertex{{}}}
	for range rapid.IntRange(1, 12).Draw(rt, "n") {
		last := &p.V[len(p.V)-1]
		last.Bulge = rapid.SampledFrom([]float64{0, 0.2, -0.6, 1}).Draw(rt, "bulge")
		step := geom.Polar(geom.Point{}, rapid.Float64Range(0.05, 80).Draw(rt, "len"), rapid.Float64Range(0, 6.28).Draw(rt, "dir"))
		p.V = append(p.V, geom.Vertex{P: last.P.Add(step)})
	}
	return p
}

// A step-by-step run of 0.1 ms that knows only the limits: it speeds up as
// long as it could still slow down for everything ahead.
func TestTimeEqualsAnIndependentSimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("slow")
	}
	rapid.Check(t, func(rt *rapid.T) {
		path := anyPath(rt)
		lim := motion.Limits{Accel: rapid.Float64Range(200, 2000).Draw(rt, "a"), Deviation: 0.05}
		feed := rapid.Float64Range(500, 8000).Draw(rt, "feed")
		got := motion.Plan(path, feed, lim).Time
		want := simulate(path, feed/60, lim)
		if math.Abs(got-want) > 0.01*want+0.002 {
			rt.Fatalf("profile %g s, simulation %g s", got, want)
		}
		if back := motion.Plan(path.Reverse(), feed, lim).Time; math.Abs(back-got) > 1e-9*(1+got) {
			rt.Fatalf("forth %g s, back %g s", got, back)
		}
	})
}

func simulate(path geom.Path, v float64, lim motion.Limits) float64 {
	// Walls: places where the speed may not be over a value. Arcs are a wall
	// over their whole length.
	type wall struct{ from, to, v float64 }
	var walls []wall
	at := 0.0
	for i := range path.NumSegs() {
		s := path.Seg(i)
		if i > 0 {
			walls = append(walls, wall{at, at, motion.JointSpeed(path.Seg(i-1), s, lim)})
		}
		if s.IsArc() {
			walls = append(walls, wall{at, at + s.Length(), math.Sqrt(lim.Accel * s.Radius())})
		}
		at += s.Length()
	}
	walls = append(walls, wall{at, at, 0})
	const dt = 1e-4
	x, u, t := 0.0, 0.0, 0.0
	for x < at-1e-4 && t < 1e3 {
		allowed := v
		for _, w := range walls {
			if w.to < x {
				continue
			}
			d := max(0, w.from-x)
			allowed = min(allowed, math.Sqrt(w.v*w.v+2*lim.Accel*d))
		}
		next := min(u+lim.Accel*dt, allowed)
		next = max(next, 0.05)
		x += (u + next) / 2 * dt
		u = next
		t += dt
	}
	return t
}
