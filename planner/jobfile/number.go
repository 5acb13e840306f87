package jobfile

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// literal writes v, a value inside the planner, with the fewest digits that
// parse reads back as exactly v.
func literal(d job.Dim, v float64, in unit.System) string {
	switch d {
	case job.Length, job.Feed, job.Accel:
		return in.WriteMM(v)
	case job.Angle:
		return degrees(v)
	case job.Count:
		return strconv.FormatFloat(v, 'f', 0, 64) // never an exponent: TOML would make it a float
	}
	return unit.Shortest(v)
}

// parse reads a number as typed in a file of the given units.
func parse(d job.Dim, typed string, in unit.System) (float64, error) {
	typed = strings.ReplaceAll(typed, "_", "")
	if i, err := strconv.ParseInt(typed, 0, 64); err == nil && strings.ContainsAny(typed, "xob") {
		typed = strconv.FormatInt(i, 10)
	}
	switch d {
	case job.Length, job.Feed, job.Accel:
		return in.ReadMM(typed)
	case job.Angle:
		return radians(typed)
	}
	return unit.MM.ReadMM(typed)
}

// halfTurn is pi to 50 digits (OEIS A000796).
const halfTurn = "3.14159265358979323846264338327950288419716939937510"

// anglePrec is bits enough that the quotient of a float64 and pi is exact to
// far more than the 18 digits that are asked for.
const anglePrec = 150

func pi() *big.Float {
	p, _, err := big.ParseFloat(halfTurn, 10, anglePrec, big.ToNearestEven)
	if err != nil {
		panic("jobfile: internal: pi: " + err.Error())
	}
	return p
}

// radians returns the float64 nearest to the angle typed in degrees.
func radians(typed string) (float64, error) {
	// ReadMM bounds length and exponent before the big number is made.
	if _, err := unit.MM.ReadMM(typed); err != nil {
		return 0, err
	}
	deg, _, err := big.ParseFloat(typed, 10, anglePrec, big.ToNearestEven)
	if err != nil {
		return 0, fmt.Errorf("not a number")
	}
	deg.Mul(deg, pi())
	rad, _ := deg.Quo(deg, big.NewFloat(180)).Float64()
	if math.IsInf(rad, 0) {
		return 0, fmt.Errorf("out of range")
	}
	return rad, nil
}

// degrees returns the shortest number of degrees that radians reads back as
// exactly rad: 90 for math.Pi/2.
func degrees(rad float64) string {
	if rad == 0 {
		return "0"
	}
	q := new(big.Float).SetPrec(anglePrec).SetFloat64(rad)
	q.Quo(q.Mul(q, big.NewFloat(180)), pi())
	for digits := 1; digits <= 18; digits++ {
		t := q.Text('g', digits)
		if back, err := radians(t); err == nil && back == rad {
			return plainDigits(t)
		}
	}
	panic("jobfile: internal: no decimal in degrees for " + strconv.FormatFloat(rad, 'g', -1, 64))
}

// plainDigits writes a decimal without an exponent if it is one that a
// person would write so.
func plainDigits(t string) string {
	v, err := strconv.ParseFloat(t, 64)
	if err != nil {
		panic("jobfile: internal: " + t + " is no number")
	}
	if s := unit.Shortest(v); sameNumber(s, t) {
		return s
	}
	return t
}

func sameNumber(a, b string) bool {
	x, okX := new(big.Rat).SetString(a)
	y, okY := new(big.Rat).SetString(b)
	return okX && okY && x.Cmp(y) == 0
}
