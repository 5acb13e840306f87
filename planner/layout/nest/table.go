package nest

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// table says of two shapes at one angle to each other, for every place t of the
// second relative to the first, whether they overlap and how badly. The plane
// of places is cut into cells: most lie wholly in or out; those that an edge of
// the convolution crosses keep these edges, and a winding number to count from.
type table struct {
	box    geom.Box // of places at which the boxes of the shapes overlap
	nx, ny int
	ix, iy float64 // cells per mm
	grid   []cell  // nx+1 to a row, one row and column more than there are cells
	cells  []edgeCell
	segs   []flat
	list   []int32 // into segs, of all edge cells
	tol    float64
	a, b   *region
	holes  bool // holes are at play: the edges themselves are asked
	joints []geom.Point
}

// cell is one cell, and the penalty at its lower left corner.
type cell struct {
	class int32 // free, taken, or -1 - index into edge cells
	val   float32
}

const (
	free  = 0
	taken = 1
)

// edgeCell is a cell that edges cross.
type edgeCell struct {
	from, to int32 // into list
	winding  int32 // at the cell's lower left corner
}

// flat is an edge of the convolution.
type flat struct{ a, b geom.Point }

// newTable makes the table for b about a. cells is how many there are along
// the longer side.
func newTable(a, b *region, cells int, tol float64) *table {
	t := &table{tol: tol}
	t.box = geom.Box{Min: a.box.Min.Sub(b.box.Max), Max: a.box.Max.Sub(b.box.Min)}
	w, h := t.box.Width(), t.box.Height()
	// A hair more, so that no edge lies on the frame.
	t.box = t.box.Grow(max(w, h) / 1000)
	w, h = t.box.Width(), t.box.Height()
	step := max(w, h) / float64(cells)
	t.nx, t.ny = max(1, int(math.Ceil(w/step))), max(1, int(math.Ceil(h/step)))
	t.ix, t.iy = float64(t.nx)/w, float64(t.ny)/h
	t.a, t.b = a, b
	t.holes = len(a.rings) > 1 || len(b.rings) > 1
	t.convolve(a, b)
	t.grid = make([]cell, (t.nx+1)*(t.ny+1))
	t.classify(a, b)
	for y := range t.ny + 1 {
		for x := range t.nx + 1 {
			t.grid[y*(t.nx+1)+x].val = float32(penalty(a, b, t.corner(x, y)))
		}
	}
	return t
}

func (t *table) corner(x, y int) geom.Point {
	return geom.Pt(t.box.Min.X+float64(x)/t.ix, t.box.Min.Y+float64(y)/t.iy)
}

// penalty is the overlap measure of arXiv 2509.13329: for each pair of circles
// how deep they reach into each other, fading out where they do not, times the
// smaller radius; its root times the mean size of the hulls.
func penalty(a, b *region, t geom.Point) float64 {
	fade := max(a.box.Width(), a.box.Height(), b.box.Width(), b.box.Height()) * 0.01
	sum := 0.0
	for i := range a.poles {
		p := &a.poles[i]
		for k := range b.poles {
			q := &b.poles[k]
			deep := p.R + q.R - q.C.Add(t).Dist(p.C)
			if deep < fade {
				deep = fade * fade / (2*fade - deep)
			}
			sum += deep * min(p.R, q.R)
		}
	}
	return math.Sqrt(math.Pi*sum) * math.Sqrt(math.Sqrt(a.hull)*math.Sqrt(b.hull))
}

// convolve lists the edges of the convolution of a with b turned half round:
// every edge of the one at every corner of the other whose turn it lies in.
// Where b is held so that its zero lies on such an edge, the shapes touch.
// Edges at corners that turn in run backwards.
func (t *table) convolve(a, b *region) {
	neg := &region{}
	for _, ring := range b.rings {
		n := make([]geom.Point, len(ring))
		for i, p := range ring {
			n[i] = geom.Pt(-p.X, -p.Y)
		}
		neg.rings = append(neg.rings, n)
	}
	t.sweep(a, neg, false)
	t.sweep(neg, a, true)
}

