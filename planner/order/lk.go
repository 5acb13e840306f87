package order

// How many of the nearest neighbours an exchange looks at for its first and
// for its second new edge. Going on to more than three edges costs more time
// than it wins once there are kicks (measured on the published tours).
const (
	wide1 = 10
	wide2 = 5
)

// kind is a way to exchange two or three edges of a cycle t1-t2 ... t3-t4,
// t5-t6; see perform.
type kind int

const (
	none  kind = iota
	turn       // one stretch turned round
	twice      // a second stretch turned round after the first
	shift      // two neighbouring stretches change places, none turned round
	both       // two neighbouring stretches turned round where they are
)

type exchange struct {
	kind                   kind
	t1, t2, t3, t4, t5, t6 int32
}

// perform makes the exchange, as turns of stretches.
func (s *searcher) perform(e exchange) {
	switch e.kind {
	case turn:
		s.swap(e.t1, e.t2, e.t3, e.t4)
	case twice:
		s.swap(e.t1, e.t2, e.t3, e.t4)
		s.swap(e.t1, e.t4, e.t5, e.t6)
	case shift:
		s.shift(e.t1, e.t2, e.t5, e.t6, e.t3, e.t4)
	case both:
		s.swap(e.t1, e.t2, e.t5, e.t6)
		s.swap(e.t2, e.t5, e.t4, e.t3)
	}
}

// shift makes p1-q1 ... p2-q2 ... p3-q3 (in this order round the cycle, in
// either direction) into p1-q2 ... p3-q1 ... p2-q3.
func (s *searcher) shift(p1, q1, p2, q2, p3, q3 int32) {
	if !s.t.rooted {
		// Any two of the three stretches may change places; take the shorter.
		x, y, r := s.span(q1, p2), s.span(q2, p3), s.span(q3, p1)
		if x >= y && x >= r {
			p1, q1, p2, q2, p3, q3 = p2, q2, p3, q3, p1, q1
		} else if y >= r {
			p1, q1, p2, q2, p3, q3 = p3, q3, p1, q1, p2, q2
		}
	}
	s.swap(p1, q1, q3, p3)
	s.swap(p1, p3, p2, q2)
	s.swap(p3, p2, q3, q1)
}

// span returns the number of steps from a to b, the way that does not pass
// the other stretches: in the tour's direction or against it, as the cycle
// is meant.
func (s *searcher) span(a, b int32) int32 {
	k := s.t.pos[b] - s.t.pos[a]
	if s.back {
		k = -k
	}
	if k < 0 {
		k += int32(len(s.t.order))
	}
	return k
}

// improve looks for an exchange of edges that starts at t1 and makes the
// tour cheaper, makes the first one found and reports whether there was one.
func (s *searcher) improve(t1 int32) bool {
	return s.look(t1, s.t.next(t1), false) || s.look(t1, s.t.prev(t1), true)
}

// on and off are the neighbours of v in the direction in which t2 follows t1
// and in the other.
func (s *searcher) on(v int32) int32 {
	if s.back {
		return s.t.prev(v)
	}
	return s.t.next(v)
}

func (s *searcher) off(v int32) int32 {
	if s.back {
		return s.t.next(v)
	}
	return s.t.prev(v)
}

func (s *searcher) among(a, b, c int32) bool {
	if s.back {
		return s.t.between(c, b, a)
	}
	return s.t.between(a, b, c)
}

// look tries the exchanges that take out (t1, t2) and one or two edges more,
// t2 following t1 or, if back is set, coming before it. It makes the first
// one that wins and is allowed, and reports whether there was one.
func (s *searcher) look(t1, t2 int32, back bool) bool {
	s.back = back
	gain := s.d(t1, t2)
	t2on, t2off := s.t.next(t2), s.t.prev(t2)
	near2, d2 := s.cand.of(t2)
	for i, t3 := range near2 {
		g1 := gain - d2[i]
		if g1 <= s.least || i >= wide1 {
			break
		}
		if t3 == t2on || t3 == t2off {
			continue
		}
		// t4 on the near side of t3: one turn closes the cycle.
		t4 := s.off(t3)
		d34 := s.d(t3, t4)
		if g := g1 + d34 - s.d(t4, t1); g > s.least && s.try(exchange{turn, t1, t2, t3, t4, 0, 0}, g) {
			return true
		}
		near4, d4 := s.cand.of(t4)
		for k, t5 := range near4 {
			g2 := g1 + d34 - d4[k]
			if g2 <= s.least || k >= wide2 {
				break
			}
			if t5 == t3 || t5 == t1 || t5 == s.off(t4) {
				continue
			}
			t6 := s.off(t5)
			if s.among(t2, t5, t4) {
				t6 = s.on(t5)
			}
			if t6 == t4 {
				continue
			}
			if g := g2 + s.d(t5, t6) - s.d(t6, t1); g > s.least && s.try(exchange{twice, t1, t2, t3, t4, t5, t6}, g) {
				return true
			}
		}
		// t4 on the far side: t2 to t3 is a ring of its own, to be opened at
		// (t5, t6).
		t4 = s.on(t3)
		if t4 == t1 {
			continue
		}
		d34 = s.d(t3, t4)
		near4, d4 = s.cand.of(t4)
		for k, t5 := range near4 {
			g2 := g1 + d34 - d4[k]
			if g2 <= s.least || k >= wide2 {
				break
			}
			if t5 == t3 || !s.among(t2, t5, t3) {
				continue
			}
			t6 := s.on(t5)
			if g := g2 + s.d(t5, t6) - s.d(t6, t1); g > s.least && s.try(exchange{shift, t1, t2, t3, t4, t5, t6}, g) {
				return true
			}
			if t5 == t2 {
				continue
			}
			t6 = s.off(t5)
			if g := g2 + s.d(t5, t6) - s.d(t6, t1); g > s.least && s.try(exchange{both, t1, t2, t3, t4, t5, t6}, g) {
				return true
			}
		}
	}
	return false
}

// try makes an exchange that wins g by the mean costs, if it is allowed and
// truly wins, and reports whether it did.
func (s *searcher) try(e exchange, g float64) bool {
	if s.t.rooted {
		var ok bool
		if g, ok = s.judge(e, g); !ok {
			return false
		}
	}
	s.perform(e)
	s.won += g
	for _, v := range [4]int32{e.t1, e.t2, e.t3, e.t4} {
		s.queue.push(v)
	}
	if e.kind != turn {
		s.queue.push(e.t5)
		s.queue.push(e.t6)
	}
	return true
}
