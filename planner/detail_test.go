package planner_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// TestDetailOfHolesAgainstClosedForms: pierced in its middle, a hole of radius
// R keeps R to its edge; straight out the lead is R - k/2 long, in half a turn
// that meets the path along it pi (R - k/2) / 2.
func TestDetailOfHolesAgainstClosedForms(t *testing.T) {
	const kerf, thickness = 1.6, 6.0 // of gateJob
	need := math.Max(1.5*kerf, 0.5*thickness+kerf/2)
	for _, c := range []struct {
		lead job.LeadForm
		kind planner.LeadKind
		in   float64 // times R - k/2
	}{{job.LeadRadial, planner.LeadStraight, 1}, {job.LeadSpiral, planner.LeadSpiral, math.Pi / 2}} {
		j := gateJob()
		j.Rules.Holes = []job.HoleRule{{Feed: 0.5, Lead: c.lead}}
		j.Drawings[0].Quantity = 2
		p := mustPlan(t, j, loops(rect(0, 0, 80, 60), geom.Circle(geom.Pt(40, 30), 10)))
		d, ok := planner.DetailOf(j, p, p.Tree.Find("p1.h1"))
		if !ok || d.Cuts != 2 || d.Lead != c.kind {
			t.Fatalf("%s: ok %v, %+v", c.lead, ok, d)
		}
		if math.Abs(d.Clear-10) > 1e-6 || math.Abs(d.Margin()-(10-need)) > 1e-6 || math.Abs(d.In-c.in*(10-kerf/2)) > 1e-3 {
			t.Errorf("%s: clear %g, margin %g, lead %g long", c.lead, d.Clear, d.Margin(), d.In)
		}
		if math.Abs(d.Feed-0.5*j.Process.Feed) > 1e-6 || d.Time <= 0 || d.Hold < 0 || d.Hold > 1 {
			t.Errorf("%+v", d)
		}
	}
}

// TestDetailTellsTheWorstOfTheCuts: an outline's margin is that of the pierce
// that lies nearest to an edge.
func TestDetailTellsTheWorstOfTheCuts(t *testing.T) {
	j := gateJob()
	j.Drawings[0].Quantity = 4
	p := mustPlan(t, j, loops(rect(0, 0, 80, 60)))
	i := p.Tree.Find("p1.outline")
	d, ok := planner.DetailOf(j, p, i)
	least, n := math.Inf(1), 0
	for _, c := range p.Cuts {
		if c.Feature == i {
			least, n = min(least, c.Clear), n+1
		}
	}
	if !ok || d.Cuts != n || n != 4 || d.Clear != least || p.Cuts[d.Worst-1].Clear != least {
		t.Errorf("%+v, least %g of %d", d, least, n)
	}
	if _, ok := planner.DetailOf(j, p, -1); ok {
		t.Error("a feature that is not there has details")
	}
}

func TestForecastOfWhatIsNotCut(t *testing.T) {
	j := gateJob()
	j.Rules.Holes = []job.HoleRule{{Action: job.HoleDrill}}
	p := mustPlan(t, j, loops(rect(0, 0, 80, 60), geom.Circle(geom.Pt(40, 30), 10)))
	f := p.Tree.Features[p.Tree.Find("p1.h1")]
	if _, ok := planner.ForecastOf(j, f); ok {
		t.Error("a drilled hole of which nothing is asked has a forecast")
	}
	f.Tolerance = 0.1
	if c, ok := planner.ForecastOf(j, f); !ok || !c.Held {
		t.Errorf("the drill holds it: %v %+v", ok, c)
	}
}
