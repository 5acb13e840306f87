package learn

import (
	"errors"
	"fmt"
	"math"
)

// Reading is an arc voltage with the arc-on time of the consumables at it.
type Reading struct {
	Hours float64 // h of arc on the set
	Volts float64 // V
}

// Drift is how the arc voltage changes as consumables wear.
type Drift struct {
	New    float64 // V with new consumables
	PerH   float64 // V per hour of arc
	Within float64 // V per hour, half width of the interval of PerH
	Told   bool    // PerH can be told from 0
	N      int
}

// DriftOf fits a straight line through readings at one cut height. The arc
// gets longer as the electrode wears, so that the voltage rises at the same
// height, or the torch dips at the same voltage (common practice, no source).
func DriftOf(all []Reading) (Drift, error) {
	const least = 3
	if len(all) < least {
		return Drift{N: len(all)}, fmt.Errorf("%d readings of the arc voltage: %d are needed", len(all), least)
	}
	var x [][]float64
	var y []float64
	for _, r := range all {
		x, y = append(x, []float64{1, r.Hours}), append(y, r.Volts)
	}
	f, err := LeastSquares(x, y, nil)
	if errors.Is(err, ErrDependent) {
		return Drift{N: len(all)}, errors.New("all readings are from the same hour of arc: read it again when the set has worn")
	}
	if err != nil {
		return Drift{}, err
	}
	d := Drift{New: f.B[0], PerH: f.B[1], Within: Student(f.DoF) * f.SD[1], N: len(all)}
	d.Told = math.Abs(d.PerH) > d.Within
	return d, nil
}

// Life is how long sets of consumables lasted.
type Life struct {
	Starts Mean
	Hours  Mean // of arc
}

// LifeOf takes the sets that were worn out.
func LifeOf(starts, hours []float64) Life { return Life{MeanOf(starts), MeanOf(hours)} }

// Prudent is what to count on: the mean less one spread, so that about five
// sets of six last as long (normal distribution); with one set only, half of
// it (common practice, no source).
func (m Mean) Prudent() float64 {
	switch {
	case m.N == 0:
		return 0
	case m.N == 1:
		return m.Mean / 2
	}
	return max(0, m.Mean-m.Spread)
}
