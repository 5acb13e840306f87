package align_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"example.org/kerfwright/planner/align"
	"example.org/kerfwright/planner/geom"
	_ "example.org/kerfwright/planner/internal/seeded"
)

var (
	bottom = align.Side{In: geom.Pt(0, 1), At: 0}
	left   = align.Side{In: geom.Pt(1, 0), At: 0}
	top    = align.Side{In: geom.Pt(0, -1), At: -500}
	right  = align.Side{In: geom.Pt(-1, 0), At: -1000}
)

// Points taken off the edges of a plate 1000 x 500 that was turned and
// shifted by known amounts give that turn and shift back.
func TestTurnAndShiftOfAPlateAreFoundAgain(t *testing.T) {
	corner := map[string][4]geom.Point{ // along first, along next, of the plate as drawn
		"bottom": {geom.Pt(50, 0), geom.Pt(900, 0), geom.Pt(0, 100), geom.Pt(0, 400)},
		"left":   {geom.Pt(0, 60), geom.Pt(0, 450), geom.Pt(100, 0), geom.Pt(800, 0)},
		"top":    {geom.Pt(50, 500), geom.Pt(900, 500), geom.Pt(1000, 100), geom.Pt(1000, 400)},
		"right":  {geom.Pt(1000, 60), geom.Pt(1000, 450), geom.Pt(100, 500), geom.Pt(800, 500)},
	}
	sides := map[string][2]align.Side{"bottom": {bottom, left}, "left": {left, bottom}, "top": {top, right}, "right": {right, top}}
	rapid.Check(t, func(t *rapid.T) {
		want := geom.Move{Angle: rapid.Float64Range(-1.2, 1.2).Draw(t, "angle"),
			Shift: geom.Pt(rapid.Float64Range(-800, 800).Draw(t, "x"), rapid.Float64Range(-800, 800).Draw(t, "y"))}
		name := rapid.SampledFrom([]string{"bottom", "left", "top", "right"}).Draw(t, "edge")
		both := rapid.Bool().Draw(t, "four points")
		drawn := corner[name]
		var found [4]geom.Point
		for i, p := range drawn {
			found[i] = want.Apply(p)
		}
		next := found[2:3]
		if both {
			next = found[2:]
		}
		f, err := align.Edges(sides[name][0], sides[name][1], found[:2], next)
		if err != nil {
			t.Fatal(err)
		}
		// Rounding of coordinates up to 2e3 over a base of 390 mm.
		if math.Abs(f.Angle-want.Angle) > 1e-12 || f.Move.Shift.Dist(want.Shift) > 1e-9 || f.Worst > 1e-9 {
			t.Fatalf("%s: %+v, want %+v", name, f, want)
		}
	})
}

