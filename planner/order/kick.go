package order

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/progress"
)

// search disturbs the tour in one place after the other, repairs it and keeps
// the outcome if it is no dearer, or dearer by little: a loss of the mean
// edge times warmth is taken once in e times at the start and never at the
// end. Strict acceptance stalls (measured on the published tours). With few
// kicks for each node there is no time to win losses back.
func (s *searcher) search(kicks int) path {
	warmth := 0.3 * min(1, float64(kicks)/float64(20*s.n))
	s.settle()
	s.log = s.log[:0]
	settled, won := s.path(), s.won
	for k := 0; k < kicks && s.ctx.Err() == nil; k++ {
		if k%64 == 0 {
			progress.Tell(s.ctx, k, kicks)
		}
		before := s.won
		if !s.kick(k) {
			continue
		}
		s.settle()
		left := 1 - float64(k)/float64(kicks)
		if s.won < before+warmth*left*s.mean0*math.Log(1-s.rand.Float64()) {
			s.undo()
			s.won = before
		}
		s.log = s.log[:0]
	}
	if s.won < won {
		return settled
	}
	return s.path()
}

// kick makes a disturbance, of one of three sorts in turn, and reports
// whether one was found that precedences allow.
func (s *searcher) kick(k int) bool {
	const tries = 8
	if s.t.rooted && k%4 == 3 {
		return s.trades()
	}
	for range tries {
		var p [4]int32
		ok := false
		switch k % 3 {
		case 0:
			p, ok = s.nearBy()
		case 1:
			p, ok = s.walks(3)
		default:
			p, ok = s.walks(10)
		}
		if ok && s.bridge(p) {
			return true
		}
	}
	return false
}

// trades makes two or three neighbouring stretches near one place change
// places with each other, not turned round: of all disturbances the one that
// precedences forbid least often.
func (s *searcher) trades() bool {
	n := len(s.t.order)
	from, made := 1+s.rand.IntN(n-2), 0
	long := [2]int{4, 12}[s.rand.IntN(2)]
	for range 2 + s.rand.IntN(2) {
		for range 10 {
			i := max(1, from+s.rand.IntN(2*long)-long)
			j := i + s.rand.IntN(long)
			k := j + 1 + s.rand.IntN(long)
			if k > n-2 {
				continue
			}
			o := s.t.order
			p := pieces{x0: int32(i), x1: int32(j), y0: int32(j + 1), y1: int32(k), swapped: true,
				l: o[i-1], xa: o[i], xb: o[j], ya: o[j+1], yb: o[k], r: o[k+1]}
			if !s.allowed(p) {
				continue
			}
			s.won += s.won3(p)
			s.shift(p.l, p.xa, p.xb, p.ya, p.yb, p.r)
			for _, v := range [6]int32{p.l, p.xa, p.xb, p.ya, p.yb, p.r} {
				s.queue.push(v)
			}
			made++
			break
		}
	}
	return made > 0
}

// nearBy returns four positions that cut three short stretches, one after
// the other, out of the tour. A double bridge of them cannot be put back by
// any exchange of three edges.
func (s *searcher) nearBy() (p [4]int32, ok bool) {
	n := len(s.t.order)
	long := 30
	if s.t.rooted {
		// Long stretches hold a cut and what must come after it.
		long = [3]int{3, 10, 30}[s.rand.IntN(3)]
	}
	long = min(long, (n-2)/3)
	k := s.rand.IntN(n)
	whole := s.m.group != nil && s.rand.IntN(2) == 0 // groups, not nodes, change places
	for i := range p {
		for whole && k+1 < n && s.inGroup(s.t.order[k], s.t.order[k+1]) {
			k++
		}
		p[i] = int32(k % n)
		if s.t.rooted && k >= n-1 {
			return p, false
		}
		k += 1 + s.rand.IntN(long)
	}
	return p, true
}

// walks returns the positions of four nodes that random walks from one node
// find, wherever in the tour they are: that is how links between clusters
// come to be changed.
func (s *searcher) walks(steps int) (p [4]int32, ok bool) {
	from := int32(s.rand.IntN(int(s.n)))
	for i := range p {
		for try := 0; i > 0 && slices.Contains(p[:i], p[i]) || try == 0; try++ {
			if try == 8 {
				return p, false
			}
			v := from
			for range steps {
				list, _ := s.cand.of(v)
				v = list[s.rand.IntN(len(list))]
			}
			p[i] = s.t.pos[v]
		}
	}
	slices.Sort(p[:])
	return p, !s.t.rooted || p[3]-p[0] < s.reach
}

// bridge cuts the tour after four positions, in order round the cycle, and
// puts the three stretches between them back in the reverse order, none of
// them turned round. It does nothing and reports false if that is not
// allowed.
func (s *searcher) bridge(p [4]int32) bool {
	n := int32(len(s.t.order))
	stays := 3 // of the four stretches, the one after p[stays]
	if s.t.rooted {
		if !s.bridgeAllowed(p) {
			return false
		}
	} else {
		longest := int32(-1)
		for i := range p {
			l := p[(i+1)%4] - p[i]
			if l < 0 {
				l += n
			}
			if l > longest {
				stays, longest = i, l
			}
		}
	}
	var a, b [4]int32 // the edges cut: a[i] to b[i]
	for i := range p {
		a[i] = s.t.order[p[(i+1+stays)%4]]
		b[i] = s.t.next(a[i])
		if a[i] >= s.n && b[i] >= s.n {
			return false // the two ends of the path stay together
		}
	}
	cost := s.d
	if s.t.rooted {
		cost = s.c
	}
	for i := range a {
		s.won += cost(a[i], b[i])
	}
	s.won -= cost(a[0], b[2]) + cost(a[3], b[1]) + cost(a[2], b[0]) + cost(a[1], b[3])
	// All three turned round as one, then each by itself.
	s.swap(a[0], b[0], b[3], a[3])
	s.swap(a[0], a[3], a[2], b[2])
	s.swap(a[3], a[2], a[1], b[1])
	s.swap(a[2], a[1], b[3], b[0])
	for i := range a {
		s.queue.push(a[i])
		s.queue.push(b[i])
	}
	return true
}

// bridgeAllowed reports whether the path keeps precedences, ranks and groups
// when the three stretches between the positions are reversed in order.
func (s *searcher) bridgeAllowed(p [4]int32) bool {
	o, pos := s.t.order, s.t.pos
	if p[0] == p[3] || int(p[3]) >= len(o)-1 {
		return false
	}
	first, last := o[p[0]+1], o[p[3]]
	if s.m.rank[first] != s.m.rank[last] {
		return false
	}
	if g := s.m.group; g != nil && g[first] != g[last] {
		for _, k := range p {
			if s.inGroup(o[k], o[k+1]) {
				return false
			}
		}
	}
	if s.m.prec.none() {
		return true
	}
	for i := range 2 {
		for _, v := range o[p[i]+1 : p[i+1]+1] {
			for _, w := range s.m.prec.after(v) {
				if p[i+1] < pos[w] && pos[w] <= p[3] {
					return false
				}
			}
		}
	}
	return true
}
