package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/rs274"
	"example.org/kerfwright/planner/unit"
)

func TestLengthsAndFeedsArePrintedShortly(t *testing.T) {
	for v, want := range map[float64]string{
		12.3456: "12.346 mm", 12.3: "12.3 mm", 40: "40 mm", -0.75: "-0.75 mm", -0.0004: "0 mm", math.Copysign(0, -1): "0 mm",
		999999.9996: "1000000 mm", 5e11: "500000000000 mm", 1e12: "1e+12 mm", -2.5e15: "-2.5e+15 mm", math.Inf(1): "+Inf mm", math.Inf(-1): "-Inf mm",
	} {
		if got := mm(v); got != want {
			t.Errorf("%g: %s, wanted %s", v, got, want)
		}
	}
	for v, want := range map[float64]string{2500: "2500 mm/min", 1234.56: "1234.6 mm/min", 0.04: "0 mm/min", 99.95: "100 mm/min"} {
		if got := feed(v); got != want {
			t.Errorf("%g: %s, wanted %s", v, got, want)
		}
	}
}

// Half of the last decimal that the text is written with, in mm.
func TestRoundingIsHalfOfTheLastDecimal(t *testing.T) {
	for _, c := range []struct {
		units    unit.System
		decimals int
		want     float64
	}{{unit.MM, 0, 0.00005}, {unit.MM, 3, 0.0005}, {unit.Inch, 0, 0.000005 * 25.4}, {unit.Inch, 5, 0.000005 * 25.4}, {unit.Inch, 3, 0.0005 * 25.4}} {
		in := Input{Form: Form{Units: c.units, Decimals: c.decimals}}
		k := &check{in: &in}
		if c.units == unit.Inch {
			k.units = rs274.Inches
		}
		got := k.rounding()
		if math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v with %d decimals: %g mm, wanted %g mm", c.units, c.decimals, got, c.want)
		}
	}
}
