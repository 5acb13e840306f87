package learn

import "math"

// Confidence is the part of cases in which an interval of this package holds
// the true figure.
const Confidence = 0.95

// Student returns t such that a variable of Student's distribution with dof
// degrees of freedom lies within -t and t in Confidence of the cases; +Inf
// without a degree of freedom.
func Student(dof int) float64 {
	if dof < 1 {
		return math.Inf(1)
	}
	// P(|T| > t) = I_x(dof/2, 1/2) with x = dof/(dof + t^2), which grows with x
	// (Abramowitz and Stegun 26.7.1, 26.5.27).
	want := 1 - Confidence
	lo, hi := 0.0, 1.0
	for range 200 { // halved to the last bit
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if incompleteBeta(mid, float64(dof)/2, 0.5) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	x := lo
	return math.Sqrt(float64(dof) * (1 - x) / x)
}

// incompleteBeta returns the regularised incomplete beta function I_x(a, b) by
// its continued fraction (Abramowitz and Stegun 26.5.8), evaluated from the
// front by Lentz's method.
func incompleteBeta(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	if x > (a+1)/(a+b+2) { // there the fraction of the complement converges fast
		return 1 - incompleteBeta(1-x, b, a)
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab-la-lb+a*math.Log(x)+b*math.Log1p(-x)) / a
	const tiny = 0x1p-1000 // stands for a zero that would be divided by
	c, d, f := 1.0, 0.0, 1.0
	for m := 0; m < 10000; m++ {
		k := float64(m / 2)
		var term float64
		switch {
		case m == 0:
			term = 1
		case m%2 == 0:
			term = k * (b - k) * x / ((a + 2*k - 1) * (a + 2*k))
		default:
			term = -(a + k) * (a + b + k) * x / ((a + 2*k) * (a + 2*k + 1))
		}
		if d = 1 + term*d; d == 0 {
			d = tiny
		}
		d = 1 / d
		if c = 1 + term/c; c == 0 {
			c = tiny
		}
		f *= c * d
		if math.Abs(1-c*d) < 0x1p-52 { // the spacing of float64 at 1
			break
		}
	}
	return front * (f - 1)
}
