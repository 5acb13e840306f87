package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/proof"
)

// At the wrong scale nothing is compared: hundreds of gouges would bury the
// reason.
func TestProgramInOtherUnitsIsToldSoAndNoMore(t *testing.T) {
	r := proof.Prove(input([]byte(strings.Replace(string(good().text()), "G21", "G20", 1))))
	if r.OK || !slices.Contains(codes(r), "units") {
		t.Fatal(show(r))
	}
	for _, code := range []string{"gouge", "uncut", "not-cut", "stray-cut", "off-edge", "off-plate", "pierce-delay"} {
		if slices.Contains(codes(r), code) {
			t.Errorf("[%s] is told too: %s", code, show(r))
		}
	}
}

// What is found in a later program of a set is told by that program's number
// and its own count of lines.
func TestFindingOfASetNamesItsProgramAndLine(t *testing.T) {
	write := func(title string, cuts ...cutting) *text {
		return &text{strings.Split(strings.TrimSpace(title+"\n"+string(program(cuts...))), "\n")}
	}
	all := cuttings()
	first, second := write("(Program 1 of 2)", all[:3]...), write("(Program 2 of 2)", all[3:]...)
	second.sub("p1.c1", "G1 X", 2, "X", "X1")
	in := input([]byte(strings.Join(first.lines, "\n") + "\n"))
	in.Then = [][]byte{[]byte(strings.Join(second.lines, "\n") + "\n")}
	r := proof.Prove(in)
	from, to := second.section("p1.c1")
	n := 0
	for _, f := range r.Findings {
		if f.Severity == fault.Error && f.Feature == "p1.c1" {
			n++
			if f.Program != 1 || f.Line <= from || f.Line > to {
				t.Errorf("program %d line %d, wanted 1 and %d to %d: %s", f.Program, f.Line, from+1, to, f.Text)
			}
		}
	}
	if n == 0 {
		t.Error(show(r))
	}
}
