package jobfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/job"
)

// Typed reads or writes a part that was typed in instead of drawn. The
// parameters of its kind are the keys; one that is 0 or absent is none. Their
// order is kept.
func (f *Form) Typed(key string, v **job.Shape) {
	if f.out != nil && *v == nil {
		return
	}
	f.Table(key, func() {
		var s job.Shape
		if *v != nil {
			s = (*v).Clone()
		}
		*v = &s
		kind := string(s.Kind)
		f.Must("kind", &kind, func(word string) error {
			if job.ShapeParams(job.ShapeKind(word)) == nil {
				return fmt.Errorf("must be one of: %s", joined(job.ShapeKinds()))
			}
			return nil
		})
		s.Kind = job.ShapeKind(kind)
		params := job.ShapeParams(s.Kind)
		if params == nil && f.in != nil {
			f.in.askAll() // nothing can be said of the other keys
		}
		if f.out != nil {
			f.writeValues(s, params)
		} else {
			s.Values = f.readValues(params)
		}
		Rows(f, "holes", &s.Holes, func(h *job.ShapeHole) {
			f.Given("x", &h.X, job.ShapeX)
			f.Given("y", &h.Y, job.ShapeY)
			f.Given("diameter", &h.Diameter, job.ShapeD)
		})
		Rows(f, "slots", &s.Slots, func(l *job.ShapeSlot) {
			f.Given("x", &l.X, job.ShapeX)
			f.Given("y", &l.Y, job.ShapeY)
			f.Given("length", &l.Length, job.ShapeL)
			f.Given("width", &l.Width, job.ShapeW)
			f.Number("angle", &l.Angle, job.ShapeA)
		})
	})
}

// keyOf is the key of a parameter: the last word of its field.
func keyOf(field job.Field) string {
	return string(field[strings.LastIndexByte(string(field), '.')+1:])
}

func (f *Form) writeValues(s job.Shape, params []job.ShapeParam) {
	seen := map[job.Field]bool{}
	for _, v := range s.Values {
		known := slices.ContainsFunc(params, func(p job.ShapeParam) bool { return p.Field == v.Field })
		switch {
		case !known:
			f.fault(keyOf(v.Field), "job-key", "", "a %s has no such figure", s.Kind)
		case seen[v.Field]:
			f.fault(keyOf(v.Field), "job-key", "", "is given twice")
		case v.Value == 0:
			f.out.set(keyOf(v.Field), "0", v.Field.Range().Dim.Unit(f.units))
		default:
			f.write(keyOf(v.Field), v.Value, v.Field)
		}
		seen[v.Field] = true
	}
}

func (f *Form) readValues(params []job.ShapeParam) []job.ShapeValue {
	type placed struct {
		at *node
		job.ShapeValue
	}
	var found []placed
	for _, p := range params {
		key := keyOf(p.Field)
		value, there := f.in.get(key)
		if !there {
			continue
		}
		at := f.in.at.key(key)
		v := 0.0
		if value != int64(0) && value != 0.0 {
			var ok bool
			if v, ok = f.parse(key, value, at, p.Field); !ok {
				continue
			}
		}
		found = append(found, placed{at, job.ShapeValue{Field: p.Field, Value: v}})
	}
	slices.SortStableFunc(found, func(a, b placed) int {
		if a.at == nil || b.at == nil {
			return 0
		}
		return cmp.Or(a.at.line-b.at.line, a.at.col-b.at.col)
	})
	var all []job.ShapeValue
	for _, p := range found {
		all = append(all, p.ShapeValue)
	}
	return all
}

func joined[T ~string](words []T) string {
	all := make([]string, len(words))
	for i, w := range words {
		all[i] = string(w)
	}
	return strings.Join(all, "; ")
}
