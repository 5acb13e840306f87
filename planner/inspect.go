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
	r := report.Inspect{Units: l.Units.String(), Features: FeatureReport(tree, j.Stock.Thickness > 0), Open: len(l.Open), Warnings: []string{}}
	for _, c := range l.Closed {
		if c.Use != job.LayerIgnore {
			r.Loops++
		}
	}
	for _, p := range tree.Parts {
		r.Area += p.NetArea
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

// ProofReport turns a verdict into the JSON contract's form.
func ProofReport(v proof.Result) report.Proof {
	r := report.Proof{OK: v.OK, WorstGouge: v.WorstGouge, Uncut: v.Uncut, Findings: []report.Finding{}}
	for _, f := range v.Findings {
		r.Findings = append(r.Findings, report.Finding{Line: f.Line, Feature: f.Feature, Text: f.Severity.String() + ": " + f.Text})
	}
	return r
}
