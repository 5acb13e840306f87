package drawing

import (
	"math"
	"strconv"
)

// The objects of a PDF (ISO 32000-1, 7.3): nil, bool, float64 for numbers of
// both kinds, pdfName, pdfString, pdfArray, pdfDict, pdfRef, *pdfStream, and
// in content streams pdfOp.
type (
	pdfName   string
	pdfString string
	pdfArray  []any
	pdfDict   map[pdfName]any
	pdfOp     string
	pdfRef    struct{ n, gen int }
	pdfStream struct {
		dict pdfDict
		raw  []byte // still encoded
	}
)

// pdfDepth bounds arrays and dictionaries within one another.
const pdfDepth = 100

// pdfLexer reads objects from bytes. It never fails: what cannot be read is
// nil, and the end is where the bytes end.
type pdfLexer struct {
	b []byte
	i int
}

func isPDFSpace(c byte) bool {
	return c == ' ' || c == '\n' || c == '\r' || c == '\t' || c == '\f' || c == 0
}

func isPDFDelim(c byte) bool {
	switch c {
	case '(', ')', '<', '>', '[', ']', '{', '}', '/', '%':
		return true
	}
	return false
}

// space skips white space and comments.
func (l *pdfLexer) space() {
	for l.i < len(l.b) {
		c := l.b[l.i]
		if c == '%' {
			for l.i < len(l.b) && l.b[l.i] != '\n' && l.b[l.i] != '\r' {
				l.i++
			}
		} else if !isPDFSpace(c) {
			return
		} else {
			l.i++
		}
	}
}

// regular returns the run of characters that are neither space nor delimiter.
func (l *pdfLexer) regular() []byte {
	k := l.i
	for l.i < len(l.b) && !isPDFSpace(l.b[l.i]) && !isPDFDelim(l.b[l.i]) {
		l.i++
	}
	return l.b[k:l.i]
}

// object reads one object, or an operator; ok is false at the end. Indirect
// references are told by looking two tokens ahead.
func (l *pdfLexer) object(depth int) (o any, ok bool) {
	l.space()
	if l.i >= len(l.b) {
		return nil, false
	}
	switch c := l.b[l.i]; c {
	case '/':
		l.i++
		return l.name(), true
	case '(':
		return l.literal(), true
	case '<':
		if l.i+1 < len(l.b) && l.b[l.i+1] == '<' {
			l.i += 2
			return l.dict(depth), true
		}
		return l.hex(), true
	case '[':
		l.i++
		return l.array(depth), true
	case '>':
		if l.i+1 < len(l.b) && l.b[l.i+1] == '>' {
			l.i += 2
			return pdfOp(">>"), true
		}
		l.i++
		return nil, true
	case ']':
		l.i++
		return pdfOp("]"), true
	case ')', '{', '}':
		l.i++
		return nil, true
	}
	w := l.regular()
	if v, ok := pdfNumber(w); ok {
		if n, isInt := pdfInt(w); isInt {
			if gen, ok := l.reference(); ok {
				return pdfRef{n, gen}, true
			}
		}
		return v, true
	}
	switch string(w) {
	case "true":
		return true, true
	case "false":
		return false, true
	case "null":
		return nil, true
	}
	return pdfOp(w), true
}

// reference reads "gen R" if that is what follows.
func (l *pdfLexer) reference() (gen int, ok bool) {
	at := l.i
	l.space()
	gen, ok = pdfInt(l.regular())
	if ok {
		l.space()
		if w := l.regular(); len(w) == 1 && w[0] == 'R' {
			return gen, true
		}
	}
	l.i = at
	return 0, false
}

