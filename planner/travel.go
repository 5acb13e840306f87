package planner

import (
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/motion"
)

// Rapid says how the torch comes to a cut.
type Rapid string

const (
	RapidFirst    Rapid = "first"    // from wherever it is, raised to the top
	RapidStraight Rapid = "straight" // at travel height, over nothing loose
	RapidRound    Rapid = "round"    // at travel height, round what is loose
	RapidRaised   Rapid = "raised"   // at safe height, over what is loose
	RapidSwap     Rapid = "swap"     // at safe height, to another blank
)

// longWay is how far the torch may go since a touch-off, in reaches of
// ProbeReuse, before that is no longer trusted: the plate has moved under the
// heat since. Common practice, no source.
const longWay = 20

// travel decides the way and the height of every rapid, where the plate is
// touched, and how long it all takes. The torch goes at travel height; where
// an earlier cut has loosened something on its way, slugs and parts may tip:
// there it goes round, or at safe height over it, whichever is quicker.
func (s shop) travel(p *Program) {
	m := s.job.Machine
	bounds := layout.StockBox(s.job.Stock)
	pockets := 0
	if s.job.Stock.Hold == job.Blank {
		bounds, pockets = frame(p), max(1, len(s.job.Stock.Fixture.Pockets))
	}
	ground := s.floor(bounds)
	load := func(c *Cut) int {
		if pockets == 0 {
			return 0
		}
		return (p.Placed[c.Placed].Blank - 1) / pockets
	}
	p.Rapids, p.Raised, p.Round, p.TouchOffsSaved, p.TouchOffTimeSaved, p.ExtraTime = p.Rapids[:0], 0, 0, 0, 0, 0
	if len(p.Cuts) == 0 {
		return
	}
	for i := range p.done {
		if load(&p.done[i]) == load(&p.Cuts[0]) {
			ground.loosen(p.done[i].round())
		}
	}
	height := m.Reach
	var probed *geom.Point
	gone := 0.0 // mm since the touch-off
	for i := range p.Cuts {
		c := &p.Cuts[i]
		c.Times = cost.Times{}
		c.Rapid, c.Extra = RapidFirst, 0
		c.Pause = i > 0 && p.Placed[c.Placed].Blank != p.Placed[p.Cuts[i-1].Placed].Blank || s.changes(p, i)
		far := 0.0
		if i > 0 {
			far = p.Cuts[i-1].Path.End().Dist(c.Path.Start())
		}
		gone += far
		c.TouchOff = probed == nil || c.Pause || c.Touch != nil || c.Pierce.Dist(*probed) > s.rules.ProbeReuse || gone > longWay*s.rules.ProbeReuse
		if i > 0 {
			if load(c) != load(&p.Cuts[i-1]) { // other metal lies there now
				ground = s.floor(bounds)
			}
			s.rapid(p, ground, i)
			height = p.Cuts[i-1].Lift
			p.Cuts[i-1].Times.Raise += s.climb(height - s.job.Process.CutHeight)
		} else if from, _ := s.approach(p); from != nil {
			c.Times.Rapid = motion.RestToRest(from.Dist(c.Path.Start()), m.RapidXY, m.AccelXY)
		}
		if c.Pause {
			c.Times.Pauses = 1
		}
		down := s.down(c, height, i > 0 && !c.Pause)
		c.Times.Probe, c.Times.Raise = down.Probe, c.Times.Raise+down.Raise
		if c.TouchOff {
			at := c.Pierce
			if c.Touch != nil {
				at = *c.Touch
			}
			probed, gone = &at, 0
		} else {
			with := *c
			with.TouchOff = true
			p.TouchOffsSaved++
			p.TouchOffTimeSaved += s.down(&with, height, true).Sum() - down.Sum()
		}
		c.Times.Pierce = c.Delay
		c.Times.ArcOn = 0
		if !c.Pop {
			c.Times.ArcOn = c.Time + motion.RestToRest(s.job.Process.PierceHeight-s.job.Process.CutHeight, min(c.Feed, m.RapidZ), m.AccelZ)
		}
		gone += c.Path.Length()
		ground.loosen(c.round())
		c.Lift = m.SafeZ
	}
	last := &p.Cuts[len(p.Cuts)-1]
	last.Times.Raise += s.climb(m.SafeZ - s.job.Process.CutHeight)
	p.Rest = cost.Times{}
	if _, to := s.approach(p); to != nil {
		p.Park = to
		p.Rest.Rapid = motion.RestToRest(last.Path.End().Dist(*to), m.RapidXY, m.AccelXY)
	}
	p.Plan.Time = p.Times().Sum()
}

