package planner

import (
	"context"
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/order"
	"example.org/kerfwright/planner/progress"
)

// task is one cut of one feature of one copy, ready to be ordered. The tasks
// of one feature follow on from one another.
type task struct {
	placed  int // into Program.Placed
	feature int // into Tree.Features
	setup   *setup
	ways    []way // those that suit its place
	move    geom.Move
	after   []int // placed parts whose outline comes before, since it ends in their kerf
}

// place puts every setup where its copies lie and keeps the leads that are
// lawful there: clear of the parts beside it and on the plate.
func (s shop) place(ctx context.Context, p *Program, setups [][]*setup, copies []layout.Copy) ([]task, fault.List) {
	var faults fault.List
	t := &p.Tree
	p.Placed = placed(*t, copies)
	mirrored := map[int][]*setup{}
	blank := s.job.Stock.Hold == job.Blank

	var round *around
	if !blank {
		round = s.look(p, &faults)
	}
	var all []task
	for k, pl := range p.Placed {
		if ctx.Err() != nil {
			return nil, faults
		}
		part := t.Parts[pl.Part]
		for _, i := range part.Features {
			of := setups[i]
			if len(of) == 0 {
				continue
			}
			move := pl.Move
			if move.Mirror {
				if _, done := mirrored[i]; !done {
					mirrored[i] = s.mirror(t, of[0], i, &faults)
				}
				of = mirrored[i]
				move.Mirror = false
			}
			for _, st := range of {
				all = append(all, task{placed: k, feature: i, setup: st, ways: st.ways, move: move})
			}
		}
	}
	shared := s.share(p, round, all, &faults)
	shared.tell(p, s.job.Process.Feed)
	var out []task
	for n := 0; n < len(all); {
		if ctx.Err() != nil {
			return nil, faults
		}
		progress.Tell(ctx, n, len(all))
		k, i := all[n].placed, all[n].feature
		from, whole := len(out), true
		if chains := shared.of(p, k, i); chains != nil {
			for _, st := range chains {
				out = append(out, task{placed: k, feature: i, setup: st, ways: st.ways})
			}
			for n++; n < len(all) && all[n].placed == k && all[n].feature == i; n++ {
			}
			shared.before(p, &out[from])
			continue
		}
		for ; n < len(all) && all[n].placed == k && all[n].feature == i; n++ {
			w := all[n]
			if !whole {
				continue
			}
			if round != nil {
				s.beside(p, &w, round, &faults)
			} else if t.Features[i].Kind == feature.Outline && t.Parts[p.Placed[k].Part].In < 0 {
				s.beside(p, &w, &around{}, &faults)
			}
			if whole = len(w.ways) > 0; !whole { // an outline is cut all round or not at all
				out = out[:from]
				continue
			}
			out = append(out, w)
		}
		if whole && len(out) > from {
			shared.before(p, &out[from])
		}
	}
	return out, faults
}

// movedFeature returns a feature as it lies after a move, its loop still
// counter-clockwise.
func movedFeature(f feature.Feature, m geom.Move) feature.Feature {
	f.Loop = m.Path(f.Loop)
	if m.Mirror && f.Loop.Closed {
		f.Loop = f.Loop.Reverse()
	}
	f.Center = m.Apply(f.Center)
	if f.Start != nil {
		at := m.Apply(*f.Start)
		f.Start = &at
	}
	all := func(pts []geom.Point) []geom.Point {
		out := make([]geom.Point, len(pts))
		for i, q := range pts {
			out[i] = m.Apply(q)
		}
		return out
	}
	f.Critical, f.TabAt = all(f.Critical), all(f.TabAt)
	return f
}

// mirror works a feature out again for copies that are turned over. st is any
// of its setups.
func (s shop) mirror(t *feature.Tree, st *setup, i int, faults *fault.List) []*setup {
	m := geom.Move{Mirror: true}
	f := movedFeature(t.Features[i], m)
	if st.sort == cutPop {
		return s.pop(f)
	}
	if st.sort == cutMark {
		return s.trace(f)
	}
	g := &ground{own: f.Wanted(), outside: st.ground.outside, plate: geom.EmptyBox()}
	for _, p := range st.ground.within {
		g.within = append(g.within, m.Path(p))
	}
	for _, p := range st.ground.others {
		g.stays(m.Path(p))
	}
	var near []geom.Path
	for _, p := range st.near {
		near = append(near, m.Path(p))
	}
	return s.feature(f, g.ready(), near, faults)
}

