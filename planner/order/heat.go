package order

// hot counts the pairs of cuts that are nearer than Heat asks.
func (m *model) hot(t path) int {
	count := 0
	for k, v := range t.order {
		for j := max(0, k-m.heat.Cuts); j < k; j++ {
			p, q := t.at[t.order[j]], t.at[v]
			dx, dy := m.sx[p]-m.sx[q], m.sy[p]-m.sy[q]
			if float64(dx*dx)+float64(dy*dy) < float64(m.heat.Distance*m.heat.Distance) {
				count++
			}
		}
	}
	return count
}
