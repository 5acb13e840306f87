// Package plain makes foreign text fit for a screen, a table and a G-code
// comment. Layer names, file names and TOML strings come in; text that can
// neither move a cursor nor close a comment goes out. It never decides what
// the text means.
package plain

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Mark stands for every rune that may not reach a terminal.
const Mark = '·'

// Text is foreign text that has been cleaned. Only Of makes one, so a raw
// string cannot be drawn by mistake. The zero value is the empty text.
type Text struct{ s string }

// Of returns s with invalid UTF-8 and every rune of the categories Cc, Cf,
// Zl, Zp, Co and Cs replaced by Mark. Tabs and line breaks count as control runes.
func Of(s string) Text { return Text{Clean(s)} }

// Clean is Of for callers that need a string at once.
func Clean(s string) string {
	if IsClean(s) {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	for i, w := 0, 0; i < len(s); i += w {
		r, n := utf8.DecodeRuneInString(s[i:])
		w = n
		if bad(r, n) {
			r = Mark
		}
		b.WriteRune(r)
	}
	return b.String()
}

// IsClean reports whether Clean would return s unchanged.
func IsClean(s string) bool {
	for i, w := 0, 0; i < len(s); i += w {
		r, n := utf8.DecodeRuneInString(s[i:])
		w = n
		if bad(r, n) {
			return false
		}
	}
	return true
}

func bad(r rune, width int) bool {
	if r == utf8.RuneError && width <= 1 {
		return true
	}
	if r < utf8.RuneSelf {
		return r < 0x20 || r == 0x7f
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Co, unicode.Cs)
}

// String returns the cleaned text.
func (t Text) String() string { return t.s }

// Empty reports whether the text has no runes.
func (t Text) Empty() bool { return t.s == "" }

// MarshalText lets TOML and JSON write the text as a string.
func (t Text) MarshalText() ([]byte, error) { return []byte(t.s), nil }

// UnmarshalText cleans what it reads; a reader that must refuse unclean text
// checks with IsClean first.
func (t *Text) UnmarshalText(b []byte) error {
	*t = Of(string(b))
	return nil
}

// Comment returns s fit for the inside of an RS-274/NGC comment: printable
// ASCII only, no parentheses (NISTIR 6556 3.3.4: a comment ends at the first
// right parenthesis and may not hold a left one), no percent sign and no
// semicolon (either starts something else on controllers that go beyond the
// standard), and never one that begins with MSG, DEBUG, PRINT or LOG and a
// comma (a message to the operator, which only the writer may send; the last
// three: common practice, no source). At most limit runes; longer text ends
// in "..".
func Comment(s string, limit int) string {
	var b strings.Builder
	for _, r := range Clean(s) {
		switch {
		case r == '(' || r == '[' || r == '{':
			b.WriteByte('<')
		case r == ')' || r == ']' || r == '}':
			b.WriteByte('>')
		case r == '%' || r == ';':
			b.WriteByte('_')
		case r == '²':
			b.WriteByte('2')
		case r == '×':
			b.WriteByte('x')
		case r < 0x20 || r > 0x7e:
			b.WriteByte('.')
		default:
			b.WriteRune(r)
		}
	}
	out := strings.TrimSpace(b.String())
	if command(out) {
		out = "- " + out
	}
	if len(out) > limit {
		if limit <= 2 {
			return out[:max(limit, 0)]
		}
		out = out[:limit-2] + ".."
	}
	return out
}

// command reports whether a comment would be taken for an order to the
// controller: blanks and case are free in the keyword (NISTIR 6556 3.3.4).
func command(s string) bool {
	word, _, found := strings.Cut(s, ",")
	if !found {
		return false
	}
	switch strings.ToUpper(strings.ReplaceAll(word, " ", "")) {
	case "MSG", "DEBUG", "PRINT", "LOG", "LOGOPEN", "LOGAPPEND", "PROBEOPEN":
		return true
	}
	return false
}
