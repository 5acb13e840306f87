package order

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"example.org/kerfwright/planner/geom"
)

// farthest is the largest coordinate taken, mm: the range geom is made for.
const farthest = 1e6

// model is a valid problem as flat arrays. Every start point of every node
// is a "point"; points first[i] to first[i+1]-1 belong to node i. The point
// after the last stands for the park points: leaving it is the first rapid,
// going to it the last.
type model struct {
	n     int     // nodes
	np    int32   // points without the park point, which is point np
	first []int32 // by node, n+1 of them
	owner []int32 // by point: its node; n for the park point

	// By point, mm: where the torch comes down, where it is afterwards.
	sx, sy, ex, ey []float64
	hasStart       bool // leaving the park point costs a rapid from (ex, ey)[np]
	hasEnd         bool // going to it costs a rapid to (sx, sy)[np]
	same           bool // every end is its start: costs are the same both ways

	// matrix, if not nil, replaces the places: the cost from point p to point
	// q is matrix[p*(np+1)+q]. Only published instances come this way.
	matrix []float64

	feed, accel, lift float64 // mm/s, mm/s2, s; feed 0: cost is distance

	prec  precedence
	rank  []int32 // by node
	parts []int32 // by node: the part instance; nil: no parts to speak of
	group []int32 // by node: parts that must not be mixed; nil: not asked for
	heat  Heat

	nearOnce sync.Once
	near     candidates // see neighbours
}

// newModel checks p and flattens it.
func newModel(p Problem) (*model, error) {
	n := len(p.Nodes)
	m := &model{n: n, first: make([]int32, n+1), rank: make([]int32, n), same: true, heat: p.Heat}
	name := func(i int) string { return nodeName(p.Nodes, i) }
	for i, v := range p.Nodes {
		if len(v.Starts) == 0 {
			return nil, fmt.Errorf("cut %s: no start point to choose from", name(i))
		}
		if v.Ends != nil && len(v.Ends) != len(v.Starts) {
			return nil, fmt.Errorf("cut %s: %d start points but %d ends", name(i), len(v.Starts), len(v.Ends))
		}
		ends := v.Ends
		if ends == nil {
			ends = v.Starts
		}
		for k, s := range v.Starts {
			if !usable(s) || !usable(ends[k]) {
				return nil, fmt.Errorf("cut %s: start point %d is not within %g mm of the origin", name(i), k, farthest)
			}
			m.place(int32(i), s, ends[k])
			m.same = m.same && s == ends[k]
		}
		m.first[i+1] = int32(len(m.sx))
	}
	m.np = int32(len(m.sx))
	var from, to geom.Point
	for _, park := range []struct {
		at  *geom.Point
		has *bool
		to  *geom.Point
	}{{p.Start, &m.hasStart, &from}, {p.End, &m.hasEnd, &to}} {
		if park.at == nil {
			continue
		}
		if !usable(*park.at) {
			return nil, fmt.Errorf("park point is not within %g mm of the origin", farthest)
		}
		*park.has, *park.to = true, *park.at
	}
	m.place(int32(n), to, from)
	if err := m.setRapid(p.Rapid); err != nil {
		return nil, err
	}
	if h := p.Heat; h.Cuts < 0 || !(h.Distance >= 0) || !(h.Penalty >= 0) || math.IsInf(h.Distance, 0) || math.IsInf(h.Penalty, 0) {
		return nil, fmt.Errorf("heat spread: %d cuts, %g mm, penalty %g: none may be negative", h.Cuts, h.Distance, h.Penalty)
	}
	if err := m.setOrder(p); err != nil {
		return nil, err
	}
	return m, nil
}

func usable(p geom.Point) bool {
	return math.Abs(p.X) <= farthest && math.Abs(p.Y) <= farthest // false for NaN
}

func (m *model) place(node int32, s, e geom.Point) {
	m.owner = append(m.owner, node)
	m.sx, m.sy = append(m.sx, s.X), append(m.sy, s.Y)
	m.ex, m.ey = append(m.ex, e.X), append(m.ey, e.Y)
}

func (m *model) setRapid(r Rapid) error {
	for _, v := range []float64{r.Feed, r.Accel, r.Lift} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("rapid: feed %g mm/min, acceleration %g mm/s2, lift %g s: none may be negative", r.Feed, r.Accel, r.Lift)
		}
	}
	m.feed, m.accel, m.lift = r.Feed/60, r.Accel, r.Lift
	return nil
}

