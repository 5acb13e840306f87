package planner

import (
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
)

// Inspect reports what is in one drawing: loops, metal, features.
func Inspect(l *drawing.Loops, j job.Job) (report.Inspect, fault.List) {
	tree, faults := Features(j, []*drawing.Loops{l})
	r := report.Inspect{Units: l.Units.String(), Features: FeatureDetails(j, tree), Open: len(l.Open), Warnings: []string{}}
	for _, c := range l.Closed {
		if c.Use != job.LayerIgnore {
			r.Loops++
		}
	}
	if area, ok := l.EvenOdd(); ok {
		r.Area = area
	} else {
		for _, p := range tree.Parts {
			r.Area += p.NetArea
		}
	}
	return r, faults
}

// FeatureReport lists a tree's features as the JSON contract has them. rules
// says whether the rule is known (it rests on the thickness).
func FeatureReport(t feature.Tree, rules bool) []report.Feature {
	out := make([]report.Feature, 0, len(t.Features))
	for _, p := range t.Parts {
		for _, i := range p.Features {
			f := t.Features[i]
			r := report.Feature{ID: f.ID, Kind: string(f.Kind), Area: f.Area, Width: f.Width, Height: f.Height}
			if f.Diameter > 0 {
				d := f.Diameter
				r.Diameter = &d
			}
			if rules {
				r.Rule = string(f.Rule)
			}
			out = append(out, r)
		}
	}
	return out
}

// FeatureDetails is FeatureReport with reasons and, once the thickness is
// known, what the process can be expected to hold.
func FeatureDetails(j job.Job, t feature.Tree) []report.Feature {
	known := j.Stock.Thickness > 0
	out := FeatureReport(t, known)
	if !known {
		return out
	}
	expected := map[string]Forecast{}
	for _, c := range Forecasts(j, t) {
		expected[c.Feature] = c
	}
	why := map[string]string{}
	for _, f := range t.Features {
		why[f.ID] = f.Why
	}
	for i := range out {
		r := &out[i]
		r.Why = why[r.ID]
		c, cut := expected[r.ID]
		if !cut {
			continue
		}
		r.Square, r.Advice = c.Square, c.Advice
		if c.Range > 0 {
			r.Spread = &c.Spread
		}
		if c.Class > 0 {
			r.Deviation = &c.Deviation
		}
		if c.Wanted > 0 {
			r.Wanted = &c.Wanted
		}
	}
	return out
}

// ProofReport turns a verdict into the JSON contract's form.
func ProofReport(v proof.Result) report.Proof {
	r := report.Proof{OK: v.OK, WorstGouge: v.WorstGouge, Uncut: v.Uncut, Findings: []report.Finding{}}
	for _, f := range v.Findings {
		r.Findings = append(r.Findings, report.Finding{Line: f.Line, Feature: f.Feature, Text: f.Severity.String() + ": " + f.Text})
	}
	return r
}
