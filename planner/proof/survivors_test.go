package proof_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Checks that could be taken out of the proof without any other test failing,
// as damage done to the proof itself showed. Each is held to its own words.
func TestEveryCheckIsSeenToFail(t *testing.T) {
	for _, row := range []struct {
		name  string
		spoil func(x *text, in *proof.Input)
		code  string
		words string
	}{
		{"tab cut through", func(x *text, in *proof.Input) {
			in.Parts[0].Features[5].Tabs = []proof.Tab{{At: geom.Pt(40, 110), Width: 3}}
		}, "tab", "a tab of 3 mm is cut to 0 mm"},
		{"touch-off on a slug", func(x *text, in *proof.Input) {
			in.Machine.ProbeReuse = 500
			i := x.find("p1.h2", "G38.2", 0)
			x.insert(i, "G0 Z25", "G0 X55 Y60", "G0 Z12")
			x.insert(x.find("p1.h2", "G0 Z3.8", 0), "G0 Z25", "G0 X220 Y60")
		}, "touch-off-void", "touches off inside p1.h1, which is cut free already"},
		{"no touch-off after a stop", func(x *text, in *proof.Input) {
			in.Machine.ProbeReuse = 500
			x.drop("p1.h2", "G38.2", 0)
			x.drop("p1.h2", "G92", 0)
			x.insert(x.find("p1.h2", "G0 X", 0), "M0")
		}, "no-touch-off", "was before the stop"},
		{"an excursion into the scrap", func(x *text, in *proof.Input) {
			i := x.find("p1.c1", "G1 X179", 0)
			x.insert(i, "G1 X160 Y80.75", "G1 X160 Y90", "G1 X160 Y80.75")
		}, "off-edge", "the torch strays to"},
		{"lit at no place", func(x *text, in *proof.Input) { x.drop("p1.h1", "G0 X", 0) }, "place-unknown", "before the program has said where it is"},
	} {
		t.Run(row.name, func(t *testing.T) {
			x := &text{good().lines}
			in := input(nil)
			row.spoil(x, &in)
			in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
			if r := proof.Prove(in); !found(r, row.code, row.words) {
				t.Errorf("wanted [%s] %q\n%s", row.code, row.words, show(r))
			}
		})
	}
	x, in := manyLines()
	in.Text = []byte(strings.Join(x.lines[:x.find("p1.outline", "M5", 0)+1], "\n") + "\n")
	if r := proof.Prove(in); !found(r, "arc-off-lines", "is missing") {
		t.Errorf("a program that ends in the arc-off lines: %s", show(r))
	}
}

func found(r proof.Result, code, words string) bool {
	for _, f := range r.Findings {
		if f.Severity == fault.Error && f.Code == code && strings.Contains(f.Text, words) {
			return true
		}
	}
	return false
}
