package order

import (
	"cmp"
	"math"
	"slices"
)

// Lists of the nearest alone fail on boards of rows and clusters: no list
// reaches the next row. Five nearest and three in each quadrant do reach it
// (measured on the published boards d1291, fl1577 and fl3795).
const (
	nearestKept  = 5
	quadrantKept = 3
)

// candidates holds for every node its promising neighbours, nearest first.
type candidates struct {
	first []int32
	list  []int32
	d     []float64 // what the edge from the node to that neighbour costs
	// The other way round: in whose lists a node is. Only made if costs can
	// change.
	usedFirst, used []int32
}

// index makes the lists of who lists a node.
func (c *candidates) index() {
	n := len(c.first) - 1
	pairs := make([][2]int32, 0, len(c.list))
	for v := range n {
		for _, w := range c.list[c.first[v]:c.first[v+1]] {
			pairs = append(pairs, [2]int32{w, int32(v)})
		}
	}
	p := packPrecedence(n, pairs)
	c.usedFirst, c.used = p.sucFirst, p.suc
}

// lists returns the nodes that have v among their candidates.
func (c *candidates) lists(v int32) []int32 { return c.used[c.usedFirst[v]:c.usedFirst[v+1]] }

// reprice sets the cost of the edge from v to its candidate w.
func (c *candidates) reprice(v, w int32, e float64) {
	list, d := c.of(v)
	k := slices.Index(list, w)
	for ; k > 0 && (d[k-1] > e || d[k-1] == e && list[k-1] > w); k-- {
		d[k], list[k] = d[k-1], list[k-1]
	}
	for ; k+1 < len(d) && (d[k+1] < e || d[k+1] == e && list[k+1] < w); k++ {
		d[k], list[k] = d[k+1], list[k+1]
	}
	d[k], list[k] = e, w
}

// of returns a node's neighbours and what the edges to them cost.
func (c *candidates) of(v int32) ([]int32, []float64) {
	i, j := c.first[v], c.first[v+1]
	return c.list[i:j], c.d[i:j]
}

// price sets the costs of the edges from node v and puts them in order.
func (c *candidates) price(v int32, cost func(a, b int32) float64) {
	list, d := c.of(v)
	for k, w := range list {
		e := cost(v, w)
		i := k
		for ; i > 0 && (d[i-1] > e || d[i-1] == e && list[i-1] > w); i-- {
			d[i], list[i] = d[i-1], list[i-1]
		}
		d[i], list[i] = e, w
	}
}

// near is a list of the k nearest, nearest first; ties by number.
type near struct {
	d2 [nearestKept]float64
	id [nearestKept]int32
	n  int
}

// offer puts a node in the list if it is among the k nearest. A node that is
// there already keeps its lesser distance.
func (l *near) offer(id int32, d2 float64, k int) {
	at := l.n
	for i := range l.n {
		if l.id[i] == id {
			if l.d2[i] <= d2 {
				return
			}
			at = i
			break
		}
	}
	if at == l.n {
		if l.n == k {
			if d2 > l.d2[k-1] || d2 == l.d2[k-1] && id > l.id[k-1] {
				return
			}
			at = k - 1
		} else {
			l.n++
		}
	}
	for ; at > 0 && (d2 < l.d2[at-1] || d2 == l.d2[at-1] && id < l.id[at-1]); at-- {
		l.d2[at], l.id[at] = l.d2[at-1], l.id[at-1]
	}
	l.d2[at], l.id[at] = d2, id
}

// reach returns the square of the distance from which on nothing is taken.
func (l *near) reach(k int) float64 {
	if l.n < k {
		return math.Inf(1)
	}
	return l.d2[k-1]
}

// looker gathers the neighbours of one node.
type looker struct {
	tree  *kdtree
	owner []int32 // node of each point of the tree; nil: the point itself
	self  int32
	x, y  float64
	all   near
	quad  [4]near
	perQ  int
}

// look adds the neighbours of the place (x, y).
func (l *looker) look(x, y float64) {
	l.x, l.y = x, y
	l.visit(0, l.tree.depth)
}

