package feature

import (
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
		if c := cmp(nodes[a].box.Min.X, nodes[b].box.Min.X); c != 0 {
			return c
		}
		return cmp(nodes[b].area, nodes[a].area)
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

// encloses reports whether inner lies in outer. It asks at the middle of each
// segment of inner and takes the first answer that is not on outer's edge.
func encloses(outer, inner geom.Path) bool {
	for i := range inner.NumSegs() {
		switch outer.Side(inner.Seg(i).Mid(), geom.Same) {
		case geom.Inside:
			return true
		case geom.Outside:
			return false
		}
	}
	return false // the same loop twice: neither lies in the other
}

func cmp(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
