package jobfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Limits on text. A job that needs more is not a job.
const (
	maxText = 1000 // runes of any one text; common practice, no source
	maxLine = 255  // characters of a template line; NISTIR 6556 allows 256, the reader made from it refuses 256
)

// Form is one description of a file's keys, run once to read a file and once
// to write it. Each method names a key and the value that belongs to it; an
// absent key leaves the value alone, a value that says nothing writes no key.
// Keys of a table come before its sub-tables.
type Form struct {
	file   string
	units  unit.System
	path   []string // in faults: drawings[2]
	heads  []string // in headers: drawings
	faults fault.List
	in     *reader // nil when writing
	out    *writer // nil when reading
}

// fault adds an Error at a key (or at the table itself for key "").
func (f *Form) fault(key, code, do, format string, args ...any) {
	at := fault.Where{File: f.file}
	name := f.name(key)
	if f.in != nil {
		n := f.in.at.key(key)
		if n == nil {
			n = f.in.at
		}
		if n != nil {
			at.Line, at.Column = n.line, n.col
			if typed := n.raw; key != "" && typed != "" {
				name += " = " + short(typed)
			}
		}
	}
	f.faults.Errorf(at, code, do, "%s: %s", name, fmt.Sprintf(format, args...))
}

func (f *Form) name(key string) string {
	parts := f.path
	if key != "" {
		parts = append(slices.Clone(parts), key)
	}
	if len(parts) == 0 {
		return "file"
	}
	return plain.Clean(strings.Join(parts, "."))
}

// short is a value as typed, cut to what fits a line.
func short(typed string) string {
	const most = 60
	r := []rune(plain.Clean(typed))
	if len(r) > most {
		return string(r[:most]) + "..."
	}
	return string(r)
}

// Units reads or writes the units of every later number. It comes first.
func (f *Form) Units(v *unit.System) {
	if f.out != nil {
		if *v == unit.Unknown {
			f.fault("units", "job-missing", "", "must be mm or inch")
		}
		f.units = *v
		f.out.set("units", quote(v.String()), "")
		return
	}
	var word string
	f.String("units", &word, func(s string) error {
		if s != unit.MM.String() && s != unit.Inch.String() {
			return fmt.Errorf("must be mm or inch")
		}
		return nil
	})
	if f.in.at.key("units") == nil {
		f.fault("", "job-missing", `Write units = "mm" or units = "inch" before the first table.`, "units is missing")
	}
	if word != "" {
		*v, _ = unit.Parse(word)
	}
	f.units = *v
}

// NoUnits says that no number of the text is a length, so that the text need
// not say its units. It stands in place of Units.
func (f *Form) NoUnits() { f.units = unit.MM }

// String reads or writes text that is not for the screen, such as a file
// name. It must be free of control characters; check may refuse more.
func (f *Form) String(key string, v *string, check func(string) error) {
	s := *v
	if f.in != nil {
		raw, ok := f.in.get(key)
		if !ok {
			return
		}
		if s, ok = raw.(string); !ok {
			f.fault(key, "job-type", "", "must be text in quotes")
			return
		}
	} else if s == "" {
		return
	}
	if err := badText(s, check); err != nil {
		f.fault(key, "job-text", "", "%v", err)
		return
	}
	if *v = s; f.out != nil {
		f.out.set(key, quote(s), "")
	}
}

func badText(s string, check func(string) error) error {
	if !plain.IsClean(s) {
		return fmt.Errorf("must not hold control characters or characters that cannot be seen")
	}
	if n := len([]rune(s)); n > maxText {
		return fmt.Errorf("must be at most %d characters long, has %d", maxText, n)
	}
	if check != nil {
		return check(s)
	}
	return nil
}

// Text is String for text that people read.
func (f *Form) Text(key string, v *plain.Text) {
	s := v.String()
	f.String(key, &s, nil)
	*v = plain.Of(s)
}

// Missing reports a key that has to be there and is not.
func (f *Form) Missing(key string) { f.fault("", "job-missing", "", "%s is missing", key) }

// Must is String for text that has to be there.
func (f *Form) Must(key string, v *string, check func(string) error) {
	if f.out != nil && *v == "" || f.in != nil && f.in.at.key(key) == nil {
		f.Missing(key)
	}
	f.String(key, v, func(s string) error {
		if s == "" {
			return fmt.Errorf("must not be empty")
		}
		if check != nil {
			return check(s)
		}
		return nil
	})
}

// Word reads or writes one word of a list; "" says nothing.
func Word[T ~string](f *Form, key string, v *T, allowed []T) {
	s := string(*v)
	f.String(key, &s, func(s string) error {
		if slices.Contains(allowed, T(s)) {
			return nil
		}
		return fmt.Errorf("must be one of: %s", joined(allowed))
	})
	*v = T(s)
}

