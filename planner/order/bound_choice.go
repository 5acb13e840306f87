package order

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Where a cut may begin in several places, or ends elsewhere than it began, a
// tree over the nodes is far under every order: it comes to an outline at one
// corner and leaves it at another for nothing. So every point has a weight for
// leaving it and one for coming to it. An order leaves and comes to one point
// of each node, so it pays that point's two weights; the tree pays for what it
// uses, and gets back for each node the most that any of its points has. The
// weights are raised where the tree comes or leaves too often and lowered at
// the point that pays most: the bound rises to that of an order which leaves a
// node where it came to it. (The relaxation of M. Held and R. Karp for nodes
// with a choice; C. Noon and J. Bean 1991 relax the generalised problem in a
// like way.) Ways that precedences or ranks forbid are left out, and so are those
// from the start to a cut that must come after another and from a cut that must
// come before another to the end. Measured on plates of 24 to 800 cuts with
// four to twelve points for an outline: 15 to 18 % under the best order found,
// where one weight for each node gave 26 to 37.

// weights are those of one point, mm.
type weights struct{ leave, come float64 }

// way is a rapid from a point of one node to a point of another.
type way struct {
	from, to int32 // points
	d        float64
}

// ways is a sparse graph of rapids.
type ways struct {
	m      *model
	all    []way
	first  []int32 // by node, into of: the ways from or to it
	of     []int32
	levels [][]int32 // clusters, see graph
}

// mayFollow reports whether node v may come right after node u, as far as one
// look tells.
func (m *model) mayFollow(u, v int32) bool {
	return m.rank[u] <= m.rank[v] && !slices.Contains(m.prec.after(v), u)
}

// choiceBound is bound for nodes with a choice of points or ends elsewhere.
func (m *model) choiceBound(ctx context.Context) float64 {
	w := make([]weights, m.np)
	if m.n > many {
		best, _ := m.choiceTree(m.fewWays(), w)
		return max(best, 0)
	}
	g := m.ways()
	best, edges := m.choiceTree(g, w)
	g.cluster(edges)
	steps, rounds := choiceRises(len(g.of))
	for round := range rounds {
		// As in bound: what the tree takes from outside the few is put in.
		missing := g.add(edges)
		if round > 0 && missing == 0 || ctx.Err() != nil {
			break
		}
		g.ascend(w, best, steps)
		var sum float64
		sum, edges = m.choiceTree(g, w)
		best = max(best, sum)
		steps = max(20, steps/3)
	}
	return max(best, 0)
}

// choiceRises is the number of times that the weights are changed, and in how
// many rounds.
func choiceRises(ways int) (steps, rounds int) {
	const work = 60_000_000 // ways looked at
	return max(100, min(1000, work/ways)), 4
}

// many nodes get the bound of the least tree alone: a few changes of the
// weights do not lift it (measured on 20,000 cuts: after 40, at four times the
// time, it was lower), and hundreds cost more than the rest of the plan.
const many = 8000

// fewWays returns ways from each point to a few of the nodes near its own and
// back, only to have short ones at hand.
func (m *model) fewWays() *ways {
	const few = 4
	g := &ways{m: m}
	near := m.neighbours()
	for v := range int32(m.n) {
		list, _ := near.of(v)
		for _, u := range list[:min(few, len(list))] {
			least := way{-1, -1, math.Inf(1)}
			for p := m.first[v]; p < m.first[v+1]; p++ {
				for q := m.first[u]; q < m.first[u+1]; q++ {
					if d := m.distance(p, q); d < least.d && m.mayFollow(v, u) {
						least = way{p, q, d}
					}
					if d := m.distance(q, p); d < least.d && m.mayFollow(u, v) {
						least = way{q, p, d}
					}
				}
			}
			if least.from >= 0 {
				g.all = append(g.all, least)
			}
		}
	}
	return g
}

