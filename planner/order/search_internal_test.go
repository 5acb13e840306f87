package order

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// shape says what a random problem has.
type shape struct {
	nodes, points, ranks, groups int
	after                        float64 // share of nodes that must come before another
	open                         bool    // ends differ from starts
	parks                        int     // 0 none, 1 start, 2 both
	timed                        bool
}

// random makes a problem: a forest of precedences, as holes and outlines are.
func random(r *rand.Rand, h shape) Problem {
	at := func() geom.Point { return geom.Pt(r.Float64()*100, r.Float64()*100) }
	p := Problem{Nodes: make([]Node, h.nodes), GroupParts: h.groups > 0}
	for i := range p.Nodes {
		v := &p.Nodes[i]
		c := at()
		for range 1 + r.IntN(h.points) {
			v.Starts = append(v.Starts, c.Add(geom.Pt(r.Float64()*20, r.Float64()*20)))
			if h.open {
				v.Ends = append(v.Ends, c.Add(geom.Pt(r.Float64()*20, r.Float64()*20)))
			}
		}
		if h.ranks > 0 {
			v.Rank = r.IntN(h.ranks)
		}
		if h.groups > 0 {
			v.Group = r.IntN(h.groups)
		}
	}
	// The parent of a node is one of a higher number, of no lower rank.
	for i := range h.nodes - 1 {
		if parent := i + 1 + r.IntN(h.nodes-i-1); r.Float64() < h.after && p.Nodes[i].Rank <= p.Nodes[parent].Rank {
			p.Nodes[parent].After = append(p.Nodes[parent].After, i)
		}
	}
	if h.parks > 0 {
		a := at()
		p.Start = &a
	}
	if h.parks > 1 {
		a := at()
		p.End = &a
	}
	if h.timed {
		p.Rapid = Rapid{Feed: 6000, Accel: 500, Lift: 0.3}
	}
	return p
}

var shapes = map[string]shape{
	"plain":                {points: 1},
	"from a park":          {points: 1, parks: 1},
	"park to park":         {points: 1, parks: 2},
	"choice of start":      {points: 5, parks: 2},
	"open cuts":            {points: 1, open: true},
	"timed":                {points: 3, timed: true, parks: 1},
	"holes and outlines":   {points: 1, after: 0.8, parks: 2},
	"all of it":            {points: 4, after: 0.6, open: true, parks: 1, timed: true},
	"marks first":          {points: 2, ranks: 2, after: 0.3},
	"part by part":         {points: 3, groups: 4, after: 0.4, parks: 1},
	"part by part, ranked": {points: 2, groups: 3, ranks: 2, after: 0.4, open: true},
}

// TestSearchKeepsCount holds what a search says it won against the cost of
// its path counted anew, after every kick.
func TestSearchKeepsCount(t *testing.T) {
	for name, h := range shapes {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(20) {
				r := rand.New(rand.NewPCG(seed, 1))
				h.nodes = 8 + r.IntN(40)
				m, err := newModel(random(r, h))
				if err != nil {
					t.Fatal(err)
				}
				p := m.begin(context.Background(), Options{})
				if !m.kept(p.order) {
					t.Fatal("the start breaks a precedence")
				}
				s := newSearcher(context.Background(), m, p, !m.free(), m.neighbours(), 1)
				before := m.total(p)
				s.settle()
				for k := range 200 {
					if now := m.total(s.path()); math.Abs(before-s.won-now) > 1e-9*before {
						t.Fatalf("seed %d, kick %d: %g - %g won = %g, counted anew %g", seed, k, before, s.won, before-s.won, now)
					}
					if !m.kept(s.path().order) {
						t.Fatalf("seed %d, kick %d: a precedence is broken", seed, k)
					}
					was, cost := s.won, m.total(s.path())
					s.log = s.log[:0]
					s.kick(k)
					s.settle()
					if k%3 == 0 {
						s.undo()
						s.won = was
						if now := m.total(s.path()); now != cost && math.Abs(now-cost) > 1e-9*cost {
							t.Fatalf("seed %d, kick %d: %g after taking back, was %g", seed, k, now, cost)
						}
					}
				}
			}
		})
	}
}