// wanted reports whether a box may hold a neighbour still wanted.
func (l *looker) wanted(b *kdbox) bool {
	if b.lo == b.hi {
		return false
	}
	g := b.gap2(l.x, l.y)
	if g <= l.all.reach(nearestKept) {
		return true
	}
	if l.perQ == 0 {
		return false
	}
	right, left := b.x1 >= l.x, b.x0 < l.x
	up, down := b.y1 >= l.y, b.y0 < l.y
	return right && up && g <= l.quad[0].reach(l.perQ) || left && up && g <= l.quad[1].reach(l.perQ) ||
		left && down && g <= l.quad[2].reach(l.perQ) || right && down && g <= l.quad[3].reach(l.perQ)
}

func (l *looker) visit(k int, depth int) {
	b := &l.tree.boxes[k]
	if !l.wanted(b) {
		return
	}
	if depth > 0 {
		a, c := 2*k+1, 2*k+2
		if l.tree.boxes[c].gap2(l.x, l.y) < l.tree.boxes[a].gap2(l.x, l.y) {
			a, c = c, a
		}
		l.visit(a, depth-1)
		l.visit(c, depth-1)
		return
	}
	for i := b.lo; i < b.hi; i++ {
		id := l.tree.id[i]
		if l.owner != nil {
			id = l.owner[id]
		}
		if id == l.self {
			continue
		}
		dx, dy := l.tree.x[i]-l.x, l.tree.y[i]-l.y
		d2 := float64(dx*dx) + float64(dy*dy)
		l.all.offer(id, d2, nearestKept)
		if l.perQ > 0 {
			q := 0
			switch {
			case dx < 0 && dy >= 0:
				q = 1
			case dx < 0:
				q = 2
			case dy < 0:
				q = 3
			}
			l.quad[q].offer(id, d2, l.perQ)
		}
	}
}

// gathered appends the nodes found, nearest first, each once.
func (l *looker) gathered(out []int32) []int32 {
	var d2 [nearestKept + 4*nearestKept]float64
	start := len(out)
	add := func(n *near) {
	next:
		for i := range n.n {
			for k, id := range out[start:] {
				if id == n.id[i] {
					d2[k] = min(d2[k], n.d2[i])
					continue next
				}
			}
			d2[len(out)-start] = n.d2[i]
			out = append(out, n.id[i])
		}
	}
	add(&l.all)
	for q := range l.quad {
		add(&l.quad[q])
	}
	// Insertion sort: at most 25, and nearly in order.
	ids := out[start:]
	for i := 1; i < len(ids); i++ {
		for k := i; k > 0 && (d2[k] < d2[k-1] || d2[k] == d2[k-1] && ids[k] < ids[k-1]); k-- {
			d2[k], d2[k-1] = d2[k-1], d2[k]
			ids[k], ids[k-1] = ids[k-1], ids[k]
		}
	}
	return out
}

// places are points of nodes: where a node may be entered or left.
type places struct {
	x, y  []float64
	owner []int32 // by point, not falling
}

// neighbours lists the candidates of nodes 0 to n-1.
func neighbours(n int, at places) candidates {
	// The two ends of the path have no candidates.
	c := candidates{first: make([]int32, n+3), list: make([]int32, 0, 10*n)}
	if len(at.x) == 0 {
		return c
	}
	tree := newKdtree(at.x, at.y)
	p := 0
	for v := range int32(n) {
		l := looker{tree: tree, owner: at.owner, self: v, perQ: quadrantKept}
		for ; p < len(at.x) && at.owner[p] == v; p++ {
			l.look(at.x[p], at.y[p])
		}
		c.list = l.gathered(c.list)
		c.first[v+1] = int32(len(c.list))
	}
	c.first[n+1], c.first[n+2] = c.first[n], c.first[n]
	c.d = make([]float64, len(c.list))
	return c
}

// edge is a pair of nodes with its length.
type edge struct {
	a, b int32
	d    float64
}

func sortEdges(e []edge) {
	slices.SortFunc(e, func(p, q edge) int {
		return cmp.Or(cmp.Compare(p.d, q.d), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
}
