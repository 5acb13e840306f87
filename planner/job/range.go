package job

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/unit"
)

// Dim says what a number measures, and so in which unit a person sees it.
type Dim int

const (
	Pure    Dim = iota // a ratio
	Count              // a whole number
	Length             // mm, shown in the job's units
	Feed               // mm/min, shown in the job's units
	Accel              // mm/s2, shown in the job's units
	Angle              // rad, shown in degrees
	Seconds            // s
	Amps               // A
	Volts              // V
	Bar                // bar
	Litres             // L/min
)

// Unit returns the unit in which a person sees the number, "" for none.
func (d Dim) Unit(in unit.System) string {
	short := "mm"
	if in == unit.Inch {
		short = "in"
	}
	switch d {
	case Length:
		return short
	case Feed:
		return short + "/min"
	case Accel:
		return short + "/s2"
	case Angle:
		return "deg"
	case Seconds:
		return "s"
	case Amps:
		return "A"
	case Volts:
		return "V"
	case Bar:
		return "bar"
	case Litres:
		return "L/min"
	}
	return ""
}

// Show returns v, a value inside the planner, as a person sees it in the
// given system, without its unit.
func (d Dim) Show(v float64, in unit.System) float64 {
	switch d {
	case Length, Feed, Accel:
		return in.FromMM(v)
	case Angle:
		return v * 180 / math.Pi
	}
	return v
}

// Range is what a field may hold, inclusive on both sides, and why. The
// limits are wide: they keep out slips of the key and of the unit, not bad
// practice, which is for the checks.
type Range struct {
	Dim      Dim
	Min, Max float64 // in the planner's own unit
	Why      string  // the reason for the limits, a clause without a full stop
}

// Text prints the range as a person sees it: "0.2 to 160 mm".
func (r Range) Text(in unit.System) string {
	text := r.number(r.Min, in) + " to " + r.number(r.Max, in)
	if u := r.Dim.Unit(in); u != "" {
		text += " " + u
	}
	return text
}

// number rounds a limit to four digits, which is what a person can use.
func (r Range) number(v float64, in unit.System) string {
	v = r.Dim.Show(v, in)
	if v == 0 || r.Dim == Count {
		return unit.Number(v, 0)
	}
	decimals := 3 - int(math.Floor(math.Log10(math.Abs(v))))
	return unit.Number(v, max(decimals, 0))
}

// Check returns nil if v, in the planner's own unit, may stand in the field;
// otherwise an error that reads on from "thickness = 900: ", such as "must be
// 0.2 to 160 mm (thicker is beyond plasma cutting)". NaN is never allowed.
func (r Range) Check(v float64, in unit.System) error {
	switch {
	case math.IsNaN(v) || v < r.Min || v > r.Max:
		return fmt.Errorf("must be %s (%s)", r.Text(in), r.Why)
	case r.Dim == Count && v != math.Trunc(v):
		return fmt.Errorf("must be a whole number, %s (%s)", r.Text(in), r.Why)
	}
	return nil
}
