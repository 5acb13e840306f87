package proof

import (
	"container/heap"
	"math"

	"example.org/kerfwright/planner/geom"
)

// half is half the kerf of a run; of one that follows nothing, of the widest.
func (c *check) half(r *run) float64 {
	if r.split != nil {
		return r.split.Kerf / 2
	}
	if r.loop != nil {
		return r.loop.Kerf / 2
	}
	return c.loads[r.load].wide / 2
}

// clear is how far the path of a run must keep from an edge of the stock: what
// is crossed is too near, however narrow the kerf.
func (c *check) clear(r *run) float64 { return max(c.half(r)-c.tol, geom.Same) }

// keepsParts sweeps the kerf of every run against the edges of all parts.
func (c *check) keepsParts() {
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		m := &c.loads[r.load]
		if r.loop != nil && r.loop.Rule == "mark" {
			continue // lies on the part, by wish
		}
		half := c.half(r)
		if r.loop != nil && r.loop.Pop {
			_, d := r.loop.edge.nearest(r.pierce)
			c.gouged(r, r.first, half-d, r.loop.ID, r.pierce)
			continue
		}
		least, line, owner := half, 0, int32(-1)
		var at geom.Point
		for k := range r.path {
			p := &r.path[k].piece
			m.edges.tree.each(p.box().Grow(half), func(x int) bool {
				if d := apart(p, &m.edges.all[x]); d < least {
					least, line, owner, at = d, r.path[k].line, m.edges.owner[x], m.edges.all[x].nearest(p.mid())
				}
				return true
			})
		}
		in := r.bounded && r.away < 0
		if least > 0 && !in {
			if owner >= 0 {
				c.gouged(r, line, half-least, m.loops[owner].ID, at)
			}
			continue
		}
		// The path enters a part: look how deep.
		d := depth{m: m, half: half}
		d.search(r.path, &c.deep)
		if in && d.worst <= 0 { // lit, and never moved
			d.worst, d.at, d.name = half-r.away, r.pierce, "a part"
		}
		line = r.first
		if d.from < len(r.path) {
			line = r.path[d.from].line
		}
		c.gouged(r, line, d.worst, d.name, d.at)
	}
}

func (c *check) gouged(r *run, line int, by float64, what string, at geom.Point) {
	c.gouge = max(c.gouge, by)
	if by > c.tol {
		c.find(line, r.id(), "gouge", "Plan the job again; do not cut this file.", "the kerf reaches %s into %s, at most %s", mm(by), what, mm(c.tol)).on(at)
	}
}

// depthWithin is how well the depth of a gouge is told, mm; depthBudget is how
// often the worst stretch of a run is halved for it, depthInAll how often in
// one proof. That it gouges is certain before; how deep must be right in size
// only, and a program that is wrong everywhere must not take for ever.
const (
	depthWithin = 0.01
	depthBudget = 400
	depthInAll  = 200000
)

// depth looks for the place of a path that is deepest in the parts. Depth
// changes no faster than the torch moves, so half a length bounds it; the
// piece that may hold the deepest place is looked at first.
type depth struct {
	m     *metal
	half  float64
	worst float64
	at    geom.Point
	name  string
	from  int
	queue []stretch
}

// stretch is a piece of the path, number n, and the depth that it may reach.
type stretch struct {
	piece
	n   int
	may float64
}

func (d *depth) Len() int           { return len(d.queue) }
func (d *depth) Less(i, j int) bool { return d.queue[i].may > d.queue[j].may }
func (d *depth) Swap(i, j int)      { d.queue[i], d.queue[j] = d.queue[j], d.queue[i] }
func (d *depth) Push(x any)         { d.queue = append(d.queue, x.(stretch)) }
func (d *depth) Pop() any {
	last := d.queue[len(d.queue)-1]
	d.queue = d.queue[:len(d.queue)-1]
	return last
}

