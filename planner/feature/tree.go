package feature

import (
	"cmp"
	"fmt"
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
func nest(d *drawing.Loops) ([]node, error) {
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
	// Of the loops whose boxes hold a loop's own, the least that encloses it.
	var outers []int // nodes that can enclose
	var boxes []geom.Box
	for i, n := range nodes {
		if !n.open && d.Closed[n.loop].Use == job.LayerCut {
			outers, boxes = append(outers, i), append(boxes, n.box)
		}
	}
	around := make([]*geom.SegIndex, len(nodes))
	index := geom.NewIndex(boxes)
	left := nestAny + nestLoop*len(nodes)
	var found []int
	for i := range nodes {
		n := &nodes[i]
		found = found[:0]
		all := index.Search(geom.Box{Min: n.box.Center(), Max: n.box.Center()}, func(k int) bool {
			if o := &nodes[outers[k]]; o.area > n.area && o.box.Grow(geom.Join).Encloses(n.box) {
				found = append(found, outers[k])
			}
			left--
			return left > 0
		})
		if !all {
			return nil, fmt.Errorf("more than %d pairs of loops of which one may lie in the other", nestAny+nestLoop*len(nodes))
		}
		slices.SortFunc(found, func(a, b int) int {
			if c := cmp.Compare(nodes[a].area, nodes[b].area); c != 0 {
				return c
			}
			return a - b
		})
		for _, k := range found {
			if around[k] == nil {
				around[k] = geom.IndexPaths(d.Closed[nodes[k].loop].Path)
			}
			if encloses(around[k], path(d, *n)) {
				n.parent = k
				break
			}
		}
	}
	for i := range nodes {
		for k := nodes[i].parent; k >= 0; k = nodes[k].parent {
			if nodes[i].depth++; nodes[i].depth > nestDeep {
				return nil, fmt.Errorf("more than %d loops within one another", nestDeep)
			}
		}
	}
	return nodes, nil
}

// Limits of what is taken for parts: pairs of loops that are compared, so many
// for any drawing and so many for each loop, and loops within one another. A
// drawing of parts has a few of either.
const (
	nestAny  = 4_000_000
	nestLoop = 100
	nestDeep = 100
)

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
func encloses(outer *geom.SegIndex, inner geom.Path) bool {
	const asked = 5
	n := inner.NumSegs()
	in, out := 0, 0
	for k, seen := 0, 0; k < n && seen < asked; k++ {
		i := k
		if n > asked { // spread over the loop, then the rest
			i = (k*(n/asked) + k/asked) % n
		}
		m := inner.Seg(i).Mid()
		if _, on := outer.NearestWithin(m, geom.Same); on {
			continue
		}
		seen++
		if outer.Winding(m) != 0 {
			in++
		} else {
			out++
		}
	}
	switch {
	case in > 0 && out == 0:
		return true
	case in == 0: // outside, or the same loop twice: neither lies in the other
		return false
	}
	for p := range inner.Inner {
		if _, on := outer.NearestWithin(p, geom.Join); !on {
			return outer.Winding(p) != 0
		}
	}
	return false
}
