package unit_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/unit"
)

func TestLengthsAsAPersonTypesThem(t *testing.T) {
	for _, c := range []struct {
		text string
		in   unit.System
		mm   float64
	}{
		{"6", unit.MM, 6}, {" 6.5 mm ", unit.Inch, 6.5}, {"1/4", unit.Inch, 6.35}, {"1/4in", unit.MM, 6.35}, {"1 1/2 in", unit.MM, 38.1},
		{`0.125"`, unit.MM, 3.175}, {"-3", unit.MM, -3}, {"48inch", unit.MM, 1219.2},
	} {
		got, err := unit.ParseLength(c.text, c.in)
		if err != nil || math.Abs(got-c.mm) > 1e-9 {
			t.Errorf("%q: %g, %v; want %g", c.text, got, err, c.mm)
		}
	}
	for _, bad := range []string{"", "mm", "6,5", "nan", "inf", "1e3", "0x10", "1/0", "6 7", "6mmm", "--6"} {
		if got, err := unit.ParseLength(bad, unit.MM); err == nil {
			t.Errorf("%q read as %g", bad, got)
		}
	}
}

// 100 in/min on 1/8 in at 45 A is 2540 mm/min on 3.175 mm: the inch of 1959.
func TestFiguresAsAPersonReadsThem(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{unit.Inch.Length(3.175), "0.125 in"}, {unit.MM.Length(3.175), "3.17 mm"}, {unit.MM.Length(-0.0001), "0 mm"},
		{unit.Inch.Feed(2540), "100 in/min"}, {unit.MM.Feed(2540), "2540 mm/min"},
		{unit.Duration(59.4), "59 s"}, {unit.Duration(185), "3 min 05 s"}, {unit.Duration(3720), "1 h 02 min"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