// inPlate says when a part hangs over the plate's edge.
func (s shop) inPlate(p *Program, k int, edge geom.Path, faults *fault.List) {
	room, c, what := s.metal.Room(edge)
	if room >= -geom.Join {
		return
	}
	at := fault.Where{Feature: p.Placed[k].Label, Frame: fault.OnStock, X: c.X, Y: c.Y}
	if what == layout.OnEdge {
		faults.Errorf(at, "off-plate", "Move it, or use a larger plate.", "the part hangs %.2f mm over the edge of the plate", -room)
		return
	}
	faults.Errorf(at, "off-plate", "Move it, or move what is in the way.", "the part lies over %s", what)
}

// beside keeps the ways of a feature that are lawful beside its neighbours on
// the plate. If none of those found alone is, it searches again with them.
func (s shop) beside(p *Program, w *task, a *around, faults *fault.List) {
	placed, stay := s.besides(p, w, a)
	if placed == nil {
		return
	}
	if w.setup.sort == cutStretch {
		s.tabRoom(p, w, stay, faults)
	}
	spec := placed.spec
	var kept []way
	for _, x := range w.ways {
		if lead.Lawful(spec, x.lead, w.move) {
			kept = append(kept, x)
		}
	}
	if len(kept) > 0 && len(spec.LoopAt) == 0 { // loops go where a lead does not
		w.ways = kept
		return
	}
	if !s.lead(placed, faults) {
		w.ways = nil
		return
	}
	w.setup, w.ways, w.move = placed, placed.ways, geom.Move{}
}

// besides returns a feature's setup as it lies on the plate, without ways, and
// the outlines beside it that stay; nil if nothing there matters to it.
func (s shop) besides(p *Program, w *task, a *around) (*setup, []geom.Path) {
	reach := w.setup.spec.Longest + 2*s.need
	var stay, within []geom.Path
	plate := true
	if a.grid != nil {
		stay, within, plate = a.beside(p, w.placed, w.feature, w.move.Path(w.setup.spec.Path).Box().Grow(reach))
	}
	if !plate && len(stay) == 0 {
		return nil, nil
	}
	local := *w.setup.ground
	local.others, local.boxes, local.within = slices.Clip(local.others), slices.Clip(local.boxes), slices.Clone(local.within)
	if plate {
		local.plate = s.metal.Box.Grow(-s.kerf)
		local.metal, local.edge = &s.metal, s.kerf
	}
	// What the drawing shows beside it goes where the part goes.
	if len(local.others) > 0 || len(local.within) > 0 {
		moved := local
		local.others, local.boxes, local.within = nil, nil, nil
		for _, o := range moved.others {
			local.stays(w.move.Path(o))
		}
		for _, q := range moved.within {
			local.within = append(local.within, w.move.Path(q))
		}
	}
	local.within = append(local.within, within...)
	local.stays(stay...)
	// The neighbours are on the stock: look from there.
	local.own = w.move.Path(local.own)
	local.ready()
	spec := w.setup.spec
	spec.Path = w.move.Path(spec.Path)
	spec.Center = w.move.Apply(spec.Center)
	spec.Ground = &local
	if spec.Deep != nil {
		spec.Deep = func() geom.Point {
			at, _ := geom.Inscribed(local.own, local.others, geom.Gap)
			return at
		}
	}
	if plate {
		spec.Room = s.torchRoom()
	}
	if len(spec.Keep) > 0 {
		spec.Keep = s.bridges(movedFeature(w.setup.f, w.move))
	}
	if tabs := a.tabsNear(w.placed, spec.Path.Box().Grow(reach)); len(tabs) > 0 {
		spec.Keep, spec.KeepOff = append(spec.Keep, tabs...), (s.tabWidth()+s.kerf)/2
	}
	if leads := a.leadsNear(w.placed, spec.Path.Box().Grow(reach)); len(leads) > 0 {
		spec.Keep, spec.KeepOff = append(spec.Keep, leads...), max(spec.KeepOff, keepOff*s.kerf)
	}
	placed := *w.setup
	placed.f = movedFeature(placed.f, w.move)
	placed.f.ID = s.label(p, w.placed, w.feature)
	placed.spec, placed.ground, placed.near, placed.ways = spec, &local, nil, nil
	placed.spec.Wish, placed.spec.Avoid = placed.f.Start, placed.f.Critical
	for _, e := range w.setup.near {
		placed.near = append(placed.near, w.move.Path(e))
	}
	return &placed, stay
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
	for k, g := range groups {
		sub := ctx
		if len(groups) > 1 {
			sub = progress.Part(ctx, fmt.Sprintf("blank %d of %d", k+1, len(groups)))
		}
		if err := s.orderGroup(progress.Phase(sub, "order of the cuts", "tries"), p, g); err != nil {
			return err
		}
	}
	return nil
}