// sweep adds the edges of q at the corners of p. An edge that runs along one
// side of a corner counts at one end of the turn only, as if one of the shapes
// were turned by a hair: closed says at which.
func (t *table) sweep(p, q *region, closed bool) {
	for _, rp := range p.rings {
		n := len(rp)
		for i, at := range rp {
			u, v := at.Sub(rp[(i+n-1)%n]), rp[(i+1)%n].Sub(at)
			turn := u.Cross(v)
			for _, rq := range q.rings {
				m := len(rq)
				for k, from := range rq {
					to := rq[(k+1)%m]
					e := to.Sub(from)
					if turn >= 0 && within(u, v, e, closed) {
						t.segs = append(t.segs, flat{at.Add(from), at.Add(to)})
					} else if turn < 0 && within(v, u, e, closed) {
						t.segs = append(t.segs, flat{at.Add(to), at.Add(from)})
					}
				}
			}
		}
	}
}

// within reports whether the direction e lies in the left turn from u to v, of
// at most half round: u itself counts if closed is false, v if it is true.
func within(u, v, e geom.Point, closed bool) bool {
	ue, ev := direction(u, e), direction(e, v)
	if direction(u, v) == 0 && u.Dot(v) > 0 { // no turn
		return false
	}
	if ue == 0 && u.Dot(e) > 0 {
		return !closed
	}
	if ev == 0 && e.Dot(v) > 0 {
		return closed
	}
	return ue > 0 && ev > 0
}

// direction is the sign of the turn from u to v, 0 within rounding.
func direction(u, v geom.Point) int {
	c := u.Cross(v)
	if math.Abs(c) <= 1e-12*u.Len()*v.Len() { // a few roundings of each product
		return 0
	}
	if c > 0 {
		return 1
	}
	return -1
}

// classify finds the cells that edges cross and settles the others.
func (t *table) classify(a, b *region) {
	cross := make([][]int32, t.nx*t.ny)
	cw, ch := 1/t.ix, 1/t.iy
	margin := 2 * t.tol
	for k, s := range t.segs {
		x0, x1 := t.cellX(min(s.a.X, s.b.X)-margin), t.cellX(max(s.a.X, s.b.X)+margin)
		y0, y1 := t.cellY(min(s.a.Y, s.b.Y)-margin), t.cellY(max(s.a.Y, s.b.Y)+margin)
		d := s.b.Sub(s.a)
		n := d.Left()
		reach := math.Abs(n.X)*(cw/2+margin) + math.Abs(n.Y)*(ch/2+margin)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				mid := t.corner(x, y).Add(geom.Pt(cw/2, ch/2))
				if math.Abs(mid.Sub(s.a).Dot(n)) <= reach {
					cross[y*t.nx+x] = append(cross[y*t.nx+x], int32(k))
				}
			}
		}
	}
	for i := range cross {
		x, y := i%t.nx, i/t.nx
		class := &t.grid[y*(t.nx+1)+x].class
		low := t.corner(x, y)
		if len(cross[i]) == 0 {
			mid := low.Add(geom.Pt(cw/2, ch/2))
			if t.holes {
				if overlap(a, b, mid, t.tol) {
					*class = taken
				}
			} else if t.windingAt(mid) > 0 {
				*class = taken
			}
			continue
		}
		c := edgeCell{from: int32(len(t.list))}
		t.list = append(t.list, cross[i]...)
		c.to = int32(len(t.list))
		if !t.holes {
			c.winding = t.windingAt(low)
		}
		*class = -1 - int32(len(t.cells))
		t.cells = append(t.cells, c)
	}
	// Where corners of the shapes meet, for places of exact contact.
	for _, s := range t.segs {
		t.joints = append(t.joints, s.a)
	}
	slices.SortFunc(t.joints, func(p, q geom.Point) int {
		if p.X != q.X {
			if p.X < q.X {
				return -1
			}
			return 1
		}
		if p.Y < q.Y {
			return -1
		}
		if p.Y > q.Y {
			return 1
		}
		return 0
	})
	t.joints = slices.Compact(t.joints)
	t.joints = slices.DeleteFunc(t.joints, func(p geom.Point) bool { return t.hit(p) })
}

