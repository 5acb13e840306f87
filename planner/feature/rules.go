package feature

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// decide applies the rules of the trade to one feature, after the job's own
// bands of holes.
func decide(f *Feature, in *Input, r job.Rules) {
	t := in.Stock.Thickness
	f.Feed, f.Hold, f.Overburn, f.Spiral, f.Against, f.Pop, f.Taper, f.Tabs = 1, false, r.Overburn, false, false, false, 0, 0
	switch f.Kind {
	case Mark:
		f.Rule, f.Why = RuleMark, "on a mark layer: traced, not cut through"
		return
	case Outline:
		f.Overburn = 0
		if in.Stock.Hold == job.Blank {
			f.Rule, f.Why = RuleLocate, "the blank already has its outside: it locates the part and is not cut"
			return
		}
		f.Rule, f.Why = RuleOutline, "a part's outside: cut outside the line, after everything in it"
		if small := min(f.Width, f.Height); small < r.TabUnder {
			f.Tabs = r.TabCount
			f.Why += fmt.Sprintf("; %s across, under %s: kept in by %d tabs", in.Units.Length(small), in.Units.Length(r.TabUnder), f.Tabs)
		}
		return
	}
	if f.Diameter > 0 && t > 0 {
		f.Ratio = f.Diameter / t
	}
	if f.Diameter == 0 || t == 0 || !banded(f, in, r) {
		usual(f, in, r)
	}
	if f.Kind != Hole || t == 0 || !f.Rule.Cuts() {
		return
	}
	f.Spiral = f.Spiral || f.Rule == RuleInside
	if f.Taper = in.Process.TaperAdd(f.Ratio); f.Taper != 0 {
		f.Why += fmt.Sprintf("; the preset's table makes it %s wide", in.Units.Length(f.Diameter+f.Taper))
	}
}

// usual applies the rules for every hole.
func usual(f *Feature, in *Input, r job.Rules) {
	t, mm := in.Stock.Thickness, in.Units.Length
	slow := func() {
		f.Rule, f.Feed, f.Hold = RuleSlow, r.SlowFeed, true
	}
	switch {
	case f.Diameter == 0:
		f.Rule, f.Why = RuleInside, "a cut-out: cut inside the line before its outline"
	case t == 0:
		f.Rule, f.Why = RuleInside, "thickness unknown: rules for small holes not applied yet"
	case f.Kind == Hole && f.Ratio <= r.DrillUnder:
		f.Why = fmt.Sprintf("%s wide in %s plate: %.2f x thickness, not over %.2f: too small to cut true", mm(f.Diameter), mm(t), f.Ratio, r.DrillUnder)
		drill(f, r.Drill, in.Process.Kerf)
	case f.Ratio < r.SlowUnder:
		slow()
		f.Why = fmt.Sprintf("%s wide in %s plate: %.2f x thickness, under %.2f: %.0f %% of feed, height held", mm(f.Diameter), mm(t), f.Ratio, r.SlowUnder, 100*r.SlowFeed)
	case f.Kind == Hole && t >= r.ThickFrom && f.Diameter < r.SlowDiameter:
		slow()
		f.Why = fmt.Sprintf("%s wide, under %s on plate of %s and over: %.0f %% of feed, height held", mm(f.Diameter), mm(r.SlowDiameter), mm(r.ThickFrom), 100*r.SlowFeed)
	default:
		f.Rule = RuleInside
		f.Why = fmt.Sprintf("%s wide: %.2f x thickness, from %.2f up: full feed", mm(f.Diameter), f.Ratio, r.SlowUnder)
	}
}

// drill leaves a hole to the drill, or refuses it. kerf is the process's, mm.
func drill(f *Feature, how job.DrillAction, kerf float64) {
	f.Rule = RuleDrill
	switch how {
	case job.DrillRefuse:
		f.Rule = RuleRefuse
	case job.DrillPop:
		if f.Diameter <= kerf {
			f.Why += "; narrower than the kerf, so that a pulse would spoil it; drill it"
			return
		}
		f.Pop = true
		f.Why += "; its centre is marked by a pulse of the arc, then drill it"
	default:
		f.Why += "; drill it"
	}
}

// Band returns the first of a job's bands of holes that fits a hole or a slot,
// -1 if none does. Slots are never drilled.
func Band(f Feature, bands []job.HoleRule, m job.Material, thickness float64) int {
	if f.Diameter == 0 || thickness == 0 {
		return -1
	}
	return slices.IndexFunc(bands, func(h job.HoleRule) bool {
		return h.Fits(m, thickness, f.Diameter) && (f.Kind == Hole || !h.Round && (h.Action == job.HoleCut || h.Action == ""))
	})
}

