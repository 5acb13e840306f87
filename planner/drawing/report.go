package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// singly is how many findings of one kind get a line each; more share a line
// with their number and the first places.
const singly = 12

// finding is one thing that healing did or found, in mm of the drawing.
type finding struct {
	p      geom.Point
	what   string
	entity string
}

// reporter gathers findings by kind.
type reporter struct {
	file  string
	kinds map[string]*kindOf
	order []string
}

type kindOf struct {
	sev   fault.Severity
	many  string // "doubles removed", said after the number
	do    string
	count int
	first []finding
	size  float64 // the largest of what the kind measures
	sized string  // "largest gap %s", or empty
	all   bool    // every finding gets a line, also several at one place
}

func newReporter(name plain.Text) *reporter {
	return &reporter{file: name.String(), kinds: map[string]*kindOf{}}
}

// kind declares a kind of finding; lines come in the order of declaration.
func (r *reporter) kind(code string, sev fault.Severity, many, sized, do string) {
	r.kinds[code] = &kindOf{sev: sev, many: many, sized: sized, do: do}
	r.order = append(r.order, code)
}

// add notes one finding of a declared kind at p. Of many it keeps those whose
// places come first, so that the order of findings does not matter; only for
// those does it ask for the words.
func (r *reporter) add(code string, size float64, p geom.Point, say func() finding) {
	k := r.kinds[code]
	k.count++
	k.size = max(k.size, size)
	if n := len(k.first); n == singly && !k.all && comparePoints(p, k.first[n-1].p) >= 0 {
		return
	}
	i, there := slices.BinarySearchFunc(k.first, p, func(f finding, p geom.Point) int { return comparePoints(f.p, p) })
	if there && !k.all {
		return // one place is enough
	}
	if len(k.first) == singly && !k.all {
		k.first = k.first[:singly-1]
	}
	k.first = slices.Insert(k.first, i, say())
}

// merge adds the findings of another reporter.
func (r *reporter) merge(o *reporter) {
	for _, code := range o.order {
		k := o.kinds[code]
		for _, f := range k.first {
			r.add(code, k.size, f.p, func() finding { return f })
		}
		r.kinds[code].count += k.count - len(k.first)
	}
}

// list returns the findings as faults.
func (r *reporter) list() fault.List {
	var out fault.List
	for _, code := range r.order {
		k := r.kinds[code]
		if k.count == len(k.first) {
			for _, f := range k.first {
				out.Add(fault.Fault{Severity: k.sev, Code: code, What: f.what, Do: k.do,
					Where: fault.Where{File: r.file, Entity: f.entity, Frame: fault.InDrawing, X: f.p.X, Y: f.p.Y}})
			}
			continue
		}
		what := fmt.Sprintf("%d %s", k.count, k.many)
		if k.sized != "" {
			what += fmt.Sprintf(k.sized, length(k.size))
		}
		what += "; first " + places(k.first[:min(notePlaces, len(k.first))]) + ", the first of them"
		p := k.first[0].p
		out.Add(fault.Fault{Severity: k.sev, Code: code, What: what, Do: k.do,
			Where: fault.Where{File: r.file, Frame: fault.InDrawing, X: p.X, Y: p.Y}})
	}
	return out
}

func places(f []finding) string {
	s := make([]string, len(f))
	for i := range f {
		s[i] = at(f[i].p)
	}
	return strings.Join(s, " ")
}

// at prints a place as faults do.
func at(p geom.Point) string { return fmt.Sprintf("(%.3f, %.3f)", p.X, p.Y) }

// length prints a small length in mm.
func length(mm float64) string {
	if mm != 0 && math.Abs(mm) < 0.0005 {
		return fmt.Sprintf("%.1e mm", mm)
	}
	return unit.Number(mm, 3) + " mm"
}

func comparePoints(a, b geom.Point) int {
	switch {
	case a.X < b.X || a.X == b.X && a.Y < b.Y:
		return -1
	case a == b:
		return 0
	}
	return 1
}

// readingFaults turns the notes of a reader into faults: scale is mm in a
// drawing unit, left says whether a layer is left out, so that what cannot be
// read there is no more than a note.
func (r *Raw) readingFaults(scale float64, left func(layer int32) bool) fault.List {
	var out fault.List
	for _, n := range r.notes {
		f := fault.Fault{Severity: n.sev, Code: n.code, What: n.what, Do: n.do}
		first := n.places[0]
		f.Where = fault.Where{File: r.Name.String(), Line: first.line, Entity: n.typ}
		if n.layer >= 0 && int(n.layer) < len(r.Layers) && n.typ != "" {
			f.Entity = n.typ + " on layer " + inQuotes(r.Layers[n.layer].Name)
			if left(n.layer) {
				f.Severity = fault.Note
			}
		}
		if first.at {
			f.Frame, f.X, f.Y = fault.InDrawing, first.p.X*scale, first.p.Y*scale
		}
		if n.count > 1 {
			f.What = fmt.Sprintf("%d times: %s; %s", n.count, n.what, n.where(scale))
		}
		out.Add(f)
	}
	return out
}

// where lists the first places of a grouped note.
func (n *note) where(scale float64) string {
	var s []string
	for _, q := range n.places[:min(n.count, notePlaces)] {
		switch {
		case q.line > 0:
			s = append(s, fmt.Sprintf("line %d", q.line))
		case q.at:
			s = append(s, at(q.p.Mul(scale)))
		}
	}
	if len(s) == 0 {
		return "no place known"
	}
	return "first " + strings.Join(s, ", ")
}

func inQuotes(t plain.Text) string { return fmt.Sprintf("%q", t.String()) }

// count prints a number of things.
func count(n int, one, many string) string { return fmt.Sprintf("%d %s", n, plural(n, one, many)) }
