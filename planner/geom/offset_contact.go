package geom

import (
	"cmp"
	"slices"
)

// The graph of an offset: corners are places where pieces meet or end, edges
// the stretches of pieces between them. Corners are told apart by which
// contacts they came from, never by looking for near points.

// event is a corner on the inside of a piece.
type event struct {
	piece, node int32
	t           float64
}

type edge struct {
	piece    int32
	from, to int32 // corners
	t0, t1   float64
	mid      Point
	state    edgeState
}

type edgeState int8

const (
	drowned edgeState = iota // nearer than r to the source
	doubted                  // nearer by less than Same: used only to close a ring
	free                     // on the boundary
	used                     // in a ring
)

// maxEvents bounds the memory of an offset, at about 100 bytes each.
const maxEvents = 1 << 23

// root returns the corner that stands for node: of merged ones the first made.
func (o *offsetter) root(node int32) int32 {
	for o.parent[node] != node {
		o.parent[node] = o.parent[o.parent[node]]
		node = o.parent[node]
	}
	return node
}

func (o *offsetter) merge(a, b int32) {
	a, b = o.root(a), o.root(b)
	o.parent[max(a, b)] = min(a, b)
}

func (o *offsetter) node(p Point) int32 {
	n := int32(len(o.parent))
	o.parent = append(o.parent, n)
	o.pos = append(o.pos, p)
	return n
}

// contacts finds where pieces meet. It reports false if there are too many.
func (o *offsetter) contacts() bool {
	if cap(o.parent) < 4*len(o.pieces) {
		o.parent = make([]int32, 0, 4*len(o.pieces))
		o.pos = make([]Point, 0, 4*len(o.pieces))
	}
	o.parent, o.pos, o.events = o.parent[:0], o.pos[:0], o.events[:0]
	for i := range o.pieces {
		o.node(o.pieces[i].A)
		o.node(o.pieces[i].B)
	}
	for i := range o.pieces {
		if o.pieces[i].dot {
			o.merge(int32(2*i), int32(2*i+1))
		}
		if j := o.pieces[i].next; j >= 0 {
			o.merge(int32(2*i+1), 2*j)
		}
	}
	o.met = false
	if len(o.pieces) <= 2*few {
		for i := range o.pieces {
			a := o.pieces[i].box.Grow(Meet)
			for j := i + 1; j < len(o.pieces); j++ {
				if a.Overlaps(o.pieces[j].box) {
					o.contact(i, j)
				}
			}
		}
		return true
	}
	boxes := make([]Box, len(o.pieces))
	for i := range boxes {
		if boxes[i] = o.pieces[i].box; o.pieces[i].dot {
			boxes[i] = EmptyBox()
		}
	}
	// Mostly a piece meets a handful of others. Where it does not, as when
	// wide arcs go round many corners, their drowned ends are cut off first.
	var pairs [][2]int32
	if !NewIndex(boxes).SelfPairs(Meet, func(i, j int) bool {
		pairs = append(pairs, [2]int32{int32(i), int32(j)})
		return len(pairs) < crowd*len(boxes)
	}) {
		for i := range boxes {
			boxes[i] = o.liveBox(i)
		}
		return NewIndex(boxes).SelfPairs(Meet, func(i, j int) bool {
			o.contact(i, j)
			return len(o.events) < maxEvents
		})
	}
	for _, p := range pairs {
		o.contact(int(p[0]), int(p[1]))
	}
	return true
}

// crowd is the number of near pieces to each from which on it pays to cut
// drowned ends off (measured with BenchmarkOffsetOfOnePath).
const crowd = 12

func (o *offsetter) contact(i, j int) {
	a, b := &o.pieces[i], &o.pieces[j]
	// Pieces that follow on smoothly are circles that touch, or a circle and
	// its tangent: they share nothing else.
	if a.dot || b.dot || a.next == int32(j) || b.next == int32(i) {
		return
	}
	m := meet(&a.form, &b.form, Meet)
	for _, c := range m.At[:m.N] {
		o.met = true
		n := o.node(c.P)
		o.attach(i, c.T, n)
		o.attach(j, c.U, n)
	}
}

func (o *offsetter) attach(i int, t float64, node int32) {
	switch l := o.pieces[i].length; {
	case t*l <= Meet:
		o.merge(int32(2*i), node)
	case (1-t)*l <= Meet:
		o.merge(int32(2*i+1), node)
	default:
		o.events = append(o.events, event{int32(i), node, t})
	}
}

