package proof_test

import (
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A fault says which program of a set it is in, and where on the stock.
func TestFaultsNameTheProgramAndThePlace(t *testing.T) {
	at := geom.Pt(12.5, -3)
	r := proof.Result{Programs: 1, Findings: []proof.Finding{
		{Line: 7, Severity: fault.Error, Code: "gouge", Text: "the kerf reaches in", Do: "Plan again.", At: &at},
		{Program: 1, Line: 9, Severity: fault.Warning, Code: "uncut", Text: "the kerf stays away", Do: "Plan again."},
	}}
	one := r.Faults("hinge.nc")
	if w := one[0].Where; w.File != "hinge.nc" || w.Line != 7 || w.Frame != fault.OnStock || w.X != 12.5 || w.Y != -3 {
		t.Errorf("%+v", w)
	}
	if w := one[1].Where; w.Frame == fault.OnStock || w.X != 0 || w.Y != 0 {
		t.Errorf("%+v", w)
	}
	r.Programs = 2
	set := r.Faults("hinge.nc")
	if set[0].Where.File != "hinge.nc 1" || set[1].Where.File != "hinge.nc 2" || set[1].Severity != fault.Warning {
		t.Errorf("%+v", set)
	}
}
