package order

import (
	"context"
	"slices"
)

// solve returns the best path found. It keeps every precedence, also if ctx
// ends early.
func (m *model) solve(ctx context.Context, o Options) path {
	kicks := o.Kicks
	if kicks == 0 {
		kicks = m.budget()
	}
	if m.matrix == nil {
		if t, ok := m.exact(exactSteps, false); ok {
			return t
		}
	}
	t := m.begin(ctx, o)
	switch {
	case m.matrix != nil:
		t = newStretcher(ctx, m, t, o.Seed).search(kicks)
	case m.n >= fewest:
		s := newSearcher(ctx, m, t, !m.free(), m.neighbours(), o.Seed)
		t = s.search(kicks)
		if m.free() {
			t = m.better(t)
		}
	}
	m.chooseStarts(t)
	return t
}

// fewest is the number of nodes from which on a tour can be kicked: four
// edges to cut and as many to keep.
const fewest = 8

// free reports whether nothing hinders a tour from being turned round.
func (m *model) free() bool {
	return m.same && m.matrix == nil && m.prec.none() && m.group == nil && (m.n == 0 || slices.Min(m.rank) == slices.Max(m.rank))
}

// begin returns a path to start from.
func (m *model) begin(ctx context.Context, o Options) path {
	ranks := m.n > 0 && slices.Min(m.rank) != slices.Max(m.rank)
	switch {
	case m.n < fewest && m.matrix == nil:
		t, _ := m.exact(exactSteps, true)
		m.chooseStarts(t)
		return t
	case m.matrix != nil:
		t := m.nearest(ctx)
		m.chooseStarts(t)
		return t
	case ranks:
		return m.byRank(ctx, o)
	case m.group != nil:
		return m.byGroup(ctx, o, m.group)
	}
	t := path{at: make([]int32, m.n)}
	copy(t.at, m.first)
	c := m.neighbours()
	x, y := m.chosen(t)
	s := searcher{m: m, at: append(t.at[:m.n:m.n], m.np, m.np), n: int32(m.n), x: x, y: y}
	for v := range s.n {
		c.price(v, s.d)
	}
	t.order = greedy(m.n, c, x, y, s.d)
	f := newSearcher(ctx, m, t, false, c, o.Seed)
	f.settle()
	t = m.better(f.path())
	m.chooseStarts(t)
	return t
}

// exactSteps bounds the exact search of a whole problem: some hundredths of a
// second.
const exactSteps = 1 << 24

// budget is the number of kicks when nobody says.
func (m *model) budget() int { return min(10*m.n, 50000) }

// neighbours lists for every node those that have a start or an end near one
// of its own.
func (m *model) neighbours() candidates {
	var at places
	for v := range int32(m.n) {
		for p := m.first[v]; p < m.first[v+1]; p++ {
			at.x, at.y, at.owner = append(at.x, m.sx[p]), append(at.y, m.sy[p]), append(at.owner, v)
		}
	}
	return neighbours(m.n, at)
}
