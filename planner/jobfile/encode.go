package jobfile

import (
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// Encode writes a job so that Decode reads back exactly the same. A job that
// Decode would refuse is an Error here too; the text is then nil.
func Encode(j job.Job) ([]byte, fault.List) {
	head := []string{
		"A Kerfwright job. Lengths, feeds and accelerations are in the units named below,",
		"angles in degrees, times in s. A key that is not here is unknown: leave it out",
		"rather than guess. The program of this job is proved again whenever it is saved.",
	}
	return Write(head, func(f *Form) { shapeJob(f, &j) })
}

// Write writes a text by a shape, under comment lines. Values that Read would
// refuse are Errors; the text is then nil.
func Write(head []string, shape func(*Form)) ([]byte, fault.List) {
	f := &Form{out: &writer{}}
	shape(f)
	if f.faults.Bad() {
		return nil, f.faults
	}
	var b strings.Builder
	for _, line := range head {
		b.WriteString(strings.TrimRight("# "+line, " ") + "\n")
	}
	b.WriteString(f.out.body.String())
	return []byte(b.String()), f.faults
}

// writer collects one table and those below it.
type writer struct {
	body   strings.Builder
	inline bool
	pairs  []string // of an inline table
}

// set writes key = value, with the unit behind it.
func (w *writer) set(key, value, unit string) {
	if w.inline {
		w.pairs = append(w.pairs, key+" = "+value)
		return
	}
	w.body.WriteString(key + " = " + value)
	if unit != "" {
		w.body.WriteString(" # " + unit)
	}
	w.body.WriteByte('\n')
}

// rows writes a list, one item to a line.
func (w *writer) rows(key string, items []string) {
	if w.inline {
		w.pairs = append(w.pairs, key+" = ["+strings.Join(items, ", ")+"]")
		return
	}
	w.body.WriteString(key + " = [\n")
	for _, item := range items {
		w.body.WriteString("  " + item + ",\n")
	}
	w.body.WriteString("]\n")
}

// table writes a header and what fill writes below it. A table without keys
// is left out unless it is one of a list. If only its sub-tables have keys,
// they stand alone: TOML makes the outer one by itself.
func (f *Form) table(header string, always bool, fill func()) {
	outer := f.out
	f.out = &writer{}
	fill()
	body := f.out.body.String()
	f.out = outer
	if body == "" && !always {
		return
	}
	if always || !strings.HasPrefix(body, "\n[") {
		outer.body.WriteString("\n" + header + "\n")
	}
	outer.body.WriteString(body)
}

// quote writes clean text as a basic string.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
