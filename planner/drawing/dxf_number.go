package drawing

import (
	"bytes"
	"strconv"
)

// parseCode reads a group code: a whole number of at most five digits with
// blanks around it.
func parseCode(b []byte) (code int, ok bool) {
	i, n := 0, len(b)
	for i < n && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	for n > i && (b[n-1] == ' ' || b[n-1] == '\t' || b[n-1] == '\r') {
		n--
	}
	neg := false
	if i < n && b[i] == '-' {
		neg = true
		i++
	}
	if i == n || n-i > 5 {
		return 0, false
	}
	for ; i < n; i++ {
		if b[i] < '0' || b[i] > '9' {
			return 0, false
		}
		code = 10*code + int(b[i]-'0')
	}
	if neg {
		code = -code
	}
	return code, true
}

// tenTo holds the powers of ten that a float64 holds exactly.
var tenTo = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// parseFloat reads a decimal number with blanks around it, rightly rounded:
// up to 15 digits and 22 places by one exact division or multiplication of
// two exact numbers (Clinger 1990), the rest by strconv. Infinity, nan, hex
// and digit separators are no numbers here.
func parseFloat(b []byte) (float64, bool) {
	i, n := 0, len(b)
	for i < n && b[i] <= ' ' {
		i++
	}
	for n > i && b[n-1] <= ' ' {
		n--
	}
	b = b[i:n]
	if len(b) == 0 || len(b) > 400 {
		return 0, false
	}
	i, n = 0, len(b)
	neg := false
	if b[0] == '-' || b[0] == '+' {
		neg = b[0] == '-'
		i++
	}
	var mant uint64
	digits, places := 0, 0
	seen, point := false, false
	for ; i < n; i++ {
		c := b[i]
		if c >= '0' && c <= '9' {
			seen = true
			if mant != 0 || c != '0' {
				digits++
			}
			if digits <= 19 {
				mant = 10*mant + uint64(c-'0')
			}
			if point {
				places++
			}
		} else if c == '.' && !point {
			point = true
		} else {
			break
		}
	}
	if !seen {
		return 0, false
	}
	if i == n && digits <= 19 && mant < 1<<53 && places < len(tenTo) {
		v := float64(mant)
		if places > 0 {
			v /= tenTo[places]
		}
		if neg {
			v = -v
		}
		return v, true
	}
	if i < n { // an exponent, and nothing else
		if b[i] != 'e' && b[i] != 'E' {
			return 0, false
		}
		k := i + 1
		if k < n && (b[k] == '-' || b[k] == '+') {
			k++
		}
		if k == n {
			return 0, false
		}
		for ; k < n; k++ {
			if b[k] < '0' || b[k] > '9' {
				return 0, false
			}
		}
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, err == nil
}

// parseComma reads a number whose decimal sign is a comma.
func parseComma(b []byte) (float64, bool) {
	b = bytes.TrimSpace(b)
	if bytes.Count(b, []byte(",")) != 1 || bytes.IndexByte(b, '.') >= 0 {
		return 0, false
	}
	return parseFloat(bytes.Replace(b, []byte(","), []byte("."), 1))
}