// By hand: the bottom edge from (0, 3) to (400, 7) climbs 4 in 400: the turn is
// atan(0.01), and the edge passes 3 cos(atan 0.01) from the program's zero.
func TestTwoPointsAloneKeepTheZeroNearest(t *testing.T) {
	f, err := align.Edges(bottom, left, []geom.Point{{X: 0, Y: 3}, {X: 400, Y: 7}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := math.Atan(0.01)
	d := 3 * math.Cos(a)
	want := geom.Pt(-d*math.Sin(a), d*math.Cos(a)) // foot of the perpendicular from zero
	if math.Abs(f.Angle-a) > 1e-15 || f.Move.Shift.Dist(want) > 1e-12 || f.Third != 0 {
		t.Errorf("%+v, want turn %g to %v", f, a, want)
	}
	// A third point 2 mm further in shows by its residual, and moves the plate along.
	g, _ := align.Edges(bottom, left, []geom.Point{{X: 0, Y: 3}, {X: 400, Y: 7}}, []geom.Point{want.Add(geom.Polar(geom.Point{}, 2, a))})
	if math.Abs(g.Third-2) > 1e-12 || math.Abs(g.Move.Shift.Dist(want)-2) > 1e-12 || g.Worst > 1e-12 {
		t.Errorf("%+v", g)
	}
}

// A plate out of square by e over four points: the best turn lies between
// what either edge says, and all residuals tell of it.
func TestPlateOutOfSquareShowsInTheResiduals(t *testing.T) {
	skew := 0.01
	f, err := align.Edges(bottom, left, []geom.Point{{}, {X: 400}}, []geom.Point{{}, {X: 400 * skew, Y: 400}})
	if err != nil {
		t.Fatal(err)
	}
	// Bases that are equal within 0.02 of 400 mm: half of the skew each way.
	half := math.Atan(skew) / 2
	if math.Abs(f.Angle+half) > half*0.02/400 || math.Abs(f.Worst-200*math.Sin(half)) > 0.02*half {
		t.Errorf("%+v", f)
	}
}

func TestPointsThatTellNoTurnAreRefused(t *testing.T) {
	for name, pts := range map[string][]geom.Point{
		"one point":     {{X: 1}},
		"the same":      {{X: 5, Y: 5}, {X: 5, Y: 5}},
		"too near":      {{}, {X: 9.9}},
		"no place":      {{}, {X: math.NaN()}},
		"across the X":  {{}, {Y: 300}},
		"no end of way": {{}, {X: math.Inf(1)}},
	} {
		if f, err := align.Edges(bottom, left, pts, nil); err == nil {
			t.Errorf("%s: %+v", name, f)
		}
	}
	if _, err := align.Holes([]geom.Point{{}, {X: 9}}, []geom.Point{{}, {X: 9}}); err == nil {
		t.Error("holes too near are taken")
	}
}

// Wolf and Ghilani, Adjustment Computations, the worked example of a
// two-dimensional conformal coordinate transformation (from memory: three
// control points, a = -4.51249, b = -0.25371, turn 183 deg 13' 05.0", scale
// 4.51962). The turn of a similarity does not hang on its scale, so the rigid
// fit must have the same.
func TestWorkedSimilarityTransform(t *testing.T) {
	measured := []geom.Point{{X: 121.622, Y: -128.066}, {X: 141.228, Y: 187.718}, {X: 175.802, Y: 135.728}}
	control := []geom.Point{{X: 1049422.40, Y: 51089.20}, {X: 1049413.95, Y: 49659.30}, {X: 1049244.95, Y: 49884.95}}
	for i := range control { // near the origin; the turn does not hang on it
		control[i] = control[i].Sub(geom.Pt(1049000, 50000))
	}
	f, err := align.Holes(measured, control)
	if err != nil {
		t.Fatal(err)
	}
	turn := math.Mod(f.Angle*180/math.Pi+360, 360)
	want := 183 + 13.0/60 + 5.0/3600
	if math.Abs(turn-want) > 0.05/3600 { // the book gives tenths of a second
		t.Errorf("turn %.6f deg, want %.6f", turn, want)
	}
	if math.Abs(f.Scale-4.51962) > 5e-6 { // five decimals
		t.Errorf("scale %.6f, want 4.51962", f.Scale)
	}
	if a := f.Scale * math.Cos(f.Angle); math.Abs(a+4.51249) > 5e-6 {
		t.Errorf("a %.6f, want -4.51249", a)
	}
}

// The similarity (a, b, tx, ty) by gonum's QR least squares, which shares
// nothing with our closed form: x' = a x - b y + tx, y' = b x + a y + ty.
func TestFitAgreesWithALeastSquaresRoutine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "n")
		place := rapid.Custom(func(t *rapid.T) geom.Point {
			return geom.Pt(rapid.Float64Range(-500, 500).Draw(t, "x"), rapid.Float64Range(-500, 500).Draw(t, "y"))
		})
		drawn := rapid.SliceOfN(place, n, n).Draw(t, "drawn")
		move := geom.Move{Angle: rapid.Float64Range(-3, 3).Draw(t, "turn"), Shift: place.Draw(t, "shift")}
		found := make([]geom.Point, n)
		for i, p := range drawn {
			e := geom.Pt(rapid.Float64Range(-0.5, 0.5).Draw(t, "ex"), rapid.Float64Range(-0.5, 0.5).Draw(t, "ey"))
			found[i] = move.Apply(p).Add(e)
		}
		f, err := align.Holes(drawn, found)
		if err != nil {
			return // too near
		}
		a, b := mat.NewDense(2*n, 4, nil), mat.NewVecDense(2*n, nil)
		for i, p := range drawn {
			a.SetRow(2*i, []float64{p.X, -p.Y, 1, 0})
			a.SetRow(2*i+1, []float64{p.Y, p.X, 0, 1})
			b.SetVec(2*i, found[i].X)
			b.SetVec(2*i+1, found[i].Y)
		}
		var x mat.VecDense
		if err := x.SolveVec(a, b); err != nil {
			t.Fatal(err)
		}
		turn := math.Atan2(x.AtVec(1), x.AtVec(0))
		if d := math.Abs(math.Remainder(turn-f.Angle, 2*math.Pi)); d > 1e-9 { // QR of a system with condition up to 1e4 or so
			t.Fatalf("turn %g, gonum %g", f.Angle, turn)
		}
		if s := math.Hypot(x.AtVec(0), x.AtVec(1)); math.Abs(s-f.Scale) > 1e-9 {
			t.Fatalf("scale %g, gonum %g", f.Scale, s)
		}
		// No other turn of the same points fits better.
		best := sum(f.Move, drawn, found)
		for _, d := range []float64{-1e-4, 1e-4} {
			m := f.Move
			m.Angle += d
			m.Shift = geom.Point{}
			var c geom.Point
			for i := range drawn {
				c = c.Add(found[i].Sub(m.Apply(drawn[i])).Mul(1 / float64(n)))
			}
			m.Shift = c
			if sum(m, drawn, found) < best-1e-9 {
				t.Fatalf("a turn of %g more fits better", d)
			}
		}
	})
}

func sum(m geom.Move, drawn, found []geom.Point) float64 {
	s := 0.0
	for i := range drawn {
		d := m.Apply(drawn[i]).Dist(found[i])
		s += d * d
	}
	return s
}

// Two holes 200 apart that are found 200.6 apart: the error of the distance is
// 0.6, and half of it lies at either hole.
func TestErrorOfTheDistanceIsTold(t *testing.T) {
	f, err := align.Holes([]geom.Point{{X: 10, Y: 20}, {X: 210, Y: 20}}, []geom.Point{{X: 50, Y: 50}, {X: 50, Y: 250.6}})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Apart-0.6) > 1e-9 || math.Abs(f.Worst-0.3) > 1e-9 || math.Abs(f.Angle-math.Pi/2) > 1e-12 {
		t.Errorf("%+v", f)
	}
}
