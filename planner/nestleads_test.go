package planner_test

import (
	"context"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// crowded is nine plates, of which the one in the middle has all its room to
// pierce from the gap.
func crowded(gap float64, way job.Turning) job.Job {
	j := gateJob()
	j.Layout.Rounds, j.Layout.Gap, j.Layout.Margin = 1, gap, 10
	j.Stock.Width, j.Stock.Height = 200, 170
	j.Drawings[0].Quantity, j.Drawings[0].Turns = 9, way
	return j
}

// leadFaults are the faults of a plan that a wider gap would cure.
func leadFaults(faults fault.List) (out []string) {
	for _, f := range faults {
		if f.Severity >= fault.Warning && (f.Code == "no-lead" || f.Code == "pierce-clearance" || f.Code == "parts-touch") {
			out = append(out, f.Error())
		}
	}
	return
}

func TestGapIsWidenedUntilEveryPartHasItsLead(t *testing.T) {
	ctx := context.Background()
	for _, gap := range []float64{1, 2, 3, 5} {
		j, l := crowded(gap, job.TurnFixed), loops(rect(0, 0, 50, 40))
		tight := j // what rows alone make of the gap that was asked for
		if _, faults := planner.Plan(ctx, tight, l); len(leadFaults(faults)) == 0 {
			t.Fatalf("gap %g: rows lack nothing: the case tests nothing", gap)
		}
		out, faults := planner.Nest(ctx, j, l)
		if faults.Bad() || len(leadFaults(faults)) > 0 {
			t.Fatalf("gap %g: %v", gap, faults)
		}
		if out.Gap <= gap || len(out.Places) != 9 || out.How != "rows" {
			t.Errorf("gap %g: %d places by %s, %g mm apart", gap, len(out.Places), out.How, out.Gap)
		}
		j.Layout.Places = out.Places
		if _, faults := planner.Plan(ctx, j, l); faults.Bad() || len(leadFaults(faults)) > 0 {
			t.Errorf("gap %g, widened to %g: %v", gap, out.Gap, faults)
		}
	}
	// Where leads fit, the gap stays.
	j := crowded(11, job.TurnFixed)
	if out, _ := planner.Nest(ctx, j, loops(rect(0, 0, 50, 40))); out.Gap != 11 || len(out.Places) != 9 {
		t.Errorf("%d places, %g mm apart", len(out.Places), out.Gap)
	}
}

func TestMissingLeadsThatNoGapCuresAreTold(t *testing.T) {
	j := crowded(2, job.TurnFixed)
	j.Stock.Width = 300
	for k := range 9 { // locked where they are: the one in the middle cannot be pierced for
		j.Layout.Places = append(j.Layout.Places, job.Place{X: 10 + 52*float64(k%3), Y: 10 + 42*float64(k/3), Lock: true})
	}
	j.Drawings[0].Quantity = 11
	out, faults := planner.Nest(context.Background(), j, loops(rect(0, 0, 50, 40)))
	if len(out.Places) != 11 || out.Places[4] != j.Layout.Places[4] {
		t.Fatalf("%v", out.Places)
	}
	var told fault.Fault
	for _, f := range faults {
		if f.Code == "nest-leads" {
			told = f
		}
	}
	if told.Severity < fault.Warning || !strings.Contains(told.What, "1 part without a lead") || !strings.Contains(told.What, "from 2 mm to") || !strings.Contains(told.Do, "locked") {
		t.Errorf("%v", faults)
	}
	if len(leadFaults(faults)) == 0 {
		t.Errorf("the part is not named: %v", faults)
	}
	// The layout kept is the one before the gap was widened for nothing.
	if out.Gap != 2 {
		t.Errorf("%g mm apart: a gap that cures nothing costs metal", out.Gap)
	}
}

// A hole that is too small for its pierce is so on any plate: that is no reason
// to lay out again.
func TestWhatAFeatureLacksByItselfWidensNoGap(t *testing.T) {
	j := crowded(11, job.TurnFixed)
	j.Drawings[0].Quantity = 4
	l := loops(rect(0, 0, 50, 40), slot(15, 18, 12, 5))
	j.Layout.Places = nil
	if _, faults := planner.Plan(context.Background(), j, l); len(leadFaults(faults)) == 0 {
		t.Fatal("the slot lacks nothing: the case tests nothing")
	}
	if out, faults := planner.Nest(context.Background(), j, l); out.Gap != 11 || faults.Bad() {
		t.Errorf("%g mm apart, %v", out.Gap, faults)
	}
}
