package order

import "slices"

// fragments joins nodes to chains by the shortest edges first and returns for
// every node its at most two partners, -1 for none.
type fragments struct {
	link [][2]int32
	tail []int32 // by node that ends a chain: the chain's other end
}

func newFragments(n int) *fragments {
	f := &fragments{link: make([][2]int32, n), tail: make([]int32, n)}
	for v := range f.link {
		f.link[v] = [2]int32{-1, -1}
		f.tail[v] = int32(v)
	}
	return f
}

func (f *fragments) full(v int32) bool { return f.link[v][1] >= 0 }

// join puts the edge in if that leaves chains, and reports whether it did.
func (f *fragments) join(a, b int32) bool {
	if a == b || f.full(a) || f.full(b) || f.tail[a] == b {
		return false
	}
	f.put(a, b)
	f.put(b, a)
	p, q := f.tail[a], f.tail[b]
	f.tail[p], f.tail[q] = q, p
	return true
}

func (f *fragments) put(a, b int32) {
	if f.link[a][0] < 0 {
		f.link[a][0] = b
	} else {
		f.link[a][1] = b
	}
}

// greedy returns a chain through all nodes 0 to n-1: shortest candidate edges
// first, then the chains' ends joined among each other in the same way.
func greedy(n int, c candidates, x, y []float64, d func(a, b int32) float64) []int32 {
	f := newFragments(n)
	var edges []edge
	for v := range int32(n) {
		list, cost := c.of(v)
		for k, w := range list {
			if v < w || !c.listed(w, v) {
				edges = append(edges, edge{v, w, cost[k]})
			}
		}
	}
	sortEdges(edges)
	chains := n
	for _, e := range edges {
		if f.join(e.a, e.b) {
			chains--
		}
	}
	for chains > 1 {
		chains -= f.joinEnds(x, y, d)
	}
	return f.chain()
}

// listed reports whether w is one of v's candidates.
func (c *candidates) listed(v, w int32) bool {
	return slices.Contains(c.list[c.first[v]:c.first[v+1]], w)
}

// joinEnds joins ends of chains to near ends of other chains and returns how
// many it joined, at least 1.
func (f *fragments) joinEnds(x, y []float64, d func(a, b int32) float64) int {
	// A chain's two ends are one owner, so that an end never finds its own.
	var ends, owner []int32
	var ex, ey []float64
	for v := range f.link {
		if !f.full(int32(v)) {
			ends = append(ends, int32(v))
			owner = append(owner, min(int32(v), f.tail[v]))
			ex, ey = append(ex, x[v]), append(ey, y[v])
		}
	}
	tree := newKdtree(ex, ey)
	var edges []edge
	var out []int32
	for k, v := range ends {
		l := looker{tree: tree, owner: owner, self: owner[k]}
		l.look(ex[k], ey[k])
		out = l.gathered(out[:0])
		for _, o := range out {
			w, u := o, f.tail[o] // both ends of that chain
			if !f.full(w) {
				edges = append(edges, edge{v, w, d(v, w)})
			}
			if u != w {
				edges = append(edges, edge{v, u, d(v, u)})
			}
		}
	}
	sortEdges(edges)
	joined := 0
	for _, e := range edges {
		if f.join(e.a, e.b) {
			joined++
		}
	}
	return joined
}

// chain returns the nodes of the one chain left, from its lower end on.
func (f *fragments) chain() []int32 {
	n := len(f.link)
	v := int32(0)
	for f.full(v) {
		v++
	}
	order, last := make([]int32, 0, n), int32(-1)
	for {
		order = append(order, v)
		w := f.link[v][0]
		if w == last || w < 0 {
			w = f.link[v][1]
		}
		// A chain of two has the same partner on neither side twice: the end
		// is where only the way back is left.
		if w < 0 || w == last {
			return order
		}
		last, v = v, w
	}
}
