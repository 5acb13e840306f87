// Package align finds how the stock lies on the table. Points come in that
// the operator read off the position readout, along edges of the stock or at
// located holes; a turn and a shift go out, with how well they fit. It never
// stretches anything, knows nothing of jobs and typed text, and moves nothing
// itself.
//
// Lengths are mm, angles rad, positive counter-clockwise.
package align

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
)

// Fit is a turn about the stock's zero and then a shift, which bring the stock
// as the job draws it to where it lies.
type Fit struct {
	Move     geom.Move
	Angle    float64   // rad, over -pi to pi
	Residual []float64 // mm, of every typed point in order: how far it lies off its edge or hole once the stock is turned and shifted
	Worst    float64   // mm, the largest of them by size
	Third    float64   // mm: how far the first point on the next edge lies off where the first edge and the zero alone would put that edge, positive to the inside; 0 without one
	Apart    float64   // mm: of holes, by how much they lie further apart than drawn, the largest by size over all pairs; negative is nearer
	Scale    float64   // of holes, measured over drawn; 1 otherwise. It is told, and not applied
	Unsure   float64   // rad by which the turn may be off if every reading is off by Reading
}

// Reading is how well a person reads a place off the table, mm: torch over a
// scribed line or an edge (common practice, no source).
const Reading = 0.2

// Least is the least distance, mm, between two points that can tell a turn:
// at it a slip of Reading at either end is over a degree.
const Least = 10.0

// Side is an edge of the stock as the job draws it: all points p with
// In.p = At. In is the unit normal towards the metal.
type Side struct {
	In geom.Point
	At float64 // mm
}

// Edges fits points along one side and, if there are any, along the next,
// square to it. The turn is that which makes the sum of the squared distances
// least. Without points on the next side the stock's zero is taken to lie
// where the first edge comes nearest to the program's zero.
func Edges(first, next Side, points, nextPoints []geom.Point) (Fit, error) {
	if len(points) < 2 {
		return Fit{}, fmt.Errorf("%d points on the edge, two are needed", len(points))
	}
	for _, p := range append(append([]geom.Point(nil), points...), nextPoints...) {
		if !p.Finite() {
			return Fit{}, fmt.Errorf("a point is no place")
		}
	}
	span := spread(points)
	if span < Least {
		return Fit{}, fmt.Errorf("the points on the edge lie %.2f mm apart, at least %.0f mm are needed to tell the turn", span, Least)
	}
	// A normal m of the first edge makes w = m' S m least, where S sums the
	// squares about the mean; points on the next edge, whose normal is m turned
	// by a quarter, count turned back by it.
	quarter := first.In.Cross(next.In) // 1 or -1
	mean, xx, xy, yy := moments(points)
	nextMean, nxx, nxy, nyy := moments(nextPoints)
	if len(nextPoints) > 1 {
		xx, xy, yy = xx+nyy, xy-nxy, yy+nxx // a quarter turn, either way
	}
	// The direction of the edge is the axis of the larger moment.
	along := geom.Polar(geom.Point{}, 1, math.Atan2(2*xy, xx-yy)/2)
	m := along.Left()
	if m.Dot(first.In) < 0 {
		m = m.Mul(-1)
	}
	if math.Abs(m.Dot(first.In)) < geom.Angle { // a quarter turn: which way round is not told
		return Fit{}, fmt.Errorf("the points run along the other direction: name the edge that they lie on")
	}
	f := Fit{Angle: math.Atan2(first.In.Cross(m), first.In.Dot(m)), Scale: 1}
	n := m.Left().Mul(quarter)
	off, beside := m.Dot(mean)-first.At, 0.0
	if len(nextPoints) > 0 {
		beside = n.Dot(nextMean) - next.At
		f.Third = n.Dot(nextPoints[0]) - next.At
	}
	f.Move = geom.Move{Angle: f.Angle, Shift: m.Mul(off).Add(n.Mul(beside))}
	for _, p := range points {
		f.note(m.Dot(p) - first.At - off)
	}
	for _, p := range nextPoints {
		f.note(n.Dot(p) - next.At - beside)
	}
	f.Unsure = math.Atan(2 * Reading / span)
	return f, nil
}

// Holes fits located places to those of the drawing on the stock: the rigid
// move with the least sum of squared distances (the rotation part of a
// two-dimensional similarity; Wolf and Ghilani, Adjustment Computations).
func Holes(drawn, found []geom.Point) (Fit, error) {
	if len(drawn) != len(found) || len(drawn) < 2 {
		return Fit{}, fmt.Errorf("%d located holes, two are needed", len(found))
	}
	for i := range drawn {
		if !drawn[i].Finite() || !found[i].Finite() {
			return Fit{}, fmt.Errorf("a point is no place")
		}
	}
	if d := min(spread(drawn), spread(found)); d < Least {
		return Fit{}, fmt.Errorf("the holes lie %.2f mm apart, at least %.0f mm are needed to tell the turn", d, Least)
	}
	from, _, _, _ := moments(drawn)
	to, _, _, _ := moments(found)
	dot, cross, size := 0.0, 0.0, 0.0
	for i := range drawn {
		a, b := drawn[i].Sub(from), found[i].Sub(to)
		dot, cross, size = dot+a.Dot(b), cross+a.Cross(b), size+a.Dot(a)
	}
	f := Fit{Angle: math.Atan2(cross, dot), Scale: math.Hypot(cross, dot) / size}
	turn := geom.Move{Angle: f.Angle}
	f.Move = geom.Move{Angle: f.Angle, Shift: to.Sub(turn.Apply(from))}
	for i := range drawn {
		f.note(f.Move.Apply(drawn[i]).Dist(found[i]))
		for k := range i {
			if d := found[i].Dist(found[k]) - drawn[i].Dist(drawn[k]); math.Abs(d) > math.Abs(f.Apart) {
				f.Apart = d
			}
		}
	}
	f.Unsure = math.Atan(2 * Reading / spread(drawn))
	return f, nil
}

func (f *Fit) note(r float64) {
	f.Residual = append(f.Residual, r)
	f.Worst = max(f.Worst, math.Abs(r))
}

// moments returns the mean and the sums of squares about it.
func moments(pts []geom.Point) (mean geom.Point, xx, xy, yy float64) {
	if len(pts) == 0 {
		return
	}
	for _, p := range pts {
		mean = mean.Add(p)
	}
	mean = mean.Mul(1 / float64(len(pts)))
	for _, p := range pts {
		d := p.Sub(mean)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	return
}

// spread is the largest distance between two of the points.
func spread(pts []geom.Point) float64 {
	most := 0.0
	for i, p := range pts {
		for _, q := range pts[:i] {
			most = max(most, p.Dist(q))
		}
	}
	return most
}
