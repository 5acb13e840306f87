package nest

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// star is a ring that is star-shaped about its middle, often not convex.
func star(r *rand.Rand, n int, size float64) []geom.Point {
	var out []geom.Point
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.8*r.Float64()) / float64(n)
		out = append(out, geom.Polar(geom.Point{}, size*(0.3+0.7*r.Float64()), a))
	}
	return out
}

// The convolution must tell overlap exactly as comparing the edges does.
func TestTableAgreesWithComparingEveryEdge(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for trial := range 60 {
		a, b := newRegion([][]geom.Point{star(r, 3+trial%9, 100)}), newRegion([][]geom.Point{star(r, 3+trial%7, 60)})
		a.findPoles()
		b.findPoles()
		const tol = 1e-6
		x := newTable(a, b, 32, tol)
		for range 2000 {
			q := geom.Pt(-170+340*r.Float64(), -170+340*r.Float64())
			want := overlap(a, b, q, tol)
			if got := x.hit(q); got != want {
				t.Fatalf("trial %d at %v: table %v, edges %v\n%v\n%v", trial, q, got, want, a.rings, b.rings)
			}
			if c := x.cost(q); (c > 0) != want {
				t.Fatalf("cost %g where overlap is %v", c, want)
			}
		}
	}
}

// Shapes of the trade have many parallel edges: each against itself and the
// others, as drawn and turned half and a quarter round.
func TestTableAgreesWhereEdgesAreParallel(t *testing.T) {
	shapes := [][]geom.Point{
		{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 50}, {X: 0, Y: 50}},
		{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 50}, {X: 40, Y: 50}, {X: 40, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 50}, {X: 0, Y: 50}},
		{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 60, Y: 30}, {X: 60, Y: 60}, {X: 30, Y: 30}, {X: 0, Y: 60}},
		{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 20}, {X: 0, Y: 20}},
	}
	r := rand.New(rand.NewPCG(5, 6))
	for i, ra := range shapes {
		for k, rb := range shapes {
			for turn := range 4 {
				a, b := newRegion([][]geom.Point{ra}), newRegion([][]geom.Point{rb})
				a.findPoles()
				b.findPoles()
				b = b.turned(false, float64(turn)*math.Pi/2)
				x := newTable(a, b, 40, 1e-6)
				for range 1000 {
					q := geom.Pt(-120+240*r.Float64(), -120+240*r.Float64())
					if r.IntN(3) == 0 { // on the grid of corners, where edges lie on edges
						q = geom.Pt(math.Round(q.X/10)*10, math.Round(q.Y/10)*10)
					}
					if got, want := x.hit(q), overlap(a, b, q, 1e-6); got != want {
						t.Fatalf("shapes %d, %d turned %d at %v: table %v, edges %v", i, k, turn, q, got, want)
					}
				}
			}
		}
	}
}

func TestSquaresThatTouchDoNotOverlap(t *testing.T) {
	sq := func() *region {
		r := newRegion([][]geom.Point{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}})
		r.findPoles()
		return r
	}
	x := newTable(sq(), sq(), 32, 1e-6)
	for _, row := range []struct {
		at   geom.Point
		want bool
	}{{geom.Pt(10, 0), false}, {geom.Pt(10, 5), false}, {geom.Pt(10, 10), false}, {geom.Pt(-10, 3), false}, {geom.Pt(0, 0), true}, {geom.Pt(9.99, 0), true},
		{geom.Pt(9.99, 9.99), true}, {geom.Pt(0, 9.99), true}, {geom.Pt(0, 10), false}} {
		if got := x.hit(row.at); got != row.want {
			t.Errorf("table at %v: %v", row.at, got)
		}
		if got := overlap(sq(), sq(), row.at, 1e-6); got != row.want {
			t.Errorf("edges at %v: %v", row.at, got)
		}
	}
}

func TestSimplifiedRingHoldsTheOldOne(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		ring := star(r, 24, 100)
		old := newRegion([][]geom.Point{ring})
		out := simplify(old.rings[0], 0.05*old.area)
		now := newRegion([][]geom.Point{out})
		if len(out) >= len(ring) || now.area < old.area-1e-9 || now.area > 1.05*old.area+1e-9 {
			t.Fatalf("%d to %d corners, area %g to %g", len(ring), len(out), old.area, now.area)
		}
		for _, p := range old.rings[0] {
			if !now.holds(p) && now.edgeDist(p) > 1e-9 {
				t.Fatalf("%v is left outside", p)
			}
		}
	}
}
