package learn

import (
	"errors"
	"fmt"
	"math"
)

// Fit is a weighted least-squares fit of y = X b.
type Fit struct {
	B         []float64   // coefficients
	SD        []float64   // standard error of each; NaN without a degree of freedom to spare
	Residuals []float64   // y - X b
	RSS       float64     // weighted sum of squared residuals
	Sigma     float64     // residual standard deviation; NaN likewise
	DoF       int         // readings less coefficients
	cov       [][]float64 // inverse of X'WX
}

// ErrDependent says that the readings cannot tell the coefficients apart.
var ErrDependent = errors.New("the readings cannot tell the figures apart")

// LeastSquares fits y = X b by Householder's orthogonal triangularisation
// (G. H. Golub, Numerische Mathematik 7 (1965) 206), which, unlike the normal
// equations, does not square the condition of X. Rows of x are readings; all
// have the same length. w weighs them; nil is all alike. Columns of x that
// depend on each other give ErrDependent.
func LeastSquares(x [][]float64, y, w []float64) (Fit, error) {
	n := len(y)
	if n == 0 || len(x) != n || w != nil && len(w) != n {
		return Fit{}, errors.New("no readings")
	}
	p := len(x[0])
	if p == 0 || n < p {
		return Fit{}, fmt.Errorf("%d readings for %d figures", n, p)
	}
	// Each column is scaled to length 1, so that ranks do not depend on units.
	a, z := make([][]float64, n), make([]float64, n)
	scale := make([]float64, p)
	for i := range n {
		if len(x[i]) != p {
			return Fit{}, fmt.Errorf("reading %d has %d figures, the first has %d", i+1, len(x[i]), p)
		}
		a[i] = make([]float64, p)
		for j, v := range x[i] {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(y[i]) || math.IsInf(y[i], 0) {
				return Fit{}, fmt.Errorf("reading %d is no number", i+1)
			}
			scale[j] = math.Hypot(scale[j], v*root(w, i))
		}
	}
	for j := range p {
		if scale[j] == 0 {
			return Fit{}, ErrDependent
		}
	}
	for i := range n {
		for j, v := range x[i] {
			a[i][j] = v * root(w, i) / scale[j]
		}
		z[i] = y[i] * root(w, i)
	}
	if err := triangulate(a, z, p); err != nil {
		return Fit{}, err
	}
	f := Fit{B: backward(a, z[:p], p), DoF: n - p, Residuals: make([]float64, n)}
	for j := range p {
		f.B[j] /= scale[j]
	}
	for i := range n {
		r := y[i]
		for j, v := range x[i] {
			r -= v * f.B[j]
		}
		f.Residuals[i] = r
		f.RSS += r * r * root(w, i) * root(w, i)
	}
	f.Sigma = math.NaN()
	if f.DoF > 0 {
		f.Sigma = math.Sqrt(f.RSS / float64(f.DoF))
	}
	f.cov = inverseOfSquare(a, p)
	for j := range p {
		for k := range p {
			f.cov[j][k] /= scale[j] * scale[k]
		}
		f.SD = append(f.SD, f.Sigma*math.Sqrt(f.cov[j][j]))
	}
	return f, nil
}

func root(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return math.Sqrt(w[i])
}

// rankRatio is the part of its own length, 1, that a column must keep when
// those before it are taken out: the square root of the spacing of float64 at
// 1, 2^-26, under which not half of its digits mean anything.
const rankRatio = 1.0 / (1 << 26)

// triangulate brings a to triangular form in place and turns z with it.
func triangulate(a [][]float64, z []float64, p int) error {
	n := len(a)
	for j := range p {
		norm := 0.0
		for i := j; i < n; i++ {
			norm = math.Hypot(norm, a[i][j])
		}
		if norm < rankRatio {
			return ErrDependent
		}
		if a[j][j] > 0 {
			norm = -norm
		}
		// v = a_j - norm e_j, kept in v; 2 v v' / v'v takes a_j to norm e_j.
		v := make([]float64, n)
		vv := 0.0
		for i := j; i < n; i++ {
			if v[i] = a[i][j]; i == j {
				v[i] -= norm
			}
			vv += v[i] * v[i]
		}
		turn := func(at func(i int) *float64) {
			dot := 0.0
			for i := j; i < n; i++ {
				dot += v[i] * *at(i)
			}
			for i := j; i < n; i++ {
				*at(i) -= 2 * dot / vv * v[i]
			}
		}
		for k := j; k < p; k++ {
			turn(func(i int) *float64 { return &a[i][k] })
		}
		turn(func(i int) *float64 { return &z[i] })
	}
	return nil
}

// backward solves R b = z for the upper triangle R of a.
func backward(a [][]float64, z []float64, p int) []float64 {
	b := make([]float64, p)
	for j := p - 1; j >= 0; j-- {
		s := z[j]
		for k := j + 1; k < p; k++ {
			s -= a[j][k] * b[k]
		}
		b[j] = s / a[j][j]
	}
	return b
}

// inverseOfSquare returns the inverse of R'R.
func inverseOfSquare(a [][]float64, p int) [][]float64 {
	// Columns of the inverse of R, then C = R^-1 R^-T.
	inv := make([][]float64, p)
	for j := range p {
		e := make([]float64, p)
		e[j] = 1
		inv[j] = backward(a, e, p) // column j
	}
	c := make([][]float64, p)
	for i := range p {
		c[i] = make([]float64, p)
		for k := range p {
			for j := range p {
				c[i][k] += inv[j][i] * inv[j][k]
			}
		}
	}
	return c
}
