package proof

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// Where a job lets one cut part two edges that lie one kerf apart, an outline
// is cut by its own runs and by the kerfs of its neighbours. The proof asks by
// itself:
//
//   - that every place of the edge is reached by one of them (covers);
//   - that no kerf reaches into a part (keepsParts, as ever);
//   - that every own run that is not closed begins and ends in another kerf of
//     the same outline, so that the part falls free (fallsFree);
//   - that no neighbour's kerf is gone over again (overAgain);
//   - that the part counts as loose only when the last of those kerfs is cut
//     (freed).

// bites is the part of two half kerfs within which the ends of two cuts must
// lie, so that the kerfs meet for certain: at all of it they only touch.
const bites = 0.9

// againMost is how much of a neighbour's kerf, in kerfs, a run may go over: it
// ends in it.
const againMost = 3

// kerfsBeside lists the pieces of other outlines' runs near l's edge, and the
// run of each.
func (c *check) kerfsBeside(l *loop) (path []piece, of []int32) {
	if !c.in.Shared || !l.outer || len(l.runs) == 0 || len(l.Tabs) > 0 { // a part with tabs shares nothing, and is meant to hang on
		return nil, nil
	}
	load := c.runs[l.runs[0]].load
	c.kerfs.tree.each(l.box.Grow(l.Kerf), func(x int) bool {
		o := c.kerfs.owner[x]
		if r := &c.runs[o]; r.load == load && r.loop != nil && r.loop != l && r.loop.outer && r.loop.Kerf == l.Kerf {
			path, of = append(path, c.kerfs.all[x]), append(of, o)
		}
		return true
	})
	return path, of
}

// lends notes the runs of neighbours that cut along l's edge.
func (c *check) lends(l *loop, path []piece, of []int32) {
	limit := l.half() + c.tol
	for k := range path {
		p := &path[k]
		if slices.Contains(l.lent, of[k]) {
			continue
		}
		for n := range l.edge.all {
			if e := &l.edge.all[n]; len(nearer(p, e, limit, 0, max(besideStep, p.length()/besideSteps), nil)) > 0 {
				l.lent = append(l.lent, of[k])
				break
			}
		}
	}
}

// fallsFree asks of an outline that neighbours help to cut that its own runs
// begin and end in another kerf beside it.
func (c *check) fallsFree(l *loop) {
	meets := bites * l.Kerf // from middle to middle of two kerfs
	for _, i := range l.runs {
		r := &c.runs[i]
		r.alongEdge(l, l.half()+c.tol)
		if r.to == 0 {
			continue
		}
		from := r.from
		ends := [2]geom.Point{r.path[from].a, r.path[len(r.path)-1].b}
		if ends[0].Dist(ends[1]) <= meets { // closed by itself
			continue
		}
		for n, q := range ends {
			d := math.Inf(1)
			see := func(o int) {
				for k := range c.runs[o].path {
					d = min(d, c.runs[o].path[k].dist(q))
				}
			}
			for _, o := range l.lent {
				see(int(o))
			}
			for _, o := range l.runs {
				if o != i {
					see(o)
				}
			}
			if d > meets {
				word := [2]string{"begins", "ends"}[n]
				c.find(r.now(r.first), l.ID, "held", "Plan the job again.", "the part stays joined to the metal beside it: its cut %s %s from the middle of the next kerf, the kerfs meet under %s", word, mm(d), mm(meets)).on(q)
			}
		}
	}
}

// overAgain warns of a run that goes along the kerf of a neighbour once more.
func (c *check) overAgain() {
	if !c.in.Shared || c.in.Dry {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		if r.loop == nil || !r.loop.outer {
			continue
		}
		over, by := 0.0, -1
		for k := range r.path {
			p := &r.path[k]
			c.kerfs.tree.each(p.box().Grow(c.tol), func(x int) bool {
				o := int(c.kerfs.owner[x])
				if l := c.runs[o].loop; o >= i || l == nil || l == r.loop || !l.outer || c.runs[o].load != r.load {
					return true
				}
				for _, s := range nearer(&p.piece, &c.kerfs.all[x], c.tol, p.along, max(besideStep, p.length()/besideSteps), nil) {
					over, by = over+s.To-s.From, o
				}
				return true
			})
		}
		if over > againMost*r.loop.Kerf {
			c.warn(r.first, r.id(), "cut-twice", "Cut it once, or lay the parts further apart.", "goes over %s of the kerf of %s again", mm(over), nameOr(&c.runs[by], "an earlier run")).on(r.pierce)
		}
	}
}