// pdfInt reads an unsigned whole number of at most ten digits.
func pdfInt(w []byte) (int, bool) {
	if len(w) == 0 || len(w) > 10 {
		return 0, false
	}
	n := 0
	for _, c := range w {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

// pdfNumber reads a number: sign, digits, one point. Some writers double the
// sign or leave an exponent behind; those are read as they are meant.
func pdfNumber(w []byte) (float64, bool) {
	i, sign := 0, 1.0
	for i < len(w) && (w[i] == '+' || w[i] == '-') {
		if w[i] == '-' {
			sign = -1
		}
		i++
	}
	start := i
	var mantissa uint64
	digits, decimals, point := 0, 0, false
	for ; i < len(w); i++ {
		switch c := w[i]; {
		case c >= '0' && c <= '9':
			if digits < 18 {
				mantissa = mantissa*10 + uint64(c-'0')
			}
			digits++
			if point {
				decimals++
			}
		case c == '.' && !point:
			point = true
		case digits > 0 && (c == 'e' || c == 'E' || c == '-'):
			return pdfSlow(w[start:], sign)
		default:
			return 0, false
		}
	}
	switch {
	case digits == 0:
		return 0, point && len(w) == 1 // a lone point counts as 0
	case digits > 15 || decimals > 22:
		return pdfSlow(w[start:], sign)
	}
	// Both exact below 2^53 and 10^23: one rounding, as strconv would.
	return sign * float64(mantissa) / pow10[decimals], true
}

var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

func pdfSlow(w []byte, sign float64) (float64, bool) {
	if len(w) > 1000 {
		return 0, false
	}
	v, err := strconv.ParseFloat(string(w), 64)
	if err != nil {
		// "12.5-3" is seen: what follows the sign is noise.
		for k := 1; k < len(w); k++ {
			if w[k] == '-' {
				v, err = strconv.ParseFloat(string(w[:k]), 64)
				break
			}
		}
	}
	return sign * v, err == nil && !math.IsInf(v, 0) && !math.IsNaN(v)
}

// name reads a name after its slash; #xx stands for a byte.
func (l *pdfLexer) name() pdfName {
	w := l.regular()
	for i := range w {
		if w[i] != '#' {
			continue
		}
		out := make([]byte, 0, len(w))
		for k := 0; k < len(w); k++ {
			if w[k] == '#' && k+2 < len(w) {
				hi, lo := unhex(w[k+1]), unhex(w[k+2])
				if hi >= 0 && lo >= 0 {
					out = append(out, byte(hi<<4|lo))
					k += 2
					continue
				}
			}
			out = append(out, w[k])
		}
		return pdfName(out)
	}
	return pdfName(w)
}

func unhex(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	}
	return -1
}

// literal reads a string in brackets.
func (l *pdfLexer) literal() pdfString {
	l.i++
	var out []byte
	for depth := 1; l.i < len(l.b); l.i++ {
		c := l.b[l.i]
		switch c {
		case '(':
			depth++
		case ')':
			if depth--; depth == 0 {
				l.i++
				return pdfString(out)
			}
		case '\\':
			l.i++
			if l.i >= len(l.b) {
				return pdfString(out)
			}
			c = l.b[l.i]
			switch {
			case c >= '0' && c <= '7':
				v := 0
				k := 0
				for ; k < 3 && l.i+k < len(l.b) && l.b[l.i+k] >= '0' && l.b[l.i+k] <= '7'; k++ {
					v = v*8 + int(l.b[l.i+k]-'0')
				}
				l.i += k - 1
				c = byte(v)
			case c == 'n':
				c = '\n'
			case c == 'r':
				c = '\r'
			case c == 't':
				c = '\t'
			case c == 'b':
				c = '\b'
			case c == 'f':
				c = '\f'
			case c == '\r':
				if l.i+1 < len(l.b) && l.b[l.i+1] == '\n' {
					l.i++
				}
				continue
			case c == '\n':
				continue
			}
		}
		out = append(out, c)
	}
	return pdfString(out)
}

// hex reads a string in angle brackets.
func (l *pdfLexer) hex() pdfString {
	l.i++
	var out []byte
	half := -1
	for l.i < len(l.b) {
		c := l.b[l.i]
		l.i++
		if c == '>' {
			break
		}
		v := unhex(c)
		switch {
		case v < 0:
		case half < 0:
			half = v
		default:
			out = append(out, byte(half<<4|v))
			half = -1
		}
	}
	if half >= 0 {
		out = append(out, byte(half<<4))
	}
	return pdfString(out)
}

func (l *pdfLexer) array(depth int) pdfArray {
	if depth >= pdfDepth {
		l.i = len(l.b)
		return nil
	}
	var out pdfArray
	for {
		o, ok := l.object(depth + 1)
		if !ok {
			return out
		}
		if op, isOp := o.(pdfOp); isOp {
			if op == "]" {
				return out
			}
			if op == ">>" || op == "endobj" || op == "endstream" {
				return out
			}
			continue
		}
		out = append(out, o)
	}
}

func (l *pdfLexer) dict(depth int) pdfDict {
	out := pdfDict{}
	if depth >= pdfDepth {
		l.i = len(l.b)
		return out
	}
	for {
		k, ok := l.object(depth + 1)
		if !ok {
			return out
		}
		if op, isOp := k.(pdfOp); isOp && (op == ">>" || op == "endobj" || op == "stream") {
			return out
		}
		key, isName := k.(pdfName)
		if !isName {
			continue
		}
		v, ok := l.object(depth + 1)
		if !ok {
			return out
		}
		if op, isOp := v.(pdfOp); isOp {
			if op == ">>" {
				return out
			}
			continue
		}
		out[key] = v
	}
}
