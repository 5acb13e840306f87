package order

// kept reports whether an order keeps every precedence and rank and, if they
// are asked for, the groups together.
func (m *model) kept(order []int32) bool {
	if len(order) != m.n {
		return false
	}
	pos := make([]int32, m.n)
	for k := range pos {
		pos[k] = -1
	}
	for k, v := range order {
		if pos[v] >= 0 || k > 0 && m.rank[v] < m.rank[order[k-1]] {
			return false
		}
		for _, b := range m.prec.before(v) {
			if pos[b] < 0 {
				return false
			}
		}
		pos[v] = int32(k)
	}
	return m.group == nil || together(order, m.group)
}

// together reports whether no group is left and entered again.
func together(order, group []int32) bool {
	shut := map[int32]bool{}
	for k, v := range order {
		if k > 0 && group[v] != group[order[k-1]] {
			shut[group[order[k-1]]] = true
		}
		if shut[group[v]] {
			return false
		}
	}
	return true
}