func (s shop) orderGroup(ctx context.Context, p *Program, work []task) error {
	t := &p.Tree
	// A feature's first and last node; those between follow on.
	first, last := map[[2]int]int{}, map[[2]int]int{} // placed, feature -> node
	for n, w := range work {
		key := [2]int{w.placed, w.feature}
		if _, ok := first[key]; !ok {
			first[key] = n
		}
		last[key] = n
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
		switch key := [2]int{w.placed, w.feature}; {
		case first[key] != n:
			nd.After = append(nd.After, n-1)
		case f.Kind == feature.Outline:
			for _, o := range w.after {
				if m, ok := last[[2]int{o, t.Parts[p.Placed[o].Part].Outline}]; ok {
					nd.After = append(nd.After, m)
				}
			}
			for _, i := range t.Parts[f.Part].Features {
				if m, ok := last[[2]int{w.placed, i}]; ok && i != w.feature {
					nd.After = append(nd.After, m)
				}
			}
		}
		if f.Kind == feature.Outline && last[[2]int{w.placed, w.feature}] == n {
			// A part that lies in a cut-out comes before that cut-out.
			if in := t.Parts[f.Part].In; in >= 0 {
				parent := [2]int{t.Features[in].Part, p.Placed[w.placed].Copy}
				if m, ok := first[[2]int{at[parent], in}]; ok {
					prob.Nodes[m].After = append(prob.Nodes[m].After, n)
				}
			}
			if in := p.Placed[w.placed].Inside; in != nil {
				if m, ok := first[[2]int{in.Placed, in.Feature}]; ok {
					prob.Nodes[m].After = append(prob.Nodes[m].After, n)
				}
			}
		}
	}
	m := s.job.Machine
	prob.Rapid = order.Rapid{Feed: m.RapidXY, Accel: m.AccelXY}
	s.wishes(p, work, &prob)
	s.solidFirst(p, work, &prob)
	res, err := order.Solve(ctx, prob, order.Options{Kicks: s.rules.SearchKicks, Seed: s.rules.OrderSeed})
	if err != nil {
		return err
	}
	p.Plan.RapidBound += res.Bound
	p.Cuts = slices.Grow(p.Cuts, len(res.Order))
	for _, n := range res.Order {
		w := work[n]
		c := w.cut(Cut{
			N: len(p.Cuts) + 1, Placed: w.placed, Feature: w.feature, Label: s.label(p, w.placed, w.feature),
			Kerf: s.kerf, Feed: w.setup.feed, Delay: s.delay(w.setup.f), task: w,
		}, res.Start[n])
		switch {
		case w.setup.sort == cutPop:
			c.Pop, c.Delay = true, s.rules.PopPulse
		case w.setup.sort == cutMark:
			c.Kerf, c.Delay = s.job.Mark.Width, s.job.Mark.Delay
		case w.setup.frees:
			c.Frees = w.move.Path(w.setup.spec.Path)
		}
		p.Cuts = append(p.Cuts, c)
	}
	return nil
}
