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

// Check reports what is wrong with a profile's templates: unknown fields,
// comments that do not close, control runes, an arc that is never switched
// off, words that only the writer may use, a touch-off that does not probe or
// does not set Z.
func Check(m job.Machine) fault.List {
	var faults fault.List
	p := m.Program
	for _, t := range templates(p) {
		for i, line := range t.lines {
			at := fault.Where{Entity: fmt.Sprintf("machine %s, %s line %d", m.Name, t.name, i+1)}
			known := map[string]string{}
			for _, f := range fields[t.name] {
				known[f] = "0"
			}
			text, err := fill(line, known)
			if err != nil {
				faults.Errorf(at, "template-field", fmt.Sprintf("Use one of %v, or none.", fields[t.name]), "%q: %v", line, err)
				continue
			}
			if why := badLine(text); why != "" {
				faults.Errorf(at, "template-line", "Correct the line in the profile.", "%q: %s", plain.Clean(line), why)
			}
		}
	}
	at := func(name string) fault.Where { return fault.Where{Entity: fmt.Sprintf("machine %s, %s", m.Name, name)} }
	if !has(p.ArcOn, "M3") && len(code(p.ArcOn)) == 0 {
		faults.Errorf(at("arc-on"), "template-arc-on", "Give the line that lights the torch, such as M3.", "nothing lights the torch")
	}
	if len(code(p.ArcOff)) == 0 {
		faults.Errorf(at("arc-off"), "template-arc-off", "Give the line that puts the torch out, such as M5.", "nothing puts the torch out")
	}
	if has(p.ArcOff, "M3") || has(p.ArcOn, "M5") {
		faults.Errorf(at("arc-on"), "template-arc-order", "Exchange them.", "arc on and arc off are the wrong way round")
	}
	for _, t := range templates(p) {
		if t.name != "arc-on" && has(t.lines, "M3") {
			faults.Errorf(at(t.name), "template-lights", "Take M3 out of it.", "it lights the torch")
		}
	}
	if !has(p.TouchOff, "G38.2") && len(code(p.TouchOff)) == 0 {
		faults.Errorf(at("touch-off"), "template-touch-off", "Give the lines that find the plate and set Z.", "nothing finds the plate")
	}
	return faults
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
