package order

import "math"

// kdtree holds points in a balanced tree of boxes, for questions about the
// nearest. Ties are broken by the order of the points, so answers repeat.
type kdtree struct {
	x, y  []float64 // by place in the tree
	id    []int32   // the point at that place
	boxes []kdbox   // node k has children 2k+1 and 2k+2
	depth int
}

type kdbox struct {
	x0, y0, x1, y1 float64
	lo, hi         int32 // places
}

const kdleaf = 8 // points in a leaf at most: below that a scan is faster

func newKdtree(x, y []float64) *kdtree {
	n := len(x)
	t := &kdtree{x: make([]float64, n), y: make([]float64, n), id: make([]int32, n)}
	for k := range t.id {
		t.id[k] = int32(k)
	}
	for size := n; size > kdleaf; size = (size + 1) / 2 {
		t.depth++
	}
	t.boxes = make([]kdbox, 2<<t.depth-1)
	t.build(0, 0, int32(n), t.depth, x, y)
	for k, v := range t.id {
		t.x[k], t.y[k] = x[v], y[v]
	}
	return t
}

func (t *kdtree) build(k, lo, hi int32, depth int, x, y []float64) {
	b := kdbox{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1), lo, hi}
	for _, v := range t.id[lo:hi] {
		b.x0, b.x1 = min(b.x0, x[v]), max(b.x1, x[v])
		b.y0, b.y1 = min(b.y0, y[v]), max(b.y1, y[v])
	}
	t.boxes[k] = b
	if depth == 0 {
		return
	}
	key := x
	if b.y1-b.y0 > b.x1-b.x0 {
		key = y
	}
	mid := lo + (hi-lo)/2
	split(t.id[lo:hi], int(mid-lo), key)
	t.build(2*k+1, lo, mid, depth-1, x, y)
	t.build(2*k+2, mid, hi, depth-1, x, y)
}

// split arranges ids so that the k lowest by (key, id) come first.
func split(ids []int32, k int, key []float64) {
	less := func(a, b int32) bool { return key[a] < key[b] || key[a] == key[b] && a < b }
	lo, hi := 0, len(ids)
	for hi-lo > 1 {
		// The middle of three as pivot; the pairs are all different, so no
		// input of equal keys can make this slow.
		a, b, c := ids[lo], ids[lo+(hi-lo)/2], ids[hi-1]
		if less(b, a) {
			a, b = b, a
		}
		if less(c, b) {
			b = c
			if less(b, a) {
				b = a
			}
		}
		i, j := lo, hi-1
		for i <= j {
			for less(ids[i], b) {
				i++
			}
			for less(b, ids[j]) {
				j--
			}
			if i <= j {
				ids[i], ids[j] = ids[j], ids[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j + 1
		case k >= i:
			lo = i
		default:
			return
		}
	}
}

// gap2 returns the square of the distance from (x, y) to the box, 0 inside.
func (b *kdbox) gap2(x, y float64) float64 {
	dx := max(b.x0-x, 0, x-b.x1)
	dy := max(b.y0-y, 0, y-b.y1)
	return float64(dx*dx) + float64(dy*dy)
}
