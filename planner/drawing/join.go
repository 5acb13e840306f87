package drawing

import (
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// joinSteps: gaps are closed from the smallest up, so that a wider tolerance
// never undoes what a narrower one has settled.
var joinSteps = [...]float64{geom.Same, geom.Join, 10 * geom.Join}

// crowd is how many ends at one place are sorted out; more are left open.
const crowd = 40

// joiner joins open strands end to end. End 2k is the start of strand k, end
// 2k+1 its end.
type joiner struct {
	h     *healer
	s     []strand
	mate  []int32        // of each end, the end it is joined to; -1 free
	far   map[int32]bool // ends joined by a line of its own
	chain sets           // of each strand, the chain that it belongs to
	taken []bool
	// turned marks strands that run was asked for from their end; from then on
	// at no longer holds for them.
	turned []bool
	chunk  []geom.Vertex
}

func (j *joiner) at(e int32) *geom.Point {
	v := j.s[e/2].v
	if e&1 == 0 {
		return &v[0].P
	}
	return &v[len(v)-1].P
}

// join joins open strands of one list into loops and chains; it moves their
// ends. Unless force is set it does nothing, and says so, if more than two ends
// meet anywhere: doubles are then better removed first.
func (h *healer) join(s []strand, force bool) (out []strand, crowded bool) {
	// Closed ones to the front; both parts keep their order.
	closed := 0
	var open []strand
	for i := range s {
		if s[i].closed {
			closed++
		}
	}
	switch closed {
	case len(s):
		return s, false
	case 0:
		open = s
	default:
		out, open = make([]strand, 0, closed+(len(s)-closed)/2), make([]strand, 0, len(s)-closed)
		for i := range s {
			if s[i].closed {
				out = append(out, s[i])
			} else {
				open = append(open, s[i])
			}
		}
	}
	j := &joiner{h: h, s: open, mate: make([]int32, 2*len(open)), far: map[int32]bool{}, chain: newSets(len(open))}
	for e := range j.mate {
		j.mate[e] = -1
	}
	// Where no place has more than two ends, all of them pair off at once.
	if !force {
		if !j.pairsOnly(h.gap) {
			return s, true
		}
		joined := j.chains()
		// The closed ones move too, so that nothing holds on to the vertices of
		// all those pieces.
		for i := range out {
			at := j.room(len(out[i].v))
			j.chunk = append(j.chunk, out[i].v...)
			out[i].v = j.chunk[at:len(j.chunk):len(j.chunk)]
		}
		return append(out, joined...), false
	}
	for _, step := range joinSteps {
		if step < h.gap {
			j.step(step)
		}
	}
	j.step(h.gap)
	return append(out, j.chains()...), false
}

// pairsOnly joins every two ends that have no third near. It is false, and
// joins nothing, if there is a third anywhere.
func (j *joiner) pairsOnly(within float64) bool {
	looks := effortOf(len(j.mate), j.h.r.size)
	// Each end looks for those before it: one that finds a pair, or two, is a third.
	g := emptyGrid(len(j.mate), func(e int) geom.Point { return *j.at(int32(e)) }, within, &looks)
	for e := range j.mate {
		other, third := -1, false
		g.near(e, within, func(k int, _ float64) bool {
			third = other >= 0 || j.mate[k] >= 0
			other = k
			return !third
		})
		if third || g.spent() {
			for e := range j.mate {
				j.mate[e] = -1
			}
			return false
		}
		if other >= 0 {
			j.mate[e], j.mate[other] = int32(other), int32(e)
		}
		g.put(e)
	}
	for e, k := range j.mate { // ends move only now: the grid rests on them
		if int(k) > e {
			j.mate[e], j.mate[k] = -1, -1
			j.tie(int32(e), k, within)
		}
	}
	return true
}

// step joins free ends no further apart than within.
func (j *joiner) step(within float64) {
	var free []int32
	for e, m := range j.mate {
		if m < 0 {
			free = append(free, int32(e))
		}
	}
	if len(free) < 2 {
		return
	}
	pts := make([]geom.Point, len(free)) // ends move while they are joined
	for i, e := range free {
		pts[i] = *j.at(e)
	}
	g := newPointGrid(len(pts), func(i int) geom.Point { return pts[i] }, within, &j.h.joining)
	set := newSets(len(free))
	for i := range free {
		g.near(i, within, func(k int, d float64) bool {
			if k > i {
				set.join(int32(i), int32(k))
			}
			return true
		})
	}
	if g.spent() {
		j.h.give(lostEnds)
		return
	}
	// The name of a set is its first member.
	size := make([]int32, len(free))
	for i := range free {
		size[set.find(int32(i))]++
	}
	crowds := map[int32][]int32{}
	for i := range free {
		switch r := set.find(int32(i)); {
		case size[r] > 2:
			crowds[r] = append(crowds[r], free[i])
		case size[r] == 2 && r != int32(i):
			j.tie(free[r], free[i], within)
		}
	}
	for i := range free {
		if m := crowds[int32(i)]; m != nil {
			j.pair(m, within)
		}
	}
}

// pair joins the ends of one cluster.
func (j *joiner) pair(m []int32, within float64) {
	if len(m) > crowd {
		// The last step has the last word, so that it is said once.
		if within == j.h.gap {
			j.h.rep.add("branch", 0, *j.at(m[0]), func() finding {
				return finding{p: *j.at(m[0]), what: fmt.Sprintf("%d ends meet here, more than %d; they are left open", len(m), crowd)}
			})
		}
		return
	}
	type pairing struct {
		a, b    int32
		closes  bool // both are ends of one chain
		turn, d float64
	}
	var all []pairing
	box := geom.EmptyBox()
	for _, e := range m {
		box = box.Add(*j.at(e))
	}
	// A cluster wider than twice the tolerance is a row of near points, not a
	// place: there the nearest are joined, else the straightest.
	row := max(box.Width(), box.Height()) > 2*within
	for x, a := range m {
		for _, b := range m[x+1:] {
			d := j.at(a).Dist(*j.at(b))
			if d > within || j.swallows(a, b, d) {
				continue
			}
			out, in := j.leave(a), j.leave(b)
			turn := math.Abs(math.Atan2(out.Cross(in.Mul(-1)), out.Dot(in.Mul(-1))))
			turn = math.Round(turn/geom.Angle) * geom.Angle // one direction within that
			all = append(all, pairing{a, b, j.chain.find(a/2) == j.chain.find(b/2), turn, d})
		}
	}
	slices.SortStableFunc(all, func(x, y pairing) int {
		switch {
		case row && x.d != y.d:
			return sign(x.d < y.d)
		case x.closes != y.closes:
			return sign(x.closes) // a loop is never given up for a straight line
		case x.turn != y.turn:
			return sign(x.turn < y.turn)
		case x.d != y.d:
			return sign(x.d < y.d)
		case x.a != y.a:
			return int(x.a - y.a)
		}
		return int(x.b - y.b)
	})
	n := 0
	for _, p := range all {
		if j.mate[p.a] < 0 && j.mate[p.b] < 0 {
			j.tie(p.a, p.b, within)
			n++
		}
	}
	if n > 0 && !row {
		j.h.rep.add("branch", 0, *j.at(m[0]), func() finding {
			return finding{p: *j.at(m[0]), entity: j.h.entity(j.srcOf(m[0])),
				what: fmt.Sprintf("%d ends meet here; loops were closed, the rest joined to the straightest", len(m))}
		})
	}
}

func (j *joiner) srcOf(e int32) int32 { return j.s[e/2].v[0].Src }

// swallows reports whether joining the two ends would make a strand that is
// about as long as the gap vanish into a point.
func (j *joiner) swallows(a, b int32, d float64) bool {
	return a/2 == b/2 && j.s[a/2].path().Length() <= 2*d+geom.Same
}

// leave is the unit direction out of the strand at an end.
func (j *joiner) leave(e int32) geom.Point {
	p := j.s[e/2].path()
	if e&1 == 0 {
		return p.Seg(0).Tangent(0).Mul(-1)
	}
	return p.Seg(p.NumSegs() - 1).Tangent(1)
}

// tie joins two ends. Up to the tolerance that needs nobody's word both move to
// their middle; beyond, two lines are run on to their corner if that lies near
// both, and all others get a line between them.
func (j *joiner) tie(a, b int32, within float64) {
	p, q := *j.at(a), *j.at(b)
	d := p.Dist(q)
	if j.swallows(a, b, d) {
		return
	}
	j.mate[a], j.mate[b] = b, a
	j.chain.join(a/2, b/2)
	if p == q {
		return
	}
	if less(q, p) { // the same bits, and the same words, for either order
		a, b, p, q = b, a, q, p
	}
	m := p.Lerp(q, 0.5)
	middle, code := m, "joined"
	if d > geom.Gap {
		code = "joined-wide"
		if c, ok := j.cornerOf(a, b, within); ok {
			m = c
		} else {
			j.far[a], j.far[b] = true, true
		}
	}
	if !j.far[a] {
		*j.at(a), *j.at(b) = m, m
	}
	if d > geom.Same {
		j.h.rep.add(code, d, middle, func() finding {
			return finding{p: middle, entity: j.h.entity(j.srcOf(a)), what: "a gap of " + length(d) + " closed"}
		})
	}
}

// cornerOf returns where two end lines would meet if run on or cut back by no
// more than the tolerance.
func (j *joiner) cornerOf(a, b int32, within float64) (geom.Point, bool) {
	line := func(e int32) bool {
		p := j.s[e/2].path()
		i := 0
		if e&1 == 1 {
			i = p.NumSegs() - 1
		}
		return !p.Seg(i).IsArc()
	}
	if !line(a) || !line(b) {
		return geom.Point{}, false
	}
	u, v := j.leave(a), j.leave(b)
	c := u.Cross(v)
	if math.Abs(c) < 0.1 { // under 6 degrees the corner runs away
		return geom.Point{}, false
	}
	t := j.at(b).Sub(*j.at(a)).Cross(v) / c
	m := j.at(a).Add(u.Mul(t))
	return m, m.Dist(*j.at(a)) <= within && m.Dist(*j.at(b)) <= within
}

// chains follows the joined ends into loops and chains.
func (j *joiner) chains() []strand {
	j.taken, j.turned = make([]bool, len(j.s)), make([]bool, len(j.s))
	out := make([]strand, 0, len(j.s)/4+1)
	for k := range j.s { // open chains first: from each free end
		for _, e := range [2]int32{int32(2 * k), int32(2*k + 1)} {
			if j.mate[e] < 0 && !j.taken[k] {
				out = append(out, j.follow(e))
			}
		}
	}
	for k := range j.s {
		if !j.taken[k] {
			out = append(out, j.follow(int32(2*k)))
		}
	}
	return out
}

// follow walks from an end into its strand and on, to a free end or round to
// the start.
func (j *joiner) follow(from int32) strand {
	n := 0
	for e := from; ; {
		n += len(j.run(e))
		e = j.mate[e^1]
		if e < 0 || e == from {
			break
		}
	}
	at := j.room(n)
	for e := from; ; {
		j.taken[e/2] = true
		j.chunk = append(j.chunk, j.run(e)...)
		e = j.mate[e^1]
		if e < 0 || e == from {
			return strand{v: j.chunk[at:len(j.chunk):len(j.chunk)], closed: e >= 0, mark: j.s[from/2].mark}
		}
	}
}

// room makes room for n vertices in a chunk and returns where they begin: most
// loops are small, and an allocation each would cost more than their vertices.
func (j *joiner) room(n int) int {
	if cap(j.chunk)-len(j.chunk) < n {
		j.chunk = make([]geom.Vertex, 0, max(n, min(chunkSize, 2*len(j.s))))
	}
	return len(j.chunk)
}

// run returns the vertices of a strand entered at an end, without the last
// where the next strand begins with it. It may turn the strand round.
func (j *joiner) run(e int32) []geom.Vertex {
	v := j.s[e/2].v
	if e&1 == 1 && !j.turned[e/2] {
		turnRound(v, false)
		j.turned[e/2] = true
	}
	if j.mate[e^1] >= 0 && !j.far[e^1] {
		return v[:len(v)-1]
	}
	return v
}