func (t *table) cellX(x float64) int { return min(t.nx-1, max(0, int((x-t.box.Min.X)*t.ix))) }
func (t *table) cellY(y float64) int { return min(t.ny-1, max(0, int((y-t.box.Min.Y)*t.iy))) }

// windingAt counts over all edges how often the convolution runs round q: by
// crossings of the half line to the left of q.
func (t *table) windingAt(q geom.Point) int32 {
	w := int32(0)
	for i := range t.segs {
		s := &t.segs[i]
		up := s.a.Y <= q.Y && s.b.Y > q.Y
		down := s.a.Y > q.Y && s.b.Y <= q.Y
		if !up && !down {
			continue
		}
		if x := s.a.X + (q.Y-s.a.Y)/(s.b.Y-s.a.Y)*(s.b.X-s.a.X); x < q.X {
			if up {
				w--
			} else {
				w++
			}
		}
	}
	return w
}

// hit reports whether the shapes overlap at t by more than tol.
func (t *table) hit(q geom.Point) bool {
	fx, fy := (q.X-t.box.Min.X)*t.ix, (q.Y-t.box.Min.Y)*t.iy
	x, y := int(fx), int(fy)
	if fx < 0 || fy < 0 || x >= t.nx || y >= t.ny {
		return false
	}
	switch c := t.grid[y*(t.nx+1)+x].class; {
	case c == free:
		return false
	case c == taken:
		return true
	case t.holes:
		return overlap(t.a, t.b, q, t.tol)
	default:
		return t.edgeHit(&t.cells[-1-c], x, y, q)
	}
}

// edgeHit counts on from the cell's corner: along its lower side to below q,
// then up to q, over the edges that cross the cell.
func (t *table) edgeHit(c *edgeCell, x, y int, q geom.Point) bool {
	low := t.corner(x, y)
	w := c.winding
	for _, k := range t.list[c.from:c.to] {
		s := &t.segs[k]
		ax, ay, bx, by := s.a.X, s.a.Y, s.b.X, s.b.Y
		if up, down := ay <= low.Y && by > low.Y, ay > low.Y && by <= low.Y; up || down {
			if cx := ax + (low.Y-ay)/(by-ay)*(bx-ax); cx >= low.X && cx < q.X {
				if up {
					w--
				} else {
					w++
				}
			}
		}
		if right, left := ax <= q.X && bx > q.X, ax > q.X && bx <= q.X; right || left {
			if cy := ay + (q.X-ax)/(bx-ax)*(by-ay); cy >= low.Y && cy < q.Y {
				if right {
					w++
				} else {
					w--
				}
			}
		}
	}
	if w <= 0 {
		return false
	}
	for _, k := range t.list[c.from:c.to] {
		if s := &t.segs[k]; pointToSeg(q, s.a, s.b) <= t.tol {
			return overlap(t.a, t.b, q, t.tol) // they touch, or the edge lies within
		}
	}
	return true
}

// cost returns the penalty at t, 0 if the shapes do not overlap.
func (t *table) cost(q geom.Point) float64 {
	fx, fy := (q.X-t.box.Min.X)*t.ix, (q.Y-t.box.Min.Y)*t.iy
	x, y := int(fx), int(fy)
	if fx < 0 || fy < 0 || x >= t.nx || y >= t.ny {
		return 0
	}
	switch c := t.grid[y*(t.nx+1)+x].class; {
	case c == free:
		return 0
	case c == taken:
	case t.holes:
		if !overlap(t.a, t.b, q, t.tol) {
			return 0
		}
	case !t.edgeHit(&t.cells[-1-c], x, y, q):
		return 0
	}
	fx -= float64(x)
	fy -= float64(y)
	i := y*(t.nx+1) + x
	low, high := t.grid[i:i+2], t.grid[i+t.nx+1:i+t.nx+3]
	v00, v10, v01, v11 := float64(low[0].val), float64(low[1].val), float64(high[0].val), float64(high[1].val)
	return (v00*(1-fx)+v10*fx)*(1-fy) + (v01*(1-fx)+v11*fx)*fy
}
