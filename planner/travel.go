package planner

import (
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/motion"
)

// travel decides the height of every rapid, where the plate is touched, and
// how long it all takes. The torch goes at travel height, but at safe height
// over anything that an earlier cut has loosened: slugs and parts may tip.
func (s shop) travel(p *Program) {
	m := s.job.Machine
	loose := newGrid(100)
	var regions []geom.Path
	loosen := func(c Cut) {
		r := c.round()
		regions = append(regions, r)
		loose.add(r.Box())
	}
	var probed *geom.Point
	blank := 0
	for i := range p.Cuts {
		c := &p.Cuts[i]
		b := p.Placed[c.Placed].Blank
		c.Pause = i > 0 && b != blank
		blank = b
		c.TouchOff = probed == nil || c.Pause || c.Pierce.Dist(*probed) > s.rules.ProbeReuse
		if c.TouchOff {
			q := c.Pierce
			probed = &q
		}
		c.Lift = m.SafeZ
		loosen(*c)
		if i+1 == len(p.Cuts) {
			break
		}
		from, to := c.Path.End(), p.Cuts[i+1].Pierce
		p.Rapids = append(p.Rapids, geom.Path{V: []geom.Vertex{{P: from}, {P: to}}})
		if !s.overLoose(loose, regions, from, to) {
			c.Lift = m.TravelZ
		} else {
			p.Raised++
		}
		if p.Placed[p.Cuts[i+1].Placed].Blank != b { // the operator's hands are near
			c.Lift = m.SafeZ
		}
	}
	p.Plan.Time = s.time(p)
}

// round returns the closed path that a cut follows: what lies inside it is
// loose once it is cut.
func (c Cut) round() geom.Path {
	n := c.Path.NumSegs()
	return geom.Path{V: c.Path.V[c.LeadIn : n-c.Tail], Closed: true}
}

func (s shop) overLoose(g *grid, regions []geom.Path, a, b geom.Point) bool {
	for _, k := range g.near(geom.EmptyBox().Add(a).Add(b)) {
		if crosses(regions[k], a, b) {
			return true
		}
	}
	return false
}

// time adds up what the program takes, in s: rapids and lifts from rest to
// rest, touch-offs at the probing feed, pierce delays, and the cuts.
func (s shop) time(p *Program) float64 {
	m := s.job.Machine
	z := func(mm float64) float64 { return motion.RestToRest(mm, m.RapidZ, m.AccelZ) }
	sum, height := 0.0, m.Reach
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if i > 0 {
			sum += motion.RestToRest(p.Rapids[i-1].Length(), m.RapidXY, m.AccelXY)
		}
		if c.TouchOff {
			sum += motion.RestToRest(height+m.SensorOffset.Value, m.ProbeFeed, m.AccelZ)
			height = -m.SensorOffset.Value
		}
		up := s.job.Process.PierceHeight - height
		sum += z(max(up, -up)) + s.job.Process.PierceDelay.Value + c.Time
		sum += motion.RestToRest(s.job.Process.PierceHeight-s.job.Process.CutHeight, min(c.Feed, m.RapidZ), m.AccelZ)
		sum += z(c.Lift - s.job.Process.CutHeight)
		height = c.Lift
	}
	return sum
}

// Slugs lists what falls loose: the region, mm2, of every inside feature cut.
func Slugs(p *Program) []float64 {
	var out []float64
	for _, c := range p.Cuts {
		if f := p.Tree.Features[c.Feature]; f.Kind != feature.Outline {
			out = append(out, f.Area)
		}
	}
	return out
}
