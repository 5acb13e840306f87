package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// areaLooks bounds the pairs of loops that EvenOdd compares.
const areaLooks = 20_000_000

// EvenOdd is the area of what is to be cut by even-odd nesting, mm2: outers
// minus holes plus islands. A loop lies in every larger one that holds a point
// well inside it. Where loops cross there is no such thing as the part, and the
// report says where; this is then still a number that a script can compare.
// ok is false where too many loops lie within one another to compare them.
func (l *Loops) EvenOdd() (area float64, ok bool) {
	var loops []int
	var boxes []geom.Box
	for i, c := range l.Closed {
		if c.Use == job.LayerCut {
			loops, boxes = append(loops, i), append(boxes, c.Path.Box())
		}
	}
	areas := make([]float64, len(loops))
	for i, k := range loops {
		areas[i] = math.Abs(l.Closed[k].Path.Area())
	}
	index := geom.NewIndex(boxes)
	around := make([]*geom.SegIndex, len(loops))
	left := areaLooks
	// depth counts the larger loops that hold p; clear is false if it lies on an
	// edge of one, where nobody can say.
	depth := func(i int, p geom.Point) (n int, clear, ok bool) {
		clear = true
		ok = index.Search(geom.Box{Min: p, Max: p}.Grow(geom.Join), func(o int) bool {
			left--
			if o == i || areas[o] < areas[i] || areas[o] == areas[i] && o > i {
				return left > 0
			}
			left -= 10
			if around[o] == nil {
				around[o] = geom.IndexPaths(l.Closed[loops[o]].Path)
			}
			if _, on := around[o].NearestWithin(p, geom.Join); on {
				clear = false
			}
			if around[o].Winding(p) != 0 {
				n++
			}
			return left > 0
		})
		return n, clear, ok
	}
	for i, k := range loops {
		inside := 0
		for p := range l.Closed[k].Path.Inner {
			n, clear, ok := depth(i, p)
			if !ok {
				return 0, false
			}
			if inside = n; clear {
				break
			}
		}
		if inside%2 == 1 {
			area -= areas[i]
		} else {
			area += areas[i]
		}
	}
	return area, true
}
