package order

import (
	"context"
	"math"
	"slices"
)

// repair makes an order keep precedences: each node waits, if it must, until
// the last of those before it has been cut, and then is next.
func (p *precedence) repair(order []int32) []int32 {
	if p.none() {
		return order
	}
	waits := make([]int32, len(order))
	came := make([]bool, len(order)) // its turn has come, but it must wait
	for v := range order {
		waits[v] = int32(len(p.before(int32(v))))
	}
	out := make([]int32, 0, len(order))
	var cut func(v int32)
	cut = func(v int32) {
		out = append(out, v)
		for _, w := range p.after(v) {
			if waits[w]--; waits[w] == 0 && came[w] {
				cut(w)
			}
		}
	}
	for _, v := range order {
		if waits[v] == 0 {
			cut(v)
		} else {
			came[v] = true
		}
	}
	return out
}

// better returns the cheaper of an order and the same turned round, both
// repaired, with start points as they are.
func (m *model) better(t path) path {
	back := path{order: slices.Clone(t.order), at: t.at}
	slices.Reverse(back.order)
	t.order, back.order = m.prec.repair(t.order), m.prec.repair(back.order)
	if m.total(back) < m.total(t) {
		return back
	}
	return t
}

// nearest returns the path that always goes to the cheapest start point that
// may be next.
func (m *model) nearest(ctx context.Context) path {
	t := path{order: make([]int32, 0, m.n), at: make([]int32, m.n)}
	key := m.group
	if key == nil {
		key = m.rank
	}
	// A node is open when its class is: the class begun, or any class whose
	// outside predecessors are all cut.
	waits := make([]int32, m.n) // predecessors not yet cut
	blocked := map[int32]int32{}
	left := map[int32]int32{}
	for v := range int32(m.n) {
		waits[v] = int32(len(m.prec.before(v)))
		left[key[v]]++
		for _, b := range m.prec.before(v) {
			if key[b] != key[v] {
				blocked[key[v]]++
			}
		}
	}
	done := make([]bool, m.n)
	last, begun := m.np, int32(-1)
	for len(t.order) < m.n && ctx.Err() == nil {
		low := int32(math.MaxInt32)
		for v := range m.n {
			if !done[v] {
				low = min(low, m.rank[v])
			}
		}
		best, at := math.Inf(1), int32(-1)
		for v := range int32(m.n) {
			if done[v] || waits[v] > 0 || m.rank[v] != low || blocked[key[v]] > 0 || begun >= 0 && m.group != nil && key[v] != begun {
				continue
			}
			for p := m.first[v]; p < m.first[v+1]; p++ {
				if c := m.cost(last, p); c < best {
					best, at = c, p
				}
			}
		}
		v := m.owner[at]
		done[v], t.at[v], last = true, at, at
		t.order = append(t.order, v)
		begun = key[v]
		if left[begun]--; left[begun] == 0 {
			begun = -1
		}
		for _, s := range m.prec.after(v) {
			waits[s]--
			if key[s] != key[v] {
				blocked[key[s]]--
			}
		}
	}
	return t
}
