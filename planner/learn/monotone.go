package learn

import (
	"math"
	"sort"
)

// Curve is a piecewise cubic through points that is monotone wherever they
// are: between two points it never leaves what lies between their values, and
// it has no kink.
type Curve struct{ x, y, d []float64 }

// Through returns the curve through points with strictly rising x. Slopes at
// inner points are the weighted harmonic means of F. N. Fritsch and J.
// Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, which satisfy the
// condition for monotone cubics of F. N. Fritsch and R. E. Carlson, SIAM J.
// Numer. Anal. 17 (1980) 238. ok is false for no points, for x that do not
// rise and for what is no number.
func Through(x, y []float64) (c Curve, ok bool) {
	n := len(x)
	if n == 0 || len(y) != n {
		return Curve{}, false
	}
	for i := range n {
		if math.IsNaN(x[i]+y[i]) || math.IsInf(x[i]+y[i], 0) || i > 0 && !(x[i-1] < x[i]) {
			return Curve{}, false
		}
	}
	c = Curve{x, y, make([]float64, n)}
	if n == 1 {
		return c, true
	}
	h, s := make([]float64, n-1), make([]float64, n-1)
	for i := range h {
		h[i] = x[i+1] - x[i]
		s[i] = (y[i+1] - y[i]) / h[i]
	}
	if n == 2 {
		c.d[0], c.d[1] = s[0], s[0]
		return c, true
	}
	for i := 1; i < n-1; i++ {
		if s[i-1]*s[i] > 0 {
			a, b := 2*h[i]+h[i-1], h[i]+2*h[i-1]
			c.d[i] = (a + b) / (a/s[i-1] + b/s[i])
		}
	}
	c.d[0] = endSlope(h[0], h[1], s[0], s[1])
	c.d[n-1] = endSlope(h[n-2], h[n-3], s[n-2], s[n-3])
	return c, true
}

// endSlope is that of the parabola through the three last points, held to the
// monotone: 0 where it would turn back, at most three times the last chord's.
func endSlope(h, next, s, nextS float64) float64 {
	d := ((2*h+next)*s - h*nextS) / (h + next)
	switch {
	case d*s <= 0:
		return 0
	case s*nextS <= 0 && math.Abs(d) > 3*math.Abs(s):
		return 3 * s
	}
	return d
}

// At returns the value at x; beyond the points that of the nearest one.
func (c Curve) At(x float64) float64 {
	n := len(c.x)
	switch {
	case n == 0:
		return math.NaN()
	case x <= c.x[0]:
		return c.y[0]
	case x >= c.x[n-1]:
		return c.y[n-1]
	}
	i := sort.SearchFloat64s(c.x, x)
	if c.x[i] == x {
		return c.y[i]
	}
	i--
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	y0, y1 := c.y[i], c.y[i+1]
	// Hermite's cubic. Rounding may leave the span by a digit: held to it.
	v := y0 + t*t*(3-2*t)*(y1-y0) + h*t*(1-t)*((1-t)*c.d[i]-t*c.d[i+1])
	return min(max(v, min(y0, y1)), max(y0, y1))
}

// Slope returns the slope at x; 0 beyond the points.
func (c Curve) Slope(x float64) float64 {
	n := len(c.x)
	if n < 2 || x < c.x[0] || x > c.x[n-1] {
		return 0
	}
	i := max(1, sort.SearchFloat64s(c.x, x)) - 1
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	return 6*t*(1-t)*(c.y[i+1]-c.y[i])/h + (1-t)*(1-3*t)*c.d[i] + t*(3*t-2)*c.d[i+1]
}
