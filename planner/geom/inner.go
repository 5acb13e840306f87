package geom

import "slices"

// Inner returns points inside a closed path, one at a time: half-way through
// the widest stretch of a level line, at half its height and then at others,
// for who needs one that lies on no edge of something else.
func (p Path) Inner(yield func(Point) bool) {
	for _, part := range [...]float64{0.5, 0.47, 0.54, 0.41, 0.62} {
		if !yield(p.innerAt(part)) {
			return
		}
	}
}

func (p Path) innerAt(part float64) Point {
	b := p.Box()
	y := b.Min.Y + part*b.Height()
	var at []float64
	pts := p.Flatten(Gap)
	for i, a := range pts {
		c := pts[(i+1)%len(pts)]
		if (a.Y <= y) != (c.Y <= y) {
			at = append(at, a.X+(y-a.Y)/(c.Y-a.Y)*(c.X-a.X))
		}
	}
	slices.Sort(at)
	best, wide := Pt(b.Center().X, y), 0.0
	for i := 0; i+1 < len(at); i += 2 {
		if w := at[i+1] - at[i]; w > wide {
			wide, best = w, Pt((at[i]+at[i+1])/2, y)
		}
	}
	return best
}
