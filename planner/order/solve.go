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
			return m.spread(ctx, t)
		}
	}
	starts := m.starts(ctx, o)
	found := make([]path, len(starts))
	inParallel(len(starts), func() func(k int) {
		return func(k int) { found[k] = m.improve(ctx, starts[k], kicks, o.Seed+int64(k)) }
	})
	best := found[0]
	for _, t := range found[1:] {
		if m.total(t) < m.total(best) {
			best = t
		}
	}
	return m.spread(ctx, best)
}

// starts returns one path to start from or two.
func (m *model) starts(ctx context.Context, o Options) []path {
	if m.parts == nil || m.free() || m.matrix != nil || m.group != nil || slices.Min(m.rank) != slices.Max(m.rank) {
		return []path{m.begin(ctx, o)}
	}
	// Part by part is a good start even if parts may be mixed, and on large
	// plates a better one than kicks make up for.
	const large = 5000
	u := m.byGroup(ctx, o, m.parts)
	m.chooseStarts(u)
	if m.n >= large {
		return []path{u}
	}
	return []path{m.begin(ctx, o), u}
}

// improve searches from a path.
func (m *model) improve(ctx context.Context, t path, kicks int, seed int64) path {
	switch {
	case m.matrix != nil:
		t = newStretcher(ctx, m, t, seed).search(kicks)
	case m.n >= fewest:
		t = newSearcher(ctx, m, t, !m.free(), m.neighbours(), seed).search(kicks)
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
func (m *model) budget() int {
	const large = 8000
	// A thousand take a few hundredths of a second on small jobs, and find what
	// a hundred miss (measured on plates of 13 to 80 cuts).
	return min(max(1000, 10*m.n), 50000*large/max(m.n, large))
}

// neighbours lists for every node those that have a start near one of its
// own. The lists are made once; every caller gets copies that it may change.
func (m *model) neighbours() candidates {
	m.nearOnce.Do(func() {
		owner := m.owner[:m.np]
		m.near = neighbours(m.n, places{m.sx[:m.np], m.sy[:m.np], owner})
	})
	c := m.near
	c.list, c.d = slices.Clone(c.list), slices.Clone(c.d)
	return c
}
