package gcode

import (
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// form prints numbers in the program's units.
type form struct {
	scale    float64 // program units in one mm
	decimals int
	step     float64 // mm of the last decimal
}

// Decimals returns how many the program writes: the profile's, else 4 in mm and
// 5 in inch, which can never break the standard's arc rule (4 sqrt(2) half
// steps stay under 0.002 mm or 0.0002 in; NISTIR 6556 3.5.3.2).
func Decimals(p job.Program) int {
	switch {
	case p.Decimals > 0:
		return p.Decimals
	case p.Units == unit.Inch:
		return 5
	}
	return 4
}

func formOf(p job.Program) form {
	f := form{scale: 1 / p.Units.Scale(), decimals: Decimals(p)}
	f.step = math.Pow(10, -float64(f.decimals)) / f.scale
	return f
}

// num prints a length or a feed in mm: at least one digit before the point, no
// exponent, no negative zero, no trailing zeros past the first decimal.
func (f form) num(mm float64) string {
	s := strconv.FormatFloat(mm*f.scale, 'f', f.decimals, 64)
	s = strings.TrimRight(s, "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	if s == "-0.0" {
		return "0.0"
	}
	return s
}

// feed prints a feed: whole mm/min, or tenths of an inch per minute.
func (f form) feed(mm float64) string {
	d := 0
	if f.scale != 1 {
		d = 1
	}
	return unit.Number(mm*f.scale, d)
}

// seconds prints a time with two decimals.
func seconds(s float64) string { return unit.Number(s, 2) }

// said returns in mm what num has printed.
func (f form) said(num string) float64 {
	v, _ := strconv.ParseFloat(num, 64)
	return v / f.scale
}
