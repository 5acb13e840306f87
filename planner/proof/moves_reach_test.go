package proof_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// The first move names one axis, or is told from the last place: the torch goes
// as far all the same, and the other axis is not made up.
func TestMoveOnOneAxisStaysOnTheTable(t *testing.T) {
	sides := func(m *proof.Machine) { m.Table = geom.Box{Min: geom.Pt(-10, -20), Max: geom.Pt(300, 220)} }
	travel := func(m *proof.Machine) { m.TravelX, m.TravelY = 300, 220 }
	for _, v := range []struct {
		lines string
		limit func(m *proof.Machine)
		says  string // "" for a good one
	}{
		{"G0 X9000", sides, "goes to X9000, off the table, which ends at X-10 and X300"},
		{"G0 Y9000", sides, "goes to Y9000, off the table, which ends at Y-20 and Y220"},
		{"G0 X-50", sides, "goes to X-50, off"},
		{"G0 Y-50", sides, "goes to Y-50, off"},
		{"G0 X-10", sides, ""},
		{"G0 Y220", sides, ""},
		{"G0 X9000", travel, "from X0 to X9000, 9000 mm, the table has 300 mm"},
		{"G0 Y9000", travel, "from Y0 to Y9000, 9000 mm, the table has 220 mm"},
		{"G0 X-100", travel, "from X-100 to X240.75"},
		{"G0 Y-100", travel, "from Y-100 to Y180.75"},
		{"G0 X300", travel, ""},
		{"G0 X290\nG91\nG0 X20\nG90", sides, "goes to X310, off"},
		{"G0 X290\nG91\nG0 X5 Y5\nG90", sides, ""},
		{"G0 X10 Y10\nG53 G0 Y-400\nG0 X9000", sides, "goes to X9000, off"},
	} {
		x := &text{good().lines}
		x.insert(x.find("p1.h1", "G0 X", 0), strings.Split(v.lines, "\n")...)
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		in.Machine.Table, in.Machine.TravelX, in.Machine.TravelY = geom.Box{}, 0, 0
		v.limit(&in.Machine)
		r := proof.Prove(in)
		if v.says == "" && !r.OK || v.says != "" && (r.OK || !found(r, "off-table", v.says)) {
			t.Errorf("%q: %s", v.lines, show(r))
		}
		for _, f := range r.Findings {
			if f.Code != "off-table" || v.says == "" {
				t.Errorf("%q: %s", v.lines, show(r))
			}
		}
	}
}

// Before anything is cut the first move needs no more than travel height, from
// wherever it comes.
func TestFirstMoveMayBeAtTravelHeight(t *testing.T) {
	x := &text{good().lines}
	x.set("", "G0 Z25", 0, "G0 Z12")
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	if m := in.Machine; m.TravelZ > 12 || m.SafeZ <= 12 {
		t.Fatalf("travel height %g, safe height %g", m.TravelZ, m.SafeZ)
	}
	wantGood(t, in)
}
