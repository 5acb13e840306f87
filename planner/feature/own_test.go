package feature_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

func TestOperatorGivesAFeatureItsOwnFeedAndDelay(t *testing.T) {
	l := &drawing.Loops{Closed: []drawing.Loop{
		{Path: geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 100), geom.Pt(0, 100)), Use: job.LayerCut},
		{Path: geom.Circle(geom.Pt(30, 50), 10), Use: job.LayerCut}, {Path: geom.Circle(geom.Pt(70, 50), 2), Use: job.LayerCut}}}
	tree, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{l}, Stock: job.Stock{Thickness: 6, Hold: job.Plate}, Overrides: []job.Override{
		{Feature: "p1.h1", Feed: 1.2, Delay: job.Of(0)}, {Feature: "p1.h2", Feed: 1.2}}})
	if faults.Bad() {
		t.Fatal(faults)
	}
	cut, drilled := tree.Features[tree.Find("p1.h1")], tree.Features[tree.Find("p1.h2")]
	if cut.Feed != 1.2 || !cut.Delay.Known || cut.Delay.Value != 0 || !strings.Contains(cut.Why, "120 % of feed") {
		t.Errorf("%+v", cut)
	}
	if drilled.Feed == 1.2 || drilled.Delay.Known {
		t.Errorf("what is not cut has no feed: %+v", drilled)
	}
}
