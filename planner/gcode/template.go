package gcode

import (
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// fields lists what each template may name in braces.
var fields = map[string][]string{
	"header":      {"name", "stock", "origin", "process", "cuts", "time", "top_z"},
	"footer":      {"name", "top_z"},
	"touch-off":   {"probe_z", "probe_feed", "sensor_offset", "minus_sensor_offset", "travel_z"},
	"arc-on":      {"pierce_height", "pierce_delay", "amps"},
	"arc-off":     {},
	"control-on":  {},
	"control-off": {},
	"pause":       {"name"},
}

// Fields returns the names that a template of the profile may use, in order.
func Fields(template string) []string { return slices.Clone(fields[template]) }

// fill puts values into one template line. Only the fields that the template
// may name are known; what a field holds cannot close a comment, since values
// come from this package or through plain.Comment.
func fill(line string, values map[string]string) (string, error) {
	var b strings.Builder
	for {
		before, rest, open := strings.Cut(line, "{")
		b.WriteString(before)
		if !open {
			return b.String(), nil
		}
		name, after, closed := strings.Cut(rest, "}")
		if !closed {
			return "", fmt.Errorf("a brace is not closed")
		}
		v, ok := values[name]
		if !ok {
			return "", fmt.Errorf("field {%s} is not known here", name)
		}
		b.WriteString(v)
		line = after
	}
}

// Problem is one fault of a profile's templates, with its place.
type Problem struct {
	fault.Fault
	Template string // such as "arc-on"
	Line     int    // of the template, from 1; 0 is the template as a whole
}

// Check reports what is wrong with a profile's templates.
func Check(m job.Machine) fault.List {
	var faults fault.List
	for _, p := range Problems(m) {
		faults.Add(p.Fault)
	}
	return faults
}

// Problems reports what is wrong with a profile's templates, line by line:
// unknown fields, comments that do not close, control runes, an arc that is
// never switched off, words that only the writer may use, a touch-off that
// does not probe or does not set Z, and orders that would move with the arc
// lit or end the program before the torch is out.
func Problems(m job.Machine) []Problem {
	c := checking{m: m}
	p := m.Program
	for _, t := range templates(p) {
		for i, line := range t.lines {
			known := map[string]string{}
			for _, f := range fields[t.name] {
				known[f] = "0"
			}
			text, err := fill(line, known)
			if err != nil {
				c.add(t.name, i+1, "template-field", fmt.Sprintf("Use one of %v, or none.", fields[t.name]), "%q: %v", plain.Clean(line), err)
				continue
			}
			if why := badLine(text); why != "" {
				c.add(t.name, i+1, "template-line", "Correct the line in the profile.", "%q: %s", plain.Clean(line), why)
			}
		}
	}
	if !has(p.ArcOn, "M3") && len(code(p.ArcOn)) == 0 {
		c.add("arc-on", 0, "template-arc-on", "Give the line that lights the torch, such as M3.", "nothing lights the torch")
	}
	if len(code(p.ArcOff)) == 0 {
		c.add("arc-off", 0, "template-arc-off", "Give the line that puts the torch out, such as M5.", "nothing puts the torch out")
	}
	if has(p.ArcOff, "M3") || has(p.ArcOn, "M5") {
		c.add("arc-on", 0, "template-arc-order", "Exchange them.", "arc on and arc off are the wrong way round")
	}
	for _, t := range templates(p) {
		if t.name != "arc-on" && has(t.lines, "M3") {
			c.add(t.name, lineOf(t.lines, "M3"), "template-lights", "Take M3 out of it.", "it lights the torch")
		}
	}
	if !has(p.TouchOff, "G38.2") && len(code(p.TouchOff)) == 0 {
		c.add("touch-off", 0, "template-touch-off", "Give the lines that find the plate and set Z.", "nothing finds the plate")
	}
	c.order()
	return c.out
}

type checking struct {
	m   job.Machine
	out []Problem
}

func (c *checking) add(template string, line int, code, do, format string, args ...any) {
	at := fault.Where{Entity: fmt.Sprintf("machine %s, %s", c.m.Name, template)}
	if line > 0 {
		at.Entity += fmt.Sprintf(" line %d", line)
	}
	c.out = append(c.out, Problem{fault.Fault{Severity: fault.Error, Where: at, Code: code, What: fmt.Sprintf(format, args...), Do: do}, template, line})
}

// moves are the words that move the torch (NISTIR 6556 table 5); motions that
// probe are not among them.
var moves = []string{"G0", "G00", "G1", "G01", "G2", "G02", "G3", "G03"}

// order looks for lines in an order that is not safe.
func (c *checking) order() {
	p := c.m.Program
	// The arc is out before anything moves, and nothing moves once it is lit:
	// the writer moves, where the proof can see it.
	if off := lineOf(p.ArcOff, "M5", "M05"); off > 0 {
		if n := lineOf(p.ArcOff[:off-1], moves...); n > 0 {
			c.add("arc-off", n, "template-order", "Put the torch out first.", "it moves before line %d puts the torch out", off)
		}
	}
	if on := lineOf(p.ArcOn, "M3", "M03"); on > 0 {
		if n := lineOf(p.ArcOn[on:], moves...); n > 0 {
			c.add("arc-on", on+n, "template-order", "Take the move out: the program moves by itself.", "it moves with the arc lit")
		}
	}
	// Z is set from the touch, not before it.
	if probe := lineOf(p.TouchOff, "G38.2"); probe > 0 {
		if n := lineOf(p.TouchOff[:probe], "G92"); n > 0 && n < probe {
			c.add("touch-off", n, "template-order", "Set Z after the line that probes.", "it sets Z before line %d has found the plate", probe)
		}
		if len(code(p.TouchOff)) == 1 {
			c.add("touch-off", 0, "template-order", "Set Z after it, such as G92 Z{minus_sensor_offset}.", "it finds the plate and does not set Z from it")
		}
	}
	// The program ends in the footer, once, and nothing stands behind the end.
	ends := []string{"M2", "M02", "M30"}
	for _, t := range templates(p) {
		n := lineOf(t.lines, ends...)
		switch {
		case n == 0:
		case t.name != "footer":
			c.add(t.name, n, "template-order", "Take the end out: the footer may have it.", "it ends the program in the middle")
		case len(code(t.lines[n:])) > 0:
			c.add(t.name, n, "template-order", "Put the end last.", "lines stand behind the end of the program and are never run")
		}
	}
	if len(p.Pause) > 0 && OnlyComments(p.Pause) {
		c.add("pause", 0, "template-order", "Give the word that stops, such as M0.", "it does not stop the program, and the operator's hands would be in it")
	}
}

// lineOf returns the first line, from 1, that holds one of the words; 0 if
// none does.
func lineOf(lines []string, words ...string) int {
	for i := range lines {
		for _, w := range words {
			if has(lines[i:i+1], w) {
				return i + 1
			}
		}
	}
	return 0
}

type template struct {
	name  string
	lines []string
}

func templates(p job.Program) []template {
	return []template{{"header", p.Header}, {"footer", p.Footer}, {"touch-off", p.TouchOff}, {"arc-on", p.ArcOn},
		{"arc-off", p.ArcOff}, {"control-on", p.ControlOn}, {"control-off", p.ControlOff}, {"pause", p.Pause}}
}

// longest is the most characters on a line: the report allows 256, the reader
// made from it refuses 256 (NISTIR 6556 3.3).
const longest = 255

func badLine(s string) string {
	switch {
	case !plain.IsClean(s):
		return "holds a control character"
	case len(s) > longest:
		return fmt.Sprintf("%d characters long, %d allowed", len(s), longest)
	}
	depth := 0
	for _, r := range s {
		switch {
		case r == '(':
			depth++
		case r == ')':
			depth--
		}
		if depth > 1 || depth < 0 {
			return "comments may not nest, and each needs both brackets"
		}
	}
	if depth != 0 {
		return "a comment does not close"
	}
	return ""
}

// code returns the lines without comments and blanks, in capitals; empty ones
// are left out.
func code(lines []string) []string {
	var out []string
	for _, l := range lines {
		for {
			before, rest, found := strings.Cut(l, "(")
			if !found {
				break
			}
			_, after, _ := strings.Cut(rest, ")")
			l = before + after
		}
		if l = strings.ToUpper(strings.Join(strings.Fields(l), "")); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// has reports whether a word such as M3 stands in the lines, and not merely as
// the beginning of a longer one.
func has(lines []string, word string) bool {
	for _, l := range code(lines) {
		for rest := l; ; {
			i := strings.Index(rest, word)
			if i < 0 {
				break
			}
			rest = rest[i+len(word):]
			if rest == "" || (rest[0] < '0' || rest[0] > '9') && rest[0] != '.' {
				return true
			}
		}
	}
	return false
}

// OnlyComments reports whether a template does nothing but comment.
func OnlyComments(lines []string) bool { return len(code(lines)) == 0 }
