package order

// A rooted tour is a path that is cut in its direction. An exchange then cuts
// it into a head, one or two inner stretches and a tail; the stretches may be
// turned round and may change places. judge finds out which, before anything
// is moved, and asks whether precedences allow it and what it truly wins.

// pieces are the inner stretches by positions: x from x0 to x1, then y from
// y0 to y1; y is empty (y1 < y0) if there is only one.
type pieces struct {
	x0, x1, y0, y1       int32
	xTurned, yTurned     bool
	swapped              bool  // y comes before x
	l, xa, xb, ya, yb, r int32 // nodes at the cuts: before x, x's ends, y's ends, after y
}

// pieces returns what e does to the path.
func (s *searcher) pieces(e exchange) pieces {
	pos := s.t.pos
	if e.kind == turn {
		i, j := pos[e.t2], pos[e.t4]
		if s.back {
			i, j = j, i
		}
		// The stretch between the two edges that does not hold the root.
		if i > j || i == 0 {
			i, j = j+1, i-1
		}
		o := s.t.order
		return pieces{x0: i, x1: j, y0: j + 1, y1: j, xTurned: true, l: o[i-1], xa: o[i], xb: o[j], r: o[j+1]}
	}
	// slot k of 6: ends of the three edges cut; slots 1-2, 3-4, 5-0 are to be
	// joined: t2-t3, t4-t5, t6-t1.
	slot := [6]int32{e.t1, e.t2, e.t3, e.t4, e.t5, e.t6}
	cut := [3]struct{ at, left, right int32 }{}
	for k := range cut {
		a, b := int32(2*k), int32(2*k+1)
		if pos[slot[a]]+1 != pos[slot[b]] {
			a, b = b, a
		}
		cut[k].at, cut[k].left, cut[k].right = pos[slot[a]], a, b
	}
	if cut[0].at > cut[1].at {
		cut[0], cut[1] = cut[1], cut[0]
	}
	if cut[1].at > cut[2].at {
		cut[1], cut[2] = cut[2], cut[1]
	}
	if cut[0].at > cut[1].at {
		cut[0], cut[1] = cut[1], cut[0]
	}
	partner := [6]int32{5, 2, 1, 4, 3, 0}
	p := pieces{
		x0: cut[0].at + 1, x1: cut[1].at, y0: cut[1].at + 1, y1: cut[2].at,
		l: slot[cut[0].left], xa: slot[cut[0].right], xb: slot[cut[1].left],
		ya: slot[cut[1].right], yb: slot[cut[2].left], r: slot[cut[2].right],
	}
	switch partner[cut[0].left] {
	case cut[1].left:
		p.xTurned = true
	case cut[1].right:
		p.swapped = true
	case cut[2].left:
		p.swapped, p.yTurned = true, true
	}
	switch partner[cut[2].right] {
	case cut[1].right:
		p.yTurned = true
	case cut[0].right:
		p.xTurned = true
	}
	return p
}

// judge returns what the exchange wins, in true costs, and whether it is
// allowed. g is what it wins by the mean costs.
func (s *searcher) judge(e exchange, g float64) (float64, bool) {
	p := s.pieces(e)
	if p.y1-p.x0 >= s.reach || !s.allowed(p) {
		return 0, false
	}
	if s.m.same && s.m.matrix == nil {
		return g, true
	}
	g = s.won3(p)
	return g, g > s.least
}

// allowed reports whether the path keeps precedences, ranks and groups.
func (s *searcher) allowed(p pieces) bool {
	last := p.yb
	if p.y1 < p.y0 {
		last = p.xb
	}
	if s.m.rank[p.xa] != s.m.rank[last] {
		return false
	}
	if g := s.m.group; g != nil && g[p.xa] != g[last] {
		parts := !s.inGroup(p.l, p.xa) && !s.inGroup(last, p.r)
		if p.y1 >= p.y0 {
			parts = parts && !s.inGroup(p.xb, p.ya)
		}
		if !parts {
			return false
		}
	}
	if s.m.prec.none() || !p.xTurned && !p.yTurned && !p.swapped {
		return true
	}
	pos, prec := s.t.pos, &s.m.prec
	if p.xTurned || p.swapped {
		from, to := p.x0, p.y1 // where a successor of a node of x must not be
		if !p.xTurned {
			from = p.y0
		}
		if !p.swapped {
			to = p.x1
		}
		for _, v := range s.t.order[p.x0 : p.x1+1] {
			for _, w := range prec.after(v) {
				if k := pos[w]; from <= k && k <= to {
					return false
				}
			}
		}
	}
	if p.yTurned {
		for _, v := range s.t.order[p.y0 : p.y1+1] {
			for _, w := range prec.after(v) {
				if pos[w] <= p.y1 {
					return false
				}
			}
		}
	}
	return true
}

// inGroup reports whether two nodes, or an end of the path and a node, are of
// one group.
func (s *searcher) inGroup(a, b int32) bool {
	return a < s.n && b < s.n && s.m.group[a] == s.m.group[b]
}

// won3 returns what rearranging the pieces wins in true costs.
func (s *searcher) won3(p pieces) float64 {
	type run struct{ a, b int32 }
	x, y := run{p.xa, p.xb}, run{p.ya, p.yb}
	old, now := 0.0, 0.0
	if p.xTurned {
		x.a, x.b = x.b, x.a
		old, now = s.bothWays(p.x0, p.x1)
	}
	if p.y1 < p.y0 {
		old += s.c(p.l, p.xa) + s.c(p.xb, p.r)
		now += s.c(p.l, x.a) + s.c(x.b, p.r)
		return old - now
	}
	if p.yTurned {
		y.a, y.b = y.b, y.a
		o, w := s.bothWays(p.y0, p.y1)
		old, now = old+o, now+w
	}
	old += s.c(p.l, p.xa) + s.c(p.xb, p.ya) + s.c(p.yb, p.r)
	if p.swapped {
		x, y = y, x
	}
	now += s.c(p.l, x.a) + s.c(x.b, y.a) + s.c(y.b, p.r)
	return old - now
}

// bothWays returns the cost of the edges from position i to position j as
// they are, and of the same turned round.
func (s *searcher) bothWays(i, j int32) (there, back float64) {
	for k := i; k < j; k++ {
		a, b := s.t.order[k], s.t.order[k+1]
		there += s.c(a, b)
		back += s.c(b, a)
	}
	return there, back
}

// c returns the cost of going from node a to node b.
func (s *searcher) c(a, b int32) float64 { return s.m.cost(s.at[a], s.at[b]) }
