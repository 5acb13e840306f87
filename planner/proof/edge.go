package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// edges compares every wanted edge with the path that was cut for it.
func (c *check) edges() {
	for k := range c.loads {
		for _, l := range c.loads[k].loops {
			switch {
			case !l.wanted:
			case len(l.runs) == 0:
				c.notCut(l)
			case !l.Pop:
				for _, i := range l.runs {
					if !c.runs[i].earlier {
						c.follows(&c.runs[i], l)
					}
				}
				c.covers(l)
				c.twice(l)
				c.tabs(l)
			}
		}
	}
	c.overAgain()
	c.trims()
	for i := range c.runs {
		if r := &c.runs[i]; r.loop == nil && r.split == nil && !r.earlier {
			f := c.find(r.first, "", "stray-cut", "Remove it, or add the feature to the part.", "cuts where no feature wants it, %s of path from line %d to %d", mm(r.length), c.local(r.first), c.local(r.last))
			f.on(r.pierce)
		}
	}
}

func (c *check) notCut(l *loop) {
	what := "is not cut"
	if l.Rule == "mark" || l.Pop {
		what = "is not marked"
	}
	c.find(c.w.end, l.ID, "not-cut", "Plan the job again; the program may be cut short.", "%s: the program ends without it", what).on(l.edge.all[0].a)
	if !l.edgeOf || l.Pop {
		return
	}
	// How far its edge is from the nearest kerf at all.
	q := l.edge.all[0].a
	_, d := c.kerfs.nearest(q, max(l.box.Width(), l.box.Height()))
	c.uncut = max(c.uncut, d-l.Kerf/2)
}

// half is how far the torch centre runs from the edge.
func (l *loop) half() float64 {
	if l.Rule == "mark" || l.Rule == "trim" {
		return 0
	}
	return l.Kerf / 2
}

// follows tells the leads of a run from its cut, and holds the cut to the
// edge, the right side and the right direction.
func (c *check) follows(r *run, l *loop) {
	limit := l.half() + c.tol
	worst, at := 0.0, -1
	r.alongEdge(l, limit)
	if r.to == 0 {
		mid := r.point(0.6)
		_, d := l.edge.nearest(mid)
		c.find(r.first, l.ID, "off-edge", "Plan the job again.", "the torch runs %s from the edge, must run %s from it, half the kerf", mm(d), mm(l.half())).on(mid)
		return
	}
	var left, wrong float64
	wrongAt := 0
	want := l.clockwise(c.in.Turn)
	for i := r.from; i < r.to; i++ {
		p := &r.path[i].piece
		if d, good := l.carries(p, limit); !good {
			if l.inLoop(p, c.tol) {
				continue
			}
			if d > worst {
				worst, at = d, i
			}
		}
		m := p.mid()
		k, _ := l.edge.nearest(m)
		q := l.edge.all[k].nearest(m)
		left += p.length() * sign(l.edge.all[k].headingAt(q).Cross(m.Sub(q)))
		if l.against(p, m, k, want, limit) {
			if wrong == 0 {
				wrongAt = i
			}
			wrong += p.length()
		}
	}
	// A lead that runs along the edge cuts it too.
	for i := range r.path {
		if i >= r.from && i < r.to || l.Rule == "mark" || l.Rule == "trim" {
			continue
		}
		if w := l.wrongLead(r.path[i].piece, want, limit); w > 0 {
			if wrong == 0 {
				wrongAt = i
			}
			wrong += w
		}
	}
	if at >= 0 {
		c.find(r.path[at].line, l.ID, "off-edge", "Plan the job again.", "the torch strays to %s from the edge, must run %s from it, half the kerf", mm(worst), mm(l.half())).on(r.path[at].mid())
	}
	if l.Rule == "mark" { // it has no leads: they would be marks themselves
		for _, k := range [2]int{r.from - 1, r.to} {
			if k >= 0 && k < len(r.path) {
				c.find(r.path[k].line, l.ID, "off-edge", "Begin and end on the mark.", "the torch is lit beside the mark").on(r.path[k].mid())
			}
		}
		return
	}
	if l.Rule == "trim" { // it runs on its line, with metal on both sides
		return
	}
	// Edges run counter-clockwise, so that inside is on the left.
	if inside := left > 0; inside == l.outer {
		c.find(r.path[r.from].line, l.ID, "kerf-side", "Plan the job again.", "cut on the %s of its edge, the kerf belongs %s", side2(inside), side2(!inside)).on(r.pierce)
	}
	if wrong > directionWithin {
		c.find(r.path[wrongAt].line, l.ID, "direction", "Plan the job again.", "runs %s for %s, must run %s so that the square side of the cut is the part's", turnName(!want), mm(wrong), turnName(want)).on(r.path[wrongAt].a)
	}
}

