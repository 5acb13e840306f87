package order

import "math"

// choiceTree returns the bound that weights give over all rapids, mm, and the
// least tree over the nodes: O. Boruvka's way, as in span.
func (m *model) choiceTree(g *ways, w []weights) (float64, []way) {
	b := &reacher{m: m, w: w, part: make([]int32, m.n)}
	for v := range b.part {
		b.part[v] = int32(v)
	}
	b.starts = newReach(m.sx[:m.np], m.sy[:m.np], func(q int32) float64 { return w[q].come })
	b.ends = newReach(m.ex[:m.np], m.ey[:m.np], func(q int32) float64 { return w[q].leave })
	sum := -m.back(w, nil)
	ends, _, _ := m.choiceEnds(w)
	sum += ends
	var out []way
	best := make([]way, m.n)
	f := newParts(m.n)
	for len(out) < m.n-1 {
		for v := range best {
			best[v] = way{-1, -1, math.Inf(1)}
		}
		b.pure(&b.starts)
		b.pure(&b.ends)
		// Ways of the sparse graph first: most often the least is there.
		for _, a := range g.all {
			u, v := b.part[m.owner[a.from]], b.part[m.owner[a.to]]
			if u != v {
				a.d += w[a.from].leave + w[a.to].come
				best[u].lower(a)
				best[v].lower(a)
			}
		}
		for v := range int32(m.n) {
			e := &best[b.part[v]]
			b.v = v
			for q := m.first[v]; q < m.first[v+1]; q++ {
				b.at, b.leaving, b.x, b.y, b.own = q, true, m.ex[q], m.ey[q], w[q].leave
				b.visit(&b.starts, 0, b.starts.depth, e)
				b.leaving, b.x, b.y, b.own = false, m.sx[q], m.sy[q], w[q].come
				b.visit(&b.ends, 0, b.ends.depth, e)
			}
		}
		for _, e := range best {
			if e.from >= 0 && f.join(m.owner[e.from], m.owner[e.to]) {
				out = append(out, e)
				sum += e.d
			}
		}
		for v := range b.part {
			b.part[v] = f.root(int32(v))
		}
	}
	for k := range out {
		out[k].d = m.distance(out[k].from, out[k].to)
	}
	return sum, out
}

// reach is a tree of boxes of points that have weights.
type reach struct {
	*kdtree
	weight []float64 // by point
	low    []float64 // by box: the least weight in it
	only   []int32   // by box: the one tree all its points are in, -1 for several, -2 for none
}

func newReach(x, y []float64, weight func(q int32) float64) reach {
	r := reach{kdtree: newKdtree(x, y), weight: make([]float64, len(x))}
	for q := range r.weight {
		r.weight[q] = weight(int32(q))
	}
	r.low, r.only = make([]float64, len(r.boxes)), make([]int32, len(r.boxes))
	for k := len(r.low) - 1; k >= 0; k-- {
		r.low[k] = math.Inf(1)
		if 2*k+2 < len(r.low) {
			r.low[k] = min(r.low[2*k+1], r.low[2*k+2])
			continue
		}
		for _, q := range r.id[r.boxes[k].lo:r.boxes[k].hi] {
			r.low[k] = min(r.low[k], r.weight[q])
		}
	}
	return r
}

// reacher looks for the least way from one tree to another.
type reacher struct {
	m            *model
	w            []weights
	part         []int32 // by node: which tree it is in
	starts, ends reach

	v, at   int32 // node and point looked from
	leaving bool  // that point, or coming to it
	x, y    float64
	own     float64 // its weight
}

// pure fills in only.
func (b *reacher) pure(r *reach) {
	for k := len(r.only) - 1; k >= 0; k-- {
		o := int32(-2)
		join := func(x int32) {
			switch {
			case o == -2:
				o = x
			case x != -2 && x != o:
				o = -1
			}
		}
		if 2*k+2 < len(r.only) {
			join(r.only[2*k+1])
			join(r.only[2*k+2])
		} else {
			for _, q := range r.id[r.boxes[k].lo:r.boxes[k].hi] {
				join(b.part[b.m.owner[q]])
			}
		}
		r.only[k] = o
	}
}

func (b *reacher) visit(r *reach, k, depth int, e *way) {
	mine := b.part[b.v]
	box := &r.boxes[k]
	if r.only[k] == mine || r.only[k] == -2 {
		return
	}
	if room := e.d - b.own - r.low[k]; room < 0 || box.gap2(b.x, b.y) > float64(room*room) {
		return
	}
	if depth > 0 {
		i, j := 2*k+1, 2*k+2
		if r.boxes[j].gap2(b.x, b.y) < r.boxes[i].gap2(b.x, b.y) {
			i, j = j, i
		}
		b.visit(r, i, depth-1, e)
		b.visit(r, j, depth-1, e)
		return
	}
	for i := box.lo; i < box.hi; i++ {
		q := r.id[i]
		u := b.m.owner[q]
		if b.part[u] == mine {
			continue
		}
		dx, dy := r.x[i]-b.x, r.y[i]-b.y
		d := math.Sqrt(float64(dx*dx)+float64(dy*dy)) + b.own + r.weight[q]
		if d > e.d {
			continue
		}
		if b.leaving && b.m.mayFollow(b.v, u) {
			e.lower(way{b.at, q, d})
		} else if !b.leaving && b.m.mayFollow(u, b.v) {
			e.lower(way{q, b.at, d})
		}
	}
}

// lower takes the way if it is shorter; ties by number.
func (e *way) lower(w way) {
	if w.d < e.d || w.d == e.d && (w.from < e.from || w.from == e.from && w.to < e.to) {
		*e = w
	}
}
