package geom

import (
	"container/heap"
	"math"
)

// touching is the distance, mm, under which two segments are taken to meet
// when their distance is asked for: what rounding leaves of an exact crossing
// at 1 km (1e6 mm x 2^-52 x 4).
const touching = 1e-9

// SegDist returns the distance of two segments of at most half a circle, and
// a point of each that far apart.
func SegDist(a, b Seg) (d float64, p, q Point) {
	fa, fb := newForm(a), newForm(b)
	return segDist(&fa, &fb, true)
}

func segDist(a, b *form, mayMeet bool) (d float64, p, q Point) {
	d = math.Inf(1)
	fromA := func(r Point) {
		if s, _, e := b.nearest(r); e < d {
			d, p, q = e, r, s
		}
	}
	fromB := func(r Point) {
		if s, _, e := a.nearest(r); e < d {
			d, p, q = e, s, r
		}
	}
	fromA(a.A)
	fromA(a.B)
	fromB(b.A)
	fromB(b.B)
	if mayMeet {
		if m := meet(a, b, touching); m.N > 0 {
			return 0, m.At[0].P, m.At[0].P
		}
	}
	// Else the nearest pair of inner points stands square to both: where an
	// arc runs parallel to the line, or square to the line of centres.
	switch {
	case a.isArc() && b.isArc():
		u := b.center().Sub(a.center()).Unit().Left()
		a.parallel(u, fromA)
		b.parallel(u, fromB)
	case a.isArc():
		a.parallel(b.ta, fromA)
	case b.isArc():
		b.parallel(a.ta, fromB)
	}
	return d, p, q
}

// parallel calls visit with the points of the arc where it runs along u or
// against it.
func (f *form) parallel(u Point, visit func(Point)) {
	sweep := 2 * f.half * f.length
	for range 2 {
		t := math.Atan2(f.ta.Cross(u), f.ta.Dot(u)) / sweep
		if t > 0 && t < 1 {
			visit(f.At(t))
		}
		u = u.Mul(-1)
	}
}

// MinDist returns a pair of places, one of each index, whose distance is the
// least; ok is false if one of them is empty. Dist of both is that distance:
// 0 where they cross. It says nothing of one lying inside the other.
func MinDist(x, y *SegIndex) (a, b Place, ok bool) {
	if x.tree.items == 0 || y.tree.items == 0 {
		return
	}
	m := minDist{x: x, y: y, best: math.Inf(1)}
	rx, ry := int32(len(x.tree.boxes)-1), int32(len(y.tree.boxes)-1)
	m.visit(rx, ry, boxDist(x.tree.boxes[rx], y.tree.boxes[ry]))
	_, t, _ := x.forms[m.i].nearest(m.p)
	_, u, _ := y.forms[m.j].nearest(m.q)
	return x.place(m.i, t, m.p, m.best), y.place(m.j, u, m.q, m.best), true
}

type minDist struct {
	x, y *SegIndex
	best float64
	i, j int
	p, q Point
}

func (m *minDist) visit(a, b int32, d float64) {
	if d >= m.best {
		return
	}
	af, at, aok := m.x.tree.children(a)
	bf, bt, bok := m.y.tree.children(b)
	if !aok && !bok {
		i, j := int(m.x.tree.ids[a]), int(m.y.tree.ids[b])
		if d, p, q := segDist(&m.x.forms[i], &m.y.forms[j], d <= 0); d < m.best {
			m.best, m.i, m.j, m.p, m.q = d, i, j, p, q
		}
		return
	}
	ba, bb := m.x.tree.boxes[a], m.y.tree.boxes[b]
	down := aok && (!bok || ba.Width()+ba.Height() >= bb.Width()+bb.Height())
	var order [fanOut]nodeDist
	n := 0
	if down {
		for c := af; c < at; c++ {
			order[n] = nodeDist{c, boxDist(m.x.tree.boxes[c], bb)}
			n++
		}
	} else {
		for c := bf; c < bt; c++ {
			order[n] = nodeDist{c, boxDist(ba, m.y.tree.boxes[c])}
			n++
		}
	}
	sortByDist(order[:n])
	for _, o := range order[:n] {
		if down {
			m.visit(o.at, b, o.d)
		} else {
			m.visit(a, o.at, o.d)
		}
	}
}