// Times adds up what the program takes.
func (p *Program) Times() cost.Times {
	all := p.Rest
	for i := range p.Cuts {
		all = all.Add(p.Cuts[i].Times)
	}
	return all
}

// rapid decides how the torch comes from cut i-1 to cut i.
func (s shop) rapid(p *Program, ground *floor, i int) {
	m := s.job.Machine
	was, c := &p.Cuts[i-1], &p.Cuts[i]
	from, to := was.Path.End(), c.Path.Start()
	if c.Touch != nil {
		to = *c.Touch
	}
	way := geom.Path{V: []geom.Vertex{{P: from}, {P: to}}}
	straight := s.over(way)
	// Up to safe height and down again, more than to travel height.
	raised := s.climb(m.SafeZ-s.job.Process.CutHeight) + s.down(c, m.SafeZ, true).Sum() -
		s.climb(m.TravelZ-s.job.Process.CutHeight) - s.down(c, m.TravelZ, true).Sum()
	c.Rapid, was.Lift = RapidStraight, m.TravelZ
	switch {
	case c.Pause: // over the edge of a blank and its clamps
		c.Rapid, was.Lift, c.Extra = RapidSwap, m.SafeZ, raised
	case len(ground.over(from, to)) > 0:
		c.Rapid, was.Lift, c.Extra = RapidRaised, m.SafeZ, raised
		// No way that takes longer than to raise is of use.
		most := way.Length() + raised*m.RapidXY/60
		if round, ok := ground.route(from, to, most); ok && s.over(round)-straight < raised {
			way, c.Rapid, was.Lift, c.Extra = round, RapidRound, m.TravelZ, s.over(round)-straight
			p.Round++
		} else {
			p.Raised++
		}
		p.ExtraTime += c.Extra
	}
	p.Rapids = append(p.Rapids, way)
	c.Times.Rapid = s.over(way)
}

// over returns the time of a rapid along a way, s.
func (s shop) over(way geom.Path) float64 {
	return motion.Plan(way, s.job.Machine.RapidXY, s.lim).Time
}

// climb returns the time of a rapid up or down, s.
func (s shop) climb(mm float64) float64 {
	return motion.RestToRest(max(mm, -mm), s.job.Machine.RapidZ, s.job.Machine.AccelZ)
}

// down returns what it takes from a height over the plate to pierce height,
// touch-off included. known says that the height is certain, so that the torch
// may come down to travel height fast.
func (s shop) down(c *Cut, height float64, known bool) (t cost.Times) {
	m := s.job.Machine
	if c.TouchOff {
		if known && height > m.TravelZ {
			t.Raise += s.climb(height - m.TravelZ)
			height = m.TravelZ
		}
		t.Probe = motion.RestToRest(height+m.SensorOffset.Value, m.ProbeFeed, m.AccelZ)
		height = -m.SensorOffset.Value
		if c.Touch != nil { // up, beside, and down again
			t.Raise += s.climb(m.TravelZ - height)
			t.Rapid += motion.RestToRest(c.Touch.Dist(c.Path.Start()), m.RapidXY, m.AccelXY)
			height = m.TravelZ
		}
	}
	t.Raise += s.climb(s.job.Process.PierceHeight - height)
	return t
}

// round returns the closed path that a cut follows: what lies inside it is
// loose once it is cut. It is empty where nothing is.
func (c *Cut) round() geom.Path {
	if c.region != nil {
		return *c.region
	}
	return c.Frees
}
