package geom_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// Closed forms: half the shorter side; 2A/P of a triangle; r cos(pi/n);
// (R-r)/2; and written out beside the row.
func TestLargestCircleOfHandbookShapes(t *testing.T) {
	gon := func(n int) geom.Path {
		p := geom.Path{Closed: true}
		for i := range n {
			p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(3, 4), 20, 2*math.Pi*float64(i)/float64(n))})
		}
		return p
	}
	nowhere := geom.Pt(math.NaN(), 0) // the centre is not one point
	for _, c := range []struct {
		name  string
		loop  geom.Path
		holes []geom.Path
		r     float64
		at    geom.Point
	}{
		{"square", rectangle(0, 0, 20, 20), nil, 10, geom.Pt(10, 10)},
		{"long rectangle", rectangle(0, 0, 300, 7), nil, 3.5, nowhere},
		{"strip a thousand times as long as wide", rectangle(0, 0, 100, 0.1), nil, 0.05, nowhere},
		{"triangle 3 4 5", vertices(0, 0, 0, 4, 0, 0, 0, 3, 0), nil, 1, geom.Pt(1, 1)},
		{"hexagon", gon(6), nil, 20 * math.Cos(math.Pi/6), geom.Pt(3, 4)},
		{"33-gon", gon(33), nil, 20 * math.Cos(math.Pi/33), geom.Pt(3, 4)},
		{"circle", geom.Circle(geom.Pt(-5, 2), 8), nil, 8, geom.Pt(-5, 2)},
		{"slot", slotPath(geom.Pt(1, 2), 40, 8, 0.3), nil, 4, nowhere},
		{"ring", geom.Circle(geom.Pt(0, 0), 30), []geom.Path{geom.Circle(geom.Pt(0, 0), 20)}, 5, nowhere},
		{"hole off the middle", geom.Circle(geom.Pt(0, 0), 30), []geom.Path{geom.Circle(geom.Pt(5, 0), 20).Reverse()}, 7.5, geom.Pt(-22.5, 0)},
		// L with legs 12 wide: touches both outer sides and the inner corner,
		// r = (12 - r) sqrt 2, so 12 sqrt 2/(1 + sqrt 2).
		{"L", vertices(0, 0, 0, 30, 0, 0, 30, 12, 0, 12, 12, 0, 12, 30, 0, 0, 30, 0), nil, 12 * math.Sqrt2 / (1 + math.Sqrt2), geom.Pt(12*math.Sqrt2/(1+math.Sqrt2), 12*math.Sqrt2/(1+math.Sqrt2))},
		{"half circle", vertices(10, 0, 1, -10, 0, 0), nil, 5, geom.Pt(0, 5)},
		{"bigger of two rooms", dumbbell(2), nil, 10, nowhere},
		{"no inside", vertices(0, 0, 0, 10, 0, 0), nil, 0, nowhere},
	} {
		sweep(c.loop, func(name string, m geom.Move, p geom.Path) {
			var holes []geom.Path
			for _, h := range c.holes {
				holes = append(holes, m.Path(h))
			}
			for _, precision := range []float64{0.01, 1e-4} {
				at, r := geom.Inscribed(p, holes, precision)
				if r > c.r+1e-9 || r < c.r-precision {
					t.Fatalf("%s, %s: radius %.9g, want %.9g within %g", c.name, name, r, c.r, precision)
				}
				if !math.IsNaN(c.at.X) && at.Dist(m.Apply(c.at)) > 4*precision {
					t.Errorf("%s, %s: centre %v, want %v", c.name, name, at, m.Apply(c.at))
				}
				if r > 0 && math.Abs(geom.IndexPaths(append(slices.Clone(holes), p)...).Dist(at)-r) > 1e-9 {
					t.Errorf("%s, %s: the circle of %g does not fit", c.name, name, r)
				}
			}
		})
	}
}

func TestLargestCircleIsFoundToNineDigitsBetweenThreeWalls(t *testing.T) {
	_, r := geom.Inscribed(vertices(0, 0, 0, 40, 0, 0, 0, 30, 0), nil, 0.1)
	near(t, "radius of 30 40 50", r, 10, 1e-9)
}

