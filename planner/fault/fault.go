// Package fault is the one way in which any phase says that something is
// wrong: how bad, where, what, by how much and what to do. It never prints
// and never stops anything; callers decide.
package fault

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// Severity orders faults; a higher one is worse.
type Severity int

const (
	// Note says what was done or left out; nothing is asked of anyone.
	Note Severity = iota
	// Warning asks the operator to look; saving stays possible.
	Warning
	// Error forbids saving.
	Error
)

func (s Severity) String() string {
	switch s {
	case Note:
		return "note"
	case Warning:
		return "warning"
	}
	return "error"
}

// Where places a fault. Empty parts are left out when it is printed. Line and
// Column count from 1; 0 is unknown. X and Y (mm, in the drawing or on the
// stock, as Frame says) are good only if Frame is set.
type Where struct {
	File    string // as the user wrote it
	Line    int
	Column  int
	Entity  string // such as "SPLINE" or "layer HINGE"
	Feature string // such as "p1.h3"
	Frame   Frame
	X, Y    float64 // mm
}

// Frame says what X and Y of a Where are measured from.
type Frame int

const (
	// Nowhere means that X and Y say nothing.
	Nowhere Frame = iota
	// InDrawing measures in the drawing's own axes, in mm.
	InDrawing
	// OnStock measures from the job's XY zero on the stock, in mm.
	OnStock
)

// Fault is one thing that a person should know. What is a clause without a
// full stop, with the value and its limit; Do is an order in plain words.
type Fault struct {
	Severity
	Where
	Code string // stable name of the rule, such as "pierce-clearance"
	What string
	Do   string
}

// Error prints the fault on one line, cleaned of control runes:
// place: what. what to do.
func (f Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File)
		if f.Line > 0 {
			b.WriteString(":" + strconv.Itoa(f.Line))
			if f.Column > 0 {
				b.WriteString(":" + strconv.Itoa(f.Column))
			}
		}
		b.WriteString(": ")
	} else if f.Line > 0 {
		b.WriteString("line " + strconv.Itoa(f.Line) + ": ")
	}
	if f.Entity != "" {
		b.WriteString(f.Entity + ": ")
	}
	if f.Feature != "" {
		b.WriteString(f.Feature + ": ")
	}
	b.WriteString(f.What)
	if f.Frame != Nowhere {
		fmt.Fprintf(&b, " at (%.3f, %.3f)", f.X, f.Y)
	}
	if f.Do != "" {
		b.WriteString(". " + f.Do)
	}
	return plain.Clean(b.String())
}

// Brief is Error without the file, for a screen that already shows it.
func (f Fault) Brief() string {
	f.File, f.Line, f.Column = "", 0, 0
	return f.Error()
}

// List holds faults in the order in which they were found. The zero value is
// ready for use.
type List []Fault

// Add appends one fault.
func (l *List) Add(f Fault) { *l = append(*l, f) }

// Errorf appends an Error with a place, a code, what to do and what is wrong.
func (l *List) Errorf(at Where, code, do, format string, args ...any) {
	l.Add(Fault{Error, at, code, fmt.Sprintf(format, args...), do})
}

// Warnf appends a Warning.
func (l *List) Warnf(at Where, code, do, format string, args ...any) {
	l.Add(Fault{Warning, at, code, fmt.Sprintf(format, args...), do})
}

// Notef appends a Note.
func (l *List) Notef(at Where, code, format string, args ...any) {
	l.Add(Fault{Severity: Note, Where: at, Code: code, What: fmt.Sprintf(format, args...)})
}

// Worst returns the highest severity in the list, Note if it is empty.
func (l List) Worst() Severity {
	worst := Note
	for _, f := range l {
		worst = max(worst, f.Severity)
	}
	return worst
}

// Bad reports whether the list holds an Error.
func (l List) Bad() bool { return l.Worst() == Error }

// At returns the faults of one severity, in order.
func (l List) At(s Severity) List {
	var out List
	for _, f := range l {
		if f.Severity == s {
			out = append(out, f)
		}
	}
	return out
}

// Sorted returns a copy with the worst first; within a severity the order in
// which they were found is kept.
func (l List) Sorted() List {
	out := slices.Clone(l)
	slices.SortStableFunc(out, func(a, b Fault) int { return int(b.Severity) - int(a.Severity) })
	return out
}

// Err returns nil if no fault is an Error, else one error that prints every
// Error of the list, one line each.
func (l List) Err() error {
	bad := l.At(Error)
	if len(bad) == 0 {
		return nil
	}
	return listError{bad}
}

type listError struct{ List }

func (e listError) Error() string {
	lines := make([]string, len(e.List))
	for i, f := range e.List {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// From turns any error into a list: one made by Err gives its faults back, a
// Fault itself, anything else one Error at the place given.
func From(err error, at Where) List {
	var l listError
	var f Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &l):
		return l.List
	case errors.As(err, &f):
		return List{f}
	}
	return List{{Severity: Error, Where: at, Code: "failed", What: err.Error()}}
}