func (d *depth) see(p piece, n int) {
	m := p.mid()
	x, away := d.m.edges.nearest(m, math.Inf(1))
	if x < 0 {
		return
	}
	deep := d.half - away
	if d.m.solid(m) {
		deep = d.half + away
	}
	if deep > d.worst {
		d.worst, d.at, d.name, d.from = deep, d.m.edges.all[x].nearest(m), d.m.loops[d.m.edges.owner[x]].ID, n
	}
	heap.Push(d, stretch{p, n, deep + p.length()/2})
}

func (d *depth) search(path []lit, spent *int) {
	for k := range path {
		d.see(path[k].piece, k)
	}
	for range depthBudget {
		if len(d.queue) == 0 || d.queue[0].may <= d.worst+depthWithin || *spent >= depthInAll {
			return
		}
		*spent++
		s := heap.Pop(d).(stretch)
		first, second := s.halves()
		d.see(first, s.n)
		d.see(second, s.n)
	}
}

// clearances measures how far every pierce lies from the nearest edge that
// stays.
func (c *check) clearances() {
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		m := &c.loads[r.load]
		x, d := m.edges.nearest(r.pierce, math.Inf(1))
		if x < 0 {
			continue
		}
		if m.solid(r.pierce) {
			d = -d
		}
		r.away, r.bounded = d, true
	}
}

// pierceRoom is the clearance wanted between a pierce and an edge that stays
// (common practice, no source).
func pierceRoom(kerf, thickness float64) float64 {
	return max(1.5*kerf, 0.5*thickness+kerf/2)
}

// staysOnStock holds every kerf to the metal.
func (c *check) staysOnStock() {
	if len(c.stock) == 0 {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		shape := c.shapeAt(r)
		if l := r.loop; shape == nil && l != nil && l.OnEdge { // on its very edge
			if s := c.stock[0]; s != nil {
				if _, d := s.edge.nearest(r.pierce); d <= c.tol {
					shape = s
				}
			}
		}
		if shape == nil {
			c.find(r.first, "", "off-plate", "Move the parts or take a larger plate.", "pierces at (%s, %s), off the stock", bare(r.pierce.X), bare(r.pierce.Y)).on(r.pierce)
			continue
		}
		if r.loop != nil && r.loop.Rule == "trim" { // it goes off the plate at both ends
			c.endsOff(r, shape)
			continue
		}
		// It begins on the stock, so that it cannot leave it but across its edge.
		limit := c.clear(r)
		for k := range r.path {
			if p := &r.path[k].piece; shape.nearerThan(p, limit) {
				c.find(r.path[k].line, "", "off-plate", "Move the parts or take a larger plate.", "the kerf runs off the stock, which ends at (%s, %s) and (%s, %s)",
					bare(shape.box.Min.X), bare(shape.box.Min.Y), bare(shape.box.Max.X), bare(shape.box.Max.Y)).on(p.b)
				break
			}
		}
	}
}

// shapeAt returns the piece of stock that a run works on.
func (c *check) shapeAt(r *run) *loop {
	if c.in.Stock.Blank && r.loop != nil {
		if b := r.loop.part.Blank; b >= 0 && b < len(c.stock) {
			if s := c.stock[b]; s == nil || s.holds(r.pierce) {
				return s.orAny(r)
			}
			return nil
		}
	}
	for _, s := range c.stock {
		if s != nil && s.holds(r.pierce) {
			return s
		}
	}
	return nil
}

// orAny lets a blank without an outline bound nothing.
func (l *loop) orAny(r *run) *loop {
	if l == nil {
		return &loop{box: r.box.Add(r.pierce).Grow(reach), edge: newPieces(nil), closed: true}
	}
	return l
}

// nearerThan reports whether a piece comes nearer to the loop's edge.
func (l *loop) nearerThan(p *piece, limit float64) bool {
	near := false
	see := func(i int) bool {
		near = near || apart(p, &l.edge.all[i]) < limit
		return !near
	}
	if l.edge.tree != nil {
		l.edge.tree.each(p.box().Grow(limit), see)
		return near
	}
	for i := range l.edge.all {
		see(i)
	}
	return near
}
