package order

import (
	"context"
	"math"
	"slices"
)

// Heat makes what a cut costs depend on the cuts just before it, which no
// search over edges can count. So the order is found without it and then
// mended: cuts are put off while it is too hot near them, and single cuts are
// moved, swapped or started elsewhere as long as rapids and heat together get
// cheaper.

// asked reports whether heat counts at all.
func (h Heat) asked() bool { return h.Cuts > 0 && h.Distance > 0 && h.Penalty > 0 }

// apartness returns the distance in mm of a cut at point q from one just made
// at point p: from where that began or ended, whichever is nearer.
func (m *model) apartness(p, q int32) float64 {
	dx, dy := m.sx[p]-m.sx[q], m.sy[p]-m.sy[q]
	ex, ey := m.ex[p]-m.sx[q], m.ey[p]-m.sy[q]
	return math.Sqrt(min(float64(dx*dx)+float64(dy*dy), float64(ex*ex)+float64(ey*ey)))
}

// glow returns the penalty for cutting at q soon after p.
func (m *model) glow(p, q int32) float64 {
	return m.heat.Penalty * max(0, 1-m.apartness(p, q)/m.heat.Distance)
}

// hot counts the pairs of cuts that are nearer than Heat asks.
func (m *model) hot(t path) int {
	if m.matrix != nil {
		return 0
	}
	count := 0
	for k, v := range t.order {
		for j := max(0, k-m.heat.Cuts); j < k; j++ {
			if m.apartness(t.at[t.order[j]], t.at[v]) < m.heat.Distance {
				count++
			}
		}
	}
	return count
}

// spread returns t mended for heat, or t if nothing is gained.
func (m *model) spread(ctx context.Context, t path) path {
	if !m.heat.asked() || m.n == 0 {
		return t
	}
	best := m.newMender(t)
	for _, ahead := range []int{4, 16, 64, 256} {
		if ctx.Err() != nil {
			break
		}
		if d := m.newMender(m.putOff(t, ahead)); d.whole() < best.whole() {
			best = d
		}
	}
	best.mend(ctx)
	return best.path
}

// putOff goes through the order and each time cuts the cheapest, with heat,
// of the next few that may be cut.
func (m *model) putOff(t path, ahead int) path {
	out := path{order: make([]int32, 0, m.n), at: slices.Clone(t.at)}
	waits := make([]int32, m.n)
	for v := range waits {
		waits[v] = int32(len(m.prec.before(int32(v))))
	}
	// What is left, as a list.
	next := make([]int32, m.n+1) // by place in t.order, +1
	for k := range next {
		next[k] = int32(k) + 1
	}
	last := m.np
	for len(out.order) < m.n {
		head := t.order[next[0]-1]
		best, at := math.Inf(1), int32(-1)
		before := int32(0)
		for k, seen := next[0], 0; int(k) <= m.n && seen < ahead; k, seen = next[k], seen+1 {
			v := t.order[k-1]
			if m.rank[v] != m.rank[head] || m.group != nil && m.group[v] != m.group[head] {
				break
			}
			if waits[v] == 0 {
				p := out.at[v]
				c := m.cost(last, p)
				for _, u := range out.order[max(0, len(out.order)-m.heat.Cuts):] {
					c += m.glow(out.at[u], p)
				}
				if c < best {
					best, at = c, before
				}
			}
			before = k
		}
		k := next[at]
		v := t.order[k-1]
		next[at] = next[k]
		out.order = append(out.order, v)
		last = out.at[v]
		for _, w := range m.prec.after(v) {
			waits[w]--
		}
	}
	return out
}

// mender changes a path a little at a time.
type mender struct {
	m *model
	path
	pos   []int32
	least float64
}

func (m *model) newMender(t path) *mender {
	d := &mender{m: m, path: path{slices.Clone(t.order), slices.Clone(t.at)}, pos: make([]int32, m.n)}
	for k, v := range d.order {
		d.pos[v] = int32(k)
	}
	d.least = d.whole() * 0x1p-40
	return d
}

// whole returns the cost of rapids and heat.
func (d *mender) whole() float64 { return d.around(0, d.m.n-1) }

