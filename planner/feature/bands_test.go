package feature_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Bands of the job come before the rules for every hole; the first that fits
// decides; the reason names it.
func TestFirstBandThatFitsDecides(t *testing.T) {
	bands := []job.HoleRule{
		{Material: job.Stainless, UpTo: 5, Action: job.HoleRefuse},
		{UpTo: 1.2, Action: job.HolePop, Note: plain.Of("drill press is next to the table")},
		{From: 10, Under: 40, Feed: 0.7},
		{UpTo: 2.5, Feed: 0.5, Hold: true, Overburn: job.Of(1.5), Against: true},
	}
	for name, c := range map[string]struct {
		material  job.Material
		thickness float64
		diameter  float64
		rule      feature.Rule
		feed      float64
		hold, pop bool
		why       string
	}{
		"first, by material":         {job.Stainless, 6, 12, feature.RuleRefuse, 1, false, false, "band 1"},
		"second, ratio on its limit": {job.MildSteel, 6, 7.2, feature.RuleDrill, 1, false, true, "band 2 of the job's hole rules (drill press"},
		"third, thick plate":         {job.MildSteel, 10, 39.9, feature.RuleSlow, 0.7, false, false, "band 3"},
		"fourth, held":               {job.MildSteel, 6, 15, feature.RuleSlow, 0.5, true, false, "the other way round"},
		"none fits":                  {job.MildSteel, 6, 15.1, feature.RuleInside, 1, false, false, "full feed"},
		"narrower than the kerf":     {job.MildSteel, 6, 1.5, feature.RuleDrill, 1, false, false, "narrower than the kerf"},
	} {
		d := loops(rect(0, 0, 100, 100), geom.Circle(geom.Pt(50, 50), c.diameter/2))
		tree, faults := feature.Build(feature.Input{
			Drawings: []*drawing.Loops{d}, Stock: job.Stock{Material: c.material, Thickness: c.thickness},
			Process: job.Process{Kerf: 1.6}, Rules: job.Rules{Holes: bands},
		})
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		f := tree.Features[tree.Find("p1.h1")]
		if f.Rule != c.rule || f.Feed != c.feed || f.Hold != c.hold || f.Pop != c.pop || !strings.Contains(f.Why, c.why) {
			t.Errorf("%s: %s, feed %g, held %v, pop %v: %s", name, f.Rule, f.Feed, f.Hold, f.Pop, f.Why)
		}
	}
}
