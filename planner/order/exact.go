package order

import "math"

// exactMost is the number of nodes up to which every order is tried.
const exactMost = 10

// exact returns the cheapest path of all, by dynamic programming over the
// sets of nodes already cut (M. Held and R. Karp 1962). If there are so many
// points that it would take more than so many steps, it looks at some of each
// node's only, unless that leaves none to choose from: ok is false if so, and
// if there are too many nodes.
func (m *model) exact(steps int, thin bool) (t path, ok bool) {
	n := m.n
	if n > exactMost {
		return path{}, false
	}
	sets := 1 << n
	each := math.MaxInt32 // points of a node looked at
	if p := int(m.np); sets*p*p > steps {
		if !thin {
			return path{}, false
		}
		each = max(1, int(math.Sqrt(float64(steps/sets))/float64(n)))
	}
	var points []int32
	var first [exactMost + 1]int // by node, into points
	for v := range n {
		a, b := int(m.first[v]), int(m.first[v+1])
		k := min(each, b-a)
		for i := range k {
			points = append(points, int32(a+i*(b-a)/k))
		}
		first[v+1] = len(points)
	}
	np := len(points)
	cost := make([]float64, np*np)
	for i, p := range points {
		for j, q := range points {
			cost[i*np+j] = m.cost(p, q)
		}
	}
	need := m.needs()
	// By set and last point: the least cost and the point before.
	least := make([]float64, sets*np)
	from := make([]int16, sets*np)
	for k := range least {
		least[k] = math.Inf(1)
	}
	for v := range n {
		if need[v] == 0 {
			for i := first[v]; i < first[v+1]; i++ {
				least[(1<<v)*np+i] = m.cost(m.np, points[i])
			}
		}
	}
	for set := 1; set < sets; set++ {
		for v := range n {
			if set&(1<<v) == 0 {
				continue
			}
			for w := range n {
				if set&(1<<w) != 0 || need[w]&^set != 0 || !m.follows(set, v, w) {
					continue
				}
				then := (set | 1<<w) * np
				for i := first[v]; i < first[v+1]; i++ {
					c := least[set*np+i]
					if math.IsInf(c, 1) {
						continue
					}
					for j := first[w]; j < first[w+1]; j++ {
						if e := c + cost[i*np+j]; e < least[then+j] {
							least[then+j], from[then+j] = e, int16(i)
						}
					}
				}
			}
		}
	}
	best, at := math.Inf(1), -1
	for i, p := range points {
		if e := least[(sets-1)*np+i] + m.cost(p, m.np); e < best {
			best, at = e, i
		}
	}
	t = path{order: make([]int32, n), at: make([]int32, n)}
	for set, k := sets-1, n-1; k >= 0; k-- {
		v := m.owner[points[at]]
		t.order[k], t.at[v] = v, points[at]
		at, set = int(from[set*np+at]), set&^(1<<v)
	}
	return t, true
}

// needs returns for each node the set of those that must be cut before it:
// by precedence or because their rank is lower.
func (m *model) needs() [exactMost]int {
	var need [exactMost]int
	for v := range m.n {
		for _, b := range m.prec.before(int32(v)) {
			need[v] |= 1 << b
		}
		for u := range m.n {
			if m.rank[u] < m.rank[v] {
				need[v] |= 1 << u
			}
		}
	}
	return need
}

// follows reports whether w may come right after v once set has been cut: in
// its group, or with that group done.
func (m *model) follows(set, v, w int) bool {
	if m.group == nil || m.group[v] == m.group[w] {
		return true
	}
	for u := range m.n {
		if m.group[u] == m.group[v] && set&(1<<u) == 0 {
			return false
		}
	}
	return true
}
