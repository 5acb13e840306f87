package proof

import (
	"bytes"
	"strings"

	"example.org/kerfwright/planner/rs274"
)

// A pattern is one template line in its plain form, cut at its fields.
type pattern []string

// plainLine writes a line without what means nothing: blanks and case outside
// comments, the line number, runs of blanks inside comments.
func plainLine(line []byte) string {
	var b strings.Builder
	depth, blank := 0, false
	digits := false // inside a line number
	for i := range line {
		c := line[i]
		if c >= 'a' && c <= 'z' {
			c -= 'a' - 'A'
		}
		switch {
		case c == ' ' || c == '\t' || c == '\r':
			blank = depth > 0
			continue
		case digits && c >= '0' && c <= '9':
			continue
		case c == 'N' && b.Len() == 0 && depth == 0:
			digits = true
			continue
		case c == '(' && depth == 0:
			depth = 1
			b.WriteByte(c)
			blank, digits = false, false
			continue
		case c == ')':
			depth, blank = 0, false
		}
		digits = false
		if blank && b.String()[b.Len()-1] != '(' {
			b.WriteByte(' ')
		}
		blank = false
		b.WriteByte(c)
	}
	return b.String()
}

func compile(line string) pattern {
	// A mark that no program can hold stands for a field while blanks go.
	for {
		i := strings.IndexByte(line, '{')
		if i < 0 {
			break
		}
		j := strings.IndexByte(line[i:], '}')
		if j < 0 {
			break
		}
		line = line[:i] + "\x00" + line[i+j+1:]
	}
	return strings.Split(plainLine([]byte(line)), "\x00")
}

// matches reports whether a plain line is the pattern with its fields filled:
// by a number, in a comment by any text.
func (p pattern) matches(plain string) bool { return p.match(plain, nil) }

// values returns what the fields of a line that matches are filled with.
func (p pattern) values(plain string) (values []string, ok bool) {
	ok = p.match(plain, func(v string) { values = append(values, v) })
	return
}

func (p pattern) match(plain string, found func(string)) bool {
	if !strings.HasPrefix(plain, p[0]) {
		return false
	}
	rest := plain[len(p[0]):]
	comment := strings.Contains(p[0], "(")
	for k, part := range p[1:] {
		i := strings.Index(rest, part)
		if k == len(p)-2 { // the last one ends the line
			if !strings.HasSuffix(rest, part) {
				return false
			}
			i = len(rest) - len(part)
		}
		if i < 0 || !comment && (i == 0 || strings.Trim(rest[:i], "+-.0123456789") != "") {
			return false
		}
		if found != nil {
			found(rest[:i])
		}
		rest = rest[i+len(part):]
		comment = comment && !strings.Contains(part, ")") || strings.Contains(part, "(")
	}
	return rest == ""
}

// A template is a run of lines that stand together.
type template []pattern

func newTemplate(lines []string) template {
	var t template
	for _, l := range lines {
		if p := compile(l); len(p) > 1 || p[0] != "" {
			t = append(t, p)
		}
	}
	return t
}

// at reports whether the template stands at line n (from 0); blank lines do
// not count.
func (t template) at(text [][]byte, n int) bool {
	if len(t) == 0 {
		return false
	}
	for _, p := range t {
		for n < len(text) && len(bytes.TrimSpace(text[n])) == 0 {
			n++
		}
		if n == len(text) || !t.may(text[n], p) || !p.matches(plainLine(text[n])) {
			return false
		}
		n++
	}
	return true
}

// may is a quick refusal by the first character.
func (t template) may(line []byte, p pattern) bool {
	if p[0] == "" {
		return true
	}
	for _, c := range line {
		if c == ' ' || c == '\t' {
			continue
		}
		return c|0x20 == p[0][0]|0x20 || c|0x20 == 'n'
	}
	return false
}

// worker returns the line of a template that does its work: the one with the
// wanted spindle word, else the first with any code at all.
func worker(lines []string, spindle ...string) (p pattern, bySpindle bool) {
	for _, l := range lines {
		plain := plainLine([]byte(rs274.WithoutFields(l)))
		if i := strings.IndexByte(plain, '('); i >= 0 {
			plain = plain[:i]
		}
		for _, s := range spindle {
			if hasCode(plain, s) {
				return nil, true
			}
		}
		if p == nil && strings.ContainsAny(plain, "MG") && !strings.HasPrefix(plain, "G4P") {
			p = compile(l)
		}
	}
	return p, false
}

// hasCode reports whether a plain line without comments has a code: M6 is not
// in M64, but in M64P1M6.
func hasCode(plain, code string) bool {
	for {
		_, after, ok := strings.Cut(plain, code)
		if !ok {
			return false
		}
		if after == "" || after[0] < '0' || after[0] > '9' {
			return true
		}
		plain = after
	}
}

// splitLines cuts the text as the reader does.
func splitLines(text []byte) [][]byte {
	lines := bytes.Split(text, []byte{'\n'})
	if last := len(lines) - 1; len(lines[last]) == 0 {
		lines = lines[:last]
	}
	return lines
}
