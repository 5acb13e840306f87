package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// pointGrid finds points near one another: a hash table of square cells.
// Points of a cell come from the last put to the first: in the order of their
// numbers, unless put one by one.
type pointGrid struct {
	size float64
	inv  float64 // 1/size
	at   func(i int) geom.Point
	head []int32
	next []int32
	mask uint64
	left *effort
}

// newPointGrid sorts n points into cells. Cells are so much wider than the
// distance asked about that most questions look at one.
func newPointGrid(n int, at func(i int) geom.Point, within float64, left *effort) *pointGrid {
	g := emptyGrid(n, at, within, left)
	for i := n - 1; i >= 0; i-- {
		g.put(i)
	}
	return g
}

// emptyGrid has room for n points.
func emptyGrid(n int, at func(i int) geom.Point, within float64, left *effort) *pointGrid {
	slots := 16
	for slots < n {
		slots *= 2
	}
	size := max(4*within, 10*geom.Join)
	return &pointGrid{size: size, inv: 1 / size, at: at, head: make([]int32, slots), next: make([]int32, n), mask: uint64(slots - 1), left: left}
}

// put makes point i found.
func (g *pointGrid) put(i int) {
	p := g.at(i)
	k := g.slot(g.cell(p.X), g.cell(p.Y))
	g.next[i] = g.head[k] // numbers are one up, so that 0 is none
	g.head[k] = int32(i + 1)
}

// spent reports that so many points share their cells that not all were
// compared.
func (g *pointGrid) spent() bool { return g.left.spent() }

func (g *pointGrid) cell(v float64) int64 { return int64(math.Floor(v * g.inv)) }

// cells returns the first and last cell that the interval v +- within touches:
// one, unless v lies near the edge of its cell.
func (g *pointGrid) cells(v, within float64) (lo, hi int64) {
	f := v * g.inv
	whole := math.Floor(f)
	lo = int64(whole)
	hi = lo
	switch part := (f - whole) * g.size; {
	case part <= 1.01*within: // room for the rounding of f
		lo--
	case part >= g.size-1.01*within:
		hi++
	}
	return lo, hi
}

func (g *pointGrid) slot(x, y int64) uint64 {
	h := uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f // odd constants that mix well
	return (h ^ h>>29) & g.mask
}

// near calls visit with every point no further than within (at most the
// distance the grid was made for) from point i, itself left out, until visit
// is false.
func (g *pointGrid) near(i int, within float64, visit func(j int, d float64) bool) {
	q := g.at(i)
	x0, x1 := g.cells(q.X, within)
	y0, y1 := g.cells(q.Y, within)
	many := x0 != x1 || y0 != y1 // then two cells may share a slot
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for k := g.head[g.slot(x, y)]; k > 0; k = g.next[k-1] {
				j := int(k - 1)
				if !g.left.spend(1) {
					return
				}
				if j == i {
					continue
				}
				r := g.at(j)
				if math.Abs(r.X-q.X) > within || math.Abs(r.Y-q.Y) > within || many && (g.cell(r.X) != x || g.cell(r.Y) != y) {
					continue
				}
				if d := r.Dist(q); d <= within && !visit(j, d) {
					return
				}
			}
		}
	}
}

// sets is union-find.
type sets []int32

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

func (s sets) find(i int32) int32 {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// join makes the smaller number the name of both sets.
func (s sets) join(a, b int32) {
	a, b = s.find(a), s.find(b)
	if a < b {
		s[b] = a
	} else {
		s[a] = b
	}
}

func sign(less bool) int {
	if less {
		return -1
	}
	return 1
}
