package planner

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/lead"
)

// Verdict is the answer of a computed check.
type Verdict int

const (
	Pass Verdict = iota
	Warn
	Fail // forbids saving
)

// Check is one computed check: its figure, what it was held against, why, and
// what to do if it is not passed.
type Check struct {
	ID      string
	Title   string
	Figure  string
	Limit   string
	Why     string
	Do      string
	Verdict Verdict
	Feature string
}

// Checks computes what can be said of a planned job before the torch is lit.
// It judges nothing that only a person at the machine can see.
func Checks(j job.Job, p *Program, faults fault.List) []Check {
	c := checker{j: j, p: p, faults: faults, rules: j.Rules.WithDefaults()}
	all := []Check{c.plate(), c.table(), c.feed(), c.current(), c.holes(), c.clearance(), c.tip(), c.control(), c.touch()}
	if c.p.Lie != nil {
		all = append(all, c.lie())
	}
	if j.Layout.Share {
		all = append(all, c.shared())
	}
	if p.trim != nil {
		all = append(all, c.trim())
	}
	if k, asked := c.tolerance(); asked {
		all = append(all, k)
	}
	return all
}

// tolerance is asked only where somebody has set one.
func (c checker) tolerance() (k Check, asked bool) {
	u := c.j.Units
	k = Check{ID: "tolerance", Title: "tolerances against ISO 9013", Limit: "what the class and range of the process promise",
		Why: "A cut face is never square, and a size moves with the kerf's wear"}
	wanted, missed := 0, 0
	for _, f := range Forecasts(c.j, c.p.Tree) {
		if f.Wanted == 0 {
			continue
		}
		wanted++
		if !f.Held {
			missed++
			if k.Verdict == Pass {
				k.Verdict, k.Feature, k.Do = Warn, f.Feature, f.Advice
				k.Limit = "at best plus or minus " + u.Length(max(f.Deviation, f.Spread))
			}
		}
	}
	k.Figure = fmt.Sprintf("%d wanted, %d not to be expected", wanted, missed)
	return k, wanted > 0
}

type checker struct {
	j      job.Job
	p      *Program
	faults fault.List
	rules  job.Rules
}

// found returns the first fault with one of the codes.
func (c checker) found(codes ...string) (fault.Fault, bool) {
	for _, f := range c.faults.Sorted() {
		for _, code := range codes {
			if f.Code == code {
				return f, true
			}
		}
	}
	return fault.Fault{}, false
}

func verdictOf(s fault.Severity) Verdict {
	switch s {
	case fault.Error:
		return Fail
	case fault.Warning:
		return Warn
	}
	return Pass
}

func (c checker) plate() Check {
	u := c.j.Units
	k := Check{ID: "plate", Title: "part on the plate", Why: "What hangs over the edge is not cut, and the torch leaves the metal"}
	b := onPlate(c.p)
	k.Figure = fmt.Sprintf("needs X %s to %s, Y %s to %s", u.Length(b.Min.X), u.Length(b.Max.X), u.Length(b.Min.Y), u.Length(b.Max.Y))
	if c.j.Stock.Hold == job.Blank {
		k.Title, k.Limit = "part on the blank", "the drawing's outside"
		if f, ok := c.found("blank-size"); ok {
			k.Verdict, k.Figure, k.Do = verdictOf(f.Severity), f.What, f.Do
		}
		return k
	}
	s := layout.StockBox(c.j.Stock)
	k.Limit = fmt.Sprintf("X %s to %s, Y %s to %s", u.Length(s.Min.X), u.Length(s.Max.X), u.Length(s.Min.Y), u.Length(s.Max.Y))
	if f, ok := c.found("off-plate", "no-room", "parts-touch"); ok {
		k.Verdict, k.Figure, k.Do, k.Feature = Fail, f.What, f.Do, f.Feature
	} else if !s.Encloses(b) {
		k.Verdict, k.Do = Fail, "Move the part away from the edge, or use a larger plate."
	}
	return k
}

