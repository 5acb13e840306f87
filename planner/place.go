package planner

import (
	"context"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/order"
)

// task is one feature of one copy, ready to be ordered.
type task struct {
	placed  int // into Program.Placed
	feature int // into Tree.Features
	setup   *setup
	ways    []way // those that suit its place
	move    geom.Move
	mirror  bool
}

// place puts every setup where its copies lie and keeps the leads that are
// lawful there: clear of the parts beside it and on the plate.
func (s shop) place(ctx context.Context, p *Program, setups []*setup, copies []layout.Copy) ([]task, fault.List) {
	var faults fault.List
	t := &p.Tree
	p.Placed = placed(*t, copies)
	mirrored := map[int]*setup{}
	plate := layout.StockBox(s.job.Stock)
	blank := s.job.Stock.Hold == job.Blank

	// Outlines that stay on the plate, to keep leads away from.
	var edges []geom.Path
	var owner []int
	g := newGrid(100)
	if !blank {
		for k, pl := range p.Placed {
			part := t.Parts[pl.Part]
			if part.Outline < 0 || part.In >= 0 {
				continue
			}
			e := pl.Move.Path(t.Features[part.Outline].Loop)
			edges, owner = append(edges, e), append(owner, k)
			g.add(e.Box())
			s.inPlate(p, k, e, plate, &faults)
		}
		s.apart(p, edges, owner, g, &faults)
	}
	var out []task
	for k, pl := range p.Placed {
		if ctx.Err() != nil {
			return nil, faults
		}
		part := t.Parts[pl.Part]
		for _, i := range part.Features {
			st := setups[i]
			if st == nil {
				continue
			}
			move := pl.Move
			if move.Mirror {
				if mirrored[i] == nil {
					mirrored[i] = s.mirror(t, st, i, &faults)
				}
				if st = mirrored[i]; st == nil {
					continue
				}
				move.Mirror = false
			}
			w := task{placed: k, feature: i, setup: st, ways: st.ways, move: move, mirror: pl.Move.Mirror}
			if f := t.Features[i]; f.Kind == feature.Outline && part.In < 0 {
				s.beside(p, &w, k, edges, owner, g, plate, &faults)
			}
			if len(w.ways) > 0 {
				out = append(out, w)
			}
		}
	}
	return out, faults
}

// mirror works a feature out again for copies that are turned over.
func (s shop) mirror(t *feature.Tree, st *setup, i int, faults *fault.List) *setup {
	m := geom.Move{Mirror: true}
	out := &setup{spec: st.spec, feed: st.feed}
	out.spec.Path = m.Path(st.spec.Path).Reverse()
	out.spec.Center = m.Apply(st.spec.Center)
	if deep := st.spec.Deep; deep != nil {
		out.spec.Deep = func() geom.Point { return m.Apply(deep()) }
	}
	if w := st.spec.Wish; w != nil {
		at := m.Apply(*w)
		out.spec.Wish = &at
	}
	g := *st.ground
	g.own = m.Path(g.own)
	g.within, g.others, g.boxes = nil, nil, nil
	for _, p := range st.ground.within {
		g.within = append(g.within, m.Path(p))
	}
	for _, p := range st.ground.others {
		g.stays(m.Path(p))
	}
	for _, p := range st.near {
		out.near = append(out.near, m.Path(p))
	}
	out.ground = g.ready()
	out.spec.Ground = out.ground
	if !s.lead(out, t.Features[i], faults) {
		return nil
	}
	return out
}

// inPlate says when a part hangs over the plate's edge.
func (s shop) inPlate(p *Program, k int, edge geom.Path, plate geom.Box, faults *fault.List) {
	b := edge.Box()
	over := max(plate.Min.X-b.Min.X, plate.Min.Y-b.Min.Y, b.Max.X-plate.Max.X, b.Max.Y-plate.Max.Y)
	if over > geom.Join {
		c := b.Center()
		faults.Errorf(fault.Where{Feature: p.Placed[k].Label, Frame: fault.OnStock, X: c.X, Y: c.Y}, "off-plate",
			"Move it, or use a larger plate.", "the part hangs %.2f mm over the edge of the plate", over)
	}
}

// apart says when two parts on the plate are nearer than the kerf.
func (s shop) apart(p *Program, edges []geom.Path, owner []int, g *grid, faults *fault.List) {
	for i, e := range edges {
		for _, k := range g.near(e.Box().Grow(s.kerf)) {
			if k <= i {
				continue
			}
			a, _, _ := geom.MinDist(geom.IndexPaths(e), geom.IndexPaths(edges[k]))
			if a.Dist < s.kerf || edges[k].Winding(e.Start()) != 0 || e.Winding(edges[k].Start()) != 0 {
				faults.Errorf(fault.Where{Feature: p.Placed[owner[i]].Label, Frame: fault.OnStock, X: a.P.X, Y: a.P.Y}, "parts-touch",
					"Move one of them: parts need the kerf between them, and room for a lead.",
					"%.2f mm from %s, kerf %.2f mm", a.Dist, p.Placed[owner[k]].Label, s.kerf)
			}
		}
	}
}

