package tui

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"golang.org/x/text/unicode/norm"

	"example.org/kerfwright/planner/plain"
)

// span is text in one ink; line is what stands on one line of the screen.
type span struct {
	s   string
	ink ink
}

type line []span

func text(s string) line         { return line{{s, inkPlain}} }
func inked(i ink, s string) line { return line{{s, i}} }

// add returns the line with one more span.
func (l line) add(i ink, s string) line { return append(l, span{s, i}) }

// width returns the cells that the line takes.
func (l line) width() int {
	n := 0
	for _, s := range l {
		n += cells(s.s)
	}
	return n
}

// right puts r at the right end of w cells, after l; l is cut if both do not fit.
func (l line) right(t *theme, r line, w int) line {
	r = t.steady(r)
	room := w - r.width()
	if room < 0 {
		return l.fit(t, w)
	}
	return append(l.fit(t, room), r...)
}

// fit cuts or fills the line to exactly w cells. What is cut ends in a sign.
func (l line) fit(t *theme, w int) line {
	if w <= 0 {
		return nil
	}
	out := make(line, 0, len(l)+1)
	n := 0
	l = t.steady(l)
	for i, s := range l {
		c := cells(s.s)
		full := n+c == w && l[i+1:].width() > 0 // it fits, what follows does not
		if n+c <= w && !full {
			out = append(out, s)
			n += c
			continue
		}
		cut := cutTo(s.s, w-n-1)
		cut = wholeFigures(cut, s.s[min(len(cut), len(s.s)):])
		out = append(out, span{cut, s.ink}, span{t.more, inkFaint})
		n += cells(cut) + 1
		break
	}
	if n < w {
		out = append(out, span{blanks(w - n), inkPlain})
	}
	return out
}

// steady returns the line with every span safe.
func (t *theme) steady(l line) line {
	for i, s := range l {
		if isASCII(s.s) {
			continue
		}
		out := append(line(nil), l...)
		for k := i; k < len(out); k++ {
			out[k].s = t.safe(out[k].s)
		}
		return out
	}
	return l
}

// paint writes the line, cut to w cells, with the theme's sequences. Every
// span is made fit for the terminal here once more, so that whatever a stage
// was handed cannot move the cursor.
func (t *theme) paint(b *strings.Builder, l line, w int) {
	n := 0
	for _, s := range l {
		str := t.safe(s.s)
		c := cells(str)
		if n+c > w {
			str = cutTo(str, w-n)
			c = cells(str)
		}
		n += c
		if str == "" {
			continue
		}
		b.WriteString(t.pre[s.ink])
		b.WriteString(str)
		b.WriteString(t.post[s.ink])
	}
}

