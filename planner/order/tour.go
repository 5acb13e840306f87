package order

// tour is a cycle through nodes 0 to n-1 as an array and its inverse.
type tour struct {
	order, pos []int32
	// rooted keeps the node at position 0 where it is and its two sides from
	// changing places, so that positions say what comes before what. Without
	// it the shorter side of the cycle is turned round: the same cycle, maybe
	// the other way about.
	rooted bool
}

func newTour(order []int32, rooted bool) tour {
	t := tour{order: order, pos: make([]int32, len(order)), rooted: rooted}
	for k, v := range order {
		t.pos[v] = int32(k)
	}
	return t
}

func (t *tour) next(v int32) int32 {
	k := t.pos[v] + 1
	if int(k) == len(t.order) {
		k = 0
	}
	return t.order[k]
}

func (t *tour) prev(v int32) int32 {
	k := t.pos[v]
	if k == 0 {
		k = int32(len(t.order))
	}
	return t.order[k-1]
}

// between reports whether going on from a one meets b no later than c.
func (t *tour) between(a, b, c int32) bool {
	i, j, k := t.pos[a], t.pos[b], t.pos[c]
	if i <= k {
		return i <= j && j <= k
	}
	return i <= j || j <= k
}

// swap2 takes the edges (a, b) and (c, d) out of the cycle and puts (b, c)
// and (d, a) in. Either a comes just before b and d just before c, or both
// are just the other way round. It returns the positions it turned round,
// lo to hi without passing 0 if the tour is rooted; hi < lo for none.
func (t *tour) swap2(a, b, c, d int32) (lo, hi int32) {
	if t.next(a) == b {
		return t.reverse(t.pos[b], t.pos[d])
	}
	return t.reverse(t.pos[d], t.pos[b])
}

// reverse turns round the stretch from position i on to position j, or all
// the rest instead.
func (t *tour) reverse(i, j int32) (lo, hi int32) {
	n := int32(len(t.order))
	inner := j - i + 1
	if inner <= 0 {
		inner += n
	}
	if inner == n {
		return 0, -1
	}
	if t.rooted && (i > j || i == 0) || !t.rooted && 2*inner > n {
		i, j = j+1, i-1
		if i == n {
			i = 0
		}
		if j < 0 {
			j = n - 1
		}
		inner = n - inner
	}
	lo, hi = i, j
	order, pos := t.order, t.pos
	for k := inner / 2; k > 0; k-- {
		v, w := order[i], order[j]
		order[i], order[j] = w, v
		pos[w], pos[v] = i, j
		if i++; i == n {
			i = 0
		}
		if j--; j < 0 {
			j = n - 1
		}
	}
	return lo, hi
}
