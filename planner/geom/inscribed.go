package geom

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// Disc is a circle with its inside.
type Disc struct {
	C Point
	R float64 // mm
}

// Inscribed returns the centre and radius of the largest circle inside loop
// and outside holes, within precision mm (at least a millionth of the size of
// loop). Of equally large ones it takes the one nearest to the middle of
// loop's box, then the lowest, then the leftmost. The radius is 0 if loop has
// no inside.
//
// The search is that of a quad-tree with bounds (D. Garcia-Castellanos and
// U. Lombardo, Poles of inaccessibility, 2007, made exact by bounds as in
// the method known as polylabel), with a closer bound for places between two
// edges, so that a long slot does not cost a cell for every hair of its length.
func Inscribed(loop Path, holes []Path, precision float64) (Point, float64) {
	d := Poles(loop, holes, precision, 1)
	if len(d) == 0 {
		if len(loop.V) == 0 {
			return Point{}, 0
		}
		return loop.Box().Center(), 0
	}
	return d[0].C, d[0].R
}

// Poles returns up to n discs: the largest that fits, then the largest that
// fits beside it, and so on. Discs under precision are left out.
func Poles(loop Path, holes []Path, precision float64, n int) []Disc {
	r := newRoom(loop, holes)
	size := max(r.box.Width(), r.box.Height())
	if !(size > 0) || math.IsInf(size, 0) {
		return nil
	}
	precision = max(precision, size*Angle)
	for range n {
		best := r.largest(precision)
		if best.R < precision {
			break
		}
		r.discs = append(r.discs, best)
	}
	return r.discs
}

// room is the space inside a loop, outside holes and discs.
type room struct {
	edges *SegIndex
	box   Box
	discs []Disc
	near  []wall // scratch
}

// wall is what a cell sees of an edge or a disc: its distance, the direction
// in which that grows, and by how much the distance may grow beyond the
// straight line in a cell of half diagonal reach.
type wall struct {
	d    float64
	away Point
	bend float64
	axis *form // an arc
}

func newRoom(loop Path, holes []Path) *room {
	paths := append(make([]Path, 0, len(holes)+1), loop.CCW())
	for _, h := range holes {
		paths = append(paths, h.CCW().Reverse())
	}
	return &room{edges: IndexPaths(paths...), box: loop.Box()}
}

// depth is how far p is from the nearest wall, negative if it is not in the room.
func (r *room) depth(p Point) float64 {
	d := r.edges.Dist(p)
	if r.edges.Winding(p) <= 0 {
		d = -d
	}
	for _, c := range r.discs {
		d = min(d, p.Dist(c.C)-c.R)
	}
	return d
}

// cell is a square of half side h with the depth at its middle and the most
// that any of its points can have.
type cell struct {
	c          Point
	h, d, most float64
}

// maxCells bounds the work on shapes whose best places fill a curved band, at
// under a second. The result is then the best found.
const maxCells = 200_000

type poleSearch struct {
	*room
	best   Disc
	queue  cells
	middle Point
	same   float64 // radii this near are equally large
}

func (r *room) largest(precision float64) Disc {
	s := poleSearch{room: r, middle: r.box.Center()}
	s.same = precision * Angle
	s.best = Disc{s.middle, math.Inf(-1)}
	s.try(s.middle)
	// Ends of slots and whole circles: centres of edges that bend round them.
	for i := range min(len(r.edges.forms), 4*few) {
		if f := &r.edges.forms[i]; f.half > 0 {
			s.try(f.center())
		}
	}
	b := r.box
	side := max(min(b.Width(), b.Height()), max(b.Width(), b.Height())/1000)
	nx, ny := max(1, int(math.Ceil(b.Width()/side-Angle))), max(1, int(math.Ceil(b.Height()/side-Angle)))
	x0, y0 := s.middle.X-side*float64(nx)/2, s.middle.Y-side*float64(ny)/2
	for i := range nx {
		for j := range ny {
			s.push(Point{x0 + side*(float64(i)+0.5), y0 + side*(float64(j)+0.5)}, side/2)
		}
	}
	for n := 0; len(s.queue) > 0 && n < maxCells; n++ {
		c := heap.Pop(&s.queue).(cell)
		if c.most <= s.best.R+precision {
			break
		}
		h := c.h / 2
		for _, q := range [4]Point{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			s.push(c.c.Add(q), h)
		}
	}
	s.sharpen()
	s.best.R = max(0, s.best.R)
	return s.best
}

// try takes p if it is a better centre.
func (s *poleSearch) try(p Point) (d float64) {
	d = s.depth(p)
	if d > s.best.R+s.same || d >= s.best.R-s.same && s.before(p, s.best.C) {
		s.best = Disc{p, d}
	}
	return d
}

// before settles ties.
func (s *poleSearch) before(p, q Point) bool {
	a, b := p.Dist(s.middle), q.Dist(s.middle)
	switch {
	case math.Abs(a-b) > Same:
		return a < b
	case math.Abs(p.Y-q.Y) > Same:
		return p.Y < q.Y
	}
	return p.X < q.X-Same
}

