package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// match finds out which feature every run follows.
func (c *check) match() {
	load := 0
	stops := 0 // when the load began
	for i := range c.runs {
		r := &c.runs[i]
		// A stop after all of a load is cut begins the next one.
		if r.stops > stops && load+1 < len(c.loads) && c.done(&c.loads[load]) {
			load++
			stops = r.stops
		}
		r.load = load
		m := &c.loads[load]
		if len(r.path) == 0 {
			r.loop = m.pop(r.pierce, c.tol)
		} else if r.split = m.splits(r, c.tol); r.split != nil {
			r.split.wasSplit = true
		} else {
			r.loop = m.followed(r, c.runs, c.in.Turn, c.tol)
		}
		if i == c.before && i > 0 {
			c.runs[i-1].regain(r.loop, i-1, c.tol)
		}
		if r.loop != nil {
			r.loop.runs = append(r.loop.runs, i)
		}
	}
	if c.in.Dry {
		c.dryPops()
	}
	for i := range c.runs {
		if r := &c.runs[i]; r.loop == nil && r.split == nil {
			r.guess = c.loads[r.load].meant(r.pierce)
		}
	}
}

// meant guesses for which feature that nothing else cuts a pierce is meant:
// the smallest that it lies in, else one whose edge is near. It only serves to
// name a feature beside a fault.
func (m *metal) meant(q geom.Point) *loop {
	var best *loop
	reach := 2 * near * m.wide
	size := func(b geom.Box) float64 { return b.Width() + b.Height() }
	m.boxes.each(geom.Box{Min: q, Max: q}.Grow(reach), func(i int) bool {
		l := m.loops[i]
		if !l.wanted || len(l.runs) > 0 || best != nil && size(best.box) <= size(l.box) {
			return true
		}
		if _, d := l.edge.nearest(q); d <= reach || l.holds(q) {
			best = l
		}
		return true
	})
	return best
}

// done reports whether every wanted feature has a run that was not lost.
func (c *check) done(m *metal) bool {
	for _, l := range m.loops {
		if n := len(l.runs); l.wanted && (n == 0 && !(c.in.Dry && l.Pop) || n > 0 && c.runs[l.runs[n-1]].lost) {
			return false
		}
	}
	return true
}

// pop finds the feature whose centre is marked at p.
func (m *metal) pop(p geom.Point, within float64) (found *loop) {
	m.boxes.each(geom.Box{Min: p, Max: p}, func(i int) bool {
		if l := m.loops[i]; l.Rule == "drill" && l.box.Center().Dist(p) <= within {
			found = l
		}
		return found == nil
	})
	return found
}

// dryPops marks those pops as seen over which a rapid of the dry run ends.
func (c *check) dryPops() {
	for i := range c.w.hops {
		for k := range c.loads {
			if l := c.loads[k].pop(c.w.hops[i].to, c.tol); l != nil && len(l.runs) == 0 {
				l.runs = append(l.runs, -1)
			}
		}
	}
}

// near is how far from an edge, in kerfs, a path still counts as meant for it.
// Three, so that a path offset by twice the right amount is told what is
// wrong with it, not that it cuts nothing.
const near = 3

// followed finds the feature that most of the run's length lies near.
func (m *metal) followed(r *run, runs []run, turn Turn, tol float64) *loop {
	// Leads come first and last; three places in between mostly agree.
	a, b, d := r.point(0.35), r.point(0.6), r.point(0.85)
	l := m.nearestLoop(b)
	if m.between(a, tol) || m.between(b, tol) || m.between(d, tol) {
		return m.byLength(r, runs, turn, tol)
	}
	if l != nil && m.nearestLoop(a) == l && m.nearestLoop(d) == l && (l.halfAKerfFrom(a, tol) || l.halfAKerfFrom(b, tol) || l.halfAKerfFrom(d, tol)) {
		return l
	}
	// Half a kerf from an edge is where it is cut; what only passes near it, as
	// a long lead of a short rest, counts if nothing else does.
	var best *loop
	votes := map[*loop]float64{}
	for _, anyhow := range []bool{false, true} {
		for i := range r.path {
			p := &r.path[i].piece
			l := m.nearestLoop(p.mid())
			if l == nil || !anyhow && !l.beside(p, tol) {
				continue
			}
			votes[l] += p.length()
			if best == nil || votes[l] > votes[best] {
				best = l
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// beside reports whether a piece runs half a kerf from the edge.
func (l *loop) beside(p *piece, tol float64) bool {
	return l.halfAKerfFrom(p.a, tol) && l.halfAKerfFrom(p.mid(), tol) && l.halfAKerfFrom(p.b, tol)
}

func (l *loop) halfAKerfFrom(q geom.Point, tol float64) bool {
	_, d := l.edge.nearest(q)
	return math.Abs(d-l.half()) <= tol
}

// point returns the place at a part of the run's length.
func (r *run) point(part float64) geom.Point {
	way := part * r.length
	for i := range r.path {
		p := &r.path[i]
		if l := p.length(); way <= p.along+l || i == len(r.path)-1 {
			t := 0.0
			if l > 0 {
				t = min(1, max(0, (way-p.along)/l))
			}
			if p.arc() {
				return p.c.Add(turned(p.a.Sub(p.c), p.sweep*t))
			}
			return p.a.Lerp(p.b, t)
		}
	}
	return r.pierce
}

// nearestLoop finds the wanted feature whose edge is nearest, if it is near.
func (m *metal) nearestLoop(q geom.Point) *loop {
	var best *loop
	d := near * m.wide
	for _, x := range [2]*pieceIndex{&m.edges, &m.marks} {
		i, v := x.tree.nearest(q, d, func(i int) float64 {
			l := m.loops[x.owner[i]]
			v := x.all[i].dist(q)
			if !l.wanted || v > near*max(l.Kerf, geom.Fit) {
				return math.Inf(1)
			}
			return v
		})
		if v < d {
			best, d = m.loops[x.owner[i]], v
		}
	}
	return best
}
