package feature

import (
	"cmp"
	"slices"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// node is a loop in the containment tree.
type node struct {
	loop   int // into the drawing's Closed or, if open, Open
	open   bool
	box    geom.Box
	area   float64
	parent int // the least node that encloses it, or -1
	depth  int
}

// nest finds for every loop the least loop to be cut that encloses it. Only
// loops that are cut can enclose; a mark hangs under the loop it lies in.
func nest(d *drawing.Loops) []node {
	var nodes []node
	for i, l := range d.Closed {
		if l.Use == job.LayerIgnore {
			continue
		}
		area := l.Path.Area()
		nodes = append(nodes, node{loop: i, box: l.Path.Box(), area: max(area, -area), parent: -1})
	}
	for i, l := range d.Open {
		if l.Use == job.LayerMark && len(l.Path.V) > 1 {
			nodes = append(nodes, node{loop: i, open: true, box: l.Path.Box(), parent: -1})
		}
	}
	// Sweep along X: a loop can only lie in one whose box begins before it
	// and has not ended.
	order := make([]int, len(nodes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if c := cmp.Compare(nodes[a].box.Min.X, nodes[b].box.Min.X); c != 0 {
			return c
		}
		return cmp.Compare(nodes[b].area, nodes[a].area)
	})
	var active []int
	for _, i := range order {
		n := &nodes[i]
		keep := active[:0]
		for _, k := range active {
			if nodes[k].box.Max.X >= n.box.Min.X {
				keep = append(keep, k)
			}
		}
		active = keep
		for _, k := range active {
			o := &nodes[k]
			if o.area <= n.area || !o.box.Grow(geom.Join).Encloses(n.box) {
				continue
			}
			if n.parent >= 0 && nodes[n.parent].area <= o.area {
				continue
			}
			if encloses(d.Closed[o.loop].Path, path(d, *n)) {
				n.parent = k
			}
		}
		if !n.open && d.Closed[n.loop].Use == job.LayerCut {
			active = append(active, i)
		}
	}
	// Loops with the same left edge may have been met in either order.
	for i := range nodes {
		for k := nodes[i].parent; k >= 0; k = nodes[k].parent {
			nodes[i].depth++
		}
	}
	return nodes
}

func path(d *drawing.Loops, n node) geom.Path {
	if n.open {
		return d.Open[n.loop].Path
	}
	return d.Closed[n.loop].Path
}

// encloses reports whether inner lies in outer. It asks at the middles of a
// few segments of inner, passing over those on outer's edge. Loops that cross
// have no true answer (the drawing's report says where they cross): then a
// point inside inner decides.
func encloses(outer, inner geom.Path) bool {
	const asked = 5
	n := inner.NumSegs()
	in, out := 0, 0
	for k, seen := 0, 0; k < n && seen < asked; k++ {
		i := k
		if n > asked { // spread over the loop, then the rest
			i = (k*(n/asked) + k/asked) % n
		}
		switch outer.Side(inner.Seg(i).Mid(), geom.Same) {
		case geom.Inside:
			in++
			seen++
		case geom.Outside:
			out++
			seen++
		}
	}
	switch {
	case in > 0 && out == 0:
		return true
	case in == 0: // outside, or the same loop twice: neither lies in the other
		return false
	}
	return outer.Winding(within(inner)) != 0
}

// within returns a point inside a loop: half-way through its widest stretch
// at half its height.
func within(loop geom.Path) geom.Point {
	b := loop.Box()
	y := b.Center().Y
	var at []float64
	pts := loop.Flatten(geom.Gap)
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		if (p.Y <= y) != (q.Y <= y) {
			at = append(at, p.X+(y-p.Y)/(q.Y-p.Y)*(q.X-p.X))
		}
	}
	slices.Sort(at)
	best := b.Center()
	wide := 0.0
	for i := 0; i+1 < len(at); i += 2 {
		if w := at[i+1] - at[i]; w > wide {
			wide, best = w, geom.Pt((at[i]+at[i+1])/2, y)
		}
	}
	return best
}
