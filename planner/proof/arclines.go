package proof

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// A template of several lines lights the torch only if all of them stand
// there, in order, with their fields filled by what the process says.

// arcTemplate is the arc-on or arc-off lines of the profile.
type arcTemplate struct {
	name   string
	code   string
	lines  []string // as in the profile, without empty ones
	form   template
	fields [][]string // names in each line
	works  int        // the line that lights the torch or puts it out
}

var fieldName = regexp.MustCompile(`\{[^{}]*\}`)

func newArcTemplate(name, code string, lines []string, spindle ...string) *arcTemplate {
	t := &arcTemplate{name: name, code: code, form: newTemplate(lines)}
	for _, l := range lines {
		if p := compile(l); len(p) == 1 && p[0] == "" {
			continue
		}
		t.lines = append(t.lines, l)
		t.fields = append(t.fields, fieldName.FindAllString(l, -1))
	}
	// The line that does the work: the one without which nothing would.
	_, bySpindle := worker(lines, spindle...)
	for k, l := range t.lines {
		if code, here := worker([]string{l}, spindle...); here || code != nil && !bySpindle {
			t.works = k
			break
		}
	}
	return t
}

// arcLines holds the lines around the lighting and the end of every arc to the
// profile's.
func (c *check) arcLines() {
	if c.in.Dry {
		return
	}
	on := newArcTemplate("arc-on", "arc-on-lines", c.in.Form.Lines.ArcOn, "M3", "M4")
	off := newArcTemplate("arc-off", "arc-off-lines", c.in.Form.Lines.ArcOff, "M5")
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		c.filled(r, on, r.first)
		c.filled(r, off, r.last)
	}
}

// filled compares the lines about the one that works, from 1, with the
// template.
func (c *check) filled(r *run, t *arcTemplate, line int) {
	if len(t.form) == 0 {
		return
	}
	text := c.w.text
	at := line - 1
	for range t.works {
		for at--; at >= 0 && blank(text[at]); at-- {
		}
	}
	if at < 0 {
		c.find(line, r.id(), t.code, "Write all of the profile's lines.", "line 1 of the %s lines is missing: %q", t.name, t.lines[0])
		return
	}
	for k, p := range t.form {
		for at < len(text) && blank(text[at]) {
			at++
		}
		if at >= len(text) {
			c.find(len(text), r.id(), t.code, "Write all of the profile's lines.", "line %d of the %s lines is missing: %q", k+1, t.name, t.lines[k])
			return
		}
		plain := plainLine(text[at])
		if !strings.Contains(strings.Join(p, ""), "(") {
			plain = withoutComments(plain)
		}
		values, ok := p.values(plain)
		if !ok {
			c.find(at+1, r.id(), t.code, "Write all of the profile's lines, in order.", "line %d of the %s lines must stand here: %q", k+1, t.name, t.lines[k])
			return
		}
		for n, v := range values {
			c.fieldIs(r, t, at+1, t.fields[k][n], v)
		}
		at++
	}
}

// fieldIs compares what a field was filled with.
func (c *check) fieldIs(r *run, t *arcTemplate, line int, name, value string) {
	if strings.ContainsAny(value, "{}") {
		c.find(line, r.id(), t.code, "Write the program again.", "the field %s of the %s lines was not filled", name, t.name)
		return
	}
	if r.loop == nil {
		return
	}
	got, err := strconv.ParseFloat(value, 64)
	want, within := 0.0, 0.0
	switch name {
	case "{pierce_delay}":
		want, within = r.loop.PierceDelay, delayWithin
	case "{pierce_height}":
		want, within = r.loop.PierceHeight, c.aloft
		got *= c.in.Form.Units.Scale()
	case "{amps}":
		want, within = c.in.Amps, ampsWithin
		if want == 0 {
			return
		}
		if r.loop.Amps > 0 {
			want = r.loop.Amps
		}
	default:
		return
	}
	if err != nil || !(math.Abs(got-want) <= within) {
		c.find(line, r.id(), t.code, "Write the process's value.", "the %s lines say %s for %s, must say %s", t.name, value, name, bare(want))
	}
}

// ampsWithin is half of a whole ampere, as programs say it, and a hair.
const ampsWithin = 0.51

func blank(line []byte) bool { return len(bytes.TrimSpace(line)) == 0 }

// withoutComments takes the comments out of a plain line.
func withoutComments(plain string) string {
	for {
		before, rest, open := strings.Cut(plain, "(")
		if !open {
			return plain
		}
		_, after, _ := strings.Cut(rest, ")")
		plain = before + after
	}
}
