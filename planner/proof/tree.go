package proof

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// tree is a packed tree of boxes: items sorted along a Hilbert curve, branch
// of them under a node. It is built once and never changed.
type tree struct {
	order  []int32      // item at each leaf place
	levels [][]geom.Box // levels[0] holds the items' boxes in order
}

const branch = 8

// hilbert returns the place of a cell of a 65536 x 65536 grid along the curve.
func hilbert(x, y uint32) uint32 {
	var d uint32
	for s := uint32(1 << 15); s > 0; s >>= 1 {
		var rx, ry uint32
		if x&s != 0 {
			rx = 1
		}
		if y&s != 0 {
			ry = 1
		}
		d += s * s * ((3 * rx) ^ ry)
		if ry == 0 {
			if rx == 1 {
				x, y = 65535-x, 65535-y
			}
			x, y = y, x
		}
	}
	return d
}

func newTree(boxes []geom.Box) *tree {
	t := &tree{order: make([]int32, len(boxes))}
	all := geom.EmptyBox()
	for _, b := range boxes {
		all = all.Union(b)
	}
	cells := 65535 / max(all.Width(), all.Height(), geom.Same)
	keys := make([]uint64, len(boxes))
	for i, b := range boxes {
		c := b.Center().Sub(all.Min).Mul(cells)
		keys[i] = uint64(hilbert(uint32(min(65535, max(0, c.X))), uint32(min(65535, max(0, c.Y)))))<<32 | uint64(i)
	}
	slices.Sort(keys)
	level := make([]geom.Box, len(boxes))
	for i, k := range keys {
		t.order[i] = int32(uint32(k))
		level[i] = boxes[t.order[i]]
	}
	t.levels = append(t.levels, level)
	for len(level) > 1 {
		up := make([]geom.Box, (len(level)+branch-1)/branch)
		for i := range up {
			up[i] = geom.EmptyBox()
			for _, b := range level[i*branch : min(len(level), (i+1)*branch)] {
				up[i] = up[i].Union(b)
			}
		}
		t.levels = append(t.levels, up)
		level = up
	}
	return t
}

// each calls f with every item whose box shares a point with b, until f
// returns false.
func (t *tree) each(b geom.Box, f func(i int) bool) {
	t.walk(len(t.levels)-1, 0, b, f)
}

func (t *tree) walk(level, from int, b geom.Box, f func(i int) bool) bool {
	boxes := t.levels[level]
	to := min(len(boxes), from+branch) // the top holds one at most
	for i := from; i < to; i++ {
		if !boxes[i].Overlaps(b) {
			continue
		}
		if level == 0 {
			if !f(int(t.order[i])) {
				return false
			}
		} else if !t.walk(level-1, i*branch, b, f) {
			return false
		}
	}
	return true
}

// nearest returns the item with the least dist, if that is under limit; i is
// -1 otherwise. dist must not be under the distance to the item's box.
func (t *tree) nearest(p geom.Point, limit float64, dist func(i int) float64) (i int, d float64) {
	i, d = -1, limit
	t.closer(len(t.levels)-1, 0, p, &i, &d, dist)
	return
}

func (t *tree) closer(level, from int, p geom.Point, best *int, d *float64, dist func(i int) float64) {
	boxes := t.levels[level]
	to := min(len(boxes), from+branch) // the top holds one at most
	if level == 0 {
		for i := from; i < to; i++ {
			if boxDist2(&boxes[i], p) < *d**d {
				if v := dist(int(t.order[i])); v < *d {
					*d, *best = v, int(t.order[i])
				}
			}
		}
		return
	}
	// The nearer boxes first: at most branch, so by selection.
	var far [branch]float64
	n := to - from
	for i := range n {
		far[i] = boxDist2(&boxes[from+i], p)
	}
	for range n {
		k := 0
		for i := 1; i < n; i++ {
			if far[i] < far[k] {
				k = i
			}
		}
		if far[k] >= *d**d {
			return
		}
		far[k] = math.Inf(1)
		t.closer(level-1, (from+k)*branch, p, best, d, dist)
	}
}

func boxDist2(b *geom.Box, p geom.Point) float64 {
	dx := max(b.Min.X-p.X, 0, p.X-b.Max.X)
	dy := max(b.Min.Y-p.Y, 0, p.Y-b.Max.Y)
	return dx*dx + dy*dy
}
