package planner

import (
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Parted is a job whose drawings with several parts were laid apart.
type Parted struct {
	Job   job.Job
	Loops []*drawing.Loops // of its drawings; entries of one drawing share theirs
	Parts int              // entries that came of drawings with several parts
}

// PartsIn returns how many parts that lie in no other an entry of the job
// stands for: what Apart would make of it. It is 1 for a typed shape, for an
// entry that is one part already and for blanks, which lie in a fixture.
func PartsIn(j job.Job, loops []*drawing.Loops, d int) int {
	if d >= len(loops) || loops[d] == nil || j.Drawings[d].Shape != nil || j.Drawings[d].Part > 0 || j.Stock.Hold == job.Blank {
		return 1
	}
	n, _ := feature.Outermost(loops[d])
	return max(1, n)
}

// Apart makes one entry for each part of every drawing that holds several, so
// that each can be placed, counted and turned by itself; what lies in a part
// stays with it. Whatever was said of the drawing holds for each of its parts:
// a place of the drawing becomes one for each part, so that all lie where they
// lay, and what was said of a feature goes with it under its new id. Marks that
// lie in no part are left out with a Warning.
func Apart(j job.Job, loops []*drawing.Loops) (Parted, fault.List) {
	out := Parted{Job: j}
	var faults fault.List
	was := bare(j, loops)
	from := make([]int, 0, len(j.Drawings)) // new entry of each drawing's first part
	out.Job.Drawings = nil
	for d, entry := range j.Drawings {
		from = append(from, len(out.Job.Drawings))
		n := PartsIn(j, loops, d)
		if n < 2 {
			out.Job.Drawings, out.Loops = append(out.Job.Drawings, entry), append(out.Loops, loops[d])
			continue
		}
		if _, loose := feature.Outermost(loops[d]); loose > 0 {
			faults.Warnf(fault.Where{File: entry.File}, "loose-marks", "Draw them inside the part that they belong to, or mark the plate with a text.",
				"%s in no part: left out", several(loose, "mark"))
		}
		for k := range n {
			one := entry
			one.Part = k + 1
			one.Layers = slices.Clone(entry.Layers)
			if !entry.Name.Empty() {
				one.Name = plain.Of(fmt.Sprint(entry.Name, " ", k+1))
			}
			out.Job.Drawings, out.Loops = append(out.Job.Drawings, one), append(out.Loops, loops[d])
		}
		out.Parts += n
	}
	from = append(from, len(out.Job.Drawings))
	out.Job.Layout.Places = nil
	for _, p := range j.Layout.Places {
		for e := from[p.Drawing]; e < from[p.Drawing+1]; e++ {
			one := p
			one.Drawing = e
			out.Job.Layout.Places = append(out.Job.Layout.Places, one)
		}
	}
	now := bare(out.Job, out.Loops)
	ids := renamed(was, now, from)
	out.Job.Overrides, out.Job.Edits = slices.Clone(j.Overrides), slices.Clone(j.Edits)
	for i := range out.Job.Overrides {
		o := &out.Job.Overrides[i]
		o.Feature = ids.of(o.Feature)
	}
	for i := range out.Job.Edits {
		e := &out.Job.Edits[i]
		e.On = ids.of(e.On)
	}
	out.Job.Texts = slices.Clone(j.Texts)
	for i := range out.Job.Texts {
		if t := &out.Job.Texts[i]; t.Drawing > 0 && t.Drawing < len(from) {
			t.Drawing = 1 + partUnder(now, from[t.Drawing-1], from[t.Drawing], geom.Pt(t.X, t.Y))
		}
	}
	return out, faults
}

// loopOf says which line of which drawing a feature is.
type loopOf struct {
	drawing, loop int
	open          bool
}

// newIDs are the ids of parts and features after the drawings were laid apart,
// by those before.
type newIDs map[string]string

// of returns the new id. An id of nothing that the drawings have stays, and is
// told as before; what an edit added goes with its part.
func (n newIDs) of(id string) string {
	if now, ok := n[id]; ok {
		return now
	}
	if part, rest, ok := strings.Cut(id, "."); ok && n[part] != "" {
		return n[part] + "." + rest
	}
	return id
}

// renamed finds every part and feature again, by its line in its drawing.
func renamed(was, now feature.Tree, from []int) newIDs {
	drawn := make([]int, from[len(from)-1]) // old drawing of each entry
	for d := range from[1:] {
		for e := from[d]; e < from[d+1]; e++ {
			drawn[e] = d
		}
	}
	lines := map[loopOf]feature.Feature{}
	for _, f := range now.Features {
		lines[loopOf{drawn[now.Parts[f.Part].Drawing], f.From, !f.Loop.Closed}] = f
	}
	ids := newIDs{}
	for _, f := range was.Features {
		part := was.Parts[f.Part]
		if g, ok := lines[loopOf{part.Drawing, f.From, !f.Loop.Closed}]; ok {
			ids[f.ID], ids[part.ID] = g.ID, now.Parts[g.Part].ID
		}
	}
	return ids
}

// bare is a job's tree as the drawings give it.
func bare(j job.Job, loops []*drawing.Loops) feature.Tree {
	j.Edits, j.Overrides = nil, nil
	t, _ := Features(j, loops)
	return t
}

// partUnder returns the entry, of those from first to before last, on whose
// part a point lies: the first if on none.
func partUnder(t feature.Tree, first, last int, at geom.Point) int {
	for _, p := range t.Parts {
		if p.Drawing >= first && p.Drawing < last && p.Outline >= 0 && t.Features[p.Outline].Loop.Winding(at) != 0 {
			return p.Drawing
		}
	}
	return first
}