func (s *poleSearch) push(c Point, h float64) {
	reach := h * math.Sqrt2
	cl := cell{c, h, s.try(c), 0}
	cl.most = cl.d + reach
	if cl.d > 2*reach && cl.most > s.best.R {
		cl.most = s.between(c, cl.d, reach, cl.most)
	}
	if cl.most > s.best.R {
		heap.Push(&s.queue, cl)
	}
}

// between bounds the depth in a cell by two walls: no more than the mean of
// both distances, which between walls that face each other hardly changes:
//
//	min(a, b) <= (a + b)/2 <= (a0 + b0 + bends)/2 + reach |away a + away b|/2
//
// And where they face each other the place midway is tried.
func (s *poleSearch) between(c Point, d, reach, most float64) float64 {
	s.look(c, d+2*reach, reach)
	if len(s.near) == 0 {
		return most
	}
	a := slices.MinFunc(s.near, func(a, b wall) int { return cmp.Compare(a.d, b.d) })
	var facing wall
	for _, b := range s.near {
		if m := (a.d+b.d+a.bend+b.bend)/2 + reach*a.away.Add(b.away).Len()/2; m < most {
			most, facing = m, b
		}
	}
	if facing.d > 0 && most > s.best.R {
		s.try(c.Add(a.away.Mul((facing.d - a.d) / 2)))
	}
	return most
}

// look lists the walls no further than d from c.
func (s *poleSearch) look(c Point, d, reach float64) {
	s.near = s.near[:0]
	s.edges.tree.Search(Box{c, c}.Grow(d), func(i int) bool {
		f := &s.edges.forms[i]
		q, _, e := f.nearest(c)
		if e > d || e == 0 {
			return true
		}
		w := wall{d: e, away: c.Sub(q).Mul(1 / e)}
		if f.isArc() {
			w.axis = f
		}
		// The distance from the foot q alone grows by reach^2/2(e-reach) more
		// than a straight line. From a line, or inside its circle from an arc,
		// abreast of all of the cell, it grows no more than that line.
		right := f.offset(c) > 0
		flat := !f.isArc() || right == (f.half < 0)
		if !flat || c.Sub(f.A).Dot(f.ta) < reach || c.Sub(f.B).Dot(f.tb) > -reach {
			w.bend = reach * reach / (2 * (e - reach))
			if e <= reach {
				w.bend = math.Inf(1)
			}
		}
		s.near = append(s.near, w)
		return true
	})
	for _, o := range s.discs {
		v := c.Sub(o.C)
		l := v.Len()
		if e := l - o.R; e > 0 && e <= d {
			w := wall{d: e, away: v.Mul(1 / l), bend: math.Inf(1)}
			if l > reach {
				w.bend = reach * reach / (2 * (l - reach))
			}
			s.near = append(s.near, w)
		}
	}
}

// sharpen moves the centre to where three walls are equally far, as Newton
// does, or between two that face each other to the line through their centres,
// and keeps what is better.
func (s *poleSearch) sharpen() {
	if s.best.R <= 0 {
		return
	}
	for range 6 {
		from := s.best
		s.look(from.C, from.R*1.1+Join, 0) // a tenth further: walls that a small step may meet
		slices.SortStableFunc(s.near, func(a, b wall) int { return cmp.Compare(a.d, b.d) })
		w := s.near[:min(len(s.near), 8)]
		for i := range w {
			for j := i + 1; j < len(w); j++ {
				s.tryAxis(from.C, w[i], w[j])
				for k := j + 1; k < len(w); k++ {
					u, v := w[j].away.Sub(w[i].away), w[k].away.Sub(w[i].away)
					det := u.Cross(v)
					if math.Abs(det) < Join { // walls of one direction: no step to trust
						continue
					}
					du, dv := w[i].d-w[j].d, w[i].d-w[k].d
					step := Point{(du*v.Y - dv*u.Y) / det, (dv*u.X - du*v.X) / det}
					if step.Len() < from.R/2 {
						s.try(from.C.Add(step))
					}
				}
			}
		}
		if s.best.R <= from.R+s.same {
			break
		}
	}
}

// tryAxis tries the foot of p on the line through the centres of two walls, or
// through one centre square to the other wall, midway between them.
func (s *poleSearch) tryAxis(p Point, a, b wall) {
	if a.axis == nil {
		a, b = b, a
	}
	if a.axis == nil || a.away.Dot(b.away) > 0 {
		return
	}
	c, u := a.axis.center(), b.away
	if b.axis != nil {
		if u = b.axis.center().Sub(c); u.Len() < Same {
			return
		}
		u = u.Unit()
	}
	q := c.Add(u.Mul(p.Sub(c).Dot(u)))
	if b.axis != nil {
		a.d, b.d = a.axis.dist(q), b.axis.dist(q)
		u = u.Mul(math.Copysign(1, u.Dot(b.away)))
	}
	s.try(q.Add(u.Mul((a.d - b.d) / 2)))
}

type cells []cell

func (q cells) Len() int { return len(q) }
func (q cells) Less(i, j int) bool {
	a, b := &q[i], &q[j]
	if a.most != b.most {
		return a.most > b.most
	}
	if a.c.Y != b.c.Y {
		return a.c.Y < b.c.Y
	}
	return a.c.X < b.c.X
}
func (q cells) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *cells) Push(x any)   { *q = append(*q, x.(cell)) }
func (q *cells) Pop() any {
	x := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return x
}
