package proof

import (
	"slices"

	"example.org/kerfwright/planner/geom"
)

// loop is one feature's edge, made ready.
type loop struct {
	*Feature
	part   *Part
	box    geom.Box
	edge   *pieces // counter-clockwise if closed
	closed bool
	outer  bool // a part's outside
	wanted bool // must be cut, or marked
	frees  bool // once cut, what lies inside is loose
	edgeOf bool // metal that stays lies along it
	runs   []int
	lent   []int32 // runs of neighbours without which its edge is not cut

	corners  []tip // sharp ones, once asked for
	cornered bool
	wasSplit bool // a run has cut its slug across
}

// metal is one load of stock with the parts that come out of it.
type metal struct {
	loops []*loop
	edges pieceIndex // edges that stay, all parts
	marks pieceIndex
	boxes *tree   // of the loops
	wide  float64 // mm, the widest kerf
}

// pieceIndex is a large set of pieces of many owners.
type pieceIndex struct {
	all   []piece
	owner []int32
	tree  *tree
}

func (x *pieceIndex) add(ps []piece, owner int) {
	x.all = append(x.all, ps...)
	for range ps {
		x.owner = append(x.owner, int32(owner))
	}
}

// grow makes room for about n more pieces.
func (x *pieceIndex) grow(n int) { x.all, x.owner = slices.Grow(x.all, n), slices.Grow(x.owner, n) }

func (x *pieceIndex) build() {
	boxes := make([]geom.Box, len(x.all))
	for i := range x.all {
		boxes[i] = x.all[i].box()
	}
	x.tree = newTree(boxes)
}

// nearest returns the piece nearest to q within limit, -1 if there is none.
func (x *pieceIndex) nearest(q geom.Point, limit float64) (int, float64) {
	return x.tree.nearest(q, limit, func(i int) float64 { return x.all[i].dist(q) })
}

// cutThrough reports whether the rule cuts metal away along the edge.
func cutThrough(rule string) bool {
	return rule == "outline" || rule == "inside" || rule == "slow-hole"
}

// metals sorts the parts by load and makes their edges ready. A feature that
// cannot be compared is found fault with.
func (c *check) metals() {
	most := 0
	for i := range c.in.Parts {
		most = max(most, c.in.Parts[i].Load)
	}
	c.loads = make([]metal, most+1)
	n := make([]int, len(c.loads)) // corners of the load's edges
	for i := range c.in.Parts {
		part := &c.in.Parts[i]
		for k := range part.Features {
			n[max(0, part.Load)] += len(part.Features[k].Loop.V)
		}
	}
	for i := range c.loads {
		c.loads[i].edges.grow(n[i])
	}
	for i := range c.in.Parts {
		part := &c.in.Parts[i]
		m := &c.loads[max(0, part.Load)]
		for k := range part.Features {
			f := &part.Features[k]
			l := &loop{Feature: f, part: part}
			through := cutThrough(f.Rule)
			l.outer = f.Rule == "outline" || f.Rule == "locate"
			l.wanted = through || f.Rule == "mark" || f.Rule == "trim" || f.Rule == "drill" && f.Pop
			l.edgeOf = through || f.Rule == "locate"
			if !l.wanted && !l.edgeOf {
				continue
			}
			path := f.Loop
			l.closed = path.Closed
			if path.Closed {
				path = path.CCW()
			}
			ps := piecesOf(path)
			usable := len(ps) > 0 && (path.Closed || f.Rule == "mark")
			for _, v := range path.V {
				usable = usable && v.P.Finite()
			}
			if !usable {
				c.find(0, f.ID, "no-edge", "Draw it as a closed path.", "its edge is not a closed path, so that nothing can be compared with it")
				continue
			}
			if l.wanted && !(f.Kerf > 0) && f.Rule != "mark" {
				c.find(0, f.ID, "no-kerf", "Give the process a kerf.", "the kerf is %s, must be over 0", mm(f.Kerf))
				continue
			}
			l.edge = newPieces(ps)
			l.box = path.Box()
			m.wide = max(m.wide, f.Kerf, geom.Fit)
			l.frees = through
			if l.edgeOf {
				m.edges.add(ps, len(m.loops))
			} else if f.Rule == "mark" || f.Rule == "trim" {
				m.marks.add(ps, len(m.loops))
			}
			m.loops = append(m.loops, l)
		}
	}
	for i := range c.loads {
		m := &c.loads[i]
		m.edges.build()
		m.marks.build()
		boxes := make([]geom.Box, len(m.loops))
		for k, l := range m.loops {
			boxes[k] = l.box
		}
		m.boxes = newTree(boxes)
	}
	c.makeVoids()
	for _, s := range c.in.Stock.Shapes {
		ps := piecesOf(s)
		if len(ps) == 0 {
			c.stock = append(c.stock, nil)
			continue
		}
		c.stock = append(c.stock, &loop{edge: newPieces(ps), box: s.Box(), closed: true})
	}
}

// holds reports whether q lies inside a closed loop: winding number of the
// chords by the half-open rule (Hormann and Agathos 2001), and of the lenses
// between chords and arcs.
func (l *loop) holds(q geom.Point) bool {
	if !l.closed || !l.box.Contains(q) {
		return false
	}
	w := 0
	if l.edge.tree == nil {
		for i := range l.edge.all {
			w += winds(&l.edge.all[i], q)
		}
		return w != 0
	}
	// Only what lies to the right of q counts, or has it in its lens.
	ray := geom.Box{Min: q, Max: geom.Pt(l.box.Max.X, q.Y)}
	l.edge.tree.each(ray, func(i int) bool {
		w += winds(&l.edge.all[i], q)
		return true
	})
	return w != 0
}

func winds(p *piece, q geom.Point) int {
	w := 0
	side := p.b.Sub(p.a).Cross(q.Sub(p.a)) // over 0: q is left of the chord
	if p.a.Y <= q.Y {
		if p.b.Y > q.Y && side > 0 {
			w++
		}
	} else if p.b.Y <= q.Y && side <= 0 { // on the chord counts as right of it, here and below
		w--
	}
	if p.arc() && square(q.Sub(p.c)) < p.r*p.r {
		if p.sweep > 0 && side <= 0 {
			w++
		}
		if p.sweep < 0 && side > 0 {
			w--
		}
	}
	return w
}

// solid reports whether q lies in metal that stays: in a part and in none of
// its cut features.
func (m *metal) solid(q geom.Point) bool {
	var inside, void []*Part
	m.boxes.each(geom.Box{Min: q, Max: q}, func(i int) bool {
		if l := m.loops[i]; l.edgeOf && l.holds(q) {
			if l.outer {
				inside = append(inside, l.part)
			} else {
				void = append(void, l.part)
			}
		}
		return true
	})
	return slices.ContainsFunc(inside, func(p *Part) bool { return !slices.Contains(void, p) })
}
