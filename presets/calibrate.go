package presets

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/unit"
)

// leastReadings is how many readings of a sensor offset tell a spread that
// means anything. Common practice, no source.
const leastReadings = 3

// widestOffset is the most that readings of a sensor offset may spread, mm: a
// third of a usual cut height of 1.5 mm. Common practice, no source.
const widestOffset = 0.5

// Offset is what readings of the travel between a nozzle's contact and true
// zero say.
type Offset struct {
	learn.Mean         // mm
	Ready      bool    // it may stand in a profile
	Why        string  // why not, or what to look at
	Value      float64 // mm, rounded to a hundredth: what a profile takes
}

// OffsetOf takes readings in mm.
func OffsetOf(readings []float64) Offset {
	o := Offset{Mean: learn.MeanOf(readings)}
	if o.N == 0 {
		o.Why = "no reading yet"
		return o
	}
	o.Value = math.Round(o.Mean.Mean*100) / 100
	switch {
	case job.MachineSensorOffset.Check(o.Value, unit.MM) != nil:
		o.Why = fmt.Sprintf("the mean is %.2f mm: %v", o.Value, job.MachineSensorOffset.Check(o.Value, unit.MM))
	case o.N < leastReadings:
		o.Why = fmt.Sprintf("%d of at least %d readings", o.N, leastReadings)
	case o.Spread > widestOffset:
		o.Why = fmt.Sprintf("the readings spread by %.2f mm, more than %.1f mm: look for a loose torch mount, a sticking slide or spatter on the nozzle, then read again", o.Spread, widestOffset)
	default:
		o.Ready = true
		o.Why = fmt.Sprintf("the mean is known within %.2f mm", o.Within)
	}
	return o
}
