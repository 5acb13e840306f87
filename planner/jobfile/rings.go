package jobfile

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// maxRing bounds the corners of one edge of an offcut, and the edges; more
// are no offcut. Common practice, no source.
const maxRing = 20000

// Rings reads or writes the edges of an offcut: a list of rings, each a list
// of corners [x, y] or [x, y, bulge]. A ring has two corners or more.
func (f *Form) Rings(key string, v *[][]job.OutlinePoint) {
	if f.in == nil {
		f.writeRings(key, *v)
		return
	}
	items, ok := f.list(key, "rings, [[[x, y], [x, y, bulge], ...], ...]")
	if !ok {
		return
	}
	*v = nil
	for i, x := range items {
		corners, isList := x.([]any)
		if !isList || len(corners) < 2 || len(corners) > maxRing || i >= maxRing {
			f.itemFault(key, i, "job-type", fmt.Sprintf("must be a ring of 2 to %d corners, [x, y] or [x, y, bulge] each", maxRing))
			return
		}
		at := f.in.at.key(key).item(i)
		var ring []job.OutlinePoint
		for k, c := range corners {
			p, why := f.corner(c, at.item(k))
			if why != "" {
				f.itemFault(key, i, "job-range", fmt.Sprintf("corner %d %s", k+1, why))
				return
			}
			ring = append(ring, p)
		}
		*v = append(*v, ring)
	}
}

// corner reads [x, y] or [x, y, bulge]; why says what is wrong with it.
func (f *Form) corner(raw any, n *node) (p job.OutlinePoint, why string) {
	c, isList := raw.([]any)
	if !isList || len(c) != 2 && len(c) != 3 {
		return p, "must be [x, y] or [x, y, bulge]"
	}
	for k, to := range []*float64{&p.X, &p.Y, &p.Bulge}[:len(c)] {
		switch c[k].(type) {
		case float64, int64:
		default:
			return p, "must be [x, y] or [x, y, bulge], numbers"
		}
		typed := fmt.Sprint(c[k])
		if item := n.item(k); item != nil && item.raw != "" {
			typed = item.raw
		}
		field := outlineField(k)
		v, err := parse(field.Range().Dim, typed, f.units)
		if err == nil && f.units != unit.Unknown {
			err = field.Check(v, f.units)
		}
		if err != nil {
			r := field.Range()
			return p, fmt.Sprintf("must be %s (%s)", r.Text(f.units), r.Why)
		}
		*to = v
	}
	return p, ""
}

func outlineField(k int) job.Field {
	if k == 2 {
		return job.OutlineBulge
	}
	return job.OutlineAt
}

func (f *Form) writeRings(key string, v [][]job.OutlinePoint) {
	var rows []string
	for i, ring := range v {
		if len(ring) < 2 || len(ring) > maxRing || i >= maxRing {
			f.itemFault(key, i, "job-type", fmt.Sprintf("must be a ring of 2 to %d corners", maxRing))
			return
		}
		var corners []string
		for k, p := range ring {
			var text []string
			for c, x := range [3]float64{p.X, p.Y, p.Bulge} {
				field := outlineField(c)
				if err := field.Check(x, f.units); err != nil {
					f.itemFault(key, i, "job-range", fmt.Sprintf("corner %d %v", k+1, err))
					return
				}
				if c < 2 || x != 0 {
					text = append(text, literal(field.Range().Dim, x, f.units))
				}
			}
			corners = append(corners, "["+strings.Join(text, ", ")+"]")
		}
		rows = append(rows, "["+strings.Join(corners, ", ")+"]")
	}
	if len(rows) > 0 {
		f.out.rows(key, rows)
	}
}
