package geom

import "errors"

// Offset returns the boundary of the region enclosed by loop moved outwards
// by d mm (inwards if d < 0). loop is closed, any direction; results are
// closed; counter-clockwise loops bound the region, clockwise ones are holes
// in it. Empty result = swallowed.
func Offset(loop Path, d float64) ([]Path, error) { return OffsetRegion(loop, nil, d) }

// OffsetRegion does the same for an outer loop with holes.
func OffsetRegion(outer Path, holes []Path, d float64) ([]Path, error) {
	var out []Path
	for i, p := range append([]Path{outer}, holes...) {
		if !p.Closed || len(p.V) < 2 {
			return nil, errors.New("offset: the path is not closed")
		}
		q := p.SplitArcs().CCW()
		if i > 0 {
			q = q.Reverse()
		}
		if r, ok := offsetLocally(q, d); ok {
			out = append(out, r)
		}
	}
	return out, nil
}

// offsetLocally joins neighbours only.
func offsetLocally(p Path, d float64) (Path, bool) {
	n := p.NumSegs()
	moved := make([]Seg, 0, n)
	var corner []Point
	for i := range n {
		f := newForm(p.Seg(i))
		if f.length == 0 {
			continue
		}
		s := Seg{f.A.Add(f.ta.Left().Mul(-d)), f.B.Add(f.tb.Left().Mul(-d)), f.Bulge}
		if f.half != 0 && 1/(2*f.half)+d <= 0 == (f.half > 0) {
			continue
		}
		moved = append(moved, s)
		corner = append(corner, f.B)
	}
	out := Path{Closed: true}
	for i := range moved {
		s, next := &moved[i], &moved[(i+1)%len(moved)]
		if s.B.Near(next.A) {
			continue
		}
		if m := Intersect(*s, *next, Same); m.N > 0 {
			c := m.At[m.N-1]
			*s, *next = s.Part(0, c.T), next.Part(c.U, 1)
		}
	}
	for i, s := range moved {
		next := moved[(i+1)%len(moved)]
		out.V = append(out.V, Vertex{P: s.A, Bulge: s.Bulge})
		if !s.B.Near(next.A) {
			u, v := s.B.Sub(corner[i]), next.A.Sub(corner[i])
			a := Point{u.Dot(v), u.Cross(v)}.Angle()
			out.V = append(out.V, Vertex{P: s.B, Bulge: BulgeOf(a)})
		}
	}
	return out, len(out.V) >= 2 && out.Area()*p.Area() > 0
}
