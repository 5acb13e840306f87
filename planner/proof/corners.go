package proof

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// What the job asks for at the entry and at sharp corners is demanded here,
// not only allowed: the creep on the lead-in, the low feed beside a corner,
// the loop round it.

// feedWithin is how much of a cut, mm, may run at the other of two feeds where
// one gives way to the other: a twentieth of a second at 600 mm/min, as for
// holdWithin.
const feedWithin = holdWithin

// bend is a stretch of a run that goes round one corner of its edge, half a
// kerf off it.
type bend struct {
	at          tip
	first, last int     // pieces
	Span                // mm along the run
	turn        float64 // rad
}

// bends lists where a run goes round sharp corners of its edge.
func (l *loop) bends(r *run, tol float64) []bend {
	var out []bend
	for _, q := range l.sharp() {
		var b *bend
		for k := r.from; k < r.to; k++ {
			p := &r.path[k].piece
			if furthestFromPoint(p, q.at) > l.half()+tol || p.dist(q.at) < l.half()-tol {
				b = nil
				continue
			}
			if b == nil {
				out = append(out, bend{at: q, first: k, Span: Span{From: r.path[k].along}})
				b = &out[len(out)-1]
			}
			u, v := p.a.Sub(q.at), p.b.Sub(q.at)
			b.last, b.To = k, r.path[k].along+p.length()
			b.turn += math.Abs(math.Atan2(u.Cross(v), u.Dot(v)))
		}
	}
	return out
}

// asSharp reports whether a run turns by all that the job calls sharp. A
// corner that is on the limit within a drawing's rounding may be either.
func (l *loop) asSharp(b *bend) bool { return b.turn >= l.Corner.Turn+geom.Join }

// feeds holds every piece of a run to the feed that the job asks for there.
func (c *check) feeds(r *run, l *loop) {
	within := c.feedRounding()
	var bends []bend
	if l.Corner.Feed > 0 && l.outer {
		bends = l.bends(r, c.tol)
	}
	missed := 0.0 // mm beside corners at full feed
	for k := range r.path {
		p := &r.path[k]
		is := func(feed float64) bool { return math.Abs(p.feed-feed) <= within }
		want, where, good := l.Feed, "", false
		if l.LeadFeed > 0 && k < r.from && r.split == nil { // a cut across a slug is neither a lead nor an edge
			want, where = l.LeadFeed, " on the lead-in"
			good = is(l.Feed) && l.inLoop(&p.piece, c.tol) && c.goesOn(r) // taken up in the middle of a loop
		}
		// Where a lead meets the cut along it, in short chords, its last piece
		// counts as cut.
		lead := k == r.from && r.split == nil && p.length() < l.Kerf && is(l.leadFeed())
		if here := l.slowHere(p, bends); here > 0 && k >= r.from && k < r.to && !lead && !is(l.Corner.Feed) {
			if missed += here; missed > feedWithin {
				want, where = l.Corner.Feed, " beside a sharp corner"
			}
		}
		good = good || is(want) || lead
		if !good && where == "" && l.Corner.Feed > 0 {
			good = is(l.Corner.Feed) && l.besideCorner(&p.piece, c.tol)
		}
		if !good {
			c.find(p.line, "", "feed", "Write the process's feed.", "cuts at %s, the job says %s%s", feed(p.feed), feed(want), where).on(p.a)
			return
		}
	}
}

// leadFeed is the feed on the way to the edge.
func (l *loop) leadFeed() float64 {
	if l.LeadFeed > 0 {
		return l.LeadFeed
	}
	return l.Feed
}

// slowHere returns how much of a piece, mm, lies within reach of a corner that
// the run goes round.
func (l *loop) slowHere(p *lit, bends []bend) (here float64) {
	for i := range bends {
		b := &bends[i]
		from, to := max(p.along, b.From-l.Corner.Reach), min(p.along+p.length(), b.To+l.Corner.Reach)
		if l.asSharp(b) {
			here = max(here, to-from)
		}
	}
	return here
}

