package drawing

import (
	"math"
	"slices"
	"sort"

	"example.org/kerfwright/planner/geom"
)

// pointGrid finds points near one another: points sorted by the row and
// column of the cell in which they lie.
type pointGrid struct {
	size float64
	p    []geom.Point
	key  []gridKey
}

type gridKey struct {
	row, col int32
	id       int32
}

// newPointGrid sorts the points into cells. Cells are at least geom.Join wide,
// so that their numbers fit for any coordinate within farthest.
func newPointGrid(p []geom.Point, within float64) *pointGrid {
	g := &pointGrid{size: max(within, geom.Join), p: p, key: make([]gridKey, len(p))}
	for i, q := range p {
		g.key[i] = gridKey{g.cell(q.Y), g.cell(q.X), int32(i)}
	}
	slices.SortFunc(g.key, func(a, b gridKey) int {
		switch {
		case a.row != b.row:
			return sign(a.row < b.row)
		case a.col != b.col:
			return sign(a.col < b.col)
		}
		return int(a.id - b.id)
	})
	return g
}

func sign(less bool) int {
	if less {
		return -1
	}
	return 1
}

func (g *pointGrid) cell(v float64) int32 { return int32(math.Floor(v / g.size)) }

// near calls visit with every point no further than within (at most the size
// the grid was made for) from point i, itself left out, until visit is false.
func (g *pointGrid) near(i int, within float64, visit func(j int, d float64) bool) {
	q := g.p[i]
	row, col := g.cell(q.Y), g.cell(q.X)
	for r := row - 1; r <= row+1; r++ {
		at := sort.Search(len(g.key), func(k int) bool {
			return g.key[k].row > r || g.key[k].row == r && g.key[k].col >= col-1
		})
		for ; at < len(g.key) && g.key[at].row == r && g.key[at].col <= col+1; at++ {
			j := int(g.key[at].id)
			if j == i {
				continue
			}
			if d := g.p[j].Dist(q); d <= within && !visit(j, d) {
				return
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
