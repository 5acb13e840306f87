package geom

import (
	"container/heap"
	"math"
)

// Inscribed returns the centre and radius of the largest circle inside loop
// and outside holes, within precision mm. The radius is 0 if there is none.
func Inscribed(loop Path, holes []Path, precision float64) (Point, float64) {
	paths := append([]Path{loop}, holes...)
	depth := func(p Point) float64 {
		best, w := math.Inf(1), 0
		for i, q := range paths {
			_, _, _, d := q.Nearest(p)
			best = min(best, d)
			if in := q.Winding(p) != 0; in != (i == 0) {
				w++
			}
		}
		if w > 0 {
			return -best
		}
		return best
	}
	b := loop.Box()
	size := max(min(b.Width(), b.Height()), max(b.Width(), b.Height())/1000)
	if !(size > 0) {
		return b.Center(), 0
	}
	var q cells
	best := cell{c: b.Center()}
	best.d = depth(best.c)
	push := func(c Point, h float64) {
		d := depth(c)
		if d > best.d {
			best = cell{c: c, d: d}
		}
		heap.Push(&q, cell{c, h, d, d + h*math.Sqrt2})
	}
	for x := b.Min.X; x < b.Max.X; x += size {
		for y := b.Min.Y; y < b.Max.Y; y += size {
			push(Point{x + size/2, y + size/2}, size/2)
		}
	}
	for len(q) > 0 {
		c := heap.Pop(&q).(cell)
		if c.most-best.d <= precision {
			break
		}
		h := c.h / 2
		for _, s := range [4]Point{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			push(c.c.Add(s), h)
		}
	}
	return best.c, max(0, best.d)
}

// cell is a square of half side h with the depth at its centre and the most
// that any of its points can have.
type cell struct {
	c          Point
	h, d, most float64
}

type cells []cell

func (q cells) Len() int           { return len(q) }
func (q cells) Less(i, j int) bool { return q[i].most > q[j].most }
func (q cells) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *cells) Push(x any)        { *q = append(*q, x.(cell)) }
func (q *cells) Pop() any {
	x := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return x
}