// banded applies the first of the job's own bands that fits.
func banded(f *Feature, in *Input, r job.Rules) bool {
	t, mm := in.Stock.Thickness, in.Units.Length
	i := Band(*f, r.Holes, in.Stock.Material, t)
	if i < 0 {
		return false
	}
	h := r.Holes[i]
	f.Why = fmt.Sprintf("%s wide in %s plate, %.2f x thickness: band %d of the job's hole rules", mm(f.Diameter), mm(t), f.Ratio, i+1)
	if !h.Note.Empty() {
		f.Why += fmt.Sprintf(" (%s)", h.Note)
	}
	switch h.Action {
	case job.HoleDrill:
		drill(f, job.DrillLeave, in.Process.Kerf)
		return true
	case job.HolePop:
		drill(f, job.DrillPop, in.Process.Kerf)
		return true
	case job.HoleRefuse:
		drill(f, job.DrillRefuse, in.Process.Kerf)
		return true
	}
	f.Rule = RuleInside
	if h.Feed > 0 {
		f.Feed = h.Feed
	}
	f.Hold = h.Hold
	if f.Hold || f.Feed < 1 {
		f.Rule = RuleSlow
	}
	if h.Overburn.Known {
		f.Overburn = h.Overburn.Value
	}
	f.Against = h.Against
	f.Spiral = h.Lead == job.LeadSpiral || h.Lead == "" && !h.Hold
	f.Why += fmt.Sprintf(": %.0f %% of feed", 100*f.Feed)
	if f.Hold {
		f.Why += ", height held"
	}
	if f.Against {
		f.Why += ", the other way round"
	}
	return true
}

// kinds and rules that an override may name, by the feature's place.
func kindsFor(f Feature) []Kind {
	if f.Kind == Outline {
		return []Kind{Outline}
	}
	if !f.Loop.Closed {
		return []Kind{Mark}
	}
	return []Kind{Hole, Slot, CutOut, Mark}
}

// RulesFor lists the rules that the operator may choose for a feature.
func RulesFor(f Feature) []Rule {
	switch f.Kind {
	case Outline:
		if f.Rule == RuleLocate {
			return []Rule{RuleLocate}
		}
		return []Rule{RuleOutline, RuleLeave}
	case Mark:
		return []Rule{RuleMark, RuleLeave}
	case Hole:
		return []Rule{RuleInside, RuleSlow, RuleDrill, RuleLeave}
	}
	return []Rule{RuleInside, RuleSlow, RuleLeave}
}

// KindsFor lists the kinds that the operator may choose for a feature. A hole
// or a slot must have the shape of one.
func KindsFor(f Feature) []Kind {
	var out []Kind
	for _, k := range kindsFor(f) {
		if s := recognise(f.Loop); (k == Hole || k == Slot) && s.kind != k && !(f.Oval && f.Kind == k) {
			continue
		}
		out = append(out, k)
	}
	return out
}

// override applies the operator's word. A word that names no feature, or asks
// for what the shape cannot be, is an Error.
func (t *Tree) override(o job.Override, in *Input, r job.Rules, faults *fault.List) {
	i := slices.IndexFunc(t.Features, func(f Feature) bool { return f.ID == o.Feature })
	if n := t.deleted[o.Feature]; i < 0 && n > 0 {
		faults.Warnf(fault.Where{Feature: o.Feature}, "override-deleted", "Take the edit or the override back.", "the job says how it is cut, and edit %d deleted it", n)
		return
	}
	if i < 0 {
		faults.Errorf(fault.Where{Feature: o.Feature}, "override-unknown", "Delete the override, or name a feature that the drawing has.",
			"the job changes a feature that the drawing does not have")
		return
	}
	f := &t.Features[i]
	at := fault.Where{Feature: f.ID}
	f.Changed = true
	if k := Kind(o.Kind); k != "" && k != f.Kind {
		if !slices.Contains(KindsFor(*f), k) {
			faults.Errorf(at, "override-kind", fmt.Sprintf("Choose one of %v.", KindsFor(*f)), "kind %q does not suit a %s", o.Kind, f.Kind)
			return
		}
		f.Kind = k
		if k == CutOut || k == Mark {
			f.Diameter, f.Length, f.Ratio = 0, 0, 0
		}
		decide(f, in, r)
	}
	if rule := Rule(o.Rule); rule != "" && rule != f.Rule {
		if !slices.Contains(RulesFor(*f), rule) {
			faults.Errorf(at, "override-rule", fmt.Sprintf("Choose one of %v.", RulesFor(*f)), "rule %q does not suit a %s", o.Rule, f.Kind)
			return
		}
		f.Why = fmt.Sprintf("chosen by the operator; by the rules: %s (%s)", f.Rule, f.Why)
		f.Rule, f.Feed, f.Hold, f.Pop = rule, 1, false, rule == RuleDrill && r.Drill == job.DrillPop && f.Diameter > in.Process.Kerf
		if rule == RuleSlow {
			f.Feed, f.Hold = r.SlowFeed, true
		}
		f.Taper = 0
		if f.Kind == Hole && rule.Cuts() {
			f.Spiral = rule == RuleInside
			f.Taper = in.Process.TaperAdd(f.Ratio)
		}
	}
	for _, q := range o.Critical {
		f.Critical = append(f.Critical, f.Now(q))
	}
	if o.Tolerance > 0 {
		f.Tolerance = o.Tolerance
	}
	if o.Tabs.Known {
		if f.Kind != Outline && o.Tabs.Value > 0 {
			faults.Errorf(at, "override-tabs", "Ask for tabs on the outline.", "tabs keep a part in its plate: a %s has none", f.Kind)
			return
		}
		f.Tabs = int(o.Tabs.Value)
	}
	if o.Feed > 0 && f.Rule.Cuts() {
		f.Feed = o.Feed
		f.Why += fmt.Sprintf("; %.0f %% of feed, chosen by the operator", 100*o.Feed)
	}
	if o.Delay.Known {
		f.Delay = o.Delay
		f.Why += fmt.Sprintf("; pierce delay %s s, chosen by the operator", unit.Number(o.Delay.Value, 2))
	}
	if o.Start != nil {
		start := f.Now(*o.Start)
		f.Start = &start
	}
}