// liveBox is the box of what is left of a piece after those ends are cut off
// that a single point of the source drowns: the one nearest to their middle.
// It keeps wide arcs of large offsets from meeting all others. Nothing of the
// boundary is lost, for a stretch that is nearer than r holds none.
func (o *offsetter) liveBox(i int) Box {
	p := &o.pieces[i]
	if p.dot {
		return EmptyBox()
	}
	if o.tree == nil { // few segments, many cusps
		return p.box
	}
	const depth = 7
	lo, ok := o.firstLive(p, 0, 1, depth, false)
	if !ok {
		return EmptyBox()
	}
	hi, _ := o.firstLive(p, 0, 1, depth, true)
	if lo == 0 && hi == 1 {
		return p.box
	}
	return p.Part(lo, hi).Box()
}

// firstLive returns where the first stretch begins that no point drowns or,
// from the end, where the last one ends.
func (o *offsetter) firstLive(p *piece, t, u float64, depth int, fromEnd bool) (at float64, ok bool) {
	mid := p.At((t + u) / 2)
	best, d := -1, o.r
	o.tree.Nearest(mid, d, func(i int) float64 {
		if e := o.forms[i].dist(mid); e < d {
			best, d = i, e
		}
		return d
	})
	if best >= 0 {
		q, _, _ := o.forms[best].nearest(mid)
		a, b := p.At(t), p.At(u)
		most := max(q.Dist(a), q.Dist(b))
		if p.isArc() { // further only straight across the centre from q
			c := p.center()
			away := c.Sub(q)
			if far := c.Add(away.Mul(p.radius() / away.Len())); !(far.Sub(mid).Len() > a.Dist(mid)) {
				most = max(most, q.Dist(far))
			}
		}
		if most < o.r-Same {
			return 0, false
		}
	}
	if depth == 0 || p.length*(u-t) <= 2*Join {
		if fromEnd {
			return u, true
		}
		return t, true
	}
	m := (t + u) / 2
	if fromEnd {
		if at, ok = o.firstLive(p, m, u, depth-1, fromEnd); !ok {
			at, ok = o.firstLive(p, t, m, depth-1, fromEnd)
		}
		return at, ok
	}
	if at, ok = o.firstLive(p, t, m, depth-1, fromEnd); !ok {
		at, ok = o.firstLive(p, m, u, depth-1, fromEnd)
	}
	return at, ok
}

// cut makes the edges. Contacts nearer than Meet on one piece are one corner.
func (o *offsetter) cut() {
	slices.SortFunc(o.events, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.piece, b.piece), cmp.Compare(a.t, b.t), cmp.Compare(a.node, b.node))
	})
	for k := 1; k < len(o.events); k++ {
		a, b := o.events[k-1], o.events[k]
		if a.piece == b.piece && (b.t-a.t)*o.pieces[a.piece].length <= Meet {
			o.merge(a.node, b.node)
		}
	}
	o.edges = o.edges[:0]
	if cap(o.edges) < len(o.pieces)+len(o.events) {
		o.edges = make([]edge, 0, len(o.pieces)+len(o.events))
	}
	rest := o.events
	for i := range o.pieces {
		p := &o.pieces[i]
		if p.dot {
			continue
		}
		from, t := o.root(int32(2*i)), 0.0
		for ; len(rest) > 0 && rest[0].piece == int32(i); rest = rest[1:] {
			o.edge(i, &from, &t, o.root(rest[0].node), rest[0].t)
		}
		o.edge(i, &from, &t, o.root(int32(2*i+1)), 1)
	}
}

func (o *offsetter) edge(i int, from *int32, t *float64, to int32, u float64) {
	if to != *from {
		e := edge{piece: int32(i), from: *from, to: to, t0: *t, t1: u}
		p := &o.pieces[i]
		if e.whole() {
			e.mid = p.Mid()
		} else {
			e.mid = p.At((*t + u) / 2)
		}
		switch d := o.clearance(e.mid, o.r-Same, o.r+Same); {
		case o.touching && !o.onFreeSide(e.mid):
			// Through a place where the source touches itself pieces may pass
			// to the other side.
		case d >= o.r-o.noise:
			e.state = free
		case d >= o.r-Same:
			e.state = doubted
		}
		o.edges = append(o.edges, e)
	}
	*from, *t = to, u
}

// onFreeSide reports whether p, which is clear of the source, is on the side
// that the source is moved to.
func (s *source) onFreeSide(p Point) bool { return (s.winding(p) == 0) == s.outwards }

func (e *edge) whole() bool { return e.t0 == 0 && e.t1 == 1 }