// safe returns s cleaned, in ASCII if the drawing set is, and without the
// signs on whose width terminals disagree.
func (t *theme) safe(s string) string {
	if isASCII(s) {
		return s
	}
	s = plain.Clean(norm.NFC.String(s))
	ok := true
	for _, r := range s {
		if unsteady(r) || t.ascii && r >= utf8.RuneSelf {
			ok = false
			break
		}
	}
	if ok {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case unsteady(r):
			if t.ascii {
				r = '?'
			} else {
				r = plain.Mark
			}
			b.WriteRune(r)
		case t.ascii && r >= utf8.RuneSelf:
			b.WriteString(asASCII(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// unsteady reports whether terminals disagree about the width of r, or whether
// it changes the width of its neighbours: emoji, variation selectors, marks
// that combine, jamo, regional signs.
func unsteady(r rune) bool {
	switch {
	case r < 0x300, r >= 0x2190 && r < 0x2200, r >= 0x2500 && r < 0x25fd, r >= 0x2800 && r < 0x2900, r == '…', r == '✓':
		return false // what this program draws with; a test holds it to one cell
	case r >= 0x1f000 && r < 0x20000, r >= 0xe0000,
		r >= 0x1100 && r < 0x1200, r >= 0xa960 && r < 0xa980, r >= 0xd7b0 && r < 0xd800:
		return true
	}
	s := string(r)
	w := ansi.StringWidth(s)
	return w < 1 || w > 2 || ansi.StringWidth("A"+s) != w+1 || ansi.StringWidth(s+"A") != w+1
}

// asASCII stands for one sign of the screen's own text, in as many cells.
func asASCII(r rune) string {
	switch r {
	case '·', '°':
		return "."
	case '×':
		return "x"
	case 'ø', 'Ø':
		return "D"
	case '²':
		return "2"
	case '−', '–', '—', '─', '━', '╌':
		return "-"
	case '→':
		return ">"
	case '←':
		return "<"
	case '↑':
		return "^"
	case '↓', '▾':
		return "v"
	case '✓':
		return "+"
	case '…':
		return "~"
	case '▸':
		return ">"
	case '±':
		return "~"
	}
	if cells(string(r)) == 2 {
		return "??"
	}
	return "?"
}

// cells returns the width of s on the screen.
func cells(s string) int {
	if isASCII(s) {
		return len(s)
	}
	return ansi.StringWidth(s)
}

// isASCII reports whether s is printable ASCII only.
func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] < 0x20 || s[i] > 0x7e {
			return false
		}
	}
	return true
}

// cutTo returns the beginning of s that fits into w cells.
func cutTo(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if isASCII(s) {
		return s[:min(w, len(s))]
	}
	return ansi.Truncate(plain.Clean(s), w, "")
}

// wholeFigures takes back a figure that was cut, and one that lost its unit: a
// part of a figure is another figure. rest is what did not fit.
func wholeFigures(cut, rest string) string {
	figure := func(c byte) bool { return c >= '0' && c <= '9' || c == '.' || c == '-' || c == '+' }
	if cut != "" && rest != "" && figure(cut[len(cut)-1]) && rest[0] != ' ' {
		at := strings.LastIndexByte(cut, ' ') + 1
		if word := cut[at:]; figure(word[0]) || len(word) > 1 && figure(word[1]) { // 12.5, X12.5
			cut = cut[:at]
		}
	}
	for {
		kept := strings.TrimRight(cut, " ")
		word := kept[strings.LastIndexByte(kept, ' ')+1:]
		if word == "" || strings.ContainsFunc(word, func(r rune) bool { return r > 0x7e || !figure(byte(r)) }) {
			return cut
		}
		cut = kept[:len(kept)-len(word)]
	}
}

func blanks(n int) string {
	const some = "                                                                                "
	if n <= len(some) {
		return some[:max(n, 0)]
	}
	return strings.Repeat(" ", n)
}

// whole splits s at blanks, but not between a figure and its unit: "V" at the
// beginning of a line says nothing.
func whole(s string) []string {
	out := strings.Fields(s)
	n := 0
	for _, word := range out {
		if n > 0 && unitWord[strings.TrimRight(word, ".,;:)")] && endsInDigit(out[n-1]) {
			out[n-1] += " " + word
			continue
		}
		out[n] = word
		n++
	}
	return out[:n]
}

var unitWord = map[string]bool{"mm": true, "in": true, "m": true, "ft": true, "s": true, "min": true, "h": true, "%": true, "A": true, "V": true, "kg": true,
	"lb": true, "deg": true, "bar": true, "kPa": true, "psi": true, "mm/min": true, "in/min": true, "L/min": true, "kWh": true, "mm2": true, "kW": true}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// wrap breaks s at blanks into lines of at most w cells; a word that is longer
// is cut across lines.
func wrap(s string, w int) []string {
	if w <= 0 {
		return nil
	}
	var out []string
	cur, n := "", 0
	flush := func() {
		if n > 0 {
			out = append(out, cur)
		}
		cur, n = "", 0
	}
	for _, word := range whole(plain.Clean(s)) {
		c := cells(word)
		if n > 0 && n+1+c > w {
			flush()
		}
		for c > w {
			head := cutTo(word, w)
			if head == "" {
				break // a sign wider than the line
			}
			out = append(out, head)
			word = word[len(head):]
			c = cells(word)
		}
		if n > 0 {
			cur, n = cur+" ", n+1
		}
		cur, n = cur+word, n+c
	}
	flush()
	return out
}

// count prints "1 check" or "3 checks".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// ASCII returns lines of text for a locale that shows no more; line breaks and
// tabs stay.
func ASCII(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < utf8.RuneSelf:
			b.WriteRune(r)
		default:
			b.WriteString(asASCII(r))
		}
	}
	return b.String()
}
