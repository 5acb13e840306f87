package job_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func TestRangeSaysTheLimitsInTheOperatorsUnit(t *testing.T) {
	for _, row := range []struct {
		field job.Field
		v     float64
		in    unit.System
		want  string // "" is allowed
	}{
		{job.StockThickness, 6, unit.MM, ""},
		{job.StockThickness, -6, unit.MM, "must be 0.2 to 160 mm (thinner is foil"},
		{job.StockThickness, 900, unit.Inch, "must be 0.007874 to 6.299 in"},
		{job.StockThickness, 0.2, unit.MM, ""},
		{job.StockThickness, 160, unit.MM, ""},
		{job.StockThickness, math.Nextafter(160, 200), unit.MM, "must be"},
		{job.StockThickness, math.NaN(), unit.MM, "must be"},
		{job.StockThickness, math.Inf(1), unit.MM, "must be"},
		{job.ProcessPierceDelay, 0, unit.MM, ""},
		{job.ProcessPierceDelay, -0.3, unit.MM, "must be 0 to 60 s"},
		{job.ProcessFeed, 1e9, unit.Inch, "in/min"},
		{job.MachineAccelXY, 0, unit.MM, "must be 1 to 100000 mm/s2"},
		{job.PlaceAngle, 7, unit.MM, "must be -360 to 360 deg"},
		{job.PlaceAngle, 2 * math.Pi, unit.MM, ""},
		{job.DrawingQuantity, 2.5, unit.MM, "must be a whole number, 1 to 100000"},
		{job.DrawingQuantity, 3, unit.MM, ""},
		{job.ProcessAmps, 801, unit.MM, "must be 1 to 800 A"},
	} {
		err := row.field.Check(row.v, row.in)
		switch {
		case row.want == "" && err != nil:
			t.Errorf("%s = %v: refused: %v", row.field, row.v, err)
		case row.want != "" && (err == nil || !strings.Contains(err.Error(), row.want)):
			t.Errorf("%s = %v: got %v, want %q", row.field, row.v, err, row.want)
		}
	}
}

func TestEveryFieldHasASaneRangeAndAReason(t *testing.T) {
	if len(job.Fields()) < 50 {
		t.Fatalf("only %d fields", len(job.Fields()))
	}
	for _, f := range job.Fields() {
		r := f.Range()
		if !(r.Min < r.Max) || r.Why == "" || strings.HasSuffix(r.Why, ".") {
			t.Errorf("%s: %+v", f, r)
		}
		for _, v := range []float64{r.Min, r.Max} {
			if err := f.Check(v, unit.MM); err != nil {
				t.Errorf("%s refuses its own limit %v: %v", f, v, err)
			}
		}
	}
}

func TestDefaultRulesAreWithinTheirRanges(t *testing.T) {
	r := job.DefaultRules()
	for f, v := range map[job.Field]float64{
		job.RulesDrillUnder: r.DrillUnder, job.RulesSlowUnder: r.SlowUnder, job.RulesSlowDiameter: r.SlowDiameter,
		job.RulesThickFrom: r.ThickFrom, job.RulesSlowFeed: r.SlowFeed, job.RulesOverburn: r.Overburn,
		job.RulesLeadOut: r.LeadOut, job.RulesMaxLead: r.MaxLead, job.RulesHoldBelow: r.HoldBelow,
		job.RulesProbeReuse: r.ProbeReuse, job.RulesTolerance: geom.Fit, job.RulesProofWithin: geom.Proof,
		job.RulesOrderSeed: float64(r.OrderSeed),
	} {
		if err := f.Check(v, unit.MM); err != nil {
			t.Errorf("%s = %v: %v", f, v, err)
		}
	}
}

func TestRoundedProcessReadsAsAPersonWritesIt(t *testing.T) {
	p := job.Process{Feed: 876.543, Kerf: 1.54321, PierceHeight: 3.0001, CutHeight: 1.5}
	if r := p.Rounded(unit.MM); r.Feed != 877 || r.Kerf != 1.54 || r.PierceHeight != 3 || r.CutHeight != 1.5 {
		t.Errorf("%+v", r)
	}
	r := p.Rounded(unit.Inch)
	for name, got := range map[string]string{"34.5": unit.Inch.WriteMM(r.Feed), "0.061": unit.Inch.WriteMM(r.Kerf), "0.118": unit.Inch.WriteMM(r.PierceHeight), "0.059": unit.Inch.WriteMM(r.CutHeight)} {
		if got != name {
			t.Errorf("%s in, want %s", got, name)
		}
	}
}
