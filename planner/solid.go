package planner

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/order"
)

// Parts laid closer together than the rule's own gap pierce where a neighbour's
// kerf runs. A pierce needs solid metal, so the part that has no other place is
// cut before the neighbour; and if that cannot be, the job is refused.

// How near a pierce may come to the middle of an earlier kerf, in kerfs: so far
// off if there is a choice, and out of it at least. Common practice, no source.
const (
	soundOff = 1.0
	leastOff = 0.55
)

// overVoid reports whether a lead has no solid metal to pierce, within so many
// kerfs, or runs into a kerf that is there before it: over a kerf the arc has
// nothing to stand on.
func (s shop) overVoid(pierce geom.Point, in []geom.Seg, void *geom.SegIndex, off float64) bool {
	if _, near := void.NearestWithin(pierce, off*s.kerf); near {
		return true
	}
	for _, sg := range in {
		for _, half := range sg.Split() {
			if void.Within(half, s.kerf/2) {
				return true
			}
		}
	}
	return false
}

// solidFirst lets an outline be cut before the neighbours whose kerfs would run
// where it is pierced, if all its leads are like that: it keeps the leads that
// ask for the fewest. What would go round in a circle is left; see resolid.
func (s shop) solidFirst(p *Program, work []task, prob *order.Problem) {
	if s.job.Stock.Hold == job.Blank {
		return
	}
	type outline struct {
		node, last int
		void       *geom.SegIndex
	}
	var all []outline
	g := newGrid(100)
	for n, w := range work {
		if f := p.Tree.Features[w.feature]; f.Kind != feature.Outline || p.Tree.Parts[f.Part].In >= 0 {
			continue
		}
		if k := len(all) - 1; k >= 0 && work[all[k].node].placed == w.placed {
			all[k].last = n // another stretch between tabs
			continue
		}
		path := w.move.Path(w.setup.spec.Path)
		all = append(all, outline{n, n, nil})
		g.add(path.Box())
	}
	void := func(k int) *geom.SegIndex {
		if all[k].void == nil {
			w := work[all[k].node]
			all[k].void = geom.IndexPaths(w.move.Path(w.setup.spec.Path))
		}
		return all[k].void
	}
	for k, o := range all {
		w := work[o.node]
		var least []int
		var kept []int
		for i, x := range w.ways {
			in := make([]geom.Seg, len(x.lead.In))
			box := geom.EmptyBox().Add(w.move.Apply(x.lead.Pierce))
			for j, sg := range x.lead.In {
				in[j] = geom.Seg{A: w.move.Apply(sg.A), B: w.move.Apply(sg.B), Bulge: sg.Bulge}
				box = box.Union(in[j].Box())
			}
			var by []int
			for _, q := range g.near(box.Grow(s.kerf)) {
				if q != k && s.overVoid(w.move.Apply(x.lead.Pierce), in, void(q), soundOff) {
					by = append(by, q)
				}
			}
			switch {
			case i == 0 || len(by) < len(least):
				least, kept = by, []int{i}
			case slices.Equal(by, least):
				kept = append(kept, i)
			}
		}
		if len(least) == 0 {
			continue
		}
		if slices.ContainsFunc(least, func(q int) bool { return comesBefore(prob, all[q].node, o.node) }) {
			continue
		}
		nd := &prob.Nodes[o.node]
		starts, ends := make([]geom.Point, 0, len(kept)), make([]geom.Point, 0, len(kept))
		ways := make([]way, 0, len(kept))
		for _, i := range kept {
			starts, ends, ways = append(starts, nd.Starts[i]), append(ends, nd.Ends[i]), append(ways, w.ways[i])
		}
		nd.Starts, nd.Ends, work[o.node].ways = starts, ends, ways
		for _, q := range least {
			prob.Nodes[all[q].node].After = append(prob.Nodes[all[q].node].After, o.node)
		}
	}
}

// comesBefore reports whether a must be cut before b.
func comesBefore(prob *order.Problem, a, b int) bool {
	seen := map[int]bool{}
	walk := []int{b}
	for len(walk) > 0 {
		n := walk[len(walk)-1]
		walk = walk[:len(walk)-1]
		for _, m := range prob.Nodes[n].After {
			if m == a {
				return true
			}
			if !seen[m] {
				seen[m] = true
				walk = append(walk, m)
			}
		}
	}
	return false
}

// resolid looks for a lead that pierces metal which the cuts before c have left
// solid, where none of those it was planned with does. It is an Error if there
// is none.
func (s shop) resolid(p *Program, c *Cut, before []geom.Path, names []string, void *geom.SegIndex, faults *fault.List) {
	st := s.onStock(p, c)
	st.f.ID = c.Label
	st.spec.Most = 16
	for _, off := range [2]float64{soundOff, leastOff} {
		st.spec.Ground = fresh{Ground: st.ground, void: void, keep: off * s.kerf}
		for _, l := range lead.Find(st.spec) {
			if s.overVoid(l.Pierce, l.In, void, off) {
				continue
			}
			w := s.way(st, l)
			c.Path, c.LeadIn, c.Tail = w.cut.Path, w.cut.LeadIn, w.cut.Tail
			c.Pierce, c.Clear, c.Holds, c.Time, c.Feeds = l.Pierce, l.Clear, w.holds, w.time, w.feeds
			return
		}
	}
	if !s.overVoid(c.Pierce, c.leadSegs(), void, leastOff) {
		return
	}
	by := "an earlier cut"
	for i, e := range before {
		if s.overVoid(c.Pierce, c.leadSegs(), geom.IndexPaths(e), leastOff) {
			by = names[i]
			break
		}
	}
	faults.Errorf(whereOf(*c), "no-solid-metal", fmt.Sprintf("Lay the parts at least %.1f mm apart, or move this one.", 2*s.need),
		"every lead would pierce where the kerf of %s runs already, or cross it", by)
}

// leadSegs are the segments of a cut's lead-in.
func (c *Cut) leadSegs() []geom.Seg { return c.Path.Segs()[:c.LeadIn] }
