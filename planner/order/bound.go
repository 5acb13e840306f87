package order

import "math"

// bound returns a lower bound in mm: the least tree that joins every node,
// each pair at the least distance between any of their points, plus the
// least way from and to the park points.
func (m *model) bound() float64 {
	if m.n == 0 {
		return m.distance(m.np, m.np)
	}
	dist := make([]float64, m.n)
	in := make([]bool, m.n)
	for v := range dist {
		dist[v] = math.Inf(1)
	}
	sum, from, to := 0.0, math.Inf(1), math.Inf(1)
	for p := range m.np {
		from, to = min(from, m.distance(m.np, p)), min(to, m.distance(p, m.np))
	}
	v := int32(0)
	for range m.n - 1 {
		in[v] = true
		next := int32(-1)
		for w := range int32(m.n) {
			if in[w] {
				continue
			}
			for p := m.first[v]; p < m.first[v+1]; p++ {
				for q := m.first[w]; q < m.first[w+1]; q++ {
					dist[w] = min(dist[w], m.distance(p, q), m.distance(q, p))
				}
			}
			if next < 0 || dist[w] < dist[next] {
				next = w
			}
		}
		sum += dist[next]
		v = next
	}
	return sum + from + to
}
