package tui

import (
	"fmt"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// shopEngine is what is asked about the shop's own numbers.
type shopEngine interface {
	// Shop is the shop's own store.
	Shop() (presets.Store, error)
	// Library is every preset and profile as it was read last.
	Library() *presets.Library
	// Reload takes over what the store holds now. It reads the disk.
	Reload() *presets.Library
	// UseLibrary makes what Reload returned the library.
	UseLibrary(*presets.Library)
	// Sample is a short program through a profile, or why there is none.
	Sample(m job.Machine) []string
}

func (e *real) Shop() (presets.Store, error) { return shopStore() }

func (e *real) Library() *presets.Library { return e.lib }

func (e *real) Reload() *presets.Library {
	s, err := shopStore()
	if err != nil {
		return e.lib
	}
	l, _ := s.Load()
	return l
}

func (e *real) UseLibrary(l *presets.Library) { e.lib = l }

func (e *real) Sample(m job.Machine) []string { return gcode.Sample(m) }

// consumablesCheck holds a job against what is left of the fitted set; ok is
// false where the shop keeps no sets.
func consumablesCheck(p *planner.Program) (c Check, ok bool) {
	s, err := shopStore()
	if err != nil {
		return c, false
	}
	sets, _ := s.Sets()
	if len(sets) == 0 {
		return c, false
	}
	runs, _ := s.Runs()
	return lastingCheck(presets.Lasts(sets, runs, p.Plan.Pierces, p.Plan.Times.ArcOn+p.Plan.Times.Pierce)), true
}

func lastingCheck(l presets.Lasting) Check {
	c := Check{ID: "consumables", Title: "consumables last", Why: l.Text()}
	if !l.Known {
		c.Figure = "not worked out"
		return c
	}
	c.Figure = fmt.Sprintf("%d starts then", l.Wear.Starts+l.Starts)
	c.Limit = fmt.Sprintf("count on %s, %s h of arc", unit.Number(l.Life.Starts.Prudent(), 0), unit.Number(l.Life.Hours.Prudent(), 1))
	if !l.Enough {
		c.Verdict, c.Do = planner.Warn, "Fit a new set before this job, or keep one at hand and watch the cut."
	}
	return c
}

// knownFigures says how well the figures of a preset are known.
func knownFigures(n presets.Neighbours, u unit.System) string {
	if !n.Exact {
		return ""
	}
	s := ""
	if f, ok := n.Thinner.Figure("kerf"); ok {
		s += ", kerf +- " + u.Length(f.Within)
	}
	if f, ok := n.Thinner.Figure("feed"); ok {
		s += ", feed +- " + u.Feed(f.Within)
	}
	return s
}
