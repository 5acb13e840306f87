package order

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.org/kerfwright/planner/geom"
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
// may be next. It knows neither ranks nor groups.
func (m *model) nearest(ctx context.Context) path {
	t := path{order: make([]int32, 0, m.n), at: make([]int32, m.n)}
	waits := make([]int32, m.n) // nodes before it that are not yet cut; -1: cut
	for v := range waits {
		waits[v] = int32(len(m.prec.before(int32(v))))
	}
	last := m.np
	for range m.n {
		best, at := math.Inf(1), int32(-1)
		for v := range int32(m.n) {
			if waits[v] != 0 {
				continue
			}
			for p := m.first[v]; p < m.first[v+1]; p++ {
				if c := m.cost(last, p); at < 0 || c < best {
					best, at = c, p
				}
			}
		}
		v := m.owner[at]
		waits[v], t.at[v], last = -1, at, at
		t.order = append(t.order, v)
		for _, s := range m.prec.after(v) {
			waits[s]--
		}
	}
	return t
}

// byRank returns a path that cuts one rank after the other.
func (m *model) byRank(ctx context.Context, o Options) path {
	order := make([]int32, m.n)
	for v := range order {
		order[v] = int32(v)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(m.rank[a], m.rank[b]) })
	t := path{order: make([]int32, 0, m.n), at: make([]int32, m.n)}
	inverse := make([]int32, m.n)
	from := m.startStop()
	for i := 0; i < m.n; {
		j := i + 1
		for j < m.n && m.rank[order[j]] == m.rank[order[i]] {
			j++
		}
		to := stop{}
		if j == m.n {
			to = m.endStop()
		}
		s := m.part(order[i:j], from, to, true, inverse)
		t.append(m, order[i:j], s, s.begin(ctx, o))
		from = m.outOf(t.at[t.order[j-1]])
		i = j
	}
	return t
}

// byGroup returns a path that cuts one group after the other: the groups are
// ordered by a few of their points, then each is ordered inside, between the
// one before and the one after.
func (m *model) byGroup(ctx context.Context, o Options, group []int32) path {
	var members [][]int32
	number := map[int32]int32{}
	block := make([]int32, m.n)
	for v := range int32(m.n) {
		k, ok := number[group[v]]
		if !ok {
			k = int32(len(members))
			number[group[v]] = k
			members = append(members, nil)
		}
		block[v] = k
		members[k] = append(members[k], v)
	}
	b := m.blocks(members, block)
	between := b.begin(ctx, o)
	if b.n >= fewest {
		between = newSearcher(ctx, b, between, true, b.neighbours(), o.Seed).search(min(10*b.n, 5000))
	}
	// Between the places where the parts before and after are left and come
	// to, each is a small problem of its own.
	models, paths := make([]*model, b.n), make([]path, b.n)
	stops := func(k int) (from, to stop) {
		from, to = m.startStop(), m.endStop()
		if k > 0 {
			from = b.outOf(between.at[between.order[k-1]])
		}
		if k+1 < b.n {
			to = b.into(between.at[between.order[k+1]])
		}
		return from, to
	}
	inParallel(b.n, func() func(k int) {
		inverse := make([]int32, m.n)
		return func(k int) {
			from, to := stops(k)
			models[k] = m.part(members[between.order[k]], from, to, false, inverse)
			paths[k] = models[k].quick(ctx, o)
		}
	})
	t := path{order: make([]int32, 0, m.n), at: make([]int32, m.n)}
	for k, g := range between.order {
		t.append(m, members[g], models[k], paths[k])
	}
	return t
}

// quick orders one part of many.
func (m *model) quick(ctx context.Context, o Options) path {
	const steps = 1 << 20 // of exact search
	if t, ok := m.exact(steps, false); ok {
		return t
	}
	t := m.begin(ctx, o)
	if m.n >= fewest {
		s := newSearcher(ctx, m, t, !m.free(), m.neighbours(), o.Seed)
		t = s.search(2 * m.n)
		if m.free() {
			t = m.better(t)
		}
	}
	m.chooseStarts(t)
	return t
}

// inParallel calls work for 0 to n-1, on as many threads as there are; each
// calls ready for a worker of its own. What work does for one number must not
// depend on the others.
func inParallel(n int, ready func() (work func(k int))) {
	var next atomic.Int64
	var done sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		done.Go(func() {
			work := ready()
			for k := next.Add(1) - 1; k < int64(n); k = next.Add(1) - 1 {
				work(int(k))
			}
		})
	}
	done.Wait()
}

// blocks returns the model whose nodes are groups: each may be come to at a
// few points of nodes that need no other of the group before them, and left
// at a few of those that no other needs.
func (m *model) blocks(members [][]int32, block []int32) *model {
	b := &model{n: len(members), first: make([]int32, len(members)+1), rank: make([]int32, len(members)),
		feed: m.feed, accel: m.accel, lift: m.lift}
	inside := func(v int32, others []int32) bool {
		return slices.ContainsFunc(others, func(w int32) bool { return block[v] == block[w] })
	}
	for g, list := range members {
		b.rank[g] = m.rank[list[0]]
		var heads, tails []int32
		for _, v := range list {
			if !inside(v, m.prec.before(v)) {
				heads = append(heads, v)
			}
			if !inside(v, m.prec.after(v)) {
				tails = append(tails, v)
			}
		}
		for _, p := range m.corners(heads) {
			for _, q := range m.corners(tails) {
				b.place(int32(g), geom.Pt(m.sx[p], m.sy[p]), geom.Pt(m.ex[q], m.ey[q]))
			}
		}
		b.first[g+1] = int32(len(b.sx))
	}
	b.np = int32(len(b.sx))
	b.place(int32(b.n), geom.Point{}, geom.Point{})
	b.setStops(m.startStop(), m.endStop())
	var pairs [][2]int32
	for v := range int32(m.n) {
		for _, w := range m.prec.after(v) {
			if block[v] != block[w] {
				pairs = append(pairs, [2]int32{block[v], block[w]})
			}
		}
	}
	b.prec = packPrecedence(b.n, pairs)
	return b
}

// corners returns up to four points of nodes: those farthest out towards the
// four corners.
func (m *model) corners(nodes []int32) []int32 {
	var out []int32
	for _, way := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		best, at := math.Inf(-1), int32(-1)
		for _, v := range nodes {
			for p := m.first[v]; p < m.first[v+1]; p++ {
				if e := float64(way[0]*m.sx[p]) + float64(way[1]*m.sy[p]); e > best {
					best, at = e, p
				}
			}
		}
		if !slices.Contains(out, at) {
			out = append(out, at)
		}
	}
	slices.Sort(out)
	return out
}
