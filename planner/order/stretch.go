package order

import (
	"context"
	"math/rand/v2"
	"slices"
)

// stretcher improves a path whose costs depend on the direction: two
// stretches that follow each other change places, neither turned round. That
// is the one exchange of three edges that keeps directions (L. Gambardella
// and M. Dorigo 2000). While a stretch grows, the set of nodes that must come
// after it (or before it) grows with it, so whether the exchange keeps the
// precedences is one question of a set for each step.
type stretcher struct {
	m      *model
	ctx    context.Context
	n      int
	order  []int32 // nodes; a leading and a trailing park point (node n)
	pos    []int32
	at     []int32
	c      []float64 // cost from node to node with the points chosen, n+1 wide
	words  int
	before []uint64 // by node: all that must come before it, near or far
	after  []uint64
	grown  []uint64 // scratch: the set of a growing stretch
	cost   float64
	least  float64
	queue  queue
	rand   *rand.Rand
}

func newStretcher(ctx context.Context, m *model, t path, seed int64) *stretcher {
	n := m.n
	s := &stretcher{m: m, ctx: ctx, n: n, c: make([]float64, (n+1)*(n+1)), words: (n + 64) / 64}
	park := int32(n)
	s.order = append(append([]int32{park}, t.order...), park)
	s.pos = make([]int32, n+1)
	s.at = append(slices.Clone(t.at), m.np)
	s.before, s.after = m.closure(s.words)
	s.grown = make([]uint64, s.words)
	s.queue = newQueue(n + 1)
	s.rand = rand.New(rand.NewPCG(uint64(seed), uint64(n)))
	for v := range n + 1 {
		s.price(int32(v))
	}
	s.place(1, n)
	s.cost = m.total(t)
	s.least = max(s.cost, 1) * 0x1p-40
	return s
}

// closure returns for each node the sets of all that come before and after.
// Ranks count as precedences.
func (m *model) closure(words int) (before, after []uint64) {
	before, after = make([]uint64, (m.n+1)*words), make([]uint64, (m.n+1)*words)
	row := func(set []uint64, v int32) []uint64 { return set[int(v)*words : (int(v)+1)*words] }
	sorted := m.prec.sorted(m.n)
	for _, v := range sorted {
		for _, b := range m.prec.before(v) {
			unite(row(before, v), row(before, b))
			row(before, v)[b/64] |= 1 << (b % 64)
		}
	}
	slices.Reverse(sorted)
	for _, v := range sorted {
		for _, a := range m.prec.after(v) {
			unite(row(after, v), row(after, a))
			row(after, v)[a/64] |= 1 << (a % 64)
		}
	}
	for v := range int32(m.n) {
		for w := range int32(m.n) {
			if m.rank[w] < m.rank[v] {
				row(before, v)[w/64] |= 1 << (w % 64)
				row(after, w)[v/64] |= 1 << (v % 64)
			}
		}
	}
	return before, after
}

func unite(a, b []uint64) {
	for k := range a {
		a[k] |= b[k]
	}
}

// price sets the costs from and to node v.
func (s *stretcher) price(v int32) {
	w := s.n + 1
	for u := range w {
		s.c[int(v)*w+u] = s.m.cost(s.at[v], s.at[u])
		s.c[u*w+int(v)] = s.m.cost(s.at[u], s.at[v])
	}
}

func (s *stretcher) d(a, b int32) float64 { return s.c[int(a)*(s.n+1)+int(b)] }

// place sets the positions of the nodes at places i to j of the order.
func (s *stretcher) place(i, j int) {
	for k := i; k <= j; k++ {
		s.pos[s.order[k]] = int32(k)
	}
}

func (s *stretcher) row(set []uint64, v int32) []uint64 {
	return set[int(v)*s.words : (int(v)+1)*s.words]
}

func holds(set []uint64, v int32) bool { return set[v/64]>>(v%64)&1 != 0 }

// trade is an exchange of the stretches at places i to j and j+1 to k.
type trade struct {
	i, j, k int
	won     float64
}

// wins returns what a trade wins.
func (s *stretcher) wins(i, j, k int) float64 {
	o := s.order
	return s.d(o[i-1], o[i]) + s.d(o[j], o[j+1]) + s.d(o[k], o[k+1]) -
		s.d(o[i-1], o[j+1]) - s.d(o[k], o[i]) - s.d(o[j], o[k+1])
}

