package order

import (
	"math"
	"slices"
)

// graph returns the sparse graph for finding weights: candidates and a tree
// that joins them all.
func (m *model) graph() *graph {
	g := &graph{n: m.n, from: make([]float64, m.n), in: make([]float64, m.n)}
	for v := range g.from {
		g.from[v], g.in[v] = math.Inf(1), math.Inf(1)
		for p := m.first[v]; p < m.first[v+1]; p++ {
			g.from[v] = min(g.from[v], m.distance(m.np, p))
			g.in[v] = min(g.in[v], m.distance(p, m.np))
		}
	}
	c := m.neighbours()
	for v := range int32(m.n) {
		list, _ := c.of(v)
		for _, w := range list {
			if v < w || !c.listed(w, v) {
				g.pairs = append(g.pairs, [2]int32{v, w}, [2]int32{w, v})
			}
		}
	}
	g.pack(m)
	return g
}

// pack makes the lists from the pairs.
func (g *graph) pack(m *model) {
	p := packPrecedence(g.n, g.pairs)
	g.first, g.to = p.sucFirst, p.suc
	g.d = make([]float64, len(g.to))
	for v := range int32(g.n) {
		for k := g.first[v]; k < g.first[v+1]; k++ {
			g.d[k] = m.apart(v, g.to[k])
		}
	}
}

func (g *graph) has(v, w int32) bool { return slices.Contains(g.to[g.first[v]:g.first[v+1]], w) }

// add puts those edges in that the graph does not have and returns how many.
func (g *graph) add(m *model, edges []edge) int {
	added := 0
	for _, e := range edges {
		if !g.has(e.a, e.b) {
			g.pairs = append(g.pairs, [2]int32{e.a, e.b}, [2]int32{e.b, e.a})
			added++
		}
	}
	if added > 0 {
		g.pack(m)
	}
	return added
}

// apart returns the least distance between two nodes, over their points and
// both directions.
func (m *model) apart(v, w int32) float64 {
	best := math.Inf(1)
	for p := m.first[v]; p < m.first[v+1]; p++ {
		for q := m.first[w]; q < m.first[w+1]; q++ {
			best = min(best, m.distance(p, q))
			if !m.same {
				best = min(best, m.distance(q, p))
			}
		}
	}
	return best
}

// tree returns the bound that weights give over all edges, mm.
func (m *model) tree(g *graph, w []float64) (float64, []edge) {
	sum, _, _ := g.ends(w)
	edges := m.span(g, w)
	for _, e := range edges {
		sum += e.d
	}
	for _, x := range w {
		sum -= 2 * x
	}
	return sum, edges
}

// span returns the n-1 edges of the least tree over all edges, each as long
// as the nodes are apart plus the weights of both: O. Boruvka's way, each
// tree in turn taking its least edge to another, found in a tree of boxes.
func (m *model) span(g *graph, w []float64) []edge {
	b := &spanner{m: m, w: w, part: make([]int32, m.n)}
	for v := range b.part {
		b.part[v] = int32(v)
	}
	b.starts = newKdtree(m.sx[:m.np], m.sy[:m.np])
	b.low = b.lowest(b.starts)
	if !m.same {
		b.ends = newKdtree(m.ex[:m.np], m.ey[:m.np])
		b.lowEnds = b.lowest(b.ends)
	}
	var out []edge
	best := make([]edge, m.n)
	f := newParts(m.n)
	for len(out) < m.n-1 {
		for v := range best {
			best[v] = edge{-1, -1, math.Inf(1)}
		}
		b.pure(b.starts, &b.only)
		if b.ends != nil {
			b.pure(b.ends, &b.onlyEnds)
		}
		for v := range int32(m.n) {
			e := &best[b.part[v]]
			b.v = v
			// Edges of the sparse graph first: most often the least is there.
			for k := g.first[v]; k < g.first[v+1]; k++ {
				if u := g.to[k]; b.part[u] != b.part[v] {
					e.lower(v, u, g.d[k]+w[v]+w[u])
				}
			}
			for p := m.first[v]; p < m.first[v+1]; p++ {
				b.look(b.starts, b.low, b.only, m.ex[p], m.ey[p], e)
				if b.ends != nil {
					b.look(b.ends, b.lowEnds, b.onlyEnds, m.sx[p], m.sy[p], e)
				}
			}
		}
		for _, e := range best {
			if e.a >= 0 && f.join(e.a, e.b) {
				out = append(out, e)
			}
		}
		for v := range b.part {
			b.part[v] = f.root(int32(v))
		}
	}
	return out
}

