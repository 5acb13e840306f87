package feature

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// shape is what a closed path looks like.
type shape struct {
	kind     Kind // Hole, Slot or CutOut
	diameter float64
	length   float64
	center   geom.Point
	dir      geom.Point // of a slot's length, a unit vector
}

// recognise tells circles and slots from other loops, however they were
// drawn: as one arc or many, as lines in one piece or several.
func recognise(loop geom.Path) shape {
	runs := merge(loop)
	box := loop.Box()
	if len(runs) == 1 && runs[0].arc {
		return shape{kind: Hole, diameter: 2 * runs[0].radius, center: runs[0].center}
	}
	if s, ok := slot(runs); ok {
		return s
	}
	return shape{kind: CutOut, center: box.Center()}
}

// run is a stretch of segments on one line or one circle.
type run struct {
	arc    bool
	from   geom.Point
	to     geom.Point
	dir    geom.Point // of a line
	center geom.Point
	radius float64
	sweep  float64
}

// merge joins neighbours that lie on one line or one circle, within geom.Fit.
func merge(loop geom.Path) []run {
	var runs []run
	for i := range loop.NumSegs() {
		s := loop.Seg(i)
		if s.A.Near(s.B) {
			continue
		}
		runs = append(runs, runOf(s))
	}
	for changed := true; changed && len(runs) > 1; {
		changed = false
		for i := 0; i < len(runs) && len(runs) > 1; {
			j := (i + 1) % len(runs)
			if m, ok := join(runs[i], runs[j]); ok {
				runs[i] = m
				runs = append(runs[:j], runs[j+1:]...)
				changed = true
				if j < i {
					i--
				}
				continue
			}
			i++
		}
	}
	return runs
}

func runOf(s geom.Seg) run {
	r := run{from: s.A, to: s.B, arc: s.IsArc()}
	if r.arc {
		r.center, r.radius, r.sweep = s.Center(), s.Radius(), s.Sweep()
	} else {
		r.dir = s.B.Sub(s.A).Unit()
	}
	return r
}

func join(a, b run) (run, bool) {
	if a.arc != b.arc {
		return a, false
	}
	if !a.arc {
		// b's far end is no further than Fit from a's line, and goes on.
		off := math.Abs(a.dir.Cross(b.to.Sub(a.from)))
		if off > geom.Fit || a.dir.Dot(b.dir) <= 0 || math.Abs(a.dir.Cross(b.from.Sub(a.from))) > geom.Fit {
			return a, false
		}
		a.to = b.to
		a.dir = a.to.Sub(a.from).Unit()
		return a, true
	}
	if a.center.Dist(b.center) > geom.Fit || math.Abs(a.radius-b.radius) > geom.Fit ||
		a.sweep*b.sweep < 0 || math.Abs(a.sweep+b.sweep) > 2*math.Pi+geom.Fit {
		return a, false
	}
	// The longer piece knows the centre better.
	if math.Abs(b.sweep) > math.Abs(a.sweep) {
		a.center, a.radius = b.center, b.radius
	}
	a.to, a.sweep = b.to, a.sweep+b.sweep
	return a, true
}

// slot recognises two equal half circles joined by two parallel lines.
func slot(runs []run) (shape, bool) {
	if len(runs) != 4 {
		return shape{}, false
	}
	if !runs[0].arc {
		runs = append(runs[1:4:4], runs[0])
	}
	a, l, b, m := runs[0], runs[1], runs[2], runs[3]
	if !a.arc || l.arc || !b.arc || m.arc {
		return shape{}, false
	}
	// An end off a half circle by Fit turns the tangent by Fit over the radius.
	turn := 2 * geom.Fit / min(a.radius, b.radius)
	switch {
	case math.Abs(a.radius-b.radius) > geom.Fit,
		a.sweep*b.sweep < 0,
		math.Abs(math.Abs(a.sweep)-math.Pi) > turn, math.Abs(math.Abs(b.sweep)-math.Pi) > turn,
		l.dir.Dot(m.dir) > -1+turn:
		return shape{}, false
	}
	apart := a.center.Dist(b.center)
	return shape{Slot, a.radius + b.radius, apart + a.radius + b.radius, a.center.Lerp(b.center, 0.5), b.center.Sub(a.center).Unit()}, true
}
