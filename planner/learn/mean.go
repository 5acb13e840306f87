package learn

import "math"

// Mean is the mean of readings.
type Mean struct {
	Mean   float64
	Spread float64 // standard deviation of one reading; NaN for fewer than two
	Within float64 // half width of the interval for the mean; +Inf for fewer than two
	N      int
}

// MeanOf returns the mean of readings in whatever unit they have. It goes
// through them twice, the second time about the first mean, so that readings
// that differ only in their last digits lose none.
func MeanOf(v []float64) Mean {
	m := Mean{N: len(v), Spread: math.NaN(), Within: math.Inf(1)}
	if m.N == 0 {
		m.Mean = math.NaN()
		return m
	}
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	m.Mean = sum / float64(m.N)
	d, dd := 0.0, 0.0
	for _, x := range v {
		d += x - m.Mean
		dd += (x - m.Mean) * (x - m.Mean)
	}
	m.Mean += d / float64(m.N)
	if m.N > 1 {
		// Less what the first mean was off (T. F. Chan, G. H. Golub, R. J.
		// LeVeque, The American Statistician 37 (1983) 242).
		m.Spread = math.Sqrt((dd - d*d/float64(m.N)) / float64(m.N-1))
		m.Within = Student(m.N-1) * m.Spread / math.Sqrt(float64(m.N))
	}
	return m
}
