// Package order finds the order in which cuts are made and, with it, at which
// of its allowed start points each cut begins. In come cuts as places (start
// points and where the torch is afterwards), what must come before what, and
// how dear a rapid is; out comes an order with its rapid travel and a lower
// bound on that travel. It knows nothing of features, plates or torches, it
// never moves a cut and never breaks a precedence. The same problem, kicks
// and seed give the same answer on any number of threads.
package order

import (
	"context"

	"example.org/kerfwright/planner/geom"
)

// Node is one cut.
type Node struct {
	// Starts are the candidate pierce points, mm; at least one.
	Starts []geom.Point
	// Ends says where the torch is when the cut from the start of the same
	// index has ended, mm. Nil is the same as Starts.
	Ends []geom.Point
	// After lists the nodes that must be cut before this one.
	After []int
	// Group is the part instance; only GroupParts reads it.
	Group int
	// Rank orders whole classes of cuts: every node of a lower rank comes
	// before every node of a higher one (marks first, all holes first).
	Rank int
	// Name says in a fault which cut is meant; "" is its index.
	Name string
}

// Rapid is what a rapid costs. The zero value makes the cost the distance in
// mm; with a feed the cost is seconds.
type Rapid struct {
	Feed  float64 // mm/min; 0 makes the cost the distance
	Accel float64 // mm/s2; 0 is a machine that needs no time to speed up
	Lift  float64 // s for raising, lowering and probing, once per rapid
}

// Heat asks that a cut keeps away from those made just before it, for thin
// plate. The zero value asks nothing.
type Heat struct {
	Cuts     int     // how many of the last cuts count
	Distance float64 // mm to keep from each of them
	// Penalty is added to the cost (mm or s, as Rapid says) for a pair of
	// cuts at the same place; it falls linearly to 0 at Distance.
	Penalty float64
}

// Problem is what is to be ordered.
type Problem struct {
	Nodes []Node
	// Start and End are where the torch is parked before and after; nil is
	// anywhere, at no cost.
	Start, End *geom.Point
	Rapid      Rapid
	// GroupParts keeps the nodes of one Group (within a Rank) together:
	// finish a part before the next is begun. Groups that must be cut
	// alternately because of their precedences count as one.
	GroupParts bool
	Heat       Heat
}

// Options bound the search. The zero value is right.
type Options struct {
	// Kicks is the number of disturbances tried, never a time. 0 is ten per
	// node, from 1,000 to 50,000 (fewer on very large problems); negative is
	// none.
	Kicks int
	Seed  int64
}

// Result is an order that keeps every precedence.
type Result struct {
	Order  []int   // nodes in the order in which they are cut
	Start  []int   // by node: index of the start point chosen
	Length float64 // mm of rapid travel, from and to the park points given
	Cost   float64 // as Rapid says, without heat: mm or s
	// Bound is a length in mm below which no order can be, whatever start
	// points it chooses: a Held-Karp bound. 0 <= Bound <= Length.
	Bound float64
	// Hot counts the pairs of cuts that are still nearer than Heat asks.
	Hot int
}

// Solve orders the problem's nodes. It fails on a problem that is not valid
// (no start point, a coordinate that is not finite, precedences that go round
// in a circle: CycleError) and when ctx ends before the search does; a result
// is good only if the error is nil.
func Solve(ctx context.Context, p Problem, o Options) (Result, error) {
	m, err := newModel(p)
	if err != nil {
		return Result{}, err
	}
	if err := ctx.Err(); err != nil {
		return Result{}, err
	}
	// Neither needs the other, and each gives the same on any thread.
	bound := make(chan float64, 1)
	go func() { bound <- m.bound(ctx) }()
	r := m.result(m.solve(ctx, o))
	r.Bound = min(<-bound, r.Length)
	return r, ctx.Err()
}

// Bound returns a length in mm below which no order of p can be, 0 if p is
// not valid.
func Bound(p Problem) float64 {
	m, err := newModel(p)
	if err != nil {
		return 0
	}
	return m.bound(context.Background())
}