// loops asks for the loop outside every sharp corner that a run goes round,
// of the job's radius, where the kerf has room for it. The corner at which a
// cut begins and ends needs none.
func (c *check) loops(r *run, l *loop) {
	if !(l.Corner.Loop > 0) || !l.outer || len(l.Tabs) > 0 || r.to == 0 || c.in.Shared || c.goesOn(r) {
		return
	}
	for _, b := range l.bends(r, c.tol) {
		if b.first > r.from && b.last < r.to-1 && l.asSharp(&b) && c.roomForLoop(r, l, b.at) {
			c.find(r.path[b.first].line, "", "corner-loop", "Plan the job again.", "goes round the corner without a loop, the job asks for one of radius %s", mm(l.Corner.Loop)).on(b.at.at)
			return
		}
	}
	sharp := l.sharp()
	for _, q := range sharp {
		far, line := 0.0, 0
		for k := r.from; k < r.to; k++ {
			p := &r.path[k].piece
			if f := furthestFromPoint(p, q.at); f <= l.loopReach(q)+c.tol && !l.holds(p.mid()) && l.offEdge(p, c.tol) && f > far {
				far, line = f, r.path[k].line
			}
		}
		if far == 0 || far >= l.loopReach(q)-c.tol {
			continue
		}
		alone := true
		for _, o := range sharp {
			alone = alone && (o == q || o.at.Dist(q.at) > 2*l.loopReach(q))
		}
		if alone {
			c.find(line, "", "corner-loop", "Plan the job again.", "the loop reaches %s out from the corner, one of radius %s reaches %s", mm(far), mm(l.Corner.Loop), mm(l.loopReach(q))).on(q.at)
			return
		}
	}
}

// offEdge reports whether the middle of a piece is further from the edge than
// a torch that cuts it.
func (l *loop) offEdge(p *piece, tol float64) bool {
	_, d := l.edge.nearest(p.mid())
	return d > l.half()+tol
}

// loopReach is how far from its corner a loop of radius r reaches: with a turn
// of t, its centre lies on the line that halves the corner, (k/2 + r)/cos(t/2)
// out (derived).
func (l *loop) loopReach(q tip) float64 {
	return (l.Kerf/2+l.Corner.Loop)/math.Max(math.Cos(q.turn/2), geom.Join) + l.Corner.Loop
}

// roomForLoop reports whether a loop outside a corner keeps its kerf off all
// edges that stay, off tabs, and on the metal, with a kerf to spare: where it
// is nearer than that, the planner may judge either way.
func (c *check) roomForLoop(r *run, l *loop, q tip) bool {
	n := len(l.edge.all)
	in, out := &l.edge.all[(q.k+n-1)%n], &l.edge.all[q.k]
	if in.sweep < 0 || out.sweep < 0 { // an edge that bends outwards, to where the loop is
		return false
	}
	if math.Cos(q.turn/2) < 0.1 { // a point of under 12 degrees: its loop is ten radii away
		return false
	}
	away := in.headingAt(in.b).Sub(out.headingAt(out.a)).Unit() // halves the corner, outwards
	centre := q.at.Add(away.Mul((l.Kerf/2 + l.Corner.Loop) / math.Cos(q.turn/2)))
	half := l.Kerf/2 + l.Kerf
	need := l.Corner.Loop + half
	box := geom.Box{Min: centre, Max: centre}.Grow(need).Union(geom.Box{Min: q.at, Max: q.at}.Grow(half))
	// The loop's circle is about centre; its legs lie in the disc or, beside
	// the line from the corner to it, over the kerf of the two edges there.
	leg := piece{a: q.at, b: centre}
	near := func(p *piece) bool { return p.dist(centre) < need || apart(&leg, p) < half }
	free := true
	m := &c.loads[r.load]
	m.edges.tree.each(box, func(x int) bool {
		p := &m.edges.all[x]
		if own := *p == *in || *p == *out; !own {
			free = !near(p)
		}
		return free
	})
	if !free {
		return false
	}
	for _, s := range c.stock {
		if s != nil && (!s.box.Encloses(box) && s.box.Overlaps(box) || slices.ContainsFunc(s.edge.all, func(p piece) bool { return near(&p) })) {
			return false
		}
	}
	for _, v := range c.voids {
		if v.box.Overlaps(box) {
			return false
		}
	}
	for _, o := range m.loops { // nor near the line along which the plate is trimmed
		if o.Rule == "trim" && slices.ContainsFunc(o.edge.all, func(p piece) bool { return p.dist(centre) < need+o.Web+o.Kerf }) {
			return false
		}
	}
	for i := range c.in.Parts {
		for k := range c.in.Parts[i].Features {
			for _, t := range c.in.Parts[i].Features[k].Tabs {
				if box.Grow(t.Width + l.Kerf).Contains(t.At) {
					return false
				}
			}
		}
	}
	return true
}