// boxDist is the distance of two boxes, 0 if they overlap.
func boxDist(a, b Box) float64 {
	dx := max(0, a.Min.X-b.Max.X, b.Min.X-a.Max.X)
	dy := max(0, a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// MaxDist returns how far the paths stray from the index: low <= the greatest
// distance of any of their points from it <= high, high - low <= within (mm,
// at least a nanometre), and a point that is low away. Both are 0 without
// paths, +Inf if only the index is empty.
//
// A stretch can be no further than its middle plus half its length, nor than
// its furthest point from the segment that is nearest to the middle; it is
// halved until that is near enough to the largest distance seen.
func MaxDist(paths []Path, to *SegIndex, within float64) (low, high float64, at Point) {
	within = max(within, touching)
	var q stretches
	for _, p := range paths {
		for k := range p.NumSegs() {
			for _, s := range p.Seg(k).Split() {
				q = append(q, stretch{s: s, most: math.Inf(1)})
			}
		}
	}
	if len(q) == 0 {
		return 0, 0, at
	}
	if to.tree.items == 0 {
		return math.Inf(1), math.Inf(1), q[0].s.A
	}
	see := func(p Point) (item int) {
		item, d := to.nearest(p, math.Inf(1))
		if d > low || at == (Point{}) {
			low, at = d, p
		}
		return item
	}
	for i := range q {
		see(q[i].s.A)
		see(q[i].s.B)
	}
	for len(q) > 0 {
		top := q[0]
		if top.most-low <= within {
			return low, max(low, high, top.most), at
		}
		heap.Pop(&q)
		m := top.s.At(0.5)
		half := 0.0
		if top.s.IsArc() {
			half = BulgeOf(top.s.Sweep() / 2)
		}
		see(m)
		for _, s := range [2]Seg{{top.s.A, m, half}, {m, top.s.B, half}} {
			c := s.Mid()
			f := &to.forms[see(c)]
			most := min(top.most, f.dist(c)+s.Length()/2, f.furthest(s))
			if most > low+within {
				heap.Push(&q, stretch{s, most})
			} else {
				high = max(high, most)
			}
		}
	}
	return low, max(low, high), at
}

// furthest bounds the distance of any point of s from f from above: exactly
// where all of s is abreast of f, else closely if s is short.
func (f *form) furthest(s Seg) float64 {
	p := newForm(s)
	sag := math.Abs(p.Bulge) * s.A.Dist(s.B) / 2 // p is that near to its chord
	if f.farAbreast(s.A, sag) && f.farAbreast(s.B, sag) {
		a, b := f.offset(s.A), f.offset(s.B)
		lo, hi := min(a, b), max(a, b)
		see := func(q Point) {
			a := f.offset(q)
			lo, hi = min(lo, a), max(hi, a)
		}
		switch {
		case p.isArc() && f.isArc():
			p.parallel(f.center().Sub(p.center()).Left(), see)
		case p.isArc():
			p.parallel(f.ta, see)
		case f.isArc(): // the distance from its centre is least at the foot
			if t := f.center().Sub(p.A).Dot(p.ta); t > 0 && t < p.length {
				see(p.A.Add(p.ta.Mul(t)))
			}
		}
		return max(-lo, hi)
	}
	toA := max(s.A.Dist(f.A), s.B.Dist(f.A))
	toB := max(s.A.Dist(f.B), s.B.Dist(f.B))
	most := min(toA, toB) + sag
	if !f.isArc() { // the distance from a straight segment is convex along a chord
		most = min(most, max(f.dist(s.A), f.dist(s.B))+sag)
	}
	return most
}

// farAbreast is abreast with room to spare.
func (f *form) farAbreast(p Point, room float64) bool {
	return p.Sub(f.A).Dot(f.ta) >= room && p.Sub(f.B).Dot(f.tb) <= -room
}

type stretch struct {
	s    Seg
	most float64
}

type stretches []stretch

func (q stretches) Len() int           { return len(q) }
func (q stretches) Less(i, j int) bool { return q[i].most > q[j].most }
func (q stretches) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *stretches) Push(x any)        { *q = append(*q, x.(stretch)) }
func (q *stretches) Pop() any {
	x := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return x
}

// Hausdorff returns bounds of the greatest distance of a point of either set
// of paths from the other, no more than within (mm) apart.
func Hausdorff(a, b []Path, within float64) (low, high float64) {
	l1, h1, _ := MaxDist(a, IndexPaths(b...), within)
	l2, h2, _ := MaxDist(b, IndexPaths(a...), within)
	return max(l1, l2), max(h1, h2)
}