// setOrder takes over what must come before what, and the groups.
func (m *model) setOrder(p Problem) error {
	for i, v := range p.Nodes {
		m.rank[i] = int32(v.Rank)
		if int(m.rank[i]) != v.Rank {
			return fmt.Errorf("cut %s: rank %d is out of range", nodeName(p.Nodes, i), v.Rank)
		}
	}
	var err error
	if m.prec, err = newPrecedence(p.Nodes); err != nil {
		return err
	}
	parts := m.prec.groups(p.Nodes)
	if p.GroupParts {
		m.group = parts
	}
	if n := len(parts); n > 0 {
		if count := int(slices.Max(parts)) + 1; 1 < count && count < n {
			m.parts = parts
		}
	}
	return nil
}

// distance returns mm from where point p ends to where point q starts; 0
// from or to a park point that is anywhere.
func (m *model) distance(p, q int32) float64 {
	if p == m.np && !m.hasStart || q == m.np && !m.hasEnd {
		return 0
	}
	dx, dy := m.sx[q]-m.ex[p], m.sy[q]-m.ey[p]
	// The conversions keep a compiler from fusing: same bytes on any machine.
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// cost returns what a rapid from where p ends to where q starts costs.
func (m *model) cost(p, q int32) float64 {
	if m.matrix != nil {
		return m.matrix[int(p)*int(m.np+1)+int(q)]
	}
	d := m.distance(p, q)
	if m.feed == 0 || p == m.np && !m.hasStart || q == m.np && !m.hasEnd {
		return d
	}
	return m.seconds(d)
}

// disc is a circle round all places of a node.
type disc struct{ x, y, r float64 }

// discs returns the circles of all nodes.
func (m *model) discs() []disc {
	out := make([]disc, m.n)
	for v := range out {
		d := &out[v]
		a, b := m.first[v], m.first[v+1]
		for p := a; p < b; p++ {
			d.x += (m.sx[p] + m.ex[p]) / float64(2*(b-a))
			d.y += (m.sy[p] + m.ey[p]) / float64(2*(b-a))
		}
		for p := a; p < b; p++ {
			d.r = max(d.r, math.Hypot(m.sx[p]-d.x, m.sy[p]-d.y), math.Hypot(m.ex[p]-d.x, m.ey[p]-d.y))
		}
	}
	return out
}

// hop returns a cost that no rapid between point p and a node falls below:
// from p's end, if out, or to its start.
func (m *model) hop(p int32, c disc, out bool) float64 {
	x, y, free := m.ex[p], m.ey[p], p == m.np && !m.hasStart
	if !out {
		x, y, free = m.sx[p], m.sy[p], p == m.np && !m.hasEnd
	}
	if free {
		return 0
	}
	dx, dy := x-c.x, y-c.y
	d := max(0, math.Sqrt(float64(dx*dx)+float64(dy*dy))-c.r)
	if m.feed == 0 {
		return d
	}
	return m.seconds(d)
}

// seconds returns the time of a rapid over d mm from rest to rest, speeding
// up and slowing down at the same rate: with the peak speed reached
// d/v + v/a, without it 2*sqrt(d/a) (uniform acceleration, closed form).
func (m *model) seconds(d float64) float64 {
	switch v, a := m.feed, m.accel; {
	case a == 0:
		return m.lift + d/v
	case float64(d*a) < float64(v*v):
		return m.lift + 2*math.Sqrt(d/a)
	default:
		return m.lift + d/v + v/a
	}
}

// path is an order with a start point chosen for each node.
type path struct {
	order []int32 // nodes
	at    []int32 // by node: point
}

// total returns the cost of a path from park point to park point.
func (m *model) total(t path) float64 { return m.sum(t, m.cost) }

func (m *model) sum(t path, f func(p, q int32) float64) float64 {
	last, sum := m.np, 0.0
	for _, v := range t.order {
		sum += f(last, t.at[v])
		last = t.at[v]
	}
	if len(t.order) == 0 {
		return f(m.np, m.np)
	}
	return sum + f(last, m.np)
}

// result says in the caller's words what a path is.
func (m *model) result(t path) Result {
	r := Result{Order: make([]int, m.n), Start: make([]int, m.n)}
	for k, v := range t.order {
		r.Order[k] = int(v)
		r.Start[v] = int(t.at[v] - m.first[v])
	}
	r.Cost = m.total(t)
	r.Length = r.Cost
	if m.matrix == nil {
		r.Length = m.sum(t, m.distance)
	}
	r.Hot = m.hot(t)
	return r
}