// directionWithin is how much of a path may run against its direction, mm:
// pieces as short as that turn at corners, where no direction is right.
const directionWithin = 0.5

// against reports whether a piece runs the wrong way along edge piece k, the
// nearest to its middle. At the tip of a spike, and in a slot no wider than
// the kerf, another edge as near may say otherwise.
func (l *loop) against(p *piece, m geom.Point, k int, clockwise bool, limit float64) bool {
	way := p.headingAt(m)
	if clockwise {
		way = way.Mul(-1)
	}
	const plain = 0.5 // within 60 degrees
	dot := func(e *piece) float64 { return e.headingAt(e.nearest(m)).Dot(way) }
	if dot(&l.edge.all[k]) > -plain {
		return false
	}
	for i := range l.edge.all {
		if e := &l.edge.all[i]; e.dist(m) <= limit && dot(e) > plain {
			return false
		}
	}
	return true
}

// wrongLead returns how much of a piece of a lead, mm, runs along the edge the
// wrong way: it is looked at in parts of a quarter of a kerf.
func (l *loop) wrongLead(p piece, clockwise bool, limit float64) (wrong float64) {
	if _, d := l.edge.nearest(p.mid()); d-p.length()/2 > limit {
		return 0
	}
	if p.length() > l.Kerf/4 {
		first, second := p.halves()
		return l.wrongLead(first, clockwise, limit) + l.wrongLead(second, clockwise, limit)
	}
	if _, good := l.carries(&p, limit); !good {
		return 0
	}
	m := p.mid()
	if k, _ := l.edge.nearest(m); l.against(&p, m, k, clockwise, limit) {
		return p.length()
	}
	return 0
}

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

func side2(inside bool) string {
	if inside {
		return "inside"
	}
	return "outside"
}

func turnName(clockwise bool) string {
	if clockwise {
		return "clockwise"
	}
	return "counter-clockwise"
}

// covers measures how far the kerf stays away from the wanted edge. Corners
// into which a torch of that kerf cannot reach do not count.
func (c *check) covers(l *loop) {
	n := 0
	for _, i := range l.runs {
		n += len(c.runs[i].path)
	}
	path, lines := make([]piece, 0, n), make([]int, 0, n)
	for _, i := range l.runs {
		for k := range c.runs[i].path {
			path = append(path, c.runs[i].path[k].piece)
			lines = append(lines, c.runs[i].now(c.runs[i].path[k].line))
		}
	}
	if len(path) == 0 {
		return
	}
	half := l.half()
	if beside, of := c.kerfsBeside(l); len(beside) > 0 {
		alone := span{to: newPieces(path), worst: half + c.tol - certain, from: -1}
		for i := range l.edge.all {
			alone.look(&l.edge.all[i], i)
		}
		if alone.from >= 0 {
			c.lends(l, beside, of)
			for k := range beside {
				path, lines = append(path, beside[k]), append(lines, c.runs[of[k]].now(c.runs[of[k]].first))
			}
			c.fallsFree(l)
		}
	}
	s := span{to: newPieces(path), worst: half, from: -1}
	hidden, where := 0.0, geom.Point{}
	if half > 0 {
		s.skip = func(p piece, m geom.Point, _ float64) (all, middle bool) {
			all, middle = l.outOfReach(&p, m, half)
			if middle {
				for _, end := range [2]geom.Point{p.a, p.b} {
					if _, d := s.to.nearest(end); d > hidden {
						hidden, where = d, end
					}
				}
			}
			return
		}
	}
	if l.Rule == "trim" {
		s.skip = func(p piece, m geom.Point, d float64) (all, middle bool) { return c.offPlate(&p, m) }
	}
	reach := s.skip
	s.skip = func(p piece, m geom.Point, d float64) (all, middle bool) {
		all, middle = l.underTab(&p, m, c.tol)
		if !middle && reach != nil {
			return reach(p, m, d)
		}
		return
	}
	for i := range l.edge.all {
		s.look(&l.edge.all[i], i)
	}
	left := s.worst - half
	c.uncut = max(c.uncut, left)
	if left > c.tol {
		k, _ := s.to.nearest(s.at)
		c.find(lines[max(k, 0)], l.ID, "uncut", "Plan the job again; the kerf may have changed.", "the kerf stays %s away from the wanted edge, at most %s", mm(left), mm(c.tol)).on(s.at)
	}
	// Twice the kerf is what the sharpest corners of ordinary parts leave
	// (29 degrees: half of 1/sin(14.5) - 1 = 3); more is a notch or a neck.
	if hidden-half > 2*l.Kerf {
		first := &c.runs[l.runs[0]]
		c.warn(first.now(first.first), l.ID, "too-tight", "Widen the place in the drawing, or use a process with a narrower kerf.",
			"the kerf of %s does not fit into all of it: up to %s stays uncut", mm(l.Kerf), mm(hidden-half)).on(where)
	}
}

