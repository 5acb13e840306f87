package geom

import (
	"cmp"
	"math"
	"slices"
)

// ring is a closed run of edges.
type ring []int32

// crumb is the length, mm, under which a free edge that leads nowhere is left
// out: past a bend of a few 1e-6 rad a piece runs on by that much before its
// distance shows it to be drowned (r x angle, kerfs under 10 mm).
const crumb = 10 * Same

// stitch joins the free edges to rings. It returns where it fails.
func (o *offsetter) stitch() (at Point, ok bool) {
	if o.met {
		o.dropTwins()
	}
	o.leaving()
	if o.met {
		o.dropCrumbs()
	}
	o.rings, o.bridged = o.rings[:0], false
	for i := range o.edges {
		if o.edges[i].state != free {
			continue
		}
		r, ok := o.trace(int32(i))
		if !ok {
			return o.edges[i].mid, false
		}
		o.rings = append(o.rings, r)
	}
	return at, true
}

// dropTwins looks for pairs of edges between the same two corners that lie on
// one another. In one direction, past a bend of a few 1e-6 rad, one of them is
// enough. In opposite directions they bound a strip of the free side without
// width, as in a slot of width 2r, and both go: kept, the torch would run back
// along a kerf it has just cut.
func (o *offsetter) dropTwins() {
	var order []int32
	for i := range o.edges {
		if o.edges[i].state != drowned {
			order = append(order, int32(i))
		}
	}
	key := func(i int32) (int32, int32) {
		e := &o.edges[i]
		return min(e.from, e.to), max(e.from, e.to)
	}
	slices.SortFunc(order, func(a, b int32) int {
		al, ah := key(a)
		bl, bh := key(b)
		return cmp.Or(cmp.Compare(al, bl), cmp.Compare(ah, bh), cmp.Compare(a, b))
	})
	for k, i := range order {
		e := &o.edges[i]
		l, h := key(i)
		for _, j := range order[k+1:] {
			f := &o.edges[j]
			if jl, jh := key(j); jl != l || jh != h || e.state == drowned {
				break
			}
			switch {
			case f.state == drowned || !f.mid.Near(e.mid):
			case f.from == e.from:
				e.state, f.state = max(e.state, f.state), drowned
			default:
				e.state, f.state = drowned, drowned
			}
		}
	}
}

// leaving lists the free and doubted edges by the corner they leave.
func (o *offsetter) leaving() {
	n := len(o.parent)
	if cap(o.outStart) < n+1 {
		o.outStart = make([]int32, n+1)
	}
	o.outStart = o.outStart[:n+1]
	clear(o.outStart)
	for i := range o.edges {
		if o.edges[i].state != drowned {
			o.outStart[o.edges[i].from+1]++
		}
	}
	for i := range n {
		o.outStart[i+1] += o.outStart[i]
	}
	if cap(o.out) < len(o.edges) {
		o.out = make([]int32, len(o.edges))
	}
	o.out = o.out[:o.outStart[n]]
	for i := len(o.edges) - 1; i >= 0; i-- { // fills each list from its end
		if e := &o.edges[i]; e.state != drowned {
			o.outStart[e.from+1]--
			o.out[o.outStart[e.from+1]] = int32(i)
		}
	}
	// Each start has moved to the front of its own list: put the last end back.
	copy(o.outStart, o.outStart[1:])
	o.outStart[n] = int32(len(o.out))
}

func (o *offsetter) outOf(node int32) []int32 { return o.out[o.outStart[node]:o.outStart[node+1]] }

// dropCrumbs takes out short free edges that no free edge leads to or from.
func (o *offsetter) dropCrumbs() {
	in, out := make([]int32, len(o.parent)), make([]int32, len(o.parent))
	for i := range o.edges {
		if e := &o.edges[i]; e.state == free {
			out[e.from]++
			in[e.to]++
		}
	}
	for again := true; again; {
		again = false
		for i := range o.edges {
			e := &o.edges[i]
			if e.state == free && (in[e.from] == 0 || out[e.to] == 0) && (e.t1-e.t0)*o.pieces[e.piece].length <= crumb {
				e.state, again = doubted, true
				out[e.from]--
				in[e.to]--
			}
		}
	}
}

