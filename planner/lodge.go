package planner

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
)

// Inside says in which cut-out of which other copy a part lies on the stock.
type Inside struct {
	Placed  int // into Program.Placed
	Feature int // into Tree.Features
}

// around is what stands round the parts of a plate: the outlines that lie on
// it, and who lies in whose cut-out.
type around struct {
	edges   []geom.Path
	owner   []int       // of each edge, into Program.Placed
	of      map[int]int // edge of a placed part
	grid    *grid
	lodgers map[Inside][]int   // edges that lie in a cut-out
	host    []int              // edge that each edge lies in, or -1
	bridges [][]geom.Seg       // of each edge: the middles of its tabs
	leads   map[int][]geom.Seg // of a placed part: leads of its outline that no other lead may spoil
}

// look gathers the outlines of the plate. What hangs over an edge, touches or
// lies on another part is an Error.
func (s shop) look(p *Program, faults *fault.List) *around {
	t := &p.Tree
	a := &around{grid: newGrid(100), of: map[int]int{}, lodgers: map[Inside][]int{}}
	for k, pl := range p.Placed {
		part := t.Parts[pl.Part]
		if part.Outline < 0 || part.In >= 0 {
			continue
		}
		e := pl.Move.Path(t.Features[part.Outline].Loop)
		a.of[k] = len(a.edges)
		a.edges, a.owner = append(a.edges, e), append(a.owner, k)
		var tabs []geom.Seg
		if f := t.Features[part.Outline]; len(f.TabAt) > 0 {
			tabs = s.bridges(movedFeature(f, pl.Move))
		}
		a.bridges = append(a.bridges, tabs)
		a.grid.add(e.Box())
		s.inPlate(p, k, e, faults)
	}
	s.lodge(p, a)
	s.apart(p, a, faults)
	return a
}

// lodge finds for every part the smallest cut-out of another copy that holds
// it.
func (s shop) lodge(p *Program, a *around) {
	t := &p.Tree
	a.host = make([]int, len(a.edges))
	for e, path := range a.edges {
		a.host[e] = -1
		box, best := path.Box(), 0.0
		for _, o := range a.grid.near(box) {
			if o == e || !a.edges[o].Box().Encloses(box) {
				continue
			}
			host := p.Placed[a.owner[o]]
			for _, i := range t.Parts[host.Part].Features {
				f := t.Features[i]
				if f.Kind == feature.Outline || !f.Rule.Cuts() || f.Area <= 0 || best > 0 && f.Area >= best {
					continue
				}
				loop := host.Move.Path(f.Loop)
				if loop.Box().Encloses(box) && loop.Winding(path.Start()) != 0 {
					best, a.host[e] = f.Area, o
					p.Placed[a.owner[e]].Inside = &Inside{a.owner[o], i}
				}
			}
		}
		if in := p.Placed[a.owner[e]].Inside; in != nil {
			a.lodgers[*in] = append(a.lodgers[*in], e)
		}
	}
}

// apart says when two parts on the plate are nearer than the kerf.
func (s shop) apart(p *Program, a *around, faults *fault.List) {
	say := func(i, k int, at geom.Point, dist float64, other string) {
		do := "Move one of them: parts need the kerf between them, and room for a lead."
		pi, pk := p.Placed[a.owner[i]], p.Placed[k]
		if d := p.Tree.Parts[pi.Part].Drawing; d == p.Tree.Parts[pk.Part].Drawing && pi.Copy == pk.Copy && pi.Part != pk.Part {
			do = "They lie so in their drawing: lay its parts apart (layout page, or nest --apart), or draw them further apart."
		}
		faults.Errorf(fault.Where{Feature: pi.Label, Frame: fault.OnStock, X: at.X, Y: at.Y}, "parts-touch", do,
			"%.2f mm from %s, kerf %.2f mm", dist, other, s.kerf)
	}
	for i, e := range a.edges {
		for _, k := range a.grid.near(e.Box().Grow(s.kerf)) {
			if k <= i || a.lodged(i, k) || a.lodged(k, i) {
				continue
			}
			d, _, _ := geom.MinDist(geom.IndexPaths(e), geom.IndexPaths(a.edges[k]))
			if d.Dist < s.kerf-geom.Join || a.edges[k].Winding(e.Start()) != 0 || e.Winding(a.edges[k].Start()) != 0 {
				say(i, a.owner[k], d.P, d.Dist, p.Placed[a.owner[k]].Label)
			}
		}
		if in := p.Placed[a.owner[i]].Inside; in != nil {
			loop := p.Placed[in.Placed].Move.Path(p.Tree.Features[in.Feature].Loop)
			if d, _, _ := geom.MinDist(geom.IndexPaths(e), geom.IndexPaths(loop)); d.Dist < s.kerf-geom.Join {
				say(i, in.Placed, d.P, d.Dist, labelOf(p, p.Placed[in.Placed], in.Feature))
			}
		}
	}
}

// lodged reports whether edge i lies in a cut-out of edge k's part, or in one
// that does.
func (a *around) lodged(i, k int) bool {
	for n := 0; a.host[i] >= 0 && n < len(a.host); n++ {
		if i = a.host[i]; i == k {
			return true
		}
	}
	return false
}

// beside lists what a feature of a placed part has near it on the plate, grown
// by reach: the outlines that stay, and the cut-out that it lies in. plate says
// whether the edge of the plate may matter.
func (a *around) beside(p *Program, k, i int, box geom.Box) (stay, within []geom.Path, plate bool) {
	t := &p.Tree
	f := t.Features[i]
	part := t.Parts[p.Placed[k].Part]
	if f.Kind != feature.Outline {
		for _, e := range a.lodgers[Inside{k, i}] {
			stay = append(stay, a.edges[e])
		}
		return stay, nil, false
	}
	own, ok := a.of[k]
	if !ok || part.In >= 0 {
		return nil, nil, false
	}
	for _, e := range a.grid.near(box) {
		if e != own && !a.lodged(own, e) && !a.lodged(e, own) {
			stay = append(stay, a.edges[e])
		}
	}
	if in := p.Placed[k].Inside; in != nil {
		host := p.Placed[in.Placed]
		within = append(within, host.Move.Path(t.Features[in.Feature].Loop))
		for _, other := range t.Parts { // parts drawn in that cut-out
			if other.In == in.Feature && other.Outline >= 0 {
				stay = append(stay, host.Move.Path(t.Features[other.Outline].Loop))
			}
		}
	}
	return stay, within, true
}

// tabsNear lists the tabs of other parts within a box: leads keep off them.
func (a *around) tabsNear(placed int, box geom.Box) (tabs []geom.Seg) {
	if a.grid == nil {
		return nil
	}
	for _, e := range a.grid.near(box) {
		if a.owner[e] != placed {
			tabs = append(tabs, a.bridges[e]...)
		}
	}
	return tabs
}

// leadsNear lists the leads of other parts within a box that are fixed.
func (a *around) leadsNear(placed int, box geom.Box) (leads []geom.Seg) {
	if a.grid == nil || len(a.leads) == 0 {
		return nil
	}
	for _, e := range a.grid.near(box) {
		if a.owner[e] != placed {
			leads = append(leads, a.leads[a.owner[e]]...)
		}
	}
	return leads
}
