package order

import (
	"context"
	"math"
	"math/rand/v2"
)

// searcher improves one tour. Nodes 0 to n-1 are the model's, n is where the
// path starts and n+1 where it ends; the two stay neighbours.
type searcher struct {
	m     *model
	ctx   context.Context
	n     int32
	at    []int32   // by node: point chosen
	x, y  []float64 // by node: between the start and the end of the point chosen
	t     tour
	cand  candidates
	least float64 // a gain that is more than rounding
	reach int32   // positions that one exchange may span, if the tour is rooted
	back  bool    // t2 comes before t1 in the tour's direction
	won   float64 // what has been won so far
	log   []change
	queue queue
	rand  *rand.Rand
	mean0 float64 // mean edge at the start of the kicks
	// choice says that nodes may take another of their points. A tour that is
	// not rooted knows only mean costs, by which points cannot be compared.
	choice bool
	discs  []disc // with choice: by node
}

// change is one change that can be taken back: two edges of the tour, or
// (last element -1) a node, its point before and its point after.
type change [4]int32

// held is the cost of the edge between the two ends of the path, so low that
// no exchange takes it out: a thousand times all edges there can be.
const held = -1e3 * 4 * farthest * math.MaxInt32

// newSearcher starts from a path. A rooted search keeps every precedence that
// the path keeps; one that is not rooted knows none, and needs costs that are
// the same both ways.
func newSearcher(ctx context.Context, m *model, t path, rooted bool, c candidates, seed int64) *searcher {
	n := int32(m.n)
	s := &searcher{m: m, ctx: ctx, n: n, cand: c}
	s.at = append(append(s.at, t.at...), m.np, m.np)
	s.x, s.y = m.chosen(t)
	s.t = newTour(append(append([]int32{n}, t.order...), n+1), rooted)
	s.reach = spanFor(m.n)
	s.queue = newQueue(m.n + 2)
	s.rand = rand.New(rand.NewPCG(uint64(seed), uint64(n)))
	for v := range n {
		s.cand.price(v, s.d)
	}
	s.choice = int(m.np) > m.n && (rooted || m.same)
	if s.choice {
		s.cand.index()
		s.discs = m.discs()
	}
	longest, sum := 0.0, 0.0
	for k := 0; k+1 < len(t.order); k++ {
		e := s.d(t.order[k], t.order[k+1])
		longest, sum = max(longest, e), sum+e
	}
	// A gain is a sum of six edges, each good to one part in 2^52.
	s.least = longest * 0x1p-40
	// What every rapid costs, however short, is no measure.
	s.mean0 = max(0, sum/float64(max(1, m.n))-m.lift)
	for _, v := range s.t.order {
		s.queue.push(v)
	}
	return s
}

// spanFor returns how many positions an exchange may span in a path of n
// nodes: all of them, but on large problems only so many that one exchange
// stays short work.
func spanFor(n int) int32 {
	const most = 3000 // a few rows of parts on a full plate
	return int32(min(n, most))
}

// chosen returns the places of the points chosen: halfway between where a cut
// starts and where it ends.
func (m *model) chosen(t path) (x, y []float64) {
	x, y = make([]float64, m.n), make([]float64, m.n)
	for v, p := range t.at {
		x[v], y[v] = m.sx[p]/2+m.ex[p]/2, m.sy[p]/2+m.ey[p]/2
	}
	return x, y
}

// path returns the tour as it stands, in the direction of the path.
func (s *searcher) path() path {
	t := path{order: make([]int32, 0, s.n), at: append([]int32(nil), s.at[:s.n]...)}
	for v := s.after(s.n); v != s.n+1; v = s.after(v) {
		t.order = append(t.order, v)
	}
	return t
}

// d returns what the edge between two nodes costs, either way: where the two
// ways differ, as if each cut began and ended halfway between its start and
// its end. The truth is asked before anything is done (judge).
func (s *searcher) d(a, b int32) float64 {
	if a < s.n && b < s.n {
		dx, dy := s.x[a]-s.x[b], s.y[a]-s.y[b]
		d := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		if s.m.feed == 0 {
			return d
		}
		return s.m.seconds(d)
	}
	switch a, b = min(a, b), max(a, b); {
	case a == s.n:
		return held
	case b == s.n:
		return s.m.cost(s.m.np, s.at[a])
	}
	return s.m.cost(s.at[a], s.m.np)
}

func (s *searcher) swap(a, b, c, d int32) {
	s.t.swap2(a, b, c, d)
	s.log = append(s.log, change{a, b, c, d})
}

// undo takes back every change in the log.
func (s *searcher) undo() {
	for k := len(s.log) - 1; k >= 0; k-- {
		if e := s.log[k]; e[3] < 0 {
			s.set(e[0], e[1])
		} else {
			s.t.swap2(e[3], e[0], e[1], e[2])
		}
	}
	s.log = s.log[:0]
}

// settle improves until no node in the queue starts a change that wins.
func (s *searcher) settle() {
	for count := 1; s.queue.size > 0; count++ {
		if count%4096 == 0 && s.ctx.Err() != nil {
			return
		}
		v := s.queue.pop()
		for s.reseat(v) || s.improve(v) || s.relocate(v) {
		}
	}
}

// queue holds nodes to be looked at, each at most once, first in first out.
type queue struct {
	ring       []int32
	in         []bool
	head, size int
}

func newQueue(n int) queue { return queue{ring: make([]int32, n), in: make([]bool, n)} }

func (q *queue) push(v int32) {
	if q.in[v] {
		return
	}
	q.in[v] = true
	k := q.head + q.size
	if k >= len(q.ring) {
		k -= len(q.ring)
	}
	q.ring[k] = v
	q.size++
}

func (q *queue) pop() int32 {
	v := q.ring[q.head]
	if q.head++; q.head == len(q.ring) {
		q.head = 0
	}
	q.size--
	q.in[v] = false
	return v
}