// number reads the number typed at a key.
func (f *Form) number(key string, field job.Field) (v float64, ok bool) {
	value, there := f.in.get(key)
	if !there {
		return 0, false
	}
	return f.parse(key, value, f.in.at.key(key), field)
}

// parse turns what the library and the text say about one number into a
// value that its field allows.
func (f *Form) parse(key string, value any, n *node, field job.Field) (float64, bool) {
	var typed string
	switch x := value.(type) {
	case float64:
		typed = strconv.FormatFloat(x, 'g', -1, 64)
	case int64:
		typed = strconv.FormatInt(x, 10)
	default:
		f.fault(key, "job-type", "", "must be a number, without quotes")
		return 0, false
	}
	if n != nil && n.raw != "" {
		typed = n.raw // all its digits, before any rounding
	}
	r := field.Range()
	v, err := parse(r.Dim, typed, f.units)
	if err != nil {
		f.fault(key, "job-range", "", "must be %s (%s)", r.Text(f.units), r.Why)
		return 0, false
	}
	return v, f.check(key, v, field)
}

func (f *Form) check(key string, v float64, field job.Field) bool {
	if f.units == unit.Unknown {
		return false // said once already; a range in unknown units means nothing
	}
	if err := field.Check(v, f.units); err != nil {
		f.fault(key, "job-range", "", "%v", err)
		return false
	}
	return true
}

func (f *Form) write(key string, v float64, field job.Field) {
	if f.check(key, v, field) {
		d := field.Range().Dim
		f.out.set(key, literal(d, v, f.units), d.Unit(f.units))
	}
}

// Number reads or writes a number of which 0 says that nobody has said.
func (f *Form) Number(key string, v *float64, field job.Field) {
	if f.out == nil {
		if x, ok := f.number(key, field); ok {
			*v = x
		}
	} else if *v != 0 {
		f.write(key, *v, field)
	}
}

// Given reads or writes a number that has to be there and may be 0.
func (f *Form) Given(key string, v *float64, field job.Field) {
	if f.out != nil {
		f.write(key, *v, field)
		return
	}
	f.Number(key, v, field)
	if f.in.at.key(key) == nil {
		f.Missing(key)
	}
}

// Opt reads or writes a number that may be unknown.
func (f *Form) Opt(key string, v *job.Opt, field job.Field) {
	if f.out == nil {
		if x, ok := f.number(key, field); ok {
			*v = job.Of(x)
		}
	} else if v.Known {
		f.write(key, v.Value, field)
	}
}

// Count reads or writes a whole number of which 0 says that nobody has said.
func Count[T int | int64](f *Form, key string, v *T, field job.Field) {
	x := float64(*v)
	f.Number(key, &x, field)
	*v = T(x)
}

// Flag reads or writes a yes or no; no writes nothing.
func (f *Form) Flag(key string, v *bool) {
	if f.out != nil {
		if *v {
			f.out.set(key, "true", "")
		}
		return
	}
	raw, ok := f.in.get(key)
	if !ok {
		return
	}
	b, isBool := raw.(bool)
	if !isBool {
		f.fault(key, "job-type", "", "must be true or false, without quotes")
		return
	}
	*v = b
}

// list returns the items under a key that must be a list; ok is false if the
// key is not there, or is none, which is an Error.
func (f *Form) list(key, of string) (items []any, ok bool) {
	raw, ok := f.in.get(key)
	if !ok {
		return nil, false
	}
	if items, ok = raw.([]any); !ok {
		f.fault(key, "job-type", "", "must be a list of %s", of)
	}
	return items, ok
}

// Lines reads or writes a list of texts, one to a line.
func (f *Form) Lines(key string, v *[]string, check func(string) error) {
	if f.in != nil {
		items, ok := f.list(key, "texts")
		if !ok {
			return
		}
		*v = nil
		for i, x := range items {
			s, isText := x.(string)
			if !isText {
				f.itemFault(key, i, "job-type", "must be text in quotes")
				return
			}
			*v = append(*v, s)
		}
	}
	for i, s := range *v {
		if err := badText(s, check); err != nil {
			f.itemFault(key, i, "job-text", err.Error())
			return
		}
	}
	if f.out != nil && len(*v) > 0 {
		rows := make([]string, len(*v))
		for i, s := range *v {
			rows[i] = quote(s)
		}
		f.out.rows(key, rows)
	}
}

// itemFault adds an Error at one item of a list; items count from 1.
func (f *Form) itemFault(key string, i int, code, what string) {
	at := fault.Where{File: f.file}
	name := label(f.name(key), i)
	if f.in != nil {
		n := f.in.at.key(key)
		if item := n.item(i); item != nil {
			n = item
			name += " = " + short(item.raw)
		}
		if n != nil {
			at.Line, at.Column = n.line, n.col
		}
	}
	f.faults.Errorf(at, code, "", "%s: %s", name, what)
}
