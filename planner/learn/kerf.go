package learn

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Size is one measured size of a part.
type Size struct {
	Label    string
	Drawn    float64 // mm, as it was to come out
	Measured float64 // mm
	Assumed  float64 // mm, kerf that the program was made with
	Inside   bool    // a hole or slot; else an outside size
	Round    bool    // a hole: its wall leans where it is small
}

// Kerf is an estimate of the kerf's full width.
type Kerf struct {
	Kerf    float64   // mm
	Within  float64   // mm, half width of the interval
	Spread  float64   // mm, of one reading about the fit; NaN for one reading
	Scale   float64   // by which the table makes everything too long, 0.001 is 1 mm in a metre; 0 if it cannot be told from 0
	N       int       // readings that it rests on
	Resids  []float64 // mm, of those readings, in their order
	Used    []int     // which of the sizes they are
	LeftOut []string  // and why others do not count
	Doubt   []string  // readings that stand out
}

const (
	// taperRatio times the thickness: holes under it lean too much to tell the
	// kerf. Common practice, no source.
	taperRatio = 2.0
	// caliper is how far one reading may be off, mm: callipers are good for
	// 0.02 to 0.05 mm; common practice, no source.
	caliper = 0.05
	// caliperBest readings halve what one may be off; what the calliper itself
	// is off by, more of them do not better.
	caliperBest = 4
	// robustFrom readings on, one wrong one can be told from the others.
	robustFrom = 5
	// scaleFrom readings on, the table's scale is asked for as well.
	scaleFrom = 4
	// widestSpread, part of the kerf: readings that differ more measure
	// something else.
	widestSpread = 1.0 / 3
)

// KerfOf estimates the kerf from sizes of parts cut from plate of a thickness
// in mm. An outside size comes out by kerf used less true kerf too large, an
// inside size by as much too small: measured - drawn = s (used - true) + scale
// drawn, with s = 1 outside and -1 inside. From four readings on the scale is
// kept if it is clear of 0 by twice its interval (looked for with less, chance
// would bend one kerf in twenty); from five on, a reading that stands out
// counts less (P. J. Huber, Ann. Math. Stat. 35 (1964) 73).
func KerfOf(sizes []Size, thickness float64) (Kerf, error) {
	var k Kerf
	var x, xs [][]float64
	var y []float64
	for i, s := range sizes {
		switch {
		case !(s.Drawn > 0) || !(s.Measured > 0) || !(s.Assumed > 0):
			k.LeftOut = append(k.LeftOut, s.Label+": a size is missing")
			continue
		case s.Round && s.Inside && s.Drawn < taperRatio*thickness:
			k.LeftOut = append(k.LeftOut, fmt.Sprintf("%s: narrower than %.0f x thickness, its wall leans", s.Label, taperRatio))
			continue
		}
		side := 1.0
		if s.Inside {
			side = -1
		}
		// true kerf = used - s (measured - drawn - scale drawn)
		x, xs = append(x, []float64{1}), append(xs, []float64{1, -side * s.Drawn})
		y = append(y, s.Assumed-side*(s.Measured-s.Drawn))
		k.Used = append(k.Used, i)
	}
	if k.N = len(y); k.N == 0 {
		return k, errors.New("no measured size tells the kerf")
	}
	f, weights, err := robust(x, y)
	if err != nil {
		return k, err
	}
	if k.N >= scaleFrom {
		if g, gw, err := robust(xs, y); err == nil && math.Abs(g.B[1]) > 2*Student(g.DoF)*g.SD[1] && Student(g.DoF)*g.SD[0] < widestSpread*g.B[0] {
			f, weights = g, gw
			k.Scale = g.B[1]
		}
	}
	k.Kerf, k.Resids, k.Spread = f.B[0], f.Residuals, f.Sigma
	k.Within = caliper / math.Sqrt(float64(min(k.N, caliperBest)))
	if f.DoF > 0 {
		k.Within = max(k.Within, Student(f.DoF)*f.SD[0])
	}
	for n, w := range weights {
		if w < 1 {
			k.Doubt = append(k.Doubt, fmt.Sprintf("%s stands out by %.2f mm: measure it again", sizes[k.Used[n]].Label, f.Residuals[n]))
		}
	}
	switch {
	case !(k.Kerf > 0):
		return k, fmt.Errorf("the readings give a kerf of %.2f mm: were outside and inside sizes exchanged?", k.Kerf)
	case f.DoF > 0 && k.Spread > widestSpread*k.Kerf:
		return k, fmt.Errorf("the readings differ by %.2f mm about a kerf of %.2f mm, over a third of it: measure again, and look at the torch's height and squareness first", k.Spread, k.Kerf)
	}
	return k, nil
}

// robust is LeastSquares in which readings that stand out count less. weights
// are nil where every reading counts in full.
func robust(x [][]float64, y []float64) (Fit, []float64, error) {
	f, err := LeastSquares(x, y, nil)
	if err != nil || len(y) < robustFrom {
		return f, nil, err
	}
	const (
		bend   = 2.0    // x scale: what lies further off stands out; wide, so that few good readings do
		median = 0.6745 // of |x| for a normal x of spread 1
		rounds = 50
	)
	// A least spread: callipers read alike twice say nothing about the fit.
	floor := caliper / 4
	weights := make([]float64, len(y))
	var s float64
	for range rounds {
		abs := make([]float64, len(y))
		for i, r := range f.Residuals {
			abs[i] = math.Abs(r)
		}
		slices.Sort(abs)
		s = max(floor, (abs[(len(abs)-1)/2]+abs[len(abs)/2])/2/median)
		full := true
		for i, r := range f.Residuals {
			weights[i] = 1
			if a := math.Abs(r); a > bend*s {
				weights[i], full = bend*s/a, false
			}
		}
		if full {
			return f, nil, nil
		}
		g, err := LeastSquares(x, y, weights)
		if err != nil {
			return f, nil, nil
		}
		moved := 0.0
		for j := range g.B {
			moved = max(moved, math.Abs(g.B[j]-f.B[j])/max(math.Abs(g.B[j]), floor))
		}
		f = g
		if moved < 1e-10 { // far under what a calliper can tell
			break
		}
	}
	// Huber's variance: the mean square of what counts, over the square of the
	// part of readings that count in full.
	sum, in := 0.0, 0
	for _, r := range f.Residuals {
		a := min(math.Abs(r), bend*s)
		sum += a * a
		if math.Abs(r) <= bend*s {
			in++
		}
	}
	plainFit, err := LeastSquares(x, y, nil)
	if err != nil || f.DoF < 1 || in == 0 {
		return f, weights, nil
	}
	f.Sigma = math.Sqrt(sum/float64(f.DoF)) / (float64(in) / float64(len(y)))
	for j := range f.SD {
		f.SD[j] = f.Sigma * math.Sqrt(plainFit.cov[j][j])
	}
	return f, weights, nil
}
