package planner

import (
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// proofCare tells the proof what care the job asks for in a feature.
func (s shop) proofCare(w *proof.Feature, f feature.Feature, m geom.Move) {
	r := s.rules
	switch {
	case f.Rule == feature.RuleDrill && f.Pop:
		w.Pop, w.PierceDelay = true, r.PopPulse
		if m := s.job.Mark; s.marking() {
			w.PierceHeight, w.CutHeight, w.Amps = m.Height, m.Height, m.Amps
		}
		return
	case !f.Rule.Cuts():
		return
	}
	w.LeadFeed = w.Feed * r.EntryFeed
	w.Split = f.Kind != feature.Outline && r.SplitSlugs > 0 && min(f.Width, f.Height) > r.SplitSlugs
	if f.Kind == feature.Outline {
		w.Corner = proof.Corner{Turn: r.CornerTurn, Loop: r.CornerLoop, Feed: w.Feed * r.CornerFeed, Reach: r.CornerReach}
		for _, q := range f.TabAt {
			w.Tabs = append(w.Tabs, proof.Tab{At: m.Apply(q), Width: s.tabWidth()})
		}
	}
}
