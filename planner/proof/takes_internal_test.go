package proof

import "testing"

// Counted by hand: the decimals of places alone.
func TestDecimalsOfPlacesAreCounted(t *testing.T) {
	for line, want := range map[string]int{
		"":                          0,
		"G1 X1.2345 Y2.1":           4,
		"G1 X1.2 Y2.12345":          5,
		"X12345 Y12":                0,
		"X1. Y2":                    0,
		"X10.9 Y20.09":              2,
		"X.90009":                   5,
		"Z-.125":                    3,
		"G3 X1 Y1 I.5 J-.2525 F9.1": 4,
		"I.12":                      2,
		"g3x1.2y1i.555j2":           3,
		"x.1 y1.23 z1.234":          3,
		"j.12345":                   5,
		"G2 X1.2 R2.3456":           4,
		"g2x1.2r2.345":              3,
		"G1 X1.2 F2500.12345":       1, // a feed is no place
		"F2500.12345 X1.2":          1,
		"G4 P0.4000":                0,
		"G1 X1.2 A3.4567":           1, // nor is an angle
		"x1.2 a3.4567":              1,
		"F1.23456 Z1.234":           3,
		"f1.23456 z1.234":           3,
		"(to X1.23456) X1.2":        1,
		"X1.2 (to X1.23456)":        1,
		"X1.2 (Y1.2) Z1.234":        3,
		"X1 2345":                   0,
	} {
		if got := longest([]byte(line)); got != want {
			t.Errorf("%q: %d, want %d", line, got, want)
		}
	}
}
