package tui

import (
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Holes and slots that were added to a typed part by coordinates. The shape
// that a draft holds is never changed in place: each edit makes another.

var (
	holeFigures = []figure{{name: "X", field: job.ShapeX, bare: true}, {name: "Y", field: job.ShapeY, bare: true}, {name: "Ø", field: job.ShapeD}}
	slotFigures = []figure{{name: "X", field: job.ShapeX, bare: true}, {name: "Y", field: job.ShapeY, bare: true},
		{name: "L", field: job.ShapeL, bare: true}, {name: "W", field: job.ShapeW}, {name: "at", field: job.ShapeA}}
)

// addedRows are the rows of a typed part's added holes and slots.
func (p drawingPage) addedRows(m *Model, s job.Shape) []row {
	edit := func(change func(*job.Shape)) func(*Draft) {
		return func(d *Draft) {
			s := d.Job.Drawings[p.n].Shape.Clone()
			change(&s)
			d.Job.Drawings[p.n].Shape = &s
		}
	}
	rows := []row{{head: true, label: "holes and slots added, from the lower left"}}
	add := func(r row, at *geom.Point) {
		r.aim = &aim{feature: -1, drawing: p.n, drawn: true, place: at}
		rows = append(rows, r)
	}
	hole := func(v []float64) job.ShapeHole { return job.ShapeHole{X: v[0], Y: v[1], Diameter: v[2]} }
	slot := func(v []float64) job.ShapeSlot {
		return job.ShapeSlot{X: v[0], Y: v[1], Length: v[2], Width: v[3], Angle: v[4]}
	}
	const why = "From the part's lower left corner to the middle."
	for i, h := range s.Holes {
		add(m.numbers(numbers{id: fmt.Sprint("hole", i), label: fmt.Sprint("hole ", i+1), of: holeFigures, now: []float64{h.X, h.Y, h.Diameter}, why: why,
			put: func(d *Draft, v []float64) { edit(func(s *job.Shape) { s.Holes[i] = hole(v) })(d) },
			drop: edit(func(s *job.Shape) {
				if s.Holes = slices.Delete(s.Holes, i, i+1); len(s.Holes) == 0 {
					s.Holes = nil
				}
			})}), &geom.Point{X: h.X, Y: h.Y})
	}
	for i, h := range s.Slots {
		add(m.numbers(numbers{id: fmt.Sprint("slot", i), label: fmt.Sprint("slot ", i+1), of: slotFigures, now: []float64{h.X, h.Y, h.Length, h.Width, h.Angle},
			why: why + " L is over the round ends, W the width; the turn of its length is from the X axis, counter-clockwise.",
			put: func(d *Draft, v []float64) { edit(func(s *job.Shape) { s.Slots[i] = slot(v) })(d) },
			drop: edit(func(s *job.Shape) {
				if s.Slots = slices.Delete(s.Slots, i, i+1); len(s.Slots) == 0 {
					s.Slots = nil
				}
			})}), &geom.Point{X: h.X, Y: h.Y})
	}
	// Where a new one goes is not guessed: its numbers are typed.
	add(m.numbers(numbers{id: "add-hole", label: "add a hole", empty: "  X Y Ø", of: holeFigures, why: why,
		put:  func(d *Draft, v []float64) { edit(func(s *job.Shape) { s.Holes = append(s.Holes, hole(v)) })(d) },
		done: func(m *Model) { m.spot().id = fmt.Sprint("hole", len(s.Holes)) }}), nil)
	add(m.numbers(numbers{id: "add-slot", label: "add a slot", empty: "  X Y L W and turn", of: slotFigures,
		why:  why + " L is over the round ends, W the width; the turn of its length is from the X axis in degrees, 0 lies flat.",
		put:  func(d *Draft, v []float64) { edit(func(s *job.Shape) { s.Slots = append(s.Slots, slot(v)) })(d) },
		done: func(m *Model) { m.spot().id = fmt.Sprint("slot", len(s.Slots)) }}), nil)
	return rows
}

// step125 goes along 1, 2, 5, 10, 20 ... from v, up or down, in the units in
// which v is shown.
func step125(v float64, step int) float64 {
	if v <= 0 {
		return 0
	}
	e := math.Floor(math.Log10(v))
	// From two decades under v to one over it, in rising order.
	var all []float64
	for k := e - 2; k <= e+2; k++ {
		for _, f := range []float64{1, 2, 5} {
			all = append(all, f*math.Pow(10, k))
		}
	}
	const near = 1.001 // counts as the same figure
	if step > 0 {
		for _, x := range all {
			if x > v*near {
				return x
			}
		}
	}
	for _, x := range slices.Backward(all) {
		if x < v/near {
			return x
		}
	}
	return v
}
