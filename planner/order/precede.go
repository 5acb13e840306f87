package order

import (
	"fmt"
	"strconv"
	"strings"
)

// CycleError says that precedences go round in a circle: each node named must
// come before the next, and the last before the first.
type CycleError struct {
	Nodes []int    // indices
	Names []string // as in Node.Name
}

func (e *CycleError) Error() string {
	return fmt.Sprintf("cuts %s must each come before the next and the last before the first: no order is possible. Remove one of these precedences",
		strings.Join(e.Names, ", "))
}

func nodeName(nodes []Node, i int) string {
	if nodes[i].Name != "" {
		return nodes[i].Name
	}
	return strconv.Itoa(i)
}

// precedence holds for each node which must come before and which after it,
// both as packed lists in ascending order.
type precedence struct {
	preFirst, pre []int32
	sucFirst, suc []int32
}

func (p *precedence) before(v int32) []int32 { return p.pre[p.preFirst[v]:p.preFirst[v+1]] }
func (p *precedence) after(v int32) []int32  { return p.suc[p.sucFirst[v]:p.sucFirst[v+1]] }
func (p *precedence) none() bool             { return len(p.pre) == 0 }

// newPrecedence checks the nodes' After lists and Ranks.
func newPrecedence(nodes []Node) (precedence, error) {
	var pairs [][2]int32
	for i, v := range nodes {
		for _, b := range v.After {
			switch {
			case b < 0 || b >= len(nodes):
				return precedence{}, fmt.Errorf("cut %s: must come after cut %d, which does not exist", nodeName(nodes, i), b)
			case b == i:
				return precedence{}, &CycleError{[]int{i}, []string{nodeName(nodes, i)}}
			case nodes[b].Rank > v.Rank:
				return precedence{}, fmt.Errorf("cut %s: must come after cut %s, whose whole class comes later (rank %d against %d)",
					nodeName(nodes, i), nodeName(nodes, b), v.Rank, nodes[b].Rank)
			}
			pairs = append(pairs, [2]int32{int32(b), int32(i)})
		}
	}
	p := packPrecedence(len(nodes), pairs)
	if ring := p.ring(len(nodes)); ring != nil {
		e := &CycleError{Nodes: ring}
		for _, i := range ring {
			e.Names = append(e.Names, nodeName(nodes, i))
		}
		return precedence{}, e
	}
	return p, nil
}

// packPrecedence makes the lists from pairs (before, after).
func packPrecedence(n int, pairs [][2]int32) precedence {
	pack := func(key, val int) (first, list []int32) {
		first, list = make([]int32, n+1), make([]int32, len(pairs))
		for _, q := range pairs {
			first[q[key]+1]++
		}
		for i := range n {
			first[i+1] += first[i]
		}
		next := append([]int32(nil), first...)
		for _, q := range pairs {
			list[next[q[key]]] = q[val]
			next[q[key]]++
		}
		return first, list
	}
	var p precedence
	p.sucFirst, p.suc = pack(0, 1)
	p.preFirst, p.pre = pack(1, 0)
	return p
}

// sorted returns the nodes in an order that keeps every precedence, lowest
// index first; nodes on or after a ring are left out.
func (p *precedence) sorted(n int) []int32 {
	waits := make([]int32, n)
	ready := make([]int32, 0, n)
	for v := range waits {
		waits[v] = int32(len(p.before(int32(v))))
		if waits[v] == 0 {
			ready = append(ready, int32(v))
		}
	}
	for k := 0; k < len(ready); k++ {
		for _, s := range p.after(ready[k]) {
			if waits[s]--; waits[s] == 0 {
				ready = append(ready, s)
			}
		}
	}
	return ready
}

// ring returns nodes that each must come before the next and the last before
// the first, nil if there are none.
func (p *precedence) ring(n int) []int {
	done := p.sorted(n)
	if len(done) == n {
		return nil
	}
	left := make([]bool, n)
	for v := range left {
		left[v] = true
	}
	for _, v := range done {
		left[v] = false
	}
	// Every node left has one before it that is left too: going back through
	// them must meet itself.
	v := int32(0)
	for !left[v] {
		v++
	}
	seen := make([]int, n)
	var back []int
	for seen[v] == 0 {
		back = append(back, int(v))
		seen[v] = len(back)
		for _, b := range p.before(v) {
			if left[b] {
				v = b
				break
			}
		}
	}
	back = back[seen[v]-1:]
	ring := make([]int, len(back))
	for k, b := range back {
		ring[len(back)-1-k] = b
	}
	return ring
}
