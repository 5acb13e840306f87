package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/proof"
)

var dryMutants = []struct {
	name  string
	spoil func(x *text)
	code  string
}{
	{"torch lit", func(x *text) { x.insert(x.find("p1.h1", "G1 X", 0), "M3") }, "dry-lit"},
	{"low", func(x *text) { x.insert(x.find("p1.h1", "G1 X", 0), "G0 Z3") }, "low-travel"},
	{"no rectangle", func(x *text) { i := x.find("", "G1 X", 0); x.lines = slices.Delete(x.lines, i-1, i+4) }, "dry-trace"},
	{"rectangle of half the job", func(x *text) {
		x.sub("", "G1 X", 0, "240.7500", "140")
	}, "dry-trace"},
	{"rectangle far too large", func(x *text) {
		x.sub("", "G0 X", 0, "X39.2500", "X10")
		x.sub("", "G1 X", 1, "X39.2500", "X10")
	}, "dry-trace"},
	{"hold line missing", func(x *text) { x.drop("p1.h3", "(height hold on)", 0) }, "hold-missing"},
	{"another path", func(x *text) { x.sub("p1.c1", "G1 X", 2, "Y", "Y1") }, "uncut"},
	{"touch-off without Z set", func(x *text) { x.drop("", "G92", 0) }, "touch-off-zero"},
	{"sensor offset left out", func(x *text) { x.sub("", "G92", 0, "-1.2000", "0") }, "touch-off-zero"},
	{"not raised after the touch-off", func(x *text) { x.drop("", "G0 Z25", 1) }, "low-travel"},
	{"raised a little after the touch-off", func(x *text) { x.sub("", "G0 Z25", 1, "25", "12") }, "low-travel"},
	{"touch-off off the plate", func(x *text) { x.insert(x.find("", "G38.2", 0), "G0 X-5 Y34") }, "touch-off-void"},
	{"touch-off to the side", func(x *text) { x.sub("", "G38.2", 0, "Z-15", "X41 Z-15") }, "touch-off"},
	{"touch-off too fast", func(x *text) { x.sub("", "G38.2", 0, "500", "900") }, "probe-feed"},
	{"a cut missing", func(x *text) { f, e := x.section("p1.h2"); x.lines = slices.Delete(x.lines, f, e) }, "not-cut"},
	{"other direction", func(x *text) { x.sub("p1.h1", "G3 X", 0, "G3", "G2"); x.sub("p1.h1", "G3 X", 0, "G3", "G2") }, "direction"},
}

func TestDryRunWithoutAnyTouchOffIsWarnedOf(t *testing.T) {
	x := &text{goodDry().lines}
	x.drop("", "G38.2", 0)
	x.drop("", "G92", 0)
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Dry = true
	r := proof.Prove(in)
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "dry-height" || r.Findings[0].Feature != "p1.h1" || r.Findings[0].Line == 0 {
		t.Error(show(r))
	}
}

// The dry run of a program that goes on finds the plate as the earlier one
// left it.
func TestDryTouchOffOverAnEarlierProgramsKerfIsCaught(t *testing.T) {
	whole := &text{good().lines}
	for _, at := range []struct {
		place string
		ok    bool
	}{{"G0 X69.25 Y60", false}, {"G0 X80 Y60", true}} {
		x := &text{goodDry().lines}
		from, to := x.section("p1.h1")
		x.lines = slices.Delete(x.lines, from, to)
		x.insert(x.find("", "G38.2", 0), at.place)
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		in.Dry = true
		line, _ := whole.section("p1.h2")
		in.Done = &proof.Done{Text: good().text(), Line: line + 1}
		r := proof.Prove(in)
		found := slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
			return f.Code == "touch-off-void" && f.Line == x.find("", "G38.2", 0)+1 && strings.Contains(f.Text, "p1.h1")
		})
		if found == at.ok || r.OK != at.ok {
			t.Errorf("%s: %s", at.place, show(r))
		}
	}
}

func TestTravelHeightPastASlugIsEnough(t *testing.T) {
	x := &text{good().lines}
	x.sub("p1.h1", "G0 Z25", 0, "25", "12") // the hole ends on its right, the next lies to the right
	if r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n"))); !r.OK {
		t.Error(show(r))
	}
}

func TestEveryMutantOfTheDryRunIsCaught(t *testing.T) {
	for _, m := range dryMutants {
		t.Run(m.name, func(t *testing.T) {
			x := &text{goodDry().lines}
			m.spoil(x)
			in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
			in.Dry = true
			r := proof.Prove(in)
			for _, f := range r.Findings {
				if f.Code == m.code && f.Severity == fault.Error && f.Line > 0 && !r.OK {
					return
				}
			}
			t.Errorf("wanted [%s]\n%s", m.code, show(r))
		})
	}
}
