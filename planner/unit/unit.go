// Package unit converts at the edges: drawing, screen, job file and G-code.
// Inside the planner everything is mm, mm/min, s, A, V, L/min and kg. The
// only 25.4 of the tree is here.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MMPerInch is exact by definition (international yard and pound agreement, 1959).
const MMPerInch = 25.4

// System is a unit of length that a person or a file uses.
type System int

const (
	// Unknown means that nobody has said.
	Unknown System = iota
	MM
	Inch
)

// Parse reads "mm" or "inch" (also "in", "inches", "millimetre").
func Parse(s string) (System, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "mm", "millimetre", "millimeter", "millimetres", "millimeters":
		return MM, nil
	case "inch", "in", "inches":
		return Inch, nil
	}
	return Unknown, fmt.Errorf("unit %q: must be mm or inch", s)
}

func (s System) String() string {
	switch s {
	case MM:
		return "mm"
	case Inch:
		return "inch"
	}
	return "unknown"
}

// Scale returns the mm in one unit; 1 for Unknown.
func (s System) Scale() float64 {
	if s == Inch {
		return MMPerInch
	}
	return 1
}

// ToMM converts a length in s to mm.
func (s System) ToMM(v float64) float64 { return v * s.Scale() }

// FromMM converts a length in mm to s.
func (s System) FromMM(v float64) float64 { return v / s.Scale() }

// Length prints mm as a length in s with its unit: "12.70 mm" or "0.500 in".
func (s System) Length(mm float64) string {
	if s == Inch {
		return trim(s.FromMM(mm), 3) + " in"
	}
	return trim(mm, 2) + " mm"
}

// Feed prints mm/min as a feed in s with its unit: "2540 mm/min" or "100 in/min".
func (s System) Feed(mmPerMin float64) string {
	if s == Inch {
		return trim(s.FromMM(mmPerMin), 1) + " in/min"
	}
	return trim(mmPerMin, 0) + " mm/min"
}

// Duration prints seconds as "42 s", "3 min 05 s" or "1 h 02 min".
func Duration(s float64) string {
	n := int64(math.Round(s))
	switch {
	case n < 60:
		return fmt.Sprintf("%d s", n)
	case n < 3600:
		return fmt.Sprintf("%d min %02d s", n/60, n%60)
	}
	return fmt.Sprintf("%d h %02d min", n/3600, n%3600/60)
}

// ParseLength reads a length with an optional unit ("6", "6mm", "1/4in",
// "0.25 in", "1 1/2in"); without one it is in the given system. The result is
// in mm. NaN, infinity and text after the number are errors.
func ParseLength(text string, in System) (mm float64, err error) {
	t := strings.ToLower(strings.TrimSpace(text))
	switch {
	case strings.HasSuffix(t, "mm"):
		t, in = strings.TrimSuffix(t, "mm"), MM
	case strings.HasSuffix(t, "inch"):
		t, in = strings.TrimSuffix(t, "inch"), Inch
	case strings.HasSuffix(t, "in"):
		t, in = strings.TrimSuffix(t, "in"), Inch
	case strings.HasSuffix(t, "\""):
		t, in = strings.TrimSuffix(t, "\""), Inch
	}
	n, d, err := ratio(t)
	switch {
	case err != nil:
	case !strings.Contains(t, "/"):
		mm, err = in.ReadMM(t)
	case in == Inch:
		// Rounded once: both products are exact for the fractions that people type.
		mm = n * tenthsPerInch / (d * 10)
	default:
		mm = n / d
	}
	if err == nil && (math.IsInf(mm, 0) || math.IsNaN(mm)) {
		err = fmt.Errorf("out of range")
	}
	if err != nil {
		return 0, fmt.Errorf("length %q: %w", text, err)
	}
	return mm, nil
}

// ParseNumber reads a decimal number or a fraction ("3/8", "1 1/2").
func ParseNumber(text string) (float64, error) {
	n, d, err := ratio(text)
	if err != nil {
		return 0, err
	}
	return n / d, nil
}

// ratio reads a decimal number or a fraction as n / d; d is 1 for a decimal.
func ratio(text string) (n, d float64, err error) {
	t := strings.TrimSpace(text)
	if t == "" {
		return 0, 0, fmt.Errorf("no number")
	}
	if !strings.Contains(t, "/") {
		n, err = decimal(t)
		return n, 1, err
	}
	var whole float64
	if w, frac, ok := strings.Cut(t, " "); ok && !strings.Contains(w, "/") {
		if whole, err = decimal(w); err != nil {
			return 0, 0, err
		}
		t = strings.TrimSpace(frac)
		if strings.ContainsAny(t, "+-") {
			return 0, 0, fmt.Errorf("a sign inside a number")
		}
	}
	over, under, _ := strings.Cut(t, "/")
	if n, err = decimal(over); err != nil {
		return 0, 0, err
	}
	if d, err = decimal(under); err != nil {
		return 0, 0, err
	}
	if d == 0 {
		return 0, 0, fmt.Errorf("a fraction over 0")
	}
	if math.Signbit(whole) {
		n = -n
	}
	return whole*d + n, d, nil
}

func decimal(t string) (float64, error) {
	t = strings.TrimSpace(t)
	if strings.Contains(t, ",") {
		return 0, fmt.Errorf("a comma: write a decimal point")
	}
	for _, r := range t {
		if (r < '0' || r > '9') && r != '.' && r != '-' && r != '+' {
			return 0, fmt.Errorf("not a number")
		}
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("not a number")
	}
	return v, nil
}

// Number prints v with at most the given decimals, without trailing zeros, an
// exponent or a negative zero.
func Number(v float64, decimals int) string { return trim(v, decimals) }

func trim(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}
