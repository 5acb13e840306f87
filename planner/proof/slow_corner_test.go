package proof_test

import (
	"fmt"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// slowed is the plain plate cut slowly beside its corners, from any place near
// the first of them: given are the legs up to the left side's middle and those
// from the last corner on.
func slowed(pierce geom.Point, first, last []leg) []byte {
	l := careful(full, 0, low)
	var between []leg // from the left side's middle to behind the last corner
	for i := range l {
		if i > 4 && i < len(l)-1 {
			between = append(between, l[i])
		}
	}
	legs := append(append(append([]leg{}, first...), between...), last...)
	return []byte(strings.Replace(string(textOf(legs)), "G0 X155.0000 Y74.2500", fmt.Sprintf("G0 X%.4f Y%.4f", pierce.X, pierce.Y), 1))
}

// Leads need no slow corner, whatever corner the cut begins or ends beside; the
// cut does, from its first piece to its last.
func TestSlowCornersAreAskedOfTheCutAndNotOfItsLeads(t *testing.T) {
	h := kerf / 2
	a := plateA
	in, on := geom.Pt(a.X, a.Y-h), geom.Pt(a.X-h, a.Y)
	mid := a.Add(geom.Pt(-1, -1).Unit().Mul(h))
	line := func(x, y, feed float64) leg { return leg{step{to: geom.Pt(x, y)}, feed} }
	round := func(to geom.Point, feed float64) leg { return leg{step{to, a, -1}, feed} }
	for _, c := range []struct {
		name        string
		pierce      geom.Point
		first, last []leg
		ok          bool
	}{
		{"begins and ends in the middle of the corner", geom.Pt(94, 74),
			[]leg{line(mid.X, mid.Y, full), round(on, full), line(on.X, 86, full)}, []leg{line(in.X, in.Y, full), round(mid, full)}, true},
		{"begins 2 mm before the corner", geom.Pt(105, 73),
			[]leg{line(102, in.Y, full), line(in.X, in.Y, low), round(on, low), line(on.X, 86, low)}, []leg{line(102, in.Y, full)}, true},
		{"begins 2 mm before it at full feed", geom.Pt(105, 73),
			[]leg{line(102, in.Y, full), line(in.X, in.Y, full), round(on, low), line(on.X, 86, low)}, []leg{line(102, in.Y, full)}, false},
		{"ends 2 mm behind the corner", geom.Pt(93, 85),
			[]leg{line(on.X, 82, full), line(on.X, 86, full)},
			[]leg{line(in.X+6, in.Y, full), line(in.X, in.Y, low), round(on, low), line(on.X, 82, low), line(95, 86, full)}, true},
		{"slow for 5.6 mm behind it", geom.Pt(155, 74.25),
			[]leg{line(150, in.Y, full), line(in.X+6, in.Y, full), line(in.X, in.Y, low), round(on, low), line(on.X, 85.6, low), line(on.X, 100, full)}, []leg{line(150, in.Y, full)}, true},
		{"slow for 4.5 mm behind it", geom.Pt(155, 74.25),
			[]leg{line(150, in.Y, full), line(in.X+6, in.Y, full), line(in.X, in.Y, low), round(on, low), line(on.X, 84.5, low), line(on.X, 100, full)}, []leg{line(150, in.Y, full)}, false},
	} {
		input := plainPlate(slowed(c.pierce, c.first, c.last), 0, low, 0)
		if r := proof.Prove(input); r.OK != c.ok || !c.ok && !found(r, "feed", "beside a sharp corner") {
			t.Errorf("%s: %s\n%s", c.name, show(r), input.Text)
		}
	}
}

// The last of a lead may run along the cut, for less than a kerf.
func TestCreepMayReachAKerfIntoTheCut(t *testing.T) {
	for along, ok := range map[float64]bool{1: true, 1.4: true, 1.6: false} {
		l := careful(creep, 0, 0)
		legs := append([]leg{{step{to: geom.Pt(150+along, 79.25)}, creep}}, l...)
		r := proof.Prove(plainPlate(textOf(legs), creep, 0, 0))
		if r.OK != ok || !ok && !found(r, "feed", "cuts at 1000 mm/min, the job says 2500 mm/min") {
			t.Errorf("%g mm: %s", along, show(r))
		}
	}
}
