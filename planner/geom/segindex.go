package geom

import "math"

// SegIndex answers questions about all segments of some paths. The paths must
// not be changed afterwards.
type SegIndex struct {
	tree  *Index
	forms []form
	of    []segPlace
	paths []Path
}

// segPlace says which stretch of which path a form is: arcs over half a circle
// are two.
type segPlace struct {
	path, seg int32
	from, to  float64
}

// Place is a point of an indexed path.
type Place struct {
	Path, Seg int
	T         float64 // part of the segment's length
	P         Point
	Dist      float64 // mm from the point that was asked about
}

// IndexPaths builds an index over the segments of all paths.
func IndexPaths(paths ...Path) *SegIndex {
	x := &SegIndex{paths: paths}
	n := 0
	for _, p := range paths {
		n += p.NumSegs()
	}
	x.forms = make([]form, 0, n)
	x.of = make([]segPlace, 0, n)
	boxes := make([]Box, 0, n)
	for i, p := range paths {
		for k := range p.NumSegs() {
			s := p.Seg(k)
			if math.Abs(s.Bulge) <= 1 {
				x.forms = append(x.forms, newForm(s))
				x.of = append(x.of, segPlace{int32(i), int32(k), 0, 1})
				continue
			}
			for h, half := range s.Split() {
				x.forms = append(x.forms, newForm(half))
				x.of = append(x.of, segPlace{int32(i), int32(k), float64(h) / 2, float64(h+1) / 2})
			}
		}
	}
	for i := range x.forms {
		boxes = append(boxes, x.forms[i].box())
	}
	x.tree = NewIndex(boxes)
	return x
}

// Box returns the box of all paths.
func (x *SegIndex) Box() Box { return x.tree.Box() }

func (x *SegIndex) place(i int, t float64, p Point, d float64) Place {
	o := x.of[i]
	return Place{int(o.path), int(o.seg), o.from + t*(o.to-o.from), p, d}
}

// Nearest returns the place nearest to p; ok is false if the index holds no
// segment. Of equally near ones it takes the first.
func (x *SegIndex) Nearest(p Point) (at Place, ok bool) {
	return x.NearestWithin(p, math.Inf(1))
}

// NearestWithin is Nearest for places no further than bound (mm).
func (x *SegIndex) NearestWithin(p Point, bound float64) (at Place, ok bool) {
	i, _ := x.nearest(p, bound)
	if i < 0 {
		return Place{}, false
	}
	q, t, d := x.forms[i].nearest(p)
	return x.place(i, t, q, d), true
}

func (x *SegIndex) nearest(p Point, bound float64) (item int, dist float64) {
	item, dist = -1, bound
	x.tree.Nearest(p, bound, func(i int) float64 {
		if d := x.forms[i].dist(p); d < dist || d == dist && (item < 0 || i < item) {
			item, dist = i, d
		}
		return dist
	})
	return item, dist
}

// Dist returns the distance from p to the nearest path, +Inf without any.
func (x *SegIndex) Dist(p Point) float64 {
	_, d := x.nearest(p, math.Inf(1))
	return d
}

// Search calls visit with every segment whose box overlaps b, until visit
// returns false. A segment over half a circle may come twice.
func (x *SegIndex) Search(b Box, visit func(path, seg int) bool) bool {
	return x.tree.Search(b, func(i int) bool { return visit(int(x.of[i].path), int(x.of[i].seg)) })
}

// Winding returns how often the paths, all closed, run counter-clockwise
// round q, which must not lie on one: those that a ray to the right meets.
func (x *SegIndex) Winding(q Point) int {
	w := 0
	x.tree.Search(Box{q, Point{math.Inf(1), q.Y}}, func(i int) bool {
		w += x.forms[i].Seg.winding(q)
		return true
	})
	return w
}