// trace follows edges from the given one until it is back.
func (o *offsetter) trace(start int32) (ring, bool) {
	r := ring{start}
	o.edges[start].state = used
	for {
		last := r[len(r)-1]
		best := o.choose(last, start)
		switch {
		case best == start:
			return r, true
		case best >= 0:
			o.edges[best].state = used
			r = append(r, best)
			continue
		}
		bridge, back := o.bridge(o.edges[last].to, o.edges[start].from)
		if bridge == nil {
			return nil, false
		}
		o.bridged = true
		for _, e := range bridge {
			o.edges[e].state = used
		}
		r = append(r, bridge...)
		if back {
			return r, true
		}
	}
}

// choose returns the free edge that leaves where the edge in arrives and keeps
// closest to the free side, or start if that is it, or -1. So rings that touch
// are kept apart.
func (o *offsetter) choose(in, start int32) int32 {
	node := o.edges[in].to
	best, n := int32(-1), 0
	for _, e := range o.outOf(node) {
		if o.edges[e].state == free || e == start {
			best = e
			n++
		}
	}
	if n < 2 {
		return best
	}
	// The free side is on the right: turning left from where we came, the
	// first edge met. Directions are taken a little way along, where edges
	// that touch have parted.
	reach := o.reach(in)
	for _, e := range o.outOf(node) {
		if o.edges[e].state == free || e == start {
			reach = min(reach, o.reach(e))
		}
	}
	back := o.along(in, true, reach)
	least := math.Inf(1)
	for _, e := range o.outOf(node) {
		if o.edges[e].state != free && e != start {
			continue
		}
		v := o.along(e, false, reach)
		a := math.Atan2(back.Cross(v), back.Dot(v))
		if a < 0 {
			a += 2 * math.Pi
		}
		if a < least {
			least, best = a, e
		}
	}
	return best
}

// reach is how far along an edge its direction may be taken: a quarter of it,
// or of r.
func (o *offsetter) reach(e int32) float64 {
	d := &o.edges[e]
	return min((d.t1-d.t0)*o.pieces[d.piece].length, o.r) / 4
}

func (o *offsetter) along(e int32, arriving bool, reach float64) Point {
	d := &o.edges[e]
	p := &o.pieces[d.piece]
	dt := reach / p.length
	if arriving {
		return p.At(d.t1 - dt).Sub(p.At(d.t1))
	}
	return p.At(d.t0 + dt).Sub(p.At(d.t0))
}

// maxBridge is the number of doubted edges that may close one gap.
const maxBridge = 8

// bridge looks for the fewest doubted edges from a corner to one that a free
// edge leaves, or to home.
func (o *offsetter) bridge(from, home int32) (way []int32, back bool) {
	type step struct {
		node, prev, by int32
		n              int
	}
	queue := []step{{from, -1, -1, 0}}
	for k := 0; k < len(queue); k++ {
		s := queue[k]
		if s.n > 0 {
			back = s.node == home
			if back || slices.ContainsFunc(o.outOf(s.node), func(e int32) bool { return o.edges[e].state == free }) {
				for ; s.by >= 0; s = queue[s.prev] {
					way = append(way, s.by)
				}
				slices.Reverse(way)
				return way, back
			}
		}
		if s.n == maxBridge {
			continue
		}
		for _, e := range o.outOf(s.node) {
			to := o.edges[e].to
			if o.edges[e].state == doubted && !slices.ContainsFunc(queue, func(q step) bool { return q.node == to }) {
				queue = append(queue, step{to, int32(k), e, s.n + 1})
			}
		}
	}
	return nil, false
}