// outOfReach reports whether a torch that just touches the edge at the middle
// of p, or anywhere along p, would cut the edge elsewhere or lie beyond it:
// then no path can reach it.
func (l *loop) outOfReach(p *piece, m geom.Point, half float64) (all, middle bool) {
	toScrap := p.headingAt(m).Left()
	if l.outer {
		toScrap = toScrap.Mul(-1)
	}
	torch := m.Add(toScrap.Mul(half))
	_, d := l.edge.nearest(torch)
	speed := 1.0 // of the torch against the point on the edge
	if p.arc() {
		speed = length(torch.Sub(p.c)) / p.r
	}
	blocked := half - d
	if l.holds(torch) == l.outer {
		blocked = half + d // in a cusp it would stand in the metal that stays
	}
	return blocked-speed*p.length()/2 > certain, blocked > certain
}

// twice looks for a second cut along the same edge.
func (c *check) twice(l *loop) {
	lap := l.edgeLength() // of the torch
	if l.outer {
		lap += 2 * math.Pi * l.half()
	} else {
		lap -= 2 * math.Pi * l.half()
	}
	for n, i := range l.runs {
		r := &c.runs[i]
		if r.earlier {
			continue
		}
		if n > 0 && c.runs[l.runs[n-1]].lost {
			if l.Rule != "mark" { // a groove may be marked twice
				c.recut(r, &c.runs[l.runs[n-1]])
			}
			continue
		}
		cut := 0.0
		for k := r.from; k < r.to; k++ {
			if l.inLoop(&r.path[k].piece, c.tol) {
				continue
			}
			cut += r.path[k].length()
		}
		// On edges so long that no overburn makes a second lap (common
		// practice, no source: overburn is a few mm).
		const long = 50
		if l.closed && lap > long && cut > 1.9*lap {
			c.find(r.first, l.ID, "cut-twice", "Remove the second lap.", "goes round its edge %s times", bare(math.Round(10*cut/lap)/10))
		}
		const samples = 9
		over := 0
		for k := range samples {
			q := r.point((float64(k) + 0.5) / samples)
			near := false
			c.kerfs.tree.each(geom.Box{Min: q, Max: q}.Grow(c.tol), func(x int) bool {
				o := int(c.kerfs.owner[x])
				near = o < i && c.runs[o].loop == l && c.kerfs.all[x].dist(q) <= c.tol
				return !near
			})
			if near {
				over++
			}
		}
		if over > samples/2 {
			c.find(r.first, l.ID, "cut-twice", "Remove the second cut.", "is cut again from line %d to %d; the cut before it: %s", c.local(r.first), c.local(r.last), c.runs[l.runs[n-1]].lines())
		}
	}
}
