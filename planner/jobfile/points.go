package jobfile

import (
	"fmt"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Points reads or writes a list of places, [x, y] each.
func (f *Form) Points(key string, v *[]geom.Point, field job.Field) {
	if f.in != nil {
		items, ok := f.list(key, "places, [[x, y], ...]")
		if !ok {
			return
		}
		*v = nil
		for i, x := range items {
			p, ok := f.place(key, i, x, f.in.at.key(key).item(i), field)
			if !ok {
				return
			}
			*v = append(*v, p)
		}
		return
	}
	var rows []string
	for i, p := range *v {
		if !f.placeOK(key, i, p, field) {
			return
		}
		rows = append(rows, f.placeText(p, field))
	}
	if len(rows) > 0 {
		f.out.rows(key, rows)
	}
}

// Point reads or writes one place, or none.
func (f *Form) Point(key string, v **geom.Point, field job.Field) {
	if f.in != nil {
		raw, ok := f.in.get(key)
		if !ok {
			return
		}
		if p, ok := f.place(key, -1, raw, f.in.at.key(key), field); ok {
			*v = &p
		}
		return
	}
	if *v != nil && f.placeOK(key, -1, **v, field) {
		f.out.set(key, f.placeText(**v, field), field.Range().Dim.Unit(f.units))
	}
}

// place reads [x, y]; i < 0 says that it is no item of a list.
func (f *Form) place(key string, i int, raw any, n *node, field job.Field) (geom.Point, bool) {
	xy, isList := raw.([]any)
	if !isList || len(xy) != 2 {
		f.placeFault(key, i, "job-type", "must be a place, [x, y]")
		return geom.Point{}, false
	}
	var c [2]float64
	for k := range c {
		switch xy[k].(type) {
		case float64, int64:
		default:
			f.placeFault(key, i, "job-type", "must be a place, [x, y], of two numbers")
			return geom.Point{}, false
		}
		typed := fmt.Sprint(xy[k])
		if item := n.item(k); item != nil {
			typed = item.raw
		}
		v, err := parse(field.Range().Dim, typed, f.units)
		if err == nil && f.units != unit.Unknown {
			err = field.Check(v, f.units)
		}
		if err != nil {
			r := field.Range()
			f.placeFault(key, i, "job-range", fmt.Sprintf("must be %s (%s)", r.Text(f.units), r.Why))
			return geom.Point{}, false
		}
		c[k] = v
	}
	return geom.Pt(c[0], c[1]), true
}

func (f *Form) placeFault(key string, i int, code, what string) {
	if i < 0 {
		f.fault(key, code, "", "%s", what)
		return
	}
	f.itemFault(key, i, code, what)
}

func (f *Form) placeOK(key string, i int, p geom.Point, field job.Field) bool {
	for _, c := range []float64{p.X, p.Y} {
		if err := field.Check(c, f.units); err != nil {
			f.placeFault(key, i, "job-range", err.Error())
			return false
		}
	}
	return true
}

func (f *Form) placeText(p geom.Point, field job.Field) string {
	d := field.Range().Dim
	return "[" + literal(d, p.X, f.units) + ", " + literal(d, p.Y, f.units) + "]"
}
