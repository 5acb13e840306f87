package feature

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Input is what Build needs of a job.
type Input struct {
	Drawings  []*drawing.Loops // a nil one is passed over
	Names     []plain.Text     // of the parts, one for each drawing
	Only      []int            // from 1, the one outermost part of each drawing that is meant; 0 or missing is all
	Stock     job.Stock
	Process   job.Process // for its table of taper
	Rules     job.Rules   // zero values are filled with the defaults
	Edits     []job.Edit
	Overrides []job.Override
	Units     unit.System // for reasons
}

// Build sorts the loops of every drawing into parts and features. Parts are
// numbered over all drawings in the order of their outlines; ids stay when a
// drawing is added at the end.
func Build(in Input) (Tree, fault.List) {
	var t Tree
	var faults fault.List
	rules := in.Rules.WithDefaults()
	all := kits{}
	for d, loops := range in.Drawings {
		if loops == nil {
			continue
		}
		var name plain.Text
		if d < len(in.Names) {
			name = in.Names[d]
		}
		nodes, ok := all.nodes(loops, only(in.Only, d), &faults)
		if ok {
			t.add(d, name, loops, nodes, &faults)
		}
	}
	if len(in.Edits) > 0 {
		// Half of what the proof allows is for the writer.
		t.edit(in.Edits, min(rules.Tolerance, rules.ProofWithin/2), in.Units, &faults)
	}
	for i := range t.Features {
		decide(&t.Features[i], &in, rules)
	}
	for _, o := range in.Overrides {
		t.override(o, &in, rules, &faults)
	}
	for i := range t.Parts {
		t.Parts[i].NetArea = t.netArea(t.Parts[i])
	}
	return t, faults
}

// add appends the parts of one drawing.
func (t *Tree) add(d int, name plain.Text, loops *drawing.Loops, nodes []node, faults *fault.List) {
	owner := make([]int, len(nodes)) // part whose outline a node is
	ofNode := make([]int, len(nodes))
	mark := func(n node) bool { return isMark(loops, n) }

	base := len(t.Parts)
	for i, n := range nodes {
		owner[i], ofNode[i] = -1, -1
		if !mark(n) && n.depth%2 == 0 {
			owner[i] = len(t.Parts)
			id := fmt.Sprintf("p%d", len(t.Parts)+1)
			t.Parts = append(t.Parts, Part{ID: id, Name: name, Drawing: d, Outline: -1, In: -1})
		}
	}
	// Marks that lie in no part need a home of their own only if there is
	// nothing else: then they are a part without an outline.
	stray := -1
	partOf := func(i int) int {
		for k := i; k >= 0; k = nodes[k].parent {
			if owner[k] >= 0 {
				return owner[k]
			}
		}
		if stray < 0 {
			stray = len(t.Parts)
			t.Parts = append(t.Parts, Part{ID: fmt.Sprintf("p%d", stray+1), Name: name, Drawing: d, Outline: -1, In: -1})
		}
		return stray
	}
	counts := map[string]int{}
	t.Features = slices.Grow(t.Features, len(nodes))
	for i, n := range nodes {
		p := partOf(i)
		f := Feature{Part: p, Loop: path(loops, n), From: n.loop}
		box := n.box
		f.Width, f.Height = box.Width(), box.Height()
		f.Area, f.Center = n.area, box.Center()
		switch {
		case mark(n):
			f.Kind = Mark
		case owner[i] >= 0:
			f.Kind = Outline
		default:
			s := recognise(f.Loop)
			f.Kind, f.Diameter, f.Length, f.Center = s.kind, s.diameter, s.length, s.center
		}
		if f.Loop.Closed {
			f.Loop = f.Loop.CCW()
		}
		if f.Kind == Outline {
			f.ID = t.Parts[p].ID + ".outline"
		} else {
			letter := map[Kind]string{Hole: "h", Slot: "s", CutOut: "c", Mark: "m"}[f.Kind]
			key := t.Parts[p].ID + "." + letter
			counts[key]++
			f.ID = fmt.Sprintf("%s%d", key, counts[key])
		}
		ofNode[i] = len(t.Features)
		t.Features = append(t.Features, f)
		if f.Kind == Outline {
			t.Parts[p].Outline = ofNode[i]
		} else {
			t.Parts[p].Features = append(t.Parts[p].Features, ofNode[i])
		}
	}
	for i, n := range nodes {
		if owner[i] >= 0 && n.parent >= 0 {
			t.Parts[owner[i]].In = ofNode[n.parent]
		}
	}
	for p := base; p < len(t.Parts); p++ {
		if t.Parts[p].Outline >= 0 {
			t.Parts[p].Features = append(t.Parts[p].Features, t.Parts[p].Outline)
		}
	}
	if len(t.Parts) == base {
		faults.Errorf(fault.Where{File: loops.Name.String()}, "no-parts", "Close the outline in the CAD, allow larger gaps, or choose which layers are cut.",
			"no closed outline to cut")
	}
}

// netArea is the metal of a part: its outline less every closed feature that
// is not a mark. Drilled holes count as gone.
func (t *Tree) netArea(p Part) float64 {
	if p.Outline < 0 {
		return 0
	}
	a := t.Features[p.Outline].Area
	for _, i := range p.Features {
		if f := t.Features[i]; i != p.Outline && f.Kind != Mark && f.Loop.Closed {
			a -= f.Area
		}
	}
	return a
}

// Find returns the index of the feature with the id, or -1.
func (t *Tree) Find(id string) int {
	return slices.IndexFunc(t.Features, func(f Feature) bool { return f.ID == id })
}

// Box returns the box of every outline of one drawing, or of everything in it
// if it has none.
func (t *Tree) Box(d int) geom.Box {
	b := geom.EmptyBox()
	for _, p := range t.Parts {
		if p.Drawing != d {
			continue
		}
		if p.Outline >= 0 {
			b = b.Union(t.Features[p.Outline].Loop.Box())
			continue
		}
		for _, i := range p.Features {
			b = b.Union(t.Features[i].Loop.Box())
		}
	}
	return b
}
