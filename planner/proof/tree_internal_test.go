package proof

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// Along the curve every step goes to a cell beside the last one, and the cells
// of a square of 2^k that lies on the grid follow on each other (Hilbert 1891).
func TestCurveGoesFromCellToCell(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const side = 16
	for range 40 {
		x0, y0 := uint32(rng.IntN(65536/side))*side, uint32(rng.IntN(65536/side))*side
		first := uint32(math.MaxUint32)
		cells := map[uint32][2]int{}
		for x := range uint32(side) {
			for y := range uint32(side) {
				d := hilbert(x0+x, y0+y)
				first = min(first, d)
				cells[d] = [2]int{int(x), int(y)}
			}
		}
		for k := range uint32(side*side - 1) {
			a, okA := cells[first+k]
			b, okB := cells[first+k+1]
			dx, dy := a[0]-b[0], a[1]-b[1]
			if !okA || !okB || dx*dx+dy*dy != 1 {
				t.Fatalf("square at %d, %d: from %v to %v", x0, y0, a, b)
			}
		}
	}
}

// squares lays n x n squares side by side, row by row.
func squares(n int) []geom.Box {
	var out []geom.Box
	for y := range n {
		for x := range n {
			a := geom.Pt(100+3*float64(x), 50+3*float64(y))
			out = append(out, geom.Box{Min: a, Max: a.Add(geom.Pt(3, 3))})
		}
	}
	return out
}

func TestTreePacksWhatLiesSideBySide(t *testing.T) {
	const n = 64
	boxes := squares(n)
	tr := newTree(boxes)
	for k := 1; k < len(tr.order); k++ {
		a, b := boxes[tr.order[k-1]].Center(), boxes[tr.order[k]].Center()
		if d := a.Dist(b); math.Abs(d-3) > 1e-9 {
			t.Fatalf("place %d: %v follows on %v", k, b, a)
		}
	}
	if top := tr.levels[len(tr.levels)-1]; len(top) != 1 {
		t.Errorf("%d boxes at the top", len(top))
	}
	// A box of a node is just what its items fill, and holds branch of them.
	for level, size := 1, branch; level < len(tr.levels); level, size = level+1, size*branch {
		for i, got := range tr.levels[level] {
			want := geom.EmptyBox()
			for _, item := range tr.order[i*size : min(len(boxes), (i+1)*size)] {
				want = want.Union(boxes[item])
			}
			if got != want {
				t.Fatalf("level %d, node %d: %v, must be %v", level, i, got, want)
			}
		}
	}
}

// On a square's middle the first leaf holds the nearest: nothing else is asked.
func TestNearestLooksAtTheNearestBoxesFirst(t *testing.T) {
	boxes := squares(64)
	tr := newTree(boxes)
	for k := 0; k < len(boxes); k += 17 {
		q := boxes[k].Center()
		asked := 0
		i, d := tr.nearest(q, math.Inf(1), func(i int) float64 { asked++; return boxes[i].Center().Dist(q) })
		if i != k || d != 0 || asked > branch {
			t.Fatalf("item %d: found %d, %g away, after %d", k, i, d, asked)
		}
	}
}

func TestSearchOfATreeStopsWhenItIsTold(t *testing.T) {
	boxes := squares(20)
	tr := newTree(boxes)
	for stop := 1; stop <= len(boxes); stop += 13 {
		seen := 0
		tr.each(geom.Box{Min: boxes[0].Min, Max: boxes[len(boxes)-1].Max}, func(int) bool { seen++; return seen < stop })
		if seen != stop {
			t.Errorf("told to stop after %d, asked %d", stop, seen)
		}
	}
	for _, tr := range []*tree{newTree(nil), newTree(boxes[:1])} {
		n := 0
		tr.each(boxes[0], func(int) bool { n++; return true })
		i, _ := tr.nearest(geom.Pt(0, 0), math.Inf(1), func(int) float64 { return 1 })
		if n != len(tr.order) || i != n-1 {
			t.Errorf("a tree of %d: %d seen, nearest %d", len(tr.order), n, i)
		}
	}
}

func TestDistanceToABox(t *testing.T) {
	b := geom.Box{Min: geom.Pt(2, 3), Max: geom.Pt(10, 5)}
	for x := -5.0; x < 18; x++ {
		for y := -5.0; y < 12; y++ {
			q := geom.Pt(x, y)
			on := geom.Pt(min(max(x, 2), 10), min(max(y, 3), 5)) // nearest place of the box
			if got, want := boxDist2(&b, q), square(q.Sub(on)); got != want {
				t.Errorf("%v: %g, must be %g", q, got, want)
			}
		}
	}
}
