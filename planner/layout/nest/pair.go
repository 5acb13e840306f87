package nest

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// Pair is two copies of a shape, the second turned half round, that lie close.
type Pair struct {
	At geom.Point // of the second's zero from the first's
}

// BestPair finds how a shape and itself turned half round take up the least
// rectangle: a corner on a corner, or pushed together along X or Y. ok is false
// where that is no better than two boxes side by side.
func BestPair(rings [][]geom.Point) (best Pair, ok bool) {
	a := newRegion(rings)
	if len(a.rings) == 0 {
		return best, false
	}
	a.findPoles()
	b := a.turned(false, math.Pi)
	tol := 1e-7 * max(a.box.Width(), a.box.Height()) // far over the rounding of coordinates, far under any gap
	t := newTable(a, b, 64, tol)
	const worth = 0.98 // of two boxes: less is not worth the trouble
	least := 2 * a.box.Width() * a.box.Height() * worth
	look := func(q geom.Point) {
		if t.hit(q) {
			return
		}
		box := a.box.Union(geom.Box{Min: b.box.Min.Add(q), Max: b.box.Max.Add(q)})
		if area := box.Width() * box.Height(); area < least {
			least, best, ok = area, Pair{q}, true
		}
	}
	for _, q := range t.joints {
		look(q)
	}
	push := func(from, to geom.Point) { // from apart, by bisection
		for range 40 {
			if mid := from.Lerp(to, 0.5); t.hit(mid) {
				to = mid
			} else {
				from = mid
			}
		}
		look(from)
	}
	w, h := a.box.Width(), a.box.Height()
	level := a.box.Center().Sub(b.box.Center())
	for i := range 17 { // level with each other, and shifted along
		d := float64(i-8) / 8
		push(level.Add(geom.Pt(1.01*w, d*h)), level.Add(geom.Pt(0, d*h)))
		push(level.Add(geom.Pt(d*w, 1.01*h)), level.Add(geom.Pt(d*w, 0)))
	}
	return best, ok
}
