package order

// Start points are chosen together with the order: a node that is looked at
// may take another of its points where it is, or move to another place in the
// tour with the point that is best there.

// reseat gives v the point that is cheapest between its neighbours and
// reports whether that wins anything.
func (s *searcher) reseat(v int32) bool {
	if !s.choice || v >= s.n || s.m.first[v+1]-s.m.first[v] == 1 {
		return false
	}
	a, b := s.before(v), s.after(v)
	now := s.detour(a, s.at[v], b)
	best, at := now-s.least, s.at[v]
	for p := s.m.first[v]; p < s.m.first[v+1]; p++ {
		if c := s.detour(a, p, b); c < best {
			best, at = c, p
		}
	}
	if at == s.at[v] {
		return false
	}
	s.won += now - best
	s.take(v, at)
	s.queue.push(a)
	s.queue.push(v)
	s.queue.push(b)
	return true
}

// detour returns the cost of going from node a to point p and on to node b.
func (s *searcher) detour(a, p, b int32) float64 {
	return s.m.cost(s.at[a], p) + s.m.cost(p, s.at[b])
}

// leastDetour returns a cost that going from node a by any point of v to node
// b does not fall below.
func (s *searcher) leastDetour(a, v, b int32) float64 {
	return s.m.hop(s.at[a], s.discs[v], true) + s.m.hop(s.at[b], s.discs[v], false)
}

// take sets v's point and writes it in the log.
func (s *searcher) take(v, p int32) {
	s.log = append(s.log, [4]int32{v, s.at[v], p, -1})
	s.set(v, p)
}

func (s *searcher) set(v, p int32) {
	s.at[v] = p
	s.x[v], s.y[v] = s.m.sx[p]/2+s.m.ex[p]/2, s.m.sy[p]/2+s.m.ey[p]/2
	s.cand.price(v, s.d)
	for _, w := range s.cand.lists(v) {
		s.cand.reprice(w, v, s.d(w, v))
	}
}

// relocate moves v next to one of its candidates, with whichever of its
// points is best there, if that wins something, and reports whether it did.
func (s *searcher) relocate(v int32) bool {
	if !s.choice || v >= s.n || s.m.first[v+1]-s.m.first[v] == 1 {
		return false
	}
	a, b := s.before(v), s.after(v)
	free := s.detour(a, s.at[v], b) - s.c(a, b)
	best, at, to := s.least, int32(-1), int32(-1)
	if free <= best {
		return false // it lies on the way
	}
	list, _ := s.cand.of(v)
	for _, w := range list {
		for _, x := range [2]int32{s.before(w), w} {
			// Between x and the node after it.
			y := s.after(x)
			if x == v || y == v || x == s.n+1 || y == s.n {
				continue
			}
			old := s.c(x, y)
			if free+old-s.leastDetour(x, v, y) <= best {
				continue
			}
			for p := s.m.first[v]; p < s.m.first[v+1]; p++ {
				if g := free + old - s.detour(x, p, y); g > best {
					if !s.mayMove(v, x, y) {
						break
					}
					best, at, to = g, p, x
				}
			}
		}
	}
	if at < 0 {
		return false
	}
	s.move(v, to)
	s.won += best
	if s.at[v] != at {
		s.take(v, at)
	}
	for _, w := range [5]int32{a, b, v, to, s.after(v)} {
		s.queue.push(w)
	}
	return true
}

// before and after are the neighbours of v in the direction of the path.
func (s *searcher) before(v int32) int32 {
	if s.flipped() {
		return s.t.next(v)
	}
	return s.t.prev(v)
}

func (s *searcher) after(v int32) int32 {
	if s.flipped() {
		return s.t.prev(v)
	}
	return s.t.next(v)
}

// flipped reports whether the tour runs against the path.
func (s *searcher) flipped() bool { return !s.t.rooted && s.t.next(s.n) == s.n+1 }

// mayMove reports whether v may be put between x and the node y after it.
func (s *searcher) mayMove(v, x, y int32) bool {
	if !s.t.rooted {
		return true
	}
	from, to := s.t.pos[v], s.t.pos[x]
	if from < to {
		if to-from >= s.reach {
			return false
		}
		for _, w := range s.m.prec.after(v) {
			if s.t.pos[w] <= to {
				return false
			}
		}
	} else {
		if from-to >= s.reach {
			return false
		}
		for _, w := range s.m.prec.before(v) {
			if s.t.pos[w] > to {
				return false
			}
		}
	}
	if x < s.n && s.m.rank[x] > s.m.rank[v] || y < s.n && s.m.rank[y] < s.m.rank[v] {
		return false
	}
	if s.m.group == nil {
		return true
	}
	a, b := s.before(v), s.after(v)
	if s.inGroup(a, v) || s.inGroup(v, b) {
		return s.inGroup(x, v) || s.inGroup(v, y)
	}
	return !s.inGroup(x, y)
}

// move puts v between x and the node after it.
func (s *searcher) move(v, x int32) {
	a, b, y := s.before(v), s.after(v), s.after(x)
	switch {
	case !s.t.rooted, s.t.pos[v] < s.t.pos[x]:
		s.back = s.flipped()
		s.shift(a, v, v, b, x, y)
	default:
		s.back = false
		s.shift(x, y, a, v, v, b)
	}
}
