package rs274

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// problem is a fault before its line is known.
type problem struct {
	code, what, do string
}

func bad(code, do, format string, args ...any) *problem {
	return &problem{code, fmt.Sprintf(format, args...), do}
}

// scanner walks over one line. Blanks and tabs outside comments mean nothing,
// not even inside a number (section 3.3).
type scanner struct {
	b      []byte
	i      int
	params func(index int) (float64, *problem)
}

// peek returns the next character that counts, in lower case; 0 at the end.
func (s *scanner) peek() byte {
	for s.i < len(s.b) {
		c := s.b[s.i]
		if c != ' ' && c != '\t' {
			if c >= 'A' && c <= 'Z' {
				c += 'a' - 'A'
			}
			return c
		}
		s.i++
	}
	return 0
}

// next takes the character that peek showed.
func (s *scanner) next() byte {
	c := s.peek()
	s.i++
	return c
}

// take skips the word w (lower case) if it comes next, blanks inside it or not.
func (s *scanner) take(w string) bool {
	was := s.i
	for k := range len(w) {
		if s.peek() != w[k] {
			s.i = was
			return false
		}
		s.i++
	}
	return true
}

// show names a character in a fault.
func show(c byte) string {
	if c == 0 {
		return "the end of the line"
	}
	return strconv.QuoteToASCII(string(rune(c)))
}

func isDigit(c byte) bool  { return c >= '0' && c <= '9' }
func isLetter(c byte) bool { return c >= 'a' && c <= 'z' }

// comment reads from "(" to ")" and returns what stands between.
func (s *scanner) comment() (string, *problem) {
	s.i++ // (
	from := s.i
	for ; s.i < len(s.b); s.i++ {
		switch c := s.b[s.i]; {
		case c == ')':
			s.i++
			return string(s.b[from : s.i-1]), nil
		case c == '(':
			return "", bad("comment-nested", "Write no ( inside a comment.", "a comment inside a comment, which NISTIR 6556 3.3.4 forbids")
		case c < ' ' && c != '\t' || c == 0x7f:
			return "", bad("character", "Remove it.", "control character %s in a comment", strconv.QuoteToASCII(string(rune(c))))
		}
	}
	return "", bad("comment-open", "Close it with ) on the same line.", "a comment without its )")
}

// message reports whether a comment is a message: MSG, comes first, whatever
// the case and the blanks (section 3.3.4).
func message(comment string) (text string, ok bool) {
	s := scanner{b: []byte(comment)}
	if !s.take("msg,") {
		return comment, false
	}
	return strings.TrimSpace(comment[s.i:]), true
}

// Powers of ten that a float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads an optional sign, digits, at most one point, digits; at least
// one digit, no exponent (section 3.3.2.1).
func (s *scanner) number() (float64, *problem) {
	var text []byte // only filled when the quick way loses digits
	from := s.i
	neg := false
	switch s.peek() {
	case '-':
		neg = true
		s.i++
	case '+':
		s.i++
	}
	var mant uint64
	digits, decimals, point, exact := 0, 0, false, true
	for {
		c := s.peek()
		if c == '.' {
			if point {
				return 0, bad("number", "Write one decimal point.", "a number with two decimal points")
			}
			point = true
			s.i++
			continue
		}
		if !isDigit(c) {
			break
		}
		s.i++
		digits++
		if point {
			decimals++
		}
		if mant > (1<<53-10)/10 { // the next digit could pass 2^53
			exact = false
			continue
		}
		mant = mant*10 + uint64(c-'0')
	}
	if digits == 0 {
		return 0, bad("number", "Write at least one digit.", "%s where a number must stand", show(s.peek()))
	}
	var v float64
	if exact && decimals < len(tens) {
		v = float64(mant) / tens[decimals] // both exact, so rounded once
	} else {
		for _, c := range s.b[from:s.i] {
			if isDigit(c) || c == '.' {
				text = append(text, c)
			}
		}
		var err error
		if v, err = strconv.ParseFloat(string(text), 64); err != nil {
			return 0, bad("number", "Write a smaller number.", "a number with %d digits is too large", digits)
		}
	}
	if neg {
		v = -v
	}
	return v, nil
}

// value reads a number, a bracketed expression, a parameter or a function
// (section 3.3.2).
func (s *scanner) value() (float64, *problem) {
	switch c := s.peek(); {
	case c == '[':
		return s.expression()
	case c == '#':
		i, p := s.parameter()
		if p != nil {
			return 0, p
		}
		return s.params(i)
	case isLetter(c):
		return s.function()
	}
	return s.number()
}

// integer is the closeness within which a value counts as whole (section 3.3.2.1).
const integer = 0.0001

// whole returns v as an integer, or says what it must be.
func whole(v float64, what string, least, most int) (int, *problem) {
	r := math.Round(v)
	if !(math.Abs(v-r) <= integer) || r < float64(least) || r > float64(most) {
		return 0, bad("integer", "Write such a number.", "%s is %s, must be a whole number from %d to %d", what, format(v), least, most)
	}
	return int(r), nil
}

func format(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// HighestParameter is the last index that may be written (section 3.2.1).
const HighestParameter = 5399

// parameter reads # and an index.
func (s *scanner) parameter() (int, *problem) {
	s.next() // #
	v, p := s.value()
	if p != nil {
		return 0, p
	}
	return whole(v, "parameter index", 1, HighestParameter)
}