// around returns that part of the cost which what is cut at places lo to hi
// has to do with.
func (d *mender) around(lo, hi int) float64 {
	n, sum := d.m.n, 0.0
	for k := lo; k <= hi+1; k++ {
		from, to := d.m.np, d.m.np
		if k > 0 {
			from = d.at[d.order[k-1]]
		}
		if k < n {
			to = d.at[d.order[k]]
		}
		sum += d.m.cost(from, to)
		if k == n {
			break
		}
	}
	for k := lo; k <= min(n-1, hi+d.m.heat.Cuts); k++ {
		q := d.at[d.order[k]]
		for j := max(0, k-d.m.heat.Cuts); j < k; j++ {
			sum += d.m.glow(d.at[d.order[j]], q)
		}
	}
	return sum
}

// mend changes single cuts that are too hot until none of the changes helps.
func (d *mender) mend(ctx context.Context) {
	for range max(2, min(20, 40000/d.m.n)) { // fewer on large problems: each takes long
		changed := false
		for v := range int32(d.m.n) {
			if v%256 == 0 && ctx.Err() != nil {
				return
			}
			if d.warm(v) && (d.elsewhere(v) || d.reseat(v)) {
				changed = true
			}
		}
		if !changed {
			return
		}
	}
}

// warm reports whether v is too near to a cut made just before or after it.
func (d *mender) warm(v int32) bool {
	k, h := int(d.pos[v]), d.m.heat
	for j := max(0, k-h.Cuts); j <= min(d.m.n-1, k+h.Cuts); j++ {
		u := d.order[j]
		if j < k && d.m.apartness(d.at[u], d.at[v]) < h.Distance || j > k && d.m.apartness(d.at[v], d.at[u]) < h.Distance {
			return true
		}
	}
	return false
}

// elsewhere moves v, or swaps it with another, if that helps.
func (d *mender) elsewhere(v int32) bool {
	const far = 40 // places; farther ones are reached in steps
	i := int(d.pos[v])
	for step := 1; step <= far; step++ {
		for _, j := range [2]int{i - step, i + step} {
			if j < 0 || j >= d.m.n {
				continue
			}
			lo, hi := min(i, j), max(i, j)
			if !d.mayPass(i, j) {
				continue
			}
			old := d.around(lo, hi)
			d.shift(i, j)
			if d.around(lo, hi) < old-d.least {
				return true
			}
			d.shift(j, i)
			if !d.mayPass(j, i) {
				continue
			}
			d.swap(i, j)
			if d.around(lo, hi) < old-d.least {
				return true
			}
			d.swap(i, j)
		}
	}
	return false
}

// mayPass reports whether the cut at place i may go to place j.
func (d *mender) mayPass(i, j int) bool {
	v, w := d.order[i], d.order[j]
	if d.m.rank[v] != d.m.rank[w] || d.m.group != nil && d.m.group[v] != d.m.group[w] {
		return false
	}
	if i < j {
		for _, s := range d.m.prec.after(v) {
			if int(d.pos[s]) <= j {
				return false
			}
		}
		return true
	}
	for _, b := range d.m.prec.before(v) {
		if int(d.pos[b]) >= j {
			return false
		}
	}
	return true
}

func (d *mender) shift(i, j int) {
	v := d.order[i]
	for ; i < j; i++ {
		d.put(i, d.order[i+1])
	}
	for ; i > j; i-- {
		d.put(i, d.order[i-1])
	}
	d.put(j, v)
}

func (d *mender) swap(i, j int) {
	v, w := d.order[i], d.order[j]
	d.put(i, w)
	d.put(j, v)
}

func (d *mender) put(k int, v int32) { d.order[k], d.pos[v] = v, int32(k) }

// reseat starts v at another of its points if that helps.
func (d *mender) reseat(v int32) bool {
	k, was := int(d.pos[v]), d.at[v]
	best, at := d.around(k, k)-d.least, was
	for p := d.m.first[v]; p < d.m.first[v+1]; p++ {
		d.at[v] = p
		if c := d.around(k, k); c < best {
			best, at = c, p
		}
	}
	d.at[v] = at
	return at != was
}
