package planner

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
)

// hotTold is how many pairs of cuts a warning names; a person looks at the
// nearest first.
const hotTold = 3

// hot finds the cuts that are still nearer to one of those just before them
// than the job asks for the heat's sake, counts them in the plan, and names
// the nearest. They are looked for in the cuts as they are written.
func (s shop) hot(p *Program) fault.List {
	p.Plan.Hot = 0
	least := s.rules.HeatDistance
	if s.rules.HeatCuts <= 0 || least <= 0 {
		return nil
	}
	type pair struct {
		a, b int
		d    float64
	}
	var pairs []pair
	for i := range p.Cuts {
		c := &p.Cuts[i]
		for k := max(0, i-s.rules.HeatCuts); k < i; k++ {
			o := &p.Cuts[k]
			if p.Placed[o.Placed].Blank != p.Placed[c.Placed].Blank {
				continue
			}
			if d := min(o.Pierce.Dist(c.Pierce), o.Path.End().Dist(c.Pierce)); d < least {
				pairs = append(pairs, pair{k, i, d})
			}
		}
	}
	if p.Plan.Hot = len(pairs); len(pairs) == 0 {
		return nil
	}
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(x.d, y.d) })
	u := s.job.Units
	var names []string
	for _, x := range pairs[:min(len(pairs), hotTold)] {
		names = append(names, fmt.Sprintf("%s soon after %s (%s)", p.Cuts[x.b].Label, p.Cuts[x.a].Label, u.Length(x.d)))
	}
	more := ""
	if n := len(pairs) - hotTold; n > 0 {
		more = fmt.Sprintf(", and %d more", n)
	}
	at := p.Cuts[pairs[0].b].Pierce
	var faults fault.List
	faults.Warnf(fault.Where{Feature: p.Cuts[pairs[0].b].Label, Frame: fault.OnStock, X: at.X, Y: at.Y}, "heat-near",
		"Ask for less distance or fewer cuts, or let the plate cool there.",
		"%d pairs of cuts are nearer than %s: %s%s", len(pairs), u.Length(least), strings.Join(names, ", "), more)
	return faults
}
