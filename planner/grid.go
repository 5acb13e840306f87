package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// grid finds which of many boxes lie near a place. Boxes may be added at any
// time; answers come in the order of their ids.
type grid struct {
	cell  float64 // mm
	cells map[[2]int32][]int32
	boxes []geom.Box
	seen  []int32 // by id: the question that last met it
	ask   int32
}

func newGrid(cell float64) *grid {
	return &grid{cell: max(cell, 1), cells: map[[2]int32][]int32{}}
}

func (g *grid) span(b geom.Box) (x0, y0, x1, y1 int32) {
	f := func(v float64) int32 { return int32(math.Floor(v / g.cell)) }
	return f(b.Min.X), f(b.Min.Y), f(b.Max.X), f(b.Max.Y)
}

// add stores a box under the next id, counted from 0. An empty one is never
// near anything.
func (g *grid) add(b geom.Box) {
	id := int32(len(g.boxes))
	g.boxes = append(g.boxes, b)
	g.seen = append(g.seen, 0)
	if b.Empty() { // never found
		return
	}
	x0, y0, x1, y1 := g.span(b)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			k := [2]int32{x, y}
			g.cells[k] = append(g.cells[k], id)
		}
	}
}

// near returns the ids of the boxes that overlap b, in order.
func (g *grid) near(b geom.Box) []int {
	g.ask++
	var out []int
	x0, y0, x1, y1 := g.span(b)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			for _, id := range g.cells[[2]int32{x, y}] {
				if g.seen[id] != g.ask && g.boxes[id].Overlaps(b) {
					g.seen[id] = g.ask
					out = append(out, int(id))
				}
			}
		}
	}
	slices.Sort(out)
	return out
}
