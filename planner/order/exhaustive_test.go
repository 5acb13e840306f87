package order_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/order"
)

// everyOrder tries every order and every choice of starts that the problem
// allows, by walking the tree of them; a branch that is dearer than the best
// so far is left. It shares nothing with the package.
type everyOrder struct {
	p     order.Problem
	used  []bool
	best  float64
	leafs int
}

func (e *everyOrder) rapid(a, b geom.Point) float64 {
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	r := e.p.Rapid
	if r.Feed == 0 {
		return d
	}
	v := r.Feed / 60
	switch {
	case r.Accel == 0:
		return r.Lift + d/v
	case d*r.Accel < v*v: // the top speed is not reached: two halves of d at a
		return r.Lift + 2*math.Sqrt(d/r.Accel)
	}
	return r.Lift + d/v + v/r.Accel
}

func (e *everyOrder) may(n int, last int) bool {
	if e.used[n] {
		return false
	}
	for _, m := range e.p.Nodes[n].After {
		if !e.used[m] {
			return false
		}
	}
	for m := range e.p.Nodes {
		if !e.used[m] && e.p.Nodes[m].Rank < e.p.Nodes[n].Rank {
			return false
		}
		// A group is finished before the next is begun.
		if e.p.GroupParts && last >= 0 && !e.used[m] && e.p.Nodes[n].Group != e.p.Nodes[last].Group &&
			e.p.Nodes[m].Group == e.p.Nodes[last].Group && e.p.Nodes[m].Rank == e.p.Nodes[last].Rank {
			return false
		}
	}
	return true
}

func (e *everyOrder) walk(at *geom.Point, last, left int, cost float64) {
	if cost >= e.best {
		return
	}
	if left == 0 {
		if e.p.End != nil && at != nil {
			cost += e.rapid(*at, *e.p.End)
		}
		e.leafs++
		e.best = min(e.best, cost)
		return
	}
	for n := range e.p.Nodes {
		if !e.may(n, last) {
			continue
		}
		e.used[n] = true
		for k, s := range e.p.Nodes[n].Starts {
			more := 0.0
			if at != nil {
				more = e.rapid(*at, s)
			}
			end := s
			if e.p.Nodes[n].Ends != nil {
				end = e.p.Nodes[n].Ends[k]
			}
			e.walk(&end, n, left-1, cost+more)
		}
		e.used[n] = false
	}
}

// smallJob draws a job of up to nine cuts: parts with inside features and
// outlines, two starts each at most.
func smallJob(r *rand.Rand) order.Problem {
	var p order.Problem
	n := 2 + r.IntN(8)
	point := func() geom.Point { return geom.Pt(float64(r.IntN(1000)), float64(r.IntN(600))) }
	outline := -1
	for i := range n {
		nd := order.Node{Starts: []geom.Point{point()}}
		if r.IntN(3) == 0 {
			nd.Starts = append(nd.Starts, point())
		}
		if r.IntN(2) == 0 {
			for range nd.Starts {
				nd.Ends = append(nd.Ends, point())
			}
		}
		nd.Group = i / 3
		if i%3 == 2 { // the third of each part is its outline
			nd.After = []int{i - 1, i - 2}
			if outline >= 0 && r.IntN(3) == 0 { // a part that lies in this one's cut-out
				nd.After = append(nd.After, outline)
			}
			outline = i
		}
		p.Nodes = append(p.Nodes, nd)
	}
	if r.IntN(3) == 0 {
		for i := range p.Nodes {
			p.Nodes[i].Rank = i % 3 / 2 // holes first
		}
	}
	p.GroupParts = r.IntN(3) == 0
	if r.IntN(2) == 0 {
		p.Rapid = order.Rapid{Feed: 15000, Accel: 800, Lift: 0.5}
	}
	if r.IntN(2) == 0 {
		at := point()
		p.Start = &at
	}
	if r.IntN(2) == 0 {
		at := point()
		p.End = &at
	}
	return p
}

// Small jobs are solved to the true optimum, and no order beats the bound.
func TestSmallJobsAreSolvedToTheOptimum(t *testing.T) {
	jobs := 250
	if testing.Short() {
		jobs = 60
	}
	r := rand.New(rand.NewPCG(7, 41))
	nine, worst := 0, 0.0
	for i := range jobs {
		p := smallJob(r)
		e := everyOrder{p: p, used: make([]bool, len(p.Nodes)), best: math.Inf(1)}
		e.walk(p.Start, -1, len(p.Nodes), 0)
		if e.leafs == 0 {
			t.Fatalf("job %d has no order", i)
		}
		got, err := order.Solve(context.Background(), p, order.Options{Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		// Sums of ten terms differ in their last digits.
		if off := got.Cost - e.best; math.Abs(off) > 1e-9*max(1, e.best) {
			t.Errorf("job %d, %d cuts, grouped %v: cost %.9g, optimum %.9g", i, len(p.Nodes), p.GroupParts, got.Cost, e.best)
		}
		if p.Rapid.Feed == 0 {
			if got.Bound > e.best*(1+1e-12) {
				t.Errorf("job %d: bound %g over the optimum %g", i, got.Bound, e.best)
			}
			worst = max(worst, 1-got.Bound/e.best)
		}
		if len(p.Nodes) == 9 {
			nine++
		}
	}
	t.Logf("%d jobs, %d of them with 9 cuts; the bound is up to %.0f %% under the optimum of such small jobs", jobs, nine, 100*worst)
}

// The check above fails if an order is not the best.
func TestExhaustiveSearchBeatsAPoorOrder(t *testing.T) {
	p := order.Problem{}
	for _, x := range []float64{0, 30, 10, 20} {
		p.Nodes = append(p.Nodes, order.Node{Starts: []geom.Point{geom.Pt(x, 0)}})
	}
	e := everyOrder{p: p, used: make([]bool, 4), best: math.Inf(1)}
	e.walk(nil, -1, 4, 0)
	if e.best != 30 { // along the line; as listed it is 30 + 20 + 10
		t.Errorf("%g", e.best)
	}
}
