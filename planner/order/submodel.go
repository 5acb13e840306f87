package order

// stop is a place, or anywhere.
type stop struct {
	x, y  float64
	there bool
}

// startStop and endStop are the model's park points.
func (m *model) startStop() stop { return stop{m.ex[m.np], m.ey[m.np], m.hasStart} }
func (m *model) endStop() stop   { return stop{m.sx[m.np], m.sy[m.np], m.hasEnd} }

// into and outOf are where a point is come to and left.
func (m *model) into(p int32) stop  { return stop{m.sx[p], m.sy[p], true} }
func (m *model) outOf(p int32) stop { return stop{m.ex[p], m.ey[p], true} }

// setStops sets the park points.
func (m *model) setStops(start, end stop) {
	m.ex[m.np], m.ey[m.np], m.hasStart = start.x, start.y, start.there
	m.sx[m.np], m.sy[m.np], m.hasEnd = end.x, end.y, end.there
}

// part returns the model of some of the nodes, between other stops. Groups
// are kept if grouped is set. inverse is scratch: by node of m, any values.
func (m *model) part(nodes []int32, start, end stop, grouped bool, inverse []int32) *model {
	s := &model{
		n: len(nodes), first: make([]int32, len(nodes)+1), rank: make([]int32, len(nodes)),
		same: m.same, feed: m.feed, accel: m.accel, lift: m.lift,
	}
	for i, v := range nodes {
		a, b := m.first[v], m.first[v+1]
		s.sx, s.sy = append(s.sx, m.sx[a:b]...), append(s.sy, m.sy[a:b]...)
		s.ex, s.ey = append(s.ex, m.ex[a:b]...), append(s.ey, m.ey[a:b]...)
		for range b - a {
			s.owner = append(s.owner, int32(i))
		}
		s.first[i+1] = int32(len(s.sx))
		s.rank[i] = m.rank[v]
		inverse[v] = int32(i)
		if grouped && m.group != nil {
			s.group = append(s.group, m.group[v])
		}
	}
	s.np = int32(len(s.sx))
	s.owner = append(s.owner, int32(s.n))
	s.sx, s.sy, s.ex, s.ey = append(s.sx, 0), append(s.sy, 0), append(s.ex, 0), append(s.ey, 0)
	s.setStops(start, end)
	var pairs [][2]int32
	for i, v := range nodes {
		for _, w := range m.prec.after(v) {
			if k := inverse[w]; int(k) < len(nodes) && nodes[k] == w {
				pairs = append(pairs, [2]int32{int32(i), k})
			}
		}
	}
	s.prec = packPrecedence(s.n, pairs)
	return s
}

// append puts the path of a part at the end of t.
func (t *path) append(m *model, nodes []int32, s *model, sub path) {
	for _, v := range sub.order {
		t.order = append(t.order, nodes[v])
		t.at[nodes[v]] = m.first[nodes[v]] + sub.at[v] - s.first[v]
	}
}