// beside keeps the ways of an outline that are lawful beside its neighbours.
// If none of those found alone is, it searches again with the neighbours.
func (s shop) beside(p *Program, w *task, k int, edges []geom.Path, owner []int, g *grid, plate geom.Box, faults *fault.List) {
	local := *w.setup.ground
	local.plate = plate.Grow(-s.kerf)
	reach := w.setup.spec.Longest + 2*s.need
	box := w.move.Path(w.setup.spec.Path).Box().Grow(reach)
	neighbours := 0
	for _, e := range g.near(box) {
		if owner[e] != k {
			local.stays(edges[e])
			neighbours++
		}
	}
	// The neighbours are on the stock: look from there.
	local.own = w.move.Path(local.own)
	local.ready()
	spec := w.setup.spec
	spec.Path = w.move.Path(spec.Path)
	spec.Center = w.move.Apply(spec.Center)
	spec.Ground = &local
	if spec.Wish != nil {
		at := w.move.Apply(*spec.Wish)
		spec.Wish = &at
	}
	var kept []way
	for _, x := range w.ways {
		if lead.Lawful(spec, x.lead, w.move) {
			kept = append(kept, x)
		}
	}
	if len(kept) > 0 {
		w.ways = kept
		return
	}
	placed := &setup{spec: spec, ground: &local, feed: w.setup.feed}
	for _, e := range w.setup.near {
		placed.near = append(placed.near, w.move.Path(e))
	}
	f := p.Tree.Features[w.feature]
	f.ID = s.label(p, w.placed, w.feature)
	f.Center = w.move.Apply(f.Center)
	if !s.lead(placed, f, faults) {
		w.ways = nil
		return
	}
	w.setup, w.ways, w.move = placed, placed.ways, geom.Move{}
}

// label names a feature of a copy: "p1.h3", or "p1#2.h3".
func (s shop) label(p *Program, k, i int) string { return labelOf(p, p.Placed[k], i) }

func labelOf(p *Program, pl Placed, i int) string {
	return pl.Label + p.Tree.Features[i].ID[len(p.Tree.Parts[pl.Part].ID):]
}

// order finds the order of all tasks and fills the program's cuts. Blanks are
// done one after the other.
func (s shop) order(ctx context.Context, p *Program, work []task) error {
	groups := [][]task{work}
	if s.job.Stock.Hold == job.Blank {
		groups = nil
		for i, w := range work {
			if i == 0 || p.Placed[w.placed].Blank != p.Placed[work[i-1].placed].Blank {
				groups = append(groups, nil)
			}
			groups[len(groups)-1] = append(groups[len(groups)-1], w)
		}
	}
	for _, g := range groups {
		if err := s.orderGroup(ctx, p, g); err != nil {
			return err
		}
	}
	return nil
}

func (s shop) orderGroup(ctx context.Context, p *Program, work []task) error {
	t := &p.Tree
	node := map[[2]int]int{} // placed, feature -> node
	for n, w := range work {
		node[[2]int{w.placed, w.feature}] = n
	}
	at := map[[2]int]int{} // part, copy -> placed
	for k, pl := range p.Placed {
		at[[2]int{pl.Part, pl.Copy}] = k
	}
	prob := order.Problem{Nodes: make([]order.Node, len(work))}
	for n, w := range work {
		f := t.Features[w.feature]
		nd := &prob.Nodes[n]
		nd.Group, nd.Name = w.placed, s.label(p, w.placed, w.feature)
		for _, x := range w.ways {
			nd.Starts = append(nd.Starts, w.move.Apply(x.lead.Pierce))
			nd.Ends = append(nd.Ends, w.move.Apply(x.cut.Path.End()))
		}
		if f.Kind == feature.Outline {
			for _, i := range t.Parts[f.Part].Features {
				if m, ok := node[[2]int{w.placed, i}]; ok && m != n {
					nd.After = append(nd.After, m)
				}
			}
			// A part that lies in a cut-out comes before that cut-out.
			if in := t.Parts[f.Part].In; in >= 0 {
				parent := [2]int{t.Features[in].Part, p.Placed[w.placed].Copy}
				if m, ok := node[[2]int{at[parent], in}]; ok {
					prob.Nodes[m].After = append(prob.Nodes[m].After, n)
				}
			}
		}
	}
	m := s.job.Machine
	prob.Rapid = order.Rapid{Feed: m.RapidXY, Accel: m.AccelXY}
	s.wishes(p, work, &prob)
	res, err := order.Solve(ctx, prob, order.Options{Kicks: s.rules.SearchKicks, Seed: s.rules.OrderSeed})
	if err != nil {
		return err
	}
	p.Plan.RapidBound += res.Bound
	p.Plan.Hot += res.Hot
	for _, n := range res.Order {
		w := work[n]
		x := w.ways[res.Start[n]]
		c := Cut{
			N: len(p.Cuts) + 1, Placed: w.placed, Feature: w.feature, Pierce: w.move.Apply(x.lead.Pierce),
			Path: w.move.Path(x.cut.Path), LeadIn: x.cut.LeadIn, Tail: x.cut.Tail,
			Kerf: s.kerf, Feed: w.setup.feed, Clear: x.lead.Clear, Holds: x.holds, Time: x.time,
			Label: s.label(p, w.placed, w.feature), task: w,
		}
		p.Cuts = append(p.Cuts, c)
	}
	return nil
}