func (c checker) table() Check {
	u, m, s := c.j.Units, c.j.Machine, c.j.Stock
	k := Check{ID: "table", Title: "plate on the table", Why: "The machine cannot reach what lies beyond its travel"}
	stock := layout.StockBox(s)
	w, h := stock.Width(), stock.Height()
	if s.Hold == job.Blank {
		b := frame(c.p)
		w, h = b.Width(), b.Height()
	}
	k.Figure = fmt.Sprintf("%s x %s", u.Length(w), u.Length(h))
	if m.TravelX == 0 || m.TravelY == 0 {
		k.Limit, k.Verdict, k.Do = "travel not known", Warn, "Enter the machine's travel in its profile."
		return k
	}
	k.Limit = fmt.Sprintf("%s x %s of travel", u.Length(m.TravelX), u.Length(m.TravelY))
	if w > m.TravelX || h > m.TravelY {
		k.Verdict, k.Do = Warn, "Make sure that the part of the plate in use lies within the travel."
		if b := frame(c.p); b.Width() > m.TravelX || b.Height() > m.TravelY {
			k.Verdict, k.Do = Fail, "Cut it in two set-ups, or on a larger table."
		}
	}
	return k
}

func (c checker) feed() Check {
	u := c.j.Units
	k := Check{ID: "feed", Title: "feed within the machine", Figure: u.Feed(c.j.Process.Feed), Limit: "at most " + u.Feed(c.j.Machine.MaxFeed),
		Why: "A machine that cannot hold the feed cuts wide and with dross"}
	if c.j.Process.Feed > c.j.Machine.MaxFeed {
		k.Verdict, k.Do = Fail, "Use less current, or a slower preset."
		return k
	}
	slow, all := 0.0, 0.0
	for _, cut := range c.p.Cuts {
		all += cut.Path.Length()
		for _, h := range cut.Holds {
			if h.Why == "slower than programmed" {
				slow += h.To - h.From
			}
		}
	}
	if all > 0 && slow/all > 0.5 {
		k.Verdict = Warn
		k.Figure += fmt.Sprintf(", not reached on %.0f %% of the way", 100*slow/all)
		k.Do = "The parts are small for this feed: less current gives a feed that the machine can hold."
	}
	return k
}

func (c checker) current() Check {
	k := Check{ID: "current", Title: "current within the supply", Figure: fmt.Sprintf("%.0f A", c.j.Process.Amps), Why: "Nozzle and electrode are made for one current"}
	if m := c.j.Machine.MaxAmps; m > 0 {
		k.Limit = fmt.Sprintf("at most %.0f A", m)
		if c.j.Process.Amps > m {
			k.Verdict, k.Do = Fail, "Choose a preset for less current."
		}
	} else {
		k.Limit = "the supply's most is not known"
		k.Verdict, k.Do = Warn, "See the rating plate of the supply, and enter it in the profile."
	}
	return k
}

func (c checker) holes() Check {
	k := Check{ID: "holes", Title: "holes, slots against thickness", Limit: fmt.Sprintf("cut slowly under %.2g x, drilled up to %.2g x the thickness", c.rules.SlowUnder, c.rules.DrillUnder),
		Why: "The jet bends in a small hole: it comes out tapered and out of round"}
	slow, drill, least, forced := 0, 0, math.Inf(1), ""
	for _, f := range c.p.Tree.Features {
		if f.Kind != feature.Hole && f.Kind != feature.Slot || f.Rule == feature.RuleLeave {
			continue
		}
		if f.Rule == feature.RuleSlow {
			slow++
		}
		if f.Rule == feature.RuleDrill {
			drill++
			continue
		}
		if f.Ratio < least {
			least = f.Ratio
		}
		if f.Kind == feature.Hole && f.Rule.Cuts() && f.Ratio <= c.rules.DrillUnder {
			forced = f.ID
		}
	}
	k.Figure = fmt.Sprintf("%d slow, %d to drill", slow, drill)
	if !math.IsInf(least, 1) {
		k.Figure += fmt.Sprintf(", smallest cut %.2f x", least)
	}
	if forced != "" {
		k.Verdict, k.Feature, k.Do = Warn, forced, "It will not come out round: drill it, or try it on scrap."
	}
	return k
}

