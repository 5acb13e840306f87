// Package nest packs shapes into a strip or a plate by their true outlines.
// Rings of points, counts and allowed angles come in, places go out; no shape
// lies over another, over what is fixed or over the edge. It knows nothing of
// jobs, leads or torches and keeps no clock: the same problem, seed and budget
// give the same places, on one core as on many.
//
// The method is that of J. Gardeyn, G. Vanden Berghe and T. Wauters, An
// open-source heuristic to reboot 2D nesting research (arXiv 2509.13329): let
// shapes overlap, measure the overlap by inscribed circles, weigh the pairs
// that stay stuck, move one shape at a time, and shorten what came apart.
// Unlike there, all angles are discrete, and what two shapes say to each other
// is read from a table of their relative place: the convolution of their
// outlines (L. Guibas, L. Ramshaw, J. Stolfi, A kinetic framework for
// computational geometry, 1983) tells overlap exactly, cell by cell.
package nest

import (
	"context"
	"math"

	"example.org/kerfwright/planner/geom"
)

// Kind is a shape that is wanted a number of times.
type Kind struct {
	Rings  [][]geom.Point // outside and holes in any order; holes are room for others
	Count  int
	Angles []float64 // rad, allowed; none is 0 alone
	Flip   bool      // it may also be turned over (x -> -x, before the turn)
}

// Fixed is a region that stays where it is: a locked part, a clamp, or what
// lies round an offcut. A copy of one of the problem's kinds needs no tables of
// its own.
type Fixed struct {
	Rings [][]geom.Point
	Like  int // a kind, from 1, that lies at Place instead of Rings; 0 is none
	Place Place
}

// Problem is one nest. The strip runs along X from 0, between Y 0 and Height.
type Problem struct {
	Kinds  []Kind
	Fixed  []Fixed
	Height float64
	Length float64 // mm, longest strip allowed; 0 is any
	Seed   uint64
	Enough float64 // mm: a strip no longer than this is not shortened further
	Rounds int     // budget: thousands of places looked at, by each worker; 0 only lays shapes down one by one
	// Better is told of every better layout, Told of how much of Rounds is used.
	// Stop is asked, by every worker, whether the best so far will do. Any may be
	// nil.
	Better func(Result)
	Told   func(done, all int)
	Stop   func() bool
}

// Place is one copy of a kind: flipped, turned about its own zero, shifted.
type Place struct {
	Kind  int
	Flip  bool
	Angle float64
	At    geom.Point
}

// Result is a layout without overlap.
type Result struct {
	Places []Place
	Left   []int   // of each kind, how many did not fit; all 0 in a strip without end
	Length float64 // mm of the strip that is used
	Rounds int     // looked at so far
}

// workers is how many searches run side by side. It is fixed, so that the
// result does not depend on the machine.
const workers = 2

// epochs is how often the workers compare notes.
const epochs = 24

// Pack searches until the budget is used or ctx ends, and returns the best
// layout so far.
func Pack(ctx context.Context, p Problem) Result {
	m := newModel(p)
	return m.pack(ctx, p)
}

// spread returns n angles evenly round the circle.
func spread(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Remainder(2*math.Pi*float64(i)/float64(n), 2*math.Pi)
	}
	return out
}

// FreeAngles returns the angles that a shape which may lie anyhow is tried
// at: fewer where there are many kinds, since every pair of kinds needs a table
// for every angle between them.
func FreeAngles(kinds int) []float64 {
	switch {
	case kinds <= 6:
		return spread(24)
	case kinds <= 15:
		return spread(12)
	case kinds <= 30:
		return spread(8)
	}
	return spread(4)
}
