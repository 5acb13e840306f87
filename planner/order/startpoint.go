package order

import "math"

// chooseStarts sets the start point of every node of t to the choice that is
// cheapest for the order as it stands: exact, by dynamic programming along
// the path. Ties go to the lower index.
func (m *model) chooseStarts(t path) {
	if int(m.np) == m.n || m.n == 0 {
		return
	}
	cheapest := make([]float64, m.np+1)
	came := make([]int32, m.np+1)
	prev := []int32{m.np}
	step := func(to int32) {
		best, from := math.Inf(1), prev[0]
		for _, p := range prev {
			if c := cheapest[p] + m.cost(p, to); c < best {
				best, from = c, p
			}
		}
		cheapest[to], came[to] = best, from
	}
	cheapest[m.np] = 0
	points := make([]int32, 0, 64)
	for _, v := range t.order {
		points = points[:0]
		for p := m.first[v]; p < m.first[v+1]; p++ {
			step(p)
			points = append(points, p)
		}
		prev = append(prev[:0], points...)
	}
	step(m.np)
	for k, p := len(t.order)-1, came[m.np]; k >= 0; k-- {
		t.at[t.order[k]] = p
		p = came[p]
	}
}
