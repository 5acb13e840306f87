package geom

import (
	"math"
	"slices"
)

// Index is a tree of boxes, built once and packed into flat arrays: items
// sorted along a Hilbert curve, every eight of them under one box, and so on
// up. Answers come in an order that depends on the boxes alone.
type Index struct {
	boxes []Box   // items in Hilbert order, then each level above, root last
	ids   []int32 // of an item its number, of a box above the place of its first child
	ends  []int32 // where each level ends in boxes
	items int
}

const fanOut = 8

// NewIndex builds the tree. Empty boxes are never found.
func NewIndex(boxes []Box) *Index {
	x := &Index{items: len(boxes)}
	total, level := 0, len(boxes)
	for {
		total += level
		x.ends = append(x.ends, int32(total))
		if level <= 1 {
			break
		}
		level = (level + fanOut - 1) / fanOut
	}
	x.boxes = make([]Box, 0, total)
	x.ids = make([]int32, 0, total)
	for _, k := range hilbertOrder(boxes) {
		x.boxes = append(x.boxes, boxes[k.id])
		x.ids = append(x.ids, k.id)
	}
	for from, l := 0, 0; l+1 < len(x.ends); l++ {
		to := int(x.ends[l])
		for i := from; i < to; i += fanOut {
			b := EmptyBox()
			for j := i; j < min(i+fanOut, to); j++ {
				b = b.Union(x.boxes[j])
			}
			x.boxes = append(x.boxes, b)
			x.ids = append(x.ids, int32(i))
		}
		from = to
	}
	return x
}

type hilbertKey struct {
	d  uint32
	id int32
}

func hilbertOrder(boxes []Box) []hilbertKey {
	all := EmptyBox()
	for _, b := range boxes {
		all = all.Union(b)
	}
	kx, ky := 0.0, 0.0
	if w := all.Width(); w > 0 {
		kx = math.MaxUint16 / w
	}
	if h := all.Height(); h > 0 {
		ky = math.MaxUint16 / h
	}
	keys := make([]hilbertKey, len(boxes))
	for i, b := range boxes {
		keys[i].id = int32(i)
		if c := b.Center(); c.Finite() {
			keys[i].d = hilbert(uint32((c.X-all.Min.X)*kx), uint32((c.Y-all.Min.Y)*ky))
		}
	}
	slices.SortFunc(keys, func(a, b hilbertKey) int {
		if a.d != b.d {
			if a.d < b.d {
				return -1
			}
			return 1
		}
		return int(a.id - b.id)
	})
	return keys
}

// hilbert returns how far along the Hilbert curve of order 16 the cell x, y
// lies (textbook loop: Hamilton 2006, from memory).
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
				x, y = s-1-x&(s-1), s-1-y&(s-1)
			}
			x, y = y, x
		}
		x, y = x&(s-1), y&(s-1)
	}
	return d
}

// Len returns the number of items.
func (x *Index) Len() int { return x.items }

// Box returns the box of all items.
func (x *Index) Box() Box {
	if x.items == 0 {
		return EmptyBox()
	}
	return x.boxes[len(x.boxes)-1]
}

// children returns the places of a node's children; ok is false for an item.
func (x *Index) children(at int32) (from, to int32, ok bool) {
	if int(at) < x.items {
		return 0, 0, false
	}
	from = x.ids[at]
	for _, e := range x.ends {
		if from < e {
			return from, min(from+fanOut, e), true
		}
	}
	panic("geom: internal: box tree without a level")
}

// Search calls visit with the number of every item whose box overlaps b, until
// visit returns false. It reports whether it saw them all.
func (x *Index) Search(b Box, visit func(item int) bool) bool {
	if x.items == 0 {
		return true
	}
	return x.search(int32(len(x.boxes)-1), b, visit)
}

func (x *Index) search(at int32, b Box, visit func(int) bool) bool {
	if !x.boxes[at].Overlaps(b) {
		return true
	}
	from, to, ok := x.children(at)
	if !ok {
		return visit(int(x.ids[at]))
	}
	for c := from; c < to; c++ {
		if !x.search(c, b, visit) {
			return false
		}
	}
	return true
}

// Nearest walks items by rising distance of their boxes from p, as long as
// that distance is under the bound that visit returned last. It starts with
// the given bound.
func (x *Index) Nearest(p Point, bound float64, visit func(item int) (newBound float64)) {
	if x.items > 0 && x.Box().Dist(p) <= bound {
		x.nearest(int32(len(x.boxes)-1), p, &bound, visit)
	}
}

func (x *Index) nearest(at int32, p Point, bound *float64, visit func(int) float64) {
	from, to, ok := x.children(at)
	if !ok {
		*bound = min(*bound, visit(int(x.ids[at])))
		return
	}
	var order [fanOut]nodeDist
	n := 0
	for c := from; c < to; c++ {
		if d := x.boxes[c].Dist(p); d <= *bound {
			order[n] = nodeDist{c, d}
			n++
		}
	}
	sortByDist(order[:n])
	for _, o := range order[:n] {
		if o.d <= *bound {
			x.nearest(o.at, p, bound, visit)
		}
	}
}

type nodeDist struct {
	at int32
	d  float64
}

// sortByDist is an insertion sort: at most fanOut entries, equal ones stay.
func sortByDist(s []nodeDist) {
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j].d < s[j-1].d; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}

// SelfPairs calls visit once for every two items whose boxes come within grow
// of one another, i < j, until visit returns false.
func (x *Index) SelfPairs(grow float64, visit func(i, j int) bool) bool {
	if x.items == 0 {
		return true
	}
	root := int32(len(x.boxes) - 1)
	return x.pairs(x, root, root, grow, func(i, j int) bool { return visit(min(i, j), max(i, j)) })
}

// Pairs calls visit for every item of x and item of y whose boxes come within
// grow of one another, until visit returns false.
func (x *Index) Pairs(y *Index, grow float64, visit func(i, j int) bool) bool {
	if x.items == 0 || y.items == 0 {
		return true
	}
	if x == y {
		panic("geom: internal: Pairs of a tree with itself")
	}
	return x.pairs(y, int32(len(x.boxes)-1), int32(len(y.boxes)-1), grow, visit)
}

func (x *Index) pairs(y *Index, a, b int32, grow float64, visit func(i, j int) bool) bool {
	if !x.boxes[a].Grow(grow).Overlaps(y.boxes[b]) {
		return true
	}
	af, at, aok := x.children(a)
	bf, bt, bok := y.children(b)
	switch {
	case x == y && a == b:
		for c := af; c < at; c++ {
			for d := c; d < at; d++ {
				if !x.pairs(y, c, d, grow, visit) {
					return false
				}
			}
		}
		return true
	case !aok && !bok:
		return visit(int(x.ids[a]), int(y.ids[b]))
	case aok && (!bok || x == y && a >= b || x != y && x.boxes[a].Width()+x.boxes[a].Height() >= y.boxes[b].Width()+y.boxes[b].Height()):
		// Within one tree the higher node lies later.
		for c := af; c < at; c++ {
			if !x.pairs(y, c, b, grow, visit) {
				return false
			}
		}
	default:
		for c := bf; c < bt; c++ {
			if !x.pairs(y, a, c, grow, visit) {
				return false
			}
		}
	}
	return true
}
