package planner

import (
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// crossings looks, once the order is known, at what every cut meets of the
// cuts before it. A lead that would pierce over or run across an earlier kerf
// is exchanged for one that does not, if the feature has one: over a kerf the
// arc has no metal to stand on. Where a cut of one part runs beside or over an
// earlier one of another, height is held. Cuts of the same part have been
// looked at where they were set up.
func (s shop) crossings(p *Program, faults *fault.List) {
	blank := s.job.Stock.Hold == job.Blank
	g := newGrid(100)
	reach := nearCut * s.kerf
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if c.Path.NumSegs() == 0 || c.marks() { // a mark leaves the metal whole
			g.add(c.Path.Box())
			continue
		}
		var before []geom.Path
		var names []string
		foreign := false
		for _, k := range g.near(c.Path.Box().Grow(reach)) {
			o := &p.Cuts[k]
			if blank && p.Placed[o.Placed].Blank != p.Placed[c.Placed].Blank || o.Path.NumSegs() == 0 || o.marks() {
				continue
			}
			if o.Placed == c.Placed && o.Feature != c.Feature {
				if !c.leadBox().Grow(s.kerf).Overlaps(o.Path.Box()) {
					continue
				}
			} else {
				foreign = true
			}
			before, names = append(before, o.Path), append(names, o.Label)
		}
		if len(before) > 0 {
			index := geom.IndexPaths(before...)
			if c.task.setup.sort == cutWhole && s.leadMeets(c, index) {
				for k := range c.task.ways {
					if other := c.task.cut(*c, k); !s.leadMeets(&other, index) {
						*c = other
						break
					}
				}
			}
			if foreign && !c.task.setup.shared && c.LeadIn > 0 && s.overVoid(c.Pierce, c.leadSegs(), index, soundOff) && p.outlineOf(c) {
				s.resolid(p, c, before, names, index, faults)
			}
			if foreign {
				s.holdBeside(c, index)
			}
		}
		g.add(c.Path.Box())
	}
}

// holdBeside holds height where a cut runs beside or over earlier ones.
func (s shop) holdBeside(c *Cut, earlier *geom.SegIndex) {
	reach := nearCut * s.kerf
	if a, _, ok := geom.MinDist(geom.IndexPaths(c.Path), earlier); !ok || a.Dist >= reach || s.rules.Control == job.ControlOff {
		return
	}
	all := slices.Clone(c.Holds) // other copies share them
	for _, h := range sampled(c.Path, earlier, reach, s.kerf) {
		h.Why = "over an earlier cut"
		all = append(all, h)
	}
	c.Holds = union(all, c.Path.Length(), s.rules.HoldLeast)
}

// holdAnew holds height beside what the first cut of a resumed program now
// does otherwise than planned: in it, and in the cuts that come after it.
func (s shop) holdAnew(p *Program) {
	first := &p.Cuts[0]
	reach := nearCut * s.kerf
	if first.Path.NumSegs() == 0 {
		return
	}
	foreign := func(o *Cut, box geom.Box) bool {
		return o.Placed != first.Placed && o.Path.NumSegs() > 0 && p.Placed[o.Placed].Blank == p.Placed[first.Placed].Blank && o.Path.Box().Overlaps(box)
	}
	box := first.Path.Box().Grow(reach)
	var before []geom.Path
	for i := range p.done {
		if foreign(&p.done[i], box) {
			before = append(before, p.done[i].Path)
		}
	}
	if len(before) > 0 {
		s.holdBeside(first, geom.IndexPaths(before...))
	}
	index := geom.IndexPaths(first.Path)
	for i := 1; i < len(p.Cuts); i++ {
		if foreign(&p.Cuts[i], box) {
			s.holdBeside(&p.Cuts[i], index)
		}
	}
}

// leadBox returns the box of a cut's lead-in.
func (c *Cut) leadBox() geom.Box {
	b := geom.EmptyBox().Add(c.Pierce)
	for i := range c.LeadIn {
		b = b.Union(c.Path.Seg(i).Box())
	}
	return b
}

// leadMeets reports whether the kerf of a lead-in reaches an earlier kerf.
func (s shop) leadMeets(c *Cut, earlier *geom.SegIndex) bool {
	if !c.leadBox().Grow(s.kerf).Overlaps(earlier.Box()) {
		return false
	}
	lead := geom.Path{V: c.Path.V[:c.LeadIn+1]}
	a, _, ok := geom.MinDist(geom.IndexPaths(lead), earlier)
	return ok && a.Dist < s.kerf
}

// cut returns c begun by another way of its task.
func (w task) cut(c Cut, way int) Cut {
	x := w.ways[way]
	c.way, c.Pierce, c.Path = way, w.move.Apply(x.lead.Pierce), w.move.Path(x.cut.Path)
	c.LeadIn, c.Tail, c.Clear, c.Holds, c.Time, c.Feeds = x.cut.LeadIn, x.cut.Tail, x.lead.Clear, x.holds, x.time, x.feeds
	return c
}

// holdShare is the part of all cut length over which height is held.
func holdShare(cuts []Cut) float64 {
	all, held := 0.0, 0.0
	for i := range cuts {
		all += cuts[i].Path.Length()
		for _, h := range cuts[i].Holds {
			held += h.To - h.From
		}
	}
	if all == 0 {
		return 0
	}
	return held / all
}
