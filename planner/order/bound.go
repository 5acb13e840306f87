package order

import (
	"context"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// The bound is that of M. Held and R. Karp (1970, 1971): every order is a
// tree that joins all nodes, with two edges at each, plus an edge from and
// one to the park points. So the least tree plus the least two edges is no
// longer than any order. Adding a weight to every edge at a node adds twice
// that weight to every order but not to every tree; the weights are raised
// where the tree has many edges and lowered where it has one, which lifts the
// bound. Precedences, ranks and groups only make orders longer, and so do
// two points of a node at a distance from each other: each edge counts with
// the least length between any points of its nodes.

// bound returns a length in mm below which no order can be.
func (m *model) bound(ctx context.Context) float64 {
	switch m.n {
	case 0:
		return m.distance(m.np, m.np)
	case 1:
		best := math.Inf(1)
		for p := range m.np {
			best = min(best, m.distance(m.np, p)+m.distance(p, m.np))
		}
		return best
	}
	if int(m.np) > m.n || !m.same || !m.prec.none() {
		return m.choiceBound(ctx)
	}
	g := m.graph()
	w := make([]float64, m.n)
	best, edges := m.tree(g, w)
	g.cluster(edges)
	// On the published boards an order is 4 to 14 % longer than the least tree.
	// Only how fast the weights settle depends on this.
	near := best * 8 / 7
	steps, rounds := rises(m.n)
	for round := range rounds {
		// The weights are found on few edges, but a bound needs all of them:
		// those that the tree takes from outside the few are put in, and the
		// weights settle anew.
		missing := g.add(m, edges)
		if round > 0 && missing == 0 || ctx.Err() != nil {
			break
		}
		g.ascend(w, near, steps)
		var sum float64
		sum, edges = m.tree(g, w)
		best = max(best, sum)
		steps = max(40, steps/3)
	}
	return max(best, 0)
}

// rises is the number of times that the weights are changed, and in how many
// rounds. The first few hundred bring most; on large problems each takes long.
func rises(n int) (steps, rounds int) {
	const work = 4_000_000 // nodes visited
	if n > 8000 {
		return max(60, work/n/2), 2
	}
	return min(1000, work/n), 5
}

// graph is a sparse graph of the nodes, each with edges to those near it.
type graph struct {
	n        int
	pairs    [][2]int32 // the edges, both ways
	first    []int32    // by node, into to and d
	to       []int32
	d        []float64 // mm, least between any points
	from, in []float64 // by node, mm: least from the start, least to the end
	levels   [][]int32 // clusters, finest first: by node, the cluster's name
}

// cluster finds clusters of clusters in the edges of a least tree: what hangs
// together by edges no longer than the median, twice that, four times...
func (g *graph) cluster(tree []edge) {
	tree = slices.Clone(tree)
	sortEdges(tree)
	p := newParts(g.n)
	reach := tree[len(tree)/2].d
	for k := 0; k < len(tree); {
		if tree[k].d > reach {
			level := make([]int32, g.n)
			for v := range level {
				level[v] = p.root(int32(v))
			}
			g.levels = append(g.levels, level)
			reach = max(2*reach, geom.Same)
			for reach < tree[k].d {
				reach *= 2
			}
		}
		for ; k < len(tree) && tree[k].d <= reach; k++ {
			p.join(tree[k].a, tree[k].b)
		}
	}
}

// ascend changes the weights in up to so many steps, each along the number of
// edges that a node has too many, and leaves the best. Node by node this
// hardly moves a cluster that has too few edges as a whole, so every cluster
// has a weight of its own too: on the published boards fl1577 and fl3795 that
// halves the gap (6 and 6 % to 1.5 and 1.7 %, measured).
func (g *graph) ascend(w []float64, near float64, steps int) {
	best := slices.Clone(w)
	deg := make([]int32, g.n)
	way := make([]float64, g.n)
	many := make([]float64, g.n)
	p := newPrim(g.n)
	high := math.Inf(-1)
	stretch, idle := 1.0, 0
	for range steps {
		sum := p.grow(g, w, deg)
		if sum > high {
			high, idle = sum, 0
			copy(best, w)
		} else if idle++; idle == 30 {
			stretch, idle = stretch/2, 0
			if stretch < 0x1p-10 {
				break
			}
			copy(w, best)
			continue
		}
		norm := 0.0
		for v, d := range deg {
			e := float64(d - 2)
			way[v] = 0.4*way[v] + e
			norm += e * e
		}
		for _, level := range g.levels {
			clear(many)
			for v, c := range level {
				many[c] += float64(deg[v] - 2)
			}
			for v, c := range level {
				way[v] += many[c]
			}
			for _, e := range many {
				norm += e * e
			}
		}
		if norm == 0 {
			break // a tree with two edges everywhere is an order
		}
		// B. Polyak's step, towards the length of an order.
		step := stretch * max(near-sum, near/100) / norm
		for v := range way {
			w[v] += float64(step * way[v])
		}
	}
	copy(w, best)
}

// prim grows least trees.
type prim struct {
	key   []float64
	up    []int32
	heap  []int32
	place []int32 // in the heap; -1 not seen, -2 in the tree
}

func newPrim(n int) *prim {
	return &prim{key: make([]float64, n), up: make([]int32, n), place: make([]int32, n)}
}

// grow returns the bound that weights w give on the graph and counts in deg
// the edges at each node, those to the ends of the path included.
func (p *prim) grow(g *graph, w []float64, deg []int32) float64 {
	for v := range p.place {
		p.place[v] = -1
		deg[v] = 0
	}
	sum := 0.0
	p.heap = append(p.heap[:0], 0)
	p.key[0], p.up[0], p.place[0] = 0, -1, 0
	for len(p.heap) > 0 {
		v := p.pop()
		sum -= 2 * w[v]
		if u := p.up[v]; u >= 0 {
			deg[u]++
			deg[v]++
			sum += p.key[v]
		}
		for k := g.first[v]; k < g.first[v+1]; k++ {
			x := g.to[k]
			if p.place[x] == -2 {
				continue
			}
			e := g.d[k] + w[v] + w[x]
			if p.place[x] == -1 {
				p.place[x] = int32(len(p.heap))
				p.heap = append(p.heap, x)
			} else if e >= p.key[x] {
				continue
			}
			p.key[x], p.up[x] = e, v
			p.rise(p.place[x])
		}
	}
	ends, a, b := g.ends(w)
	deg[a]++
	deg[b]++
	return sum + ends
}

func (p *prim) rise(k int32) {
	v := p.heap[k]
	e := p.key[v]
	for k > 0 {
		u := (k - 1) / 2
		x := p.heap[u]
		if p.key[x] <= e {
			break
		}
		p.heap[k], p.place[x] = x, k
		k = u
	}
	p.heap[k], p.place[v] = v, k
}

func (p *prim) pop() int32 {
	top := p.heap[0]
	p.place[top] = -2
	n := int32(len(p.heap) - 1)
	v := p.heap[n]
	p.heap = p.heap[:n]
	if n == 0 {
		return top
	}
	e := p.key[v]
	k := int32(0)
	for {
		c := 2*k + 1
		if c >= n {
			break
		}
		if c+1 < n && p.key[p.heap[c+1]] < p.key[p.heap[c]] {
			c++
		}
		x := p.heap[c]
		if p.key[x] >= e {
			break
		}
		p.heap[k], p.place[x] = x, k
		k = c
	}
	p.heap[k], p.place[v] = v, k
	return top
}

// ends returns the least cost with weights of an edge from the start to a
// node and of one from another node to the end, and the two nodes.
func (g *graph) ends(w []float64) (sum float64, a, b int32) {
	a1, a2 := least2(g.from, w)
	b1, b2 := least2(g.in, w)
	if a1 != b1 {
		return g.from[a1] + w[a1] + g.in[b1] + w[b1], a1, b1
	}
	x := g.from[a1] + w[a1] + g.in[b2] + w[b2]
	y := g.from[a2] + w[a2] + g.in[b1] + w[b1]
	if x <= y {
		return x, a1, b2
	}
	return y, a2, b1
}

// least2 returns the nodes of the least and the second least d + w.
func least2(d, w []float64) (a, b int32) {
	a, b = -1, -1
	for v := range int32(len(d)) {
		e := d[v] + w[v]
		switch {
		case a < 0 || e < d[a]+w[a]:
			a, b = v, a
		case b < 0 || e < d[b]+w[b]:
			b = v
		}
	}
	return a, b
}
