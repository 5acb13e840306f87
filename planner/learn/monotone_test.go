package learn_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "example.org/kerfwright/planner/internal/seeded"
	"example.org/kerfwright/planner/learn"
)

// By its definition the curve goes through its points, has no kink, and never
// leaves what lies between the values of two neighbours.
func TestCurveGoesThroughItsPointsAndStaysBetweenThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range n {
			step := rapid.Float64Range(0.01, 10).Draw(t, "step")
			if x[i] = step; i > 0 {
				x[i] += x[i-1]
			}
			y[i] = rapid.Float64Range(-1000, 1000).Draw(t, "y")
		}
		c, ok := learn.Through(x, y)
		if !ok {
			t.Fatal("refused")
		}
		for i := range n {
			if c.At(x[i]) != y[i] {
				t.Fatalf("at point %d %v, want %v", i, c.At(x[i]), y[i])
			}
		}
		for i := 1; i < n; i++ {
			lo, hi := min(y[i-1], y[i]), max(y[i-1], y[i])
			last := y[i-1]
			for k := range 40 {
				p := x[i-1] + (x[i]-x[i-1])*float64(k)/40
				v := c.At(p)
				if v < lo || v > hi {
					t.Fatalf("%v at %v leaves %v to %v", v, p, lo, hi)
				}
				// Rounding in Hermite's cubic: a few spacings of the values at stake.
				slack := 1e-12 * (math.Abs(lo) + math.Abs(hi) + 1)
				if y[i] >= y[i-1] && v < last-slack || y[i] <= y[i-1] && v > last+slack {
					t.Fatalf("turns back at %v: %v after %v", p, v, last)
				}
				last = v
			}
			if i < n-1 { // no kink: the slope is the same from both sides
				h := 1e-7 * min(x[i]-x[i-1], x[i+1]-x[i])
				a, b := c.Slope(x[i]-h), c.Slope(x[i]+h)
				steep := math.Abs(y[i]-y[i-1])/(x[i]-x[i-1]) + math.Abs(y[i+1]-y[i])/(x[i+1]-x[i])
				if math.Abs(a-b) > 1e-5*(steep+1e-6) {
					t.Fatalf("a kink at %v: %v, %v", x[i], a, b)
				}
			}
		}
		if c.At(x[0]-1) != y[0] || c.At(x[n-1]+1) != y[n-1] {
			t.Fatal("beyond the points it is the nearest one's value")
		}
	})
}

func TestCurveOfAStraightLineIsTheLine(t *testing.T) {
	x, y := []float64{1, 2, 4, 7, 8}, []float64{5, 7, 11, 17, 19} // 2 x + 3
	c, _ := learn.Through(x, y)
	for p := 1.0; p <= 8; p += 0.25 {
		if math.Abs(c.At(p)-(2*p+3)) > 1e-12 || math.Abs(c.Slope(p)-2) > 1e-12 {
			t.Errorf("at %v: %v, slope %v", p, c.At(p), c.Slope(p))
		}
	}
}

func TestPointsThatDoNotRiseAreRefused(t *testing.T) {
	for name, p := range map[string][2][]float64{
		"none": {nil, nil}, "twice": {{1, 1}, {2, 3}}, "falling": {{2, 1}, {2, 3}},
		"no number": {{1, 2}, {math.NaN(), 1}}, "endless": {{1, math.Inf(1)}, {1, 1}}, "lengths": {{1, 2}, {1}},
	} {
		if _, ok := learn.Through(p[0], p[1]); ok {
			t.Errorf("%s: taken", name)
		}
	}
}
