package proof

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

func rectangle(a, b geom.Point) geom.Path {
	return geom.Polygon(a, geom.Pt(b.X, a.Y), b, geom.Pt(a.X, b.Y))
}

// The turn with the least squares, from its closed form: both readings, the
// second turned to lie along the first, have one axis of inertia. Read in any
// order, and each a little off its line.
func TestTurnOfReadPointsIsTheAxisOfInertia(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 6))
	a, b := geom.Pt(17, 31), geom.Pt(420, 260)
	edges := map[string][2]geom.Point{
		"bottom": {a, geom.Pt(b.X, a.Y)}, "top": {geom.Pt(a.X, b.Y), b}, "left": {a, geom.Pt(a.X, b.Y)}, "right": {geom.Pt(b.X, a.Y), b},
	}
	c := &check{in: &Input{Stock: Stock{Shapes: []geom.Path{rectangle(a, geom.Pt(200, b.Y)), {}, rectangle(geom.Pt(150, a.Y), b)}}}}
	for round := range 200 {
		pair := [2]string{"bottom", "left"}
		if round&1 != 0 {
			pair[0] = "top"
		}
		if round&2 != 0 {
			pair[1] = "right"
		}
		if round&4 != 0 {
			pair[0], pair[1] = pair[1], pair[0]
		}
		m := geom.Move{Angle: 2.6*rng.Float64() - 1.3, Shift: geom.Pt(100*rng.Float64(), 100*rng.Float64())}
		read := func(edge string, n int) (out []geom.Point) {
			e := edges[edge]
			off := rng.Float64()
			for i := range n {
				along := e[0].Lerp(e[1], math.Mod(off+float64(i)/float64(n), 1))
				out = append(out, m.Apply(along).Add(geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5)))
			}
			return
		}
		lie := Lie{Edge: pair[0], Next: pair[1], Points: read(pair[0], 2+rng.IntN(4)), NextPoints: read(pair[1], rng.IntN(4))}
		got, err := c.reckon(&lie)
		if err != nil {
			t.Fatal(err)
		}

		mean := func(pts []geom.Point) (m geom.Point) {
			for _, p := range pts {
				m = m.Add(p.Mul(1 / float64(len(pts))))
			}
			return
		}
		heading := func(edge string) geom.Point { return edges[edge][1].Sub(edges[edge][0]).Unit() }
		first, next := heading(pair[0]), heading(pair[1])
		var xx, yy, xy float64
		for _, line := range []struct {
			pts  []geom.Point
			head geom.Point
		}{{lie.Points, first}, {lie.NextPoints, next}} {
			for _, p := range line.pts {
				q := p.Sub(mean(line.pts))
				x, y := line.head.Dot(q), line.head.Cross(q)
				xx, yy, xy = xx+x*x, yy+y*y, xy+x*y
			}
		}
		if want := math.Atan2(2*xy, xx-yy) / 2; math.Abs(got.angle-want) > 1e-9 || math.Abs(want-m.Angle) > 0.05 {
			t.Fatalf("round %d: turned by %g, must be %g (about %g)", round, got.angle, want, m.Angle)
		}
		// The means lie on the edges as drawn.
		if d := first.Cross(got.back(mean(lie.Points)).Sub(edges[pair[0]][0])); math.Abs(d) > 1e-9 {
			t.Fatalf("round %d: the first edge is %g off", round, d)
		}
		if len(lie.NextPoints) == 0 { // nothing tells of a shift along the first
			if d := got.shift.Dot(geom.Polar(geom.Point{}, 1, got.angle+math.Atan2(first.Y, first.X))); math.Abs(d) > 1e-9 {
				t.Fatalf("round %d: shifted by %g along the edge", round, d)
			}
		} else if d := next.Cross(got.back(mean(lie.NextPoints)).Sub(edges[pair[1]][0])); math.Abs(d) > 1e-9 {
			t.Fatalf("round %d: the next edge is %g off", round, d)
		}
	}
}

// Of blanks the points are read along the first, wherever the others lie.
func TestPointsOfBlanksAreReadAlongTheFirst(t *testing.T) {
	c := &check{in: &Input{Stock: Stock{Blank: true, Shapes: []geom.Path{rectangle(geom.Pt(50, 40), geom.Pt(90, 70)), rectangle(geom.Pt(0, 0), geom.Pt(30, 200))}}}}
	got, err := c.reckon(&Lie{Edge: "top", Next: "left", Points: []geom.Point{{X: 50, Y: 71}, {X: 90, Y: 71}}, NextPoints: []geom.Point{{X: 53, Y: 60}}})
	if want := geom.Pt(3, 1); err != nil || got.angle != 0 || got.shift.Dist(want) > 1e-9 {
		t.Errorf("%+v, %v", got, err)
	}
}

// Features that lie side by side, and were found so, tell a shift without any turn.
func TestLocatedFeaturesMayTellAShiftOnly(t *testing.T) {
	c := &check{in: &Input{Parts: []Part{{Features: []Feature{{ID: "a", Loop: geom.Circle(geom.Pt(20, 30), 4)}, {ID: "b", Loop: geom.Circle(geom.Pt(84, 30), 4)}}}}}}
	for _, v := range []struct {
		b     geom.Point
		angle float64
	}{{geom.Pt(90, 25), 0}, {geom.Pt(26, 89), math.Pi / 2}} {
		got, err := c.reckon(&Lie{Located: []Located{{"a", geom.Pt(26, 25)}, {"b", v.b}}})
		if err != nil || math.Abs(got.angle-v.angle) > 1e-12 || got.to(geom.Pt(20, 30)).Dist(geom.Pt(26, 25)) > 1e-9 {
			t.Errorf("%+v, %v", got, err)
		}
	}
}
