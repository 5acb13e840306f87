package proof

import "math"

// delayWithin is half of the last of two decimals of a dwell, s.
const delayWithin = 0.005

// process holds every run to its process: touch-off, heights, delay and feed.
func (c *check) process() {
	if c.in.Dry {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		c.touchedOff(i, r)
		if c.in.Machine.Probes && r.probe < 0 {
			continue // no height is known; said once
		}
		l := r.loop
		if l == nil {
			l = r.split
		}
		if l == nil {
			continue
		}
		c.pierce(r, l)
		c.lifts(r, l)
		c.heights(r, l)
		c.feeds(r, l)
		if r.split == nil {
			c.loops(r, l)
		}
	}
}

// edgeTouch is how far from a start on the plate's edge the plate may be
// touched, mm (common practice, no source).
const edgeTouch = 25.0

// touchedOff asks for a touch-off near enough.
func (c *check) touchedOff(i int, r *run) {
	m := &c.in.Machine
	if !m.Probes {
		return
	}
	if r.probe < 0 {
		c.find(r.first, "", "no-touch-off", "Touch off before the arc is lit.", "the torch is lit without any touch-off before")
		return
	}
	t := &c.w.touches[r.probe]
	reach := m.ProbeReuse
	if d := c.in.Done; d != nil && i == c.before {
		reach = max(reach, d.Touch)
	}
	if r.loop != nil && r.loop.OnEdge {
		reach = max(reach, edgeTouch)
	}
	if away := t.at.Dist(r.pierce); away > reach+c.tol {
		limit := "the job allows no second use"
		if m.ProbeReuse > 0 {
			limit = "the job lets one serve within " + mm(m.ProbeReuse)
		}
		c.find(r.first, "", "no-touch-off", "Touch off before the arc is lit.", "the last touch-off (line %d) is %s away, %s", c.local(t.line), mm(away), limit).on(r.pierce)
		return
	}
	if t.after < i && m.ProbeReuse == 0 {
		c.find(r.first, "", "no-touch-off", "Touch off before the arc is lit.", "the touch-off of line %d was used by a cut before, the job allows no second use", c.local(t.line))
		return
	}
	if was := t.after; c.in.Stock.Blank && r.loop != nil && c.runs[was].loop != nil && r.loop.part.Blank != c.runs[was].loop.part.Blank {
		c.find(r.first, "", "no-touch-off", "Touch off on every blank.", "the last touch-off (line %d) was on another blank", c.local(t.line))
		return
	}
	if was := t.after; c.runs[was].stops != r.stops {
		c.find(r.first, "", "no-touch-off", "Touch off again after a stop.", "the last touch-off (line %d) was before the stop: the metal may lie otherwise now", c.local(t.line))
	}
}

func (c *check) pierce(r *run, l *loop) {
	if d := math.Abs(r.height - l.PierceHeight); !(d <= c.aloft) {
		c.find(r.first, "", "pierce-height", "Light the arc at pierce height.", "the torch is lit %s over the plate, pierce height is %s", mm(r.height), mm(l.PierceHeight)).on(r.pierce)
	}
	if math.Abs(r.delay-l.PierceDelay) > delayWithin {
		name := "pierce delay"
		if l.Pop {
			name = "pulse"
		}
		c.find(r.first, "", "pierce-delay", "Wait with G4 between lighting the arc and moving.", "a %s of %s s, must be %s s", name, bare(r.delay), bare(l.PierceDelay))
	}
	if l.Rule == "mark" || l.Pop {
		return
	}
	if r.bounded && r.away > 0 {
		if want := pierceRoom(l.Kerf, c.in.Stock.Thickness); r.away < want-c.tol {
			c.warn(r.first, "", "pierce-clearance", "Move the pierce, or look at the edge after the first part.", "pierces %s from an edge that stays, %s are wanted", mm(r.away), mm(want)).on(r.pierce)
		}
	}
}

// lifts finds a torch that goes up while lit: only up to cut height, before it
// moves along, where pierce height is the lower of the two.
func (c *check) lifts(r *run, l *loop) {
	if r.lift > 0 && math.Abs(r.liftTo-l.CutHeight) > c.aloft {
		to := "while it moves along"
		if !math.IsInf(r.liftTo, 0) {
			to = "to " + mm(r.liftTo)
		}
		c.find(r.lift, "", "lit-lift", "Put the arc out first.", "the torch goes up %s while lit", to)
	}
}

func (c *check) heights(r *run, l *loop) {
	for k := range r.path {
		p := &r.path[k]
		if math.Abs(p.low-l.CutHeight) <= c.aloft && math.Abs(p.high-l.CutHeight) <= c.aloft {
			continue
		}
		how := mm(p.low)
		if p.high-p.low > c.aloft {
			how += " to " + mm(p.high)
		}
		c.find(p.line, "", "cut-height", "Go down to cut height before moving along.", "cuts at %s over the plate, cut height is %s", how, mm(l.CutHeight)).on(p.a)
		return
	}
}

// holds compares the height-hold lines with what the features want.
func (c *check) holds() {
	if c.in.Holds == HoldsUnchecked || len(c.w.holdOn) == 0 {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		if r.loop == nil {
			continue
		}
		all := r.loop.Hold || c.in.Holds == HoldsThroughout
		for k := range r.path {
			if all && !r.path[k].held {
				c.find(r.path[k].line, "", "hold-missing", "Put the hold line before it.", "height control may act here, must be held for the whole cut").on(r.path[k].a)
				break
			}
		}
		if !all && r.loop.Holds != nil {
			c.holdSpans(r, r.loop.Holds)
		}
	}
	for _, p := range c.programs {
		if c.in.Holds == HoldsAsMarked && p.held > 0 && len(c.w.holdOff) > 0 {
			c.find(p.held, "", "hold-end", "Let height control act again.", "height control is still held at the end of the program")
		}
	}
}

// holdWithin is how far a hold may begin or end from where it is wanted, mm:
// a twentieth of a second at 600 mm/min, under which no height control reacts
// (common practice, no source).
const holdWithin = 0.5

func (c *check) holdSpans(r *run, want []Span) {
	missing, needless := 0.0, 0.0
	line, extra := 0, 0
	for k := range r.path {
		p := &r.path[k]
		a, b := p.along, p.along+p.length()
		in := 0.0
		for _, s := range want {
			in += max(0, min(b, s.To)-max(a, s.From))
		}
		if !p.held && in > 0 {
			missing += in
			if line == 0 {
				line = p.line
			}
		}
		if out := b - a - in; p.held && out > 0 {
			needless += out
			if extra == 0 {
				extra = p.line
			}
		}
	}
	if missing > holdWithin {
		c.find(line, "", "hold-missing", "Put the hold lines where the plan has them.", "height control may act over %s where it must be held", mm(missing))
	}
	if needless > holdWithin {
		c.find(extra, "", "hold-needless", "Put the hold lines where the plan has them.", "height control is held over %s where it must act", mm(needless))
	}
}
