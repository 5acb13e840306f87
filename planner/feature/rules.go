package feature

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// decide applies the rules of design.md section 5 to one feature. units is
// what the reason is written in.
func decide(f *Feature, stock job.Stock, r job.Rules, units unit.System) {
	t := stock.Thickness
	mm := units.Length
	switch f.Kind {
	case Mark:
		f.Rule, f.Why = RuleMark, "on a mark layer: traced, not cut through"
		return
	case Outline:
		if stock.Hold == job.Blank {
			f.Rule, f.Why = RuleLocate, "the blank already has its outside: it locates the part and is not cut"
			return
		}
		f.Rule, f.Why = RuleOutline, "a part's outside: cut outside the line, after everything in it"
		return
	}
	if f.Diameter > 0 && t > 0 {
		f.Ratio = f.Diameter / t
	}
	switch {
	case f.Diameter == 0:
		f.Rule, f.Why = RuleInside, "a cut-out: cut inside the line before its outline"
	case t == 0:
		f.Rule, f.Why = RuleInside, "thickness unknown: rules for small holes not applied yet"
	case f.Kind == Hole && f.Ratio <= r.DrillUnder:
		f.Why = fmt.Sprintf("%s wide in %s plate: %.2f x thickness, not over %.2f: too small to cut true", mm(f.Diameter), mm(t), f.Ratio, r.DrillUnder)
		switch r.Drill {
		case job.DrillRefuse:
			f.Rule = RuleRefuse
		default:
			f.Rule = RuleDrill
			f.Why += "; drill it"
		}
	case f.Ratio < r.SlowUnder:
		f.Rule = RuleSlow
		f.Why = fmt.Sprintf("%s wide in %s plate: %.2f x thickness, under %.2f: %.0f %% of feed, height held", mm(f.Diameter), mm(t), f.Ratio, r.SlowUnder, 100*r.SlowFeed)
	case f.Kind == Hole && t >= r.ThickFrom && f.Diameter < r.SlowDiameter:
		f.Rule = RuleSlow
		f.Why = fmt.Sprintf("%s wide, under %s on plate of %s and over: %.0f %% of feed, height held", mm(f.Diameter), mm(r.SlowDiameter), mm(r.ThickFrom), 100*r.SlowFeed)
	default:
		f.Rule = RuleInside
		f.Why = fmt.Sprintf("%s wide: %.2f x thickness, from %.2f up: full feed", mm(f.Diameter), f.Ratio, r.SlowUnder)
	}
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
		if s := recognise(f.Loop); (k == Hole || k == Slot) && s.kind != k {
			continue
		}
		out = append(out, k)
	}
	return out
}

// override applies the operator's word. A word that names no feature, or asks
// for what the shape cannot be, is an Error.
func (t *Tree) override(o job.Override, stock job.Stock, r job.Rules, units unit.System, faults *fault.List) {
	i := slices.IndexFunc(t.Features, func(f Feature) bool { return f.ID == o.Feature })
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
		decide(f, stock, r, units)
	}
	if rule := Rule(o.Rule); rule != "" && rule != f.Rule {
		if !slices.Contains(RulesFor(*f), rule) {
			faults.Errorf(at, "override-rule", fmt.Sprintf("Choose one of %v.", RulesFor(*f)), "rule %q does not suit a %s", o.Rule, f.Kind)
			return
		}
		f.Why = fmt.Sprintf("chosen by the operator; by the rules: %s (%s)", f.Rule, f.Why)
		f.Rule = rule
	}
	if o.Start != nil {
		start := *o.Start
		f.Start = &start
	}
}