func (c checker) clearance() Check {
	u := c.j.Units
	need := lead.Clearance(c.j.Process.Kerf, c.j.Stock.Thickness)
	k := Check{ID: "clearance", Title: "pierce away from edges", Limit: "at least " + u.Length(need),
		Why: "A pierce blows a crater and throws slag: the greater of 1.5 kerfs and half the thickness plus half a kerf (common practice, no source)"}
	least := math.Inf(1)
	for i, cut := range c.p.Cuts {
		if cut.Clear < least && !c.p.Cuts[i].marks() {
			least, k.Feature = cut.Clear, cut.Label
		}
	}
	if math.IsInf(least, 1) {
		k.Figure = "nothing is pierced"
		return k
	}
	k.Figure = "least " + u.Length(least)
	if f, ok := c.found("no-lead"); ok {
		k.Verdict, k.Figure, k.Do, k.Feature = Fail, f.What, f.Do, f.Feature
	} else if least < need-0.01 {
		k.Verdict, k.Do = Warn, "Try that pierce on scrap, use less current, or drill it."
	}
	return k
}

// tip holds the safe height against what a loosened piece can stand up to:
// tipped about a slat under its middle it rises half its shorter side.
func (c checker) tip() Check {
	u := c.j.Units
	k := Check{ID: "tip-up", Title: "loosened pieces under the torch", Why: "A cut piece may tip on the slats and stop the torch"}
	stands, worst := 0.0, ""
	for _, cut := range c.p.Cuts {
		f := c.p.Tree.Features[cut.Feature]
		if h := min(f.Width, f.Height) / 2; h > stands {
			stands, worst = h, cut.Label
		}
	}
	k.Figure = fmt.Sprintf("rapids raised: %d; a piece may stand up to %s", c.p.Raised, u.Length(stands))
	k.Limit = "safe height " + u.Length(c.j.Machine.SafeZ)
	if c.p.Raised > 0 && stands > c.j.Machine.SafeZ {
		k.Verdict, k.Feature = Warn, worst
		k.Do = "Watch it; support the piece, or stop and take it out once it is cut."
	}
	return k
}

func (c checker) control() Check {
	k := Check{ID: "height-control", Title: "height control", Why: "Control that follows the arc voltage dives wherever the torch slows down or crosses a cut"}
	n := 0
	for _, cut := range c.p.Cuts {
		n += len(cut.Holds)
	}
	switch {
	case c.rules.Control == job.ControlOff:
		k.Figure, k.Limit = "off for the whole job", "the plate must lie flat"
	case gcode.OnlyComments(c.j.Machine.Program.ControlOff):
		k.Figure, k.Limit = fmt.Sprintf("%d holds, as comments only", n), "words in the machine profile"
		k.Verdict, k.Do = Warn, "Enter the profile's words for height control, or switch it off for the job."
	default:
		k.Figure, k.Limit = fmt.Sprintf("%d holds written", n), "the dry run shows each on the machine"
	}
	return k
}

func (c checker) touch() Check {
	u := c.j.Units
	n := 0
	for _, cut := range c.p.Cuts {
		if cut.TouchOff {
			n++
		}
	}
	k := Check{ID: "touch-off", Title: "touch-off", Figure: fmt.Sprintf("%d for %d pierces; sensor trips %s after contact", n, len(c.p.Cuts), u.Length(c.j.Machine.SensorOffset.Value)),
		Limit: "measured on this machine", Why: "A wrong offset puts the nozzle into the plate or the arc out of reach"}
	if c.j.Machine.SensorOffset.Value == 0 {
		k.Verdict, k.Do = Warn, "0 is right only if contact with the nozzle itself trips the sensor: measure it."
	}
	return k
}