// ways returns the graph of rapids from each point to the starts nearest to
// its end, and to each point from the ends nearest to its start.
func (m *model) ways() *ways {
	g := &ways{m: m}
	starts := newKdtree(m.sx[:m.np], m.sy[:m.np])
	ends := newKdtree(m.ex[:m.np], m.ey[:m.np])
	var out []int32
	const perQ, most = 1, 4 + nearestKept
	for p := range m.np {
		// The nodes near it, then the point of each that is nearest.
		for _, leaving := range [2]bool{true, false} {
			l := looker{tree: starts, owner: m.owner, self: m.owner[p], perQ: perQ}
			x, y := m.ex[p], m.ey[p]
			if !leaving {
				l.tree, x, y = ends, m.sx[p], m.sy[p]
			}
			l.look(x, y)
			out = l.gathered(out[:0])
			for _, v := range out[:min(most, len(out))] {
				best, at := math.Inf(1), int32(-1)
				for q := m.first[v]; q < m.first[v+1]; q++ {
					d := m.distance(p, q)
					if !leaving {
						d = m.distance(q, p)
					}
					if d < best {
						best, at = d, q
					}
				}
				w := way{p, at, best}
				if !leaving {
					w.from, w.to = at, p
				}
				if m.mayFollow(m.owner[w.from], m.owner[w.to]) {
					g.all = append(g.all, w)
				}
			}
		}
	}
	slices.SortFunc(g.all, func(a, b way) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	g.all = slices.Compact(g.all) // each may be found from both its points
	g.pack()
	return g
}

func (g *ways) has(w way) bool {
	v := g.m.owner[w.from]
	return slices.ContainsFunc(g.of[g.first[v]:g.first[v+1]], func(k int32) bool { return g.all[k].from == w.from && g.all[k].to == w.to })
}

// pack makes the lists by node.
func (g *ways) pack() {
	m := g.m
	g.first = make([]int32, m.n+1)
	for _, w := range g.all {
		g.first[m.owner[w.from]]++
		g.first[m.owner[w.to]]++
	}
	sum := int32(0)
	for v := range g.first {
		g.first[v], sum = sum, sum+g.first[v]
	}
	g.of = make([]int32, sum)
	at := slices.Clone(g.first)
	for k, w := range g.all {
		for _, v := range [2]int32{m.owner[w.from], m.owner[w.to]} {
			g.of[at[v]] = int32(k)
			at[v]++
		}
	}
}

// add puts those ways in that the graph does not have and returns how many.
func (g *ways) add(tree []way) int {
	added := 0
	for _, w := range tree {
		if !g.has(w) {
			g.all = append(g.all, w)
			added++
		}
	}
	if added > 0 {
		g.pack()
	}
	return added
}

// cluster finds clusters in a least tree, as graph.cluster does.
func (g *ways) cluster(tree []way) {
	h := graph{n: g.m.n}
	edges := make([]edge, len(tree))
	for k, w := range tree {
		edges[k] = edge{g.m.owner[w.from], g.m.owner[w.to], w.d}
	}
	h.cluster(edges)
	// A node's points are a cluster too.
	each := make([]int32, g.m.n)
	for v := range each {
		each[v] = int32(v)
	}
	g.levels = append([][]int32{each}, h.levels...)
}

// ascend changes the weights in up to so many steps and leaves the best.
func (g *ways) ascend(w []weights, low float64, steps int) {
	m := g.m
	best := slices.Clone(w)
	used := make([]weights, m.np) // how often too many
	move := make([]weights, m.np)
	sums, deg := make([]float64, m.n), make([]float64, m.n)
	p := newPrim(m.n)
	high, idle, stretch := math.Inf(-1), 0, 1.0
	near := low * 3 / 2
	for range steps {
		sum := g.grow(p, w, used)
		near = max(near, sum*1.01)
		if sum > high {
			high, idle = sum, 0
			copy(best, w)
		} else if idle++; idle == 20 {
			stretch, idle = stretch/2, 0
			if stretch < 0x1p-10 {
				break
			}
			copy(w, best)
			clear(move)
			continue
		}
		norm := 0.0
		clear(deg)
		for q, u := range used {
			move[q].leave = 0.4*move[q].leave + u.leave
			move[q].come = 0.4*move[q].come + u.come
			norm += u.leave*u.leave + u.come*u.come
			deg[m.owner[q]] += u.leave + u.come
		}
		if norm == 0 {
			break // the tree is an order
		}
		for _, level := range g.levels {
			clear(sums)
			for v, c := range level {
				sums[c] += deg[v]
			}
			for v, c := range level {
				for q := m.first[v]; q < m.first[v+1]; q++ {
					move[q].leave += sums[c] / 2
					move[q].come += sums[c] / 2
				}
			}
			for _, e := range sums {
				norm += e * e / 2
			}
		}
		step := stretch * max(near-sum, near/100) / norm
		for q := range move {
			w[q].leave += float64(step * move[q].leave)
			w[q].come += float64(step * move[q].come)
		}
	}
	copy(w, best)
}

// back returns what the weights give back, and notes in used the point of each
// node that gets it.
func (m *model) back(w []weights, used []weights) (sum float64) {
	for v := range m.n {
		best, at := math.Inf(-1), int32(-1)
		for q := m.first[v]; q < m.first[v+1]; q++ {
			if e := w[q].leave + w[q].come; e > best {
				best, at = e, q
			}
		}
		sum += best
		if used != nil {
			used[at].leave--
			used[at].come--
		}
	}
	return sum
}

// grow returns the bound that weights give on the graph and counts in used how
// often each point is left and come to beyond once, if it is the one that is
// paid for, or beyond never.
func (g *ways) grow(p *prim, w []weights, used []weights) float64 {
	m := g.m
	for v := range p.place {
		p.place[v] = -1
	}
	clear(used)
	sum := -m.back(w, used)
	p.heap = append(p.heap[:0], 0)
	p.key[0], p.up[0], p.place[0] = 0, -1, 0
	for len(p.heap) > 0 {
		v := p.pop()
		if k := p.up[v]; k >= 0 {
			used[g.all[k].from].leave++
			used[g.all[k].to].come++
			sum += p.key[v]
		}
		for _, k := range g.of[g.first[v]:g.first[v+1]] {
			a := &g.all[k]
			x := m.owner[a.from]
			if x == v {
				x = m.owner[a.to]
			}
			if p.place[x] == -2 {
				continue
			}
			e := a.d + w[a.from].leave + w[a.to].come
			if p.place[x] == -1 {
				p.place[x] = int32(len(p.heap))
				p.heap = append(p.heap, x)
			} else if e >= p.key[x] {
				continue
			}
			p.key[x], p.up[x] = e, k
			p.rise(p.place[x])
		}
	}
	ends, a, b := m.choiceEnds(w)
	used[a].come++
	used[b].leave++
	return sum + ends
}

// choiceEnds returns the least cost with weights of a rapid from the start to
// a node and of one from another node to the end, and the two points.
func (m *model) choiceEnds(w []weights) (sum float64, a, b int32) {
	a1, a2 := m.least2(func(q int32) float64 { return m.distance(m.np, q) + w[q].come }, m.prec.before)
	b1, b2 := m.least2(func(q int32) float64 { return m.distance(q, m.np) + w[q].leave }, m.prec.after)
	cost := func(a, b int32) float64 {
		if a < 0 || b < 0 {
			return math.Inf(1)
		}
		return m.distance(m.np, a) + w[a].come + m.distance(b, m.np) + w[b].leave
	}
	if m.owner[a1] != m.owner[b1] {
		return cost(a1, b1), a1, b1
	}
	x, y := cost(a1, b2), cost(a2, b1)
	if x <= y {
		return x, a1, b2
	}
	return y, a2, b1
}

// least2 returns the best points of the best two nodes of which none must
// come before (or after) another; -1 for none.
func (m *model) least2(cost func(q int32) float64, others func(v int32) []int32) (a, b int32) {
	a, b = -1, -1
	ca, cb := math.Inf(1), math.Inf(1)
	for v := range int32(m.n) {
		if len(others(v)) > 0 {
			continue
		}
		best, at := math.Inf(1), int32(-1)
		for q := m.first[v]; q < m.first[v+1]; q++ {
			if c := cost(q); c < best {
				best, at = c, q
			}
		}
		switch {
		case best < ca:
			a, b, ca, cb = at, a, best, ca
		case best < cb:
			b, cb = at, best
		}
	}
	return a, b
}
