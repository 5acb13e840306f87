package unit

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// maxDigits is the longest number that ReadMM takes, in characters. The
// shortest decimal that names a float64 has at most 25 ("-1.7976931348623157e+308");
// the rest is room for leading and trailing zeros.
const maxDigits = 64

// ReadMM reads a decimal number of s, such as "0.125" or "1e-3", and returns
// the float64 nearest to its true length in mm. ToMM rounds twice, once for
// the number and once for the product, and so misses that float64 by one step
// about one time in four: 0.1 in would not be 2.54 mm for every 0.1.
// NaN, infinity, other text and more than 64 characters are errors.
func (s System) ReadMM(decimal string) (float64, error) {
	digits, exp, ok := split(decimal)
	if !ok {
		return 0, fmt.Errorf("not a number")
	}
	if s == Inch {
		// x 25.4 = x 254 / 10, exactly, on the digits themselves.
		digits.Mul(digits, big.NewInt(tenthsPerInch))
		exp--
	}
	v, err := strconv.ParseFloat(digits.String()+"e"+strconv.Itoa(exp), 64)
	if err != nil {
		return 0, fmt.Errorf("out of range")
	}
	return v, nil
}

const tenthsPerInch = 254 // MMPerInch in tenths of a mm, an exact integer

// WriteMM returns the shortest decimal number of s that ReadMM reads back as
// exactly mm. Values under 1e-6 or from 1e15 up have an exponent. mm must be
// finite; 0 and -0 are "0".
func (s System) WriteMM(mm float64) string {
	if mm == 0 {
		return "0"
	}
	if s != Inch {
		return Shortest(mm)
	}
	// 17 digits always tell two float64 apart; the quotient is good to 200 bits.
	q := new(big.Float).SetPrec(200).SetFloat64(mm)
	q.Mul(q, big.NewFloat(10))
	q.Quo(q, new(big.Float).SetPrec(200).SetInt64(tenthsPerInch))
	for digits := 1; digits <= 18; digits++ {
		t := q.Text('e', digits-1)
		if back, err := s.ReadMM(t); err == nil && back == mm {
			return tidy(t)
		}
	}
	panic("unit: internal: no decimal in inches for " + strconv.FormatFloat(mm, 'g', -1, 64))
}

// Shortest prints v with as few digits as name this float64 and no other;
// without an exponent from 1e-6 up to under 1e15.
func Shortest(v float64) string {
	if v == 0 {
		return "0"
	}
	return tidy(strconv.FormatFloat(v, 'e', -1, 64))
}

// tidy turns d.ddde±dd into plain digits where that stays readable.
func tidy(t string) string {
	mantissa, e, _ := strings.Cut(t, "e")
	exp, err := strconv.Atoi(e)
	if err != nil {
		panic("unit: internal: no exponent in " + t)
	}
	sign := ""
	if strings.HasPrefix(mantissa, "-") {
		sign, mantissa = "-", mantissa[1:]
	}
	digits := strings.TrimRight(strings.Replace(mantissa, ".", "", 1), "0")
	if exp < -6 || exp >= 15 {
		if len(digits) > 1 {
			digits = digits[:1] + "." + digits[1:]
		}
		return sign + digits + "e" + strconv.Itoa(exp)
	}
	switch point := exp + 1; {
	case point <= 0:
		return sign + "0." + strings.Repeat("0", -point) + digits
	case point >= len(digits):
		return sign + digits + strings.Repeat("0", point-len(digits))
	default:
		return sign + digits[:point] + "." + digits[point:]
	}
}

// split takes a decimal number apart: value = digits x 10^exp.
func split(t string) (digits *big.Int, exp int, ok bool) {
	if len(t) > maxDigits {
		return nil, 0, false
	}
	mantissa, e, scientific := strings.Cut(strings.ToLower(strings.TrimSpace(t)), "e")
	if scientific {
		var err error
		if exp, err = strconv.Atoi(e); err != nil || exp < -9999 || exp > 9999 {
			return nil, 0, false
		}
	}
	whole, frac, _ := strings.Cut(mantissa, ".")
	exp -= len(frac)
	sign := ""
	if strings.HasPrefix(whole, "-") || strings.HasPrefix(whole, "+") {
		sign, whole = whole[:1], whole[1:]
	}
	all := whole + frac
	if all == "" || strings.Trim(all, "0123456789") != "" {
		return nil, 0, false
	}
	digits, ok = new(big.Int).SetString(strings.TrimPrefix(sign, "+")+all, 10)
	return digits, exp, ok
}
