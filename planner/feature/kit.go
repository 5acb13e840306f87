package feature

import (
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// kit is one drawing sorted by what lies in what. Its parts are the loops to
// be cut that lie in no other, in the drawing's order, each with all that lies
// in it.
type kit struct {
	all   []node
	parts [][]int // nodes of each part, its outline among them
	loose int     // marks that lie in no part
	err   error
}

// kits sorts every drawing once, however many entries of a job it serves.
type kits map[*drawing.Loops]*kit

func (k kits) of(loops *drawing.Loops) *kit {
	if found := k[loops]; found != nil {
		return found
	}
	sorted := &kit{}
	k[loops] = sorted
	if sorted.all, sorted.err = nest(loops); sorted.err != nil {
		return sorted
	}
	part := make([]int, len(sorted.all)) // of an outermost node
	root := func(i int) int {
		for sorted.all[i].parent >= 0 {
			i = sorted.all[i].parent
		}
		return i
	}
	for i, n := range sorted.all {
		part[i] = -1
		if n.parent < 0 && !isMark(loops, n) {
			part[i] = len(sorted.parts)
			sorted.parts = append(sorted.parts, nil)
		}
	}
	for i := range sorted.all {
		if p := part[root(i)]; p >= 0 {
			sorted.parts[p] = append(sorted.parts[p], i)
		} else {
			sorted.loose++
		}
	}
	return sorted
}

func isMark(loops *drawing.Loops, n node) bool {
	return n.open || loops.Closed[n.loop].Use == job.LayerMark
}

// nodes returns the nodes of one part of a drawing, counted from 1, or all of
// them. ok is false if a fault says why there are none.
func (k kits) nodes(loops *drawing.Loops, part int, faults *fault.List) (nodes []node, ok bool) {
	kit := k.of(loops)
	at := fault.Where{File: loops.Name.String()}
	switch {
	case kit.err != nil:
		faults.Errorf(at, "limit", "Leave out what is not part of the part, such as a filling made of lines.", "the drawing has %v", kit.err)
		return nil, false
	case part <= 0:
		return kit.all, true
	case part > len(kit.parts):
		faults.Errorf(at, "no-part", "Choose one that it has, or lay the drawing apart anew: it may have been changed.", "part %d is wanted, the drawing has %d", part, len(kit.parts))
		return nil, false
	}
	of := kit.parts[part-1]
	now := make(map[int]int, len(of))
	for i, was := range of {
		now[was] = i
	}
	for _, was := range of {
		n := kit.all[was]
		if n.parent >= 0 {
			n.parent = now[n.parent]
		}
		nodes = append(nodes, n)
	}
	return nodes, true
}

func only(parts []int, d int) int {
	if d < len(parts) {
		return parts[d]
	}
	return 0
}

// Outermost returns how many parts of a drawing lie in no other, and how many
// marks lie in none of them. A drawing beyond the limits has none.
func Outermost(loops *drawing.Loops) (parts, loose int) {
	kit := kits{}.of(loops)
	return len(kit.parts), kit.loose
}