// spanner looks for the least edge from one tree to another.
type spanner struct {
	m              *model
	w              []float64
	part           []int32 // by node: which tree it is in
	starts, ends   *kdtree
	low, lowEnds   []float64 // by box: the least weight of a node in it
	only, onlyEnds []int32   // by box: the one tree all its points are in, or -1
	v              int32
}

func (b *spanner) lowest(t *kdtree) []float64 {
	low := make([]float64, len(t.boxes))
	for k := len(low) - 1; k >= 0; k-- {
		low[k] = math.Inf(1)
		if 2*k+2 < len(low) {
			low[k] = min(low[2*k+1], low[2*k+2])
			continue
		}
		for _, p := range t.id[t.boxes[k].lo:t.boxes[k].hi] {
			low[k] = min(low[k], b.w[b.m.owner[p]])
		}
	}
	return low
}

// pure fills in for every box the tree that all its points are in; -2 for an
// empty box.
func (b *spanner) pure(t *kdtree, only *[]int32) {
	if *only == nil {
		*only = make([]int32, len(t.boxes))
	}
	o := *only
	both := func(x, y int32) int32 {
		switch {
		case x == -2:
			return y
		case y == -2 || x == y:
			return x
		}
		return -1
	}
	for k := len(o) - 1; k >= 0; k-- {
		o[k] = -2
		if 2*k+2 < len(o) {
			o[k] = both(o[2*k+1], o[2*k+2])
			continue
		}
		for _, p := range t.id[t.boxes[k].lo:t.boxes[k].hi] {
			o[k] = both(o[k], b.part[b.m.owner[p]])
		}
	}
}

// look lowers e to the least edge from place (x, y) of node v to a node of
// another tree.
func (b *spanner) look(t *kdtree, low []float64, only []int32, x, y float64, e *edge) {
	b.visit(t, low, only, 0, t.depth, x, y, e)
}

func (b *spanner) visit(t *kdtree, low []float64, only []int32, k, depth int, x, y float64, e *edge) {
	mine, wv := b.part[b.v], b.w[b.v]
	box := &t.boxes[k]
	if only[k] == mine || only[k] == -2 {
		return
	}
	if room := e.d - wv - low[k]; room < 0 || box.gap2(x, y) > float64(room*room) {
		return
	}
	if depth > 0 {
		i, j := 2*k+1, 2*k+2
		if t.boxes[j].gap2(x, y) < t.boxes[i].gap2(x, y) {
			i, j = j, i
		}
		b.visit(t, low, only, i, depth-1, x, y, e)
		b.visit(t, low, only, j, depth-1, x, y, e)
		return
	}
	for i := box.lo; i < box.hi; i++ {
		u := b.m.owner[t.id[i]]
		if b.part[u] == mine {
			continue
		}
		dx, dy := t.x[i]-x, t.y[i]-y
		e.lower(b.v, u, math.Sqrt(float64(dx*dx)+float64(dy*dy))+wv+b.w[u])
	}
}

// lower takes the edge between v and u if it is shorter; ties by number.
func (e *edge) lower(v, u int32, d float64) {
	if d > e.d {
		return
	}
	p, q := min(v, u), max(v, u)
	if d < e.d || p < e.a || p == e.a && q < e.b {
		*e = edge{p, q, d}
	}
}

// parts joins trees.
type parts struct{ up []int32 }

func newParts(n int) *parts {
	p := &parts{make([]int32, n)}
	for v := range p.up {
		p.up[v] = int32(v)
	}
	return p
}

func (p *parts) root(v int32) int32 {
	for p.up[v] != v {
		p.up[v] = p.up[p.up[v]]
		v = p.up[v]
	}
	return v
}

func (p *parts) join(a, b int32) bool {
	a, b = p.root(a), p.root(b)
	if a == b {
		return false
	}
	p.up[max(a, b)] = min(a, b)
	return true
}