// bestAt returns the best trade that takes out the edge before place e.
func (s *stretcher) bestAt(e int) trade {
	best := trade{won: s.least}
	n, o, w := s.n, s.order, s.n+1
	row := func(v int32) []float64 { return s.c[int(v)*w : (int(v)+1)*w] }
	// The edge before the left stretch: it grows to the right, then the right
	// one does.
	if e <= n-1 {
		clear(s.grown)
		i, h := e, o[e-1]
		ch := row(h)
		for j := i; j < n; j++ {
			unite(s.grown, s.row(s.after, o[j]))
			y := o[j+1]
			if ch[y] >= ch[o[i]] {
				continue
			}
			cj := row(o[j])
			base := ch[o[i]] + cj[y] - ch[y] - best.won
			for k := j + 1; k <= n && !holds(s.grown, o[k]); k++ {
				ck, z := row(o[k]), o[k+1]
				if g := base + ck[z] - ck[o[i]] - cj[z]; g > 0 {
					best = trade{i, j, k, s.wins(i, j, k)}
					base = ch[o[i]] + cj[y] - ch[y] - best.won
				}
			}
		}
	}
	// The edge between them: the left one grows to the left.
	if e >= 2 && e <= n {
		clear(s.grown)
		j := e - 1
		y := o[e]
		cj := row(o[j])
		for i := j; i >= 1; i-- {
			unite(s.grown, s.row(s.after, o[i]))
			ch := row(o[i-1])
			if ch[y] >= cj[y] {
				continue
			}
			base := ch[o[i]] + cj[y] - ch[y] - best.won
			for k := e; k <= n && !holds(s.grown, o[k]); k++ {
				ck, z := row(o[k]), o[k+1]
				if g := base + ck[z] - ck[o[i]] - cj[z]; g > 0 {
					best = trade{i, j, k, s.wins(i, j, k)}
					base = ch[o[i]] + cj[y] - ch[y] - best.won
				}
			}
		}
	}
	// The edge after the right stretch: it grows to the left, then the left
	// one does.
	if e >= 3 {
		clear(s.grown)
		k := e - 1
		ck, z := row(o[k]), o[e]
		for j := k - 1; j >= 1; j-- {
			y := o[j+1]
			unite(s.grown, s.row(s.before, y))
			cj := row(o[j])
			if cj[z] >= ck[z] {
				continue
			}
			base := ck[z] + cj[y] - cj[z] - best.won
			for i := j; i >= 1 && !holds(s.grown, o[i]); i-- {
				ch := row(o[i-1])
				if g := base + ch[o[i]] - ch[y] - ck[o[i]]; g > 0 {
					best = trade{i, j, k, s.wins(i, j, k)}
					base = ck[z] + cj[y] - cj[z] - best.won
				}
			}
		}
	}
	return best
}

// make carries a trade out.
func (s *stretcher) make(t trade) {
	o := s.order
	for _, k := range [6]int{t.i - 1, t.i, t.j, t.j + 1, t.k, t.k + 1} {
		s.queue.push(o[k])
	}
	slices.Reverse(o[t.i : t.j+1])
	slices.Reverse(o[t.j+1 : t.k+1])
	slices.Reverse(o[t.i : t.k+1])
	s.place(t.i, t.k)
	s.cost -= t.won
}

// settle trades until no edge in the queue has a trade that wins, then lets
// nodes take other points, and so on.
func (s *stretcher) settle() {
	for {
		for s.queue.size > 0 {
			v := s.queue.pop()
			for again := true; again; {
				again = false
				e := int(s.pos[v])
				if int(v) == s.n {
					e = s.n + 1 // the edge to the park point
				}
				for _, e := range [2]int{e, e + 1} {
					if e > s.n+1 {
						continue
					}
					if t := s.bestAt(e); t.won > s.least {
						s.make(t)
						again = true
						break
					}
				}
			}
		}
		if !s.reseat() {
			return
		}
	}
}

// reseat chooses the points anew and reports whether that won anything.
func (s *stretcher) reseat() bool {
	if int(s.m.np) == s.n {
		return false
	}
	t := path{order: s.order[1 : s.n+1], at: slices.Clone(s.at[:s.n])}
	s.m.chooseStarts(t)
	cost := s.m.total(t)
	if cost >= s.cost-s.least {
		return false
	}
	s.cost = cost
	for v, p := range t.at {
		if s.at[v] != p {
			s.at[v] = p
			s.queue.push(int32(v))
		}
	}
	for v := range t.at {
		if s.queue.in[v] {
			s.price(int32(v))
		}
	}
	return true
}

// search kicks the path so often: up to three trades at random, then settle.
// An outcome is kept if it is dearer than the best by no more than an
// allowance that falls to nothing. It returns the best path.
func (s *stretcher) search(kicks int) path {
	const allowance = 0.02 // of the best cost; measured on the published instances
	for v := range s.n + 1 {
		s.queue.push(int32(v))
	}
	s.settle()
	best, bestCost := s.path(), s.cost
	now, nowCost := s.path(), s.cost
	for k := 0; k < kicks && s.ctx.Err() == nil; k++ {
		if !s.kick() {
			continue
		}
		if k%2 == 0 {
			s.reseat() // before trades by the old points undo the kick
		}
		s.settle()
		left := 1 - float64(k)/float64(kicks)
		switch {
		case s.cost < bestCost-s.least:
			best, bestCost = s.path(), s.cost
			fallthrough
		case s.cost <= nowCost || s.cost < bestCost*(1+allowance*left):
			copy(now.order, s.order[1:])
			copy(now.at, s.at)
			nowCost = s.cost
		default:
			s.restore(now)
			s.cost = nowCost
		}
	}
	return best
}

func (s *stretcher) path() path {
	return path{order: slices.Clone(s.order[1 : s.n+1]), at: slices.Clone(s.at[:s.n])}
}

func (s *stretcher) restore(t path) {
	copy(s.order[1:], t.order)
	s.place(1, s.n)
	for v, p := range t.at {
		if s.at[v] != p {
			s.at[v] = p
			s.price(int32(v))
		}
	}
}

// kick makes one to three trades at random that precedences allow.
func (s *stretcher) kick() bool {
	made := false
	for range 1 + s.rand.IntN(3) {
		for range 10 {
			long := [2]int{8, 40}[s.rand.IntN(2)]
			i := 1 + s.rand.IntN(s.n)
			j := i + s.rand.IntN(min(long, s.n))
			k := j + 1 + s.rand.IntN(min(long, s.n))
			if k <= s.n && s.allowed(i, j, k) {
				s.make(trade{i, j, k, s.wins(i, j, k)})
				made = true
				break
			}
		}
	}
	return made
}

func (s *stretcher) allowed(i, j, k int) bool {
	clear(s.grown)
	for _, v := range s.order[i : j+1] {
		unite(s.grown, s.row(s.after, v))
	}
	for _, v := range s.order[j+1 : k+1] {
		if holds(s.grown, v) {
			return false
		}
	}
	return true
}
