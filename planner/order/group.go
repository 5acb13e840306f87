package order

// groups numbers the groups of nodes that must stay together: one for each
// pair of Rank and Group, except that pairs which precedences force to be cut
// alternately become one. Numbers run from 0 in the order of first nodes.
func (p *precedence) groups(nodes []Node) []int32 {
	type key struct{ rank, group int }
	ids := map[key]int32{}
	of := make([]int32, len(nodes))
	for i, v := range nodes {
		k := key{v.Rank, v.Group}
		if _, ok := ids[k]; !ok {
			ids[k] = int32(len(ids))
		}
		of[i] = ids[k]
	}
	var pairs [][2]int32
	for v := range nodes {
		for _, s := range p.after(int32(v)) {
			if of[v] != of[s] {
				pairs = append(pairs, [2]int32{of[v], of[s]})
			}
		}
	}
	between := packPrecedence(len(ids), pairs)
	merged := between.knots(len(ids))
	renumber := map[int32]int32{}
	for i, g := range of {
		k := merged[g]
		if _, ok := renumber[k]; !ok {
			renumber[k] = int32(len(renumber))
		}
		of[i] = renumber[k]
	}
	return of
}

// knots returns for every node a number that it shares with exactly those
// nodes that come both before and after it (strongly connected components,
// R. Tarjan 1972, without recursion).
func (p *precedence) knots(n int) []int32 {
	const unseen = -1
	index := make([]int32, n) // order of discovery
	low := make([]int32, n)   // oldest node on the stack that can be reached
	next := make([]int32, n)  // next successor to look at
	knot := make([]int32, n)
	for v := range n {
		index[v], knot[v] = unseen, unseen
		next[v] = p.sucFirst[v]
	}
	var stack, walk []int32
	count, knots := int32(0), int32(0)
	for root := range n {
		if index[root] != unseen {
			continue
		}
		walk = append(walk, int32(root))
		for len(walk) > 0 {
			v := walk[len(walk)-1]
			if index[v] == unseen {
				index[v], low[v] = count, count
				count++
				stack = append(stack, v)
			}
			if next[v] < p.sucFirst[v+1] {
				s := p.suc[next[v]]
				next[v]++
				if index[s] == unseen {
					walk = append(walk, s)
				} else if knot[s] == unseen {
					low[v] = min(low[v], index[s])
				}
				continue
			}
			walk = walk[:len(walk)-1]
			if len(walk) > 0 {
				u := walk[len(walk)-1]
				low[u] = min(low[u], low[v])
			}
			if low[v] == index[v] {
				for {
					s := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					knot[s] = knots
					if s == v {
						break
					}
				}
				knots++
			}
		}
	}
	return knot
}