// between reports whether the edges of two loops run half a kerf from q.
func (m *metal) between(q geom.Point, tol float64) bool {
	var one *loop
	two := false
	m.edges.tree.each(geom.Box{Min: q, Max: q}.Grow(m.wide/2+tol), func(x int) bool {
		l := m.loops[m.edges.owner[x]]
		if l.wanted && l != one && m.edges.all[x].dist(q) <= l.half()+tol {
			two = one != nil
			one = l
		}
		return !two
	})
	return two
}

// byLength finds the loop along which most of a run lies. Where two edges lie
// one kerf apart, a run between them lies along both: what it does elsewhere
// decides, then which of them it goes round the right way, then which of them
// is not yet cut to its end.
func (m *metal) byLength(r *run, runs []run, turn Turn, tol float64) *loop {
	votes, right := map[*loop]float64{}, map[*loop]float64{}
	var seen []*loop
	give := func(l *loop, mm float64, q, way geom.Point) {
		if _, ok := votes[l]; !ok {
			seen = append(seen, l)
		}
		votes[l] += mm
		k, _ := l.edge.nearest(q)
		e := &l.edge.all[k]
		if clockwise := e.headingAt(e.nearest(q)).Dot(way) < 0; clockwise == l.clockwise(turn) {
			right[l] += mm
		}
	}
	const samples = 4
	for i := range r.path {
		p := &r.path[i].piece
		for k := range samples {
			q := p.at((float64(k) + 0.5) / samples)
			l := m.nearestLoop(q)
			if l == nil {
				continue
			}
			give(l, p.length()/samples, q, p.headingAt(q))
			_, d := l.edge.nearest(q)
			var also []*loop
			m.edges.tree.each(geom.Box{Min: q, Max: q}.Grow(d+tol), func(x int) bool {
				if o := m.loops[m.edges.owner[x]]; o != l && o.wanted && !slices.Contains(also, o) && m.edges.all[x].dist(q) <= d+tol {
					also = append(also, o)
				}
				return true
			})
			for _, o := range also {
				give(o, p.length()/samples, q, p.headingAt(q))
			}
		}
	}
	most := 0.0
	for _, l := range seen {
		most = max(most, votes[l])
	}
	need := func(l *loop) int { // what it still lacks
		switch n := len(l.runs); {
		case n > 0 && runs[l.runs[n-1]].lost:
			return 2
		case n == 0:
			return 1
		}
		return 0
	}
	var best *loop
	for _, l := range seen {
		switch {
		case votes[l] < most-l.Kerf:
		case best == nil || right[l] > right[best]+l.Kerf || right[l] >= right[best]-l.Kerf && need(l) > need(best):
			best = l
		}
	}
	return best
}

// clockwise reports whether the loop is to be cut so.
func (l *loop) clockwise(t Turn) bool {
	return (l.outer != (t == OutlineCounterClockwise)) != l.Against
}

// alongEdge finds the first piece of a run that lies along an edge, and the
// one behind the last.
func (r *run) alongEdge(l *loop, limit float64) {
	r.from, r.to = len(r.path), 0
	for i := range r.path {
		if _, good := l.carries(&r.path[i].piece, limit); good {
			r.from, r.to = min(r.from, i), i+1
		}
	}
	if r.to == 0 {
		r.from = 0
	}
}

// carries reports whether no place of a piece is further than limit from the
// edge, and how far the furthest is if one is.
func (l *loop) carries(p *piece, limit float64) (float64, bool) {
	s := span{to: l.edge, worst: limit - certain, from: -1}
	s.look(p, 0)
	return s.worst, s.from < 0
}

// regain gives a cut that was lost on its lead, or before it left the stretch
// between two edges, to the feature that the program goes on with.
func (r *run) regain(l *loop, i int, tol float64) {
	was := r.loop
	if !r.lost || l == nil || was == l || was == nil && r.split != nil {
		return
	}
	if was != nil {
		for k := range r.path {
			p := &r.path[k].piece
			if _, along := was.carries(p, was.half()+tol); along {
				if _, both := l.carries(p, l.half()+tol); !both {
					return
				}
			}
		}
		was.runs = slices.DeleteFunc(was.runs, func(k int) bool { return k == i })
	}
	r.loop, l.runs = l, append(l.runs, i)
}