// Of all places on a slot's middle line the middle is taken, whatever the
// start and direction of its path.
func TestTiesGoToTheMiddle(t *testing.T) {
	sweep(slotPath(geom.Pt(0, 0), 40, 8, 0), func(name string, m geom.Move, p geom.Path) {
		if at, _ := geom.Inscribed(p, nil, 0.01); at.Dist(m.Apply(geom.Pt(0, 0))) > 1e-6 {
			t.Errorf("%s: %v", name, at)
		}
	})
	// Two squares of 20 joined by a bar 2 wide: the circle of 10 may lean into
	// the bar until it touches its corners; left is as near as right.
	at, _ := geom.Inscribed(dumbbell(2), nil, 0.01)
	if at.Dist(geom.Pt(20-math.Sqrt(99), 0)) > 0.05 {
		t.Errorf("centre %v, want the left one", at)
	}
}

func TestPolesFallInSizeAndKeepApart(t *testing.T) {
	d := geom.Poles(dumbbell(4), nil, 1e-3, 4)
	if len(d) != 4 {
		t.Fatalf("%d discs", len(d))
	}
	near(t, "first", d[0].R, 10, 1e-3)
	near(t, "second", d[1].R, 10, 1e-3)
	x := geom.IndexPaths(dumbbell(4))
	for i, a := range d {
		if i > 0 && a.R > d[i-1].R+1e-3 {
			t.Errorf("disc %d of %g after %g", i, a.R, d[i-1].R)
		}
		if x.Dist(a.C) < a.R-1e-9 {
			t.Errorf("disc %d does not fit", i)
		}
		for _, b := range d[:i] {
			if a.C.Dist(b.C) < a.R+b.R-1e-9 {
				t.Errorf("disc %d overlaps another", i)
			}
		}
	}
	if got := geom.Poles(rectangle(0, 0, 10, 10), nil, 0.5, 100); len(got) > 99 || len(got) < 5 {
		t.Errorf("%d discs over half a millimetre in a square of 10", len(got))
	}
}

// No place of a grid is deeper than the circle found.
func TestNoPlaceIsDeeperThanTheCircleFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyShape(rt)
		if _, err := geom.Offset(p, 0); err != nil {
			rt.Skip("tangled")
		}
		const precision = 0.01
		at, r := geom.Inscribed(p, nil, precision)
		x := geom.IndexPaths(p)
		if math.Abs(x.Dist(at)-r) > 1e-9 || x.Winding(at) == 0 {
			rt.Fatalf("circle of %g about %v has %g", r, at, x.Dist(at))
		}
		b := p.Box()
		for i := range 40 {
			for j := range 40 {
				q := geom.Pt(b.Min.X+b.Width()*float64(i)/39, b.Min.Y+b.Height()*float64(j)/39)
				if d := x.Dist(q); d > r+precision && x.Winding(q) != 0 {
					rt.Fatalf("%v is %g deep, found %g", q, d, r)
				}
			}
		}
	})
}

func BenchmarkInscribed(b *testing.B) {
	for name, p := range map[string]geom.Path{
		"circle": geom.Circle(geom.Pt(0, 0), 10), "slot": slotPath(geom.Pt(0, 0), 40, 8, 0.3), "strip 1000:1": geom.Move{Angle: 0.3}.Path(rectangle(0, 0, 100, 0.1)),
		"rounded rectangle": roundedRect(geom.Pt(0, 0), 40, 20, 3, 0.2), "wave of 1000": wave(1000),
	} {
		for _, precision := range []float64{0.01, 1e-4} {
			b.Run(fmt.Sprintf("%s within %g", name, precision), func(b *testing.B) {
				for range b.N {
					geom.Inscribed(p, nil, precision)
				}
			})
		}
	}
	ring, hole := geom.Circle(geom.Pt(0, 0), 30), []geom.Path{geom.Circle(geom.Pt(0, 0), 20)}
	b.Run("ring within 0.01", func(b *testing.B) {
		for range b.N {
			geom.Inscribed(ring, hole, 0.01)
		}
	})
}
