package jobfile

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"github.com/BurntSushi/toml"
)

// MaxSize is the most bytes of a text that are read, beside the copies of a
// job's drawings: a hundred bytes for each of 20,000 placed parts. The TOML
// library takes under a second for it (BenchmarkDecodeLargestRefusedFile).
const MaxSize = 2 << 20

// Decode reads a job. file names it in the faults, which are sorted by place.
// If any of them is an Error, the job holds only what could be read.
func Decode(file string, text []byte) (job.Job, fault.List) {
	var j job.Job
	faults := Read(file, text, func(f *Form) { shapeJob(f, &j) })
	return j, faults
}

// Read reads a text by a shape. Every key of the text that the shape does not
// name is an Error.
func Read(file string, text []byte, shape func(*Form)) fault.List {
	f := &Form{file: file}
	whole := fault.Where{File: file}
	if len(text) > MaxSize {
		if rest := len(text) - blocks(string(text[:min(len(text), MaxJob)])); rest > MaxSize {
			f.faults.Errorf(whole, "job-size", "Is this the right file?", "%d bytes long, at most %d are read", rest, MaxSize)
			return f.faults
		}
	}
	root, deep, twice := scan(string(text))
	if deep != nil {
		whole.Line, whole.Column = deep.line, deep.col
		f.faults.Errorf(whole, "job-syntax", "Is this the right file?", "nests deeper than %d levels", maxDepth)
		return f.faults
	}
	values := map[string]any{}
	if _, err := toml.Decode(string(text), &values); err != nil {
		return syntax(file, err)
	}
	if twice != nil {
		whole.Line, whole.Column = twice.line, twice.col
		f.faults.Errorf(whole, "job-syntax", "Keep one of them.", "the same key is given twice")
		return f.faults
	}
	f.in = &reader{values: values, at: root}
	shape(f)
	f.unknown()
	slices.SortStableFunc(f.faults, func(a, b fault.Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return f.faults
}

// syntax turns the library's error into a fault at its place.
func syntax(file string, err error) fault.List {
	at := fault.Where{File: file}
	what := err.Error()
	var p toml.ParseError
	if errors.As(err, &p) {
		at.Line, at.Column = p.Position.Line, p.Position.Col
		what = p.Message
		if p.LastKey != "" {
			what = fmt.Sprintf("at or after key %s: %s", plain.Clean(p.LastKey), what)
		}
	}
	return fault.List{{Severity: fault.Error, Where: at, Code: "job-syntax", What: strings.TrimSuffix(short400(what), "."),
		Do: "Correct the line, or open an older copy of the file."}}
}

// short400 keeps a message of the library, which may quote the file, to a line.
func short400(s string) string {
	r := []rune(strings.ReplaceAll(s, "\n", " "))
	if len(r) > 400 {
		r = append(r[:400], '.', '.', '.')
	}
	return string(r)
}

// reader is one table of a text that is being read.
type reader struct {
	values map[string]any
	at     *node
	asked  []string // keys that the shape knows, in its order
}

func (r *reader) get(key string) (any, bool) {
	r.asked = append(r.asked, key)
	v, ok := r.values[key]
	return v, ok
}

// askAll takes every key of the table as known.
func (r *reader) askAll() {
	for key := range r.values {
		r.asked = append(r.asked, key)
	}
}

// unknown reports every key of the table that was not asked for.
func (f *Form) unknown() {
	var strange []string
	for key := range f.in.values {
		if !slices.Contains(f.in.asked, key) {
			strange = append(strange, key)
		}
	}
	slices.Sort(strange)
	known := "Known here: " + strings.Join(f.in.asked, ", ") + "."
	for _, key := range strange {
		at := fault.Where{File: f.file}
		if n := f.in.at.key(key); n != nil {
			at.Line, at.Column = n.line, n.col
		}
		f.faults.Errorf(at, "job-key", known, "%s: unknown key", f.name(short(key)))
	}
}
