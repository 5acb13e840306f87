package planner

import (
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
)

// LeadKind says in what form the torch comes from the pierce to the edge.
type LeadKind string

const (
	LeadNone     LeadKind = "none"               // pierced on the path itself
	LeadStraight LeadKind = "straight"           // one line
	LeadArc      LeadKind = "arc"                // one arc that meets the edge along it
	LeadLineArc  LeadKind = "straight, then arc" // a line that goes over into such an arc
	LeadSpiral   LeadKind = "spiral"             // half a turn from the middle of a hole
)

// CutDetail is what came of one feature in a plan.
type CutDetail struct {
	Cuts  int // of all its copies
	Worst int // N of the cut whose pierce lies nearest to an edge that stays
	Lead  LeadKind
	In    float64 // mm of lead-in of that cut
	Clear float64 // mm from its pierce to the nearest edge that stays
	Need  float64 // mm that it should be
	Feed  float64 // mm/min along the edge
	Hold  float64 // part of that cut under height hold
	Time  float64 // s of that cut, arc on
}

// Margin is what the pierce has over the clearance wanted, mm; under 0 it
// lacks so much.
func (d CutDetail) Margin() float64 { return d.Clear - d.Need }

// DetailOf says what came of a feature, an index into the plan's tree, by the
// worst of its cuts. ok is false if none of its copies is cut.
func DetailOf(j job.Job, p *Program, index int) (d CutDetail, ok bool) {
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if c.Feature != index {
			continue
		}
		d.Cuts++
		if c.Pop || ok && c.Clear >= d.Clear {
			continue
		}
		ok = true
		d.Worst, d.Clear, d.Feed, d.Time = c.N, c.Clear, c.Feed, c.Time
		d.Need = lead.Clearance(c.Kerf, j.Stock.Thickness)
		d.In = 0
		for k := range c.LeadIn {
			d.In += c.Path.Seg(k).Length()
		}
		f := p.Tree.Features[index]
		middle := f.Kind == feature.Hole && c.Pierce.Dist(p.Placed[c.Placed].Move.Apply(f.Center)) <= geom.Join
		d.Lead = leadKind(c.Path, c.LeadIn, middle)
		d.Hold = holdShare(p.Cuts[i : i+1])
	}
	return d, ok
}

// leadKind names the form of the first n segments of a cut's path; middle says
// that they begin in the middle of a hole.
func leadKind(path geom.Path, n int, middle bool) LeadKind {
	lines, arcs := 0, 0
	for k := range n {
		if path.Seg(k).IsArc() {
			arcs++
		} else {
			lines++
		}
	}
	switch {
	case n == 0:
		return LeadNone
	case arcs == 0:
		return LeadStraight
	case lines > 0:
		return LeadLineArc
	case middle:
		return LeadSpiral
	}
	return LeadArc
}

// ForecastOf is the forecast of one feature; ok is false if it is not cut and
// nothing is asked of it.
func ForecastOf(j job.Job, f feature.Feature) (c Forecast, ok bool) {
	if !f.Rule.Cuts() && (f.Rule != feature.RuleDrill || f.Tolerance == 0) {
		return Forecast{}, false
	}
	return forecast(j, j.Rules.WithDefaults(), f), true
}
