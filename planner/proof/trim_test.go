package proof_test

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// One brace of 80 x 60 on a plate of 300 x 220, which is trimmed at X 160 from
// below to above, from closed forms.
const trimAt = 160.0

func trimming() cutting {
	return cutting{"trim.line", geom.Pt(trimAt-6, 7), []step{{to: geom.Pt(trimAt, 0)}, {to: geom.Pt(trimAt, 220)}, {to: geom.Pt(trimAt, 220+kerf)}}, full, false}
}

func trimInput(cuts ...cutting) proof.Input {
	in := input(program(cuts...))
	f := feature("trim.line", "trim", "trim", rounded(geom.Pt(-20, -20), geom.Pt(trimAt, 240), 0))
	f.Web = 6
	in.Parts = []proof.Part{
		{Label: "a", Features: []proof.Feature{feature("a.outline", "outline", "outline", rounded(left1, left2, 0))}},
		{Label: "trim", Features: []proof.Feature{f}},
	}
	return in
}

func trimCuts() []cutting { return []cutting{frame("a.outline", left1, left2, 0), trimming()} }

func TestTrimIsProved(t *testing.T) {
	r := wantGood(t, trimInput(trimCuts()...))
	if len(r.Cuts) != 2 || r.Cuts[1].Feature != "trim.line" || r.Cuts[1].Rule != "trim" {
		t.Error(show(r))
	}
}

func TestEveryMutantOfATrimIsCaught(t *testing.T) {
	for _, m := range []struct {
		name  string
		spoil func(cuts *[]cutting, in *proof.Input)
		code  string
	}{
		{"not cut at all", func(c *[]cutting, _ *proof.Input) { *c = (*c)[:1] }, "not-cut"},
		{"half of it", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].way = []step{(*c)[1].way[0], {to: geom.Pt(trimAt, 110)}}
		}, "uncut"},
		{"short of the plate's far edge", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].way = []step{(*c)[1].way[0], {to: geom.Pt(trimAt, 215)}}
		}, "uncut"},
		{"begun inside the plate's near edge", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[0].to.Y = 5 }, "uncut"},
		{"beside its line", func(c *[]cutting, _ *proof.Input) {
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X -= 0.1
			}
		}, "off-edge"},
		{"into what is kept", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[1].to.X += 0.1; (*c)[1].way[2].to.X += 0.1 }, "trim-beyond"},
		{"pierced in what is kept", func(c *[]cutting, _ *proof.Input) { (*c)[1].pierce.X = trimAt + 6 }, "trim-beyond"},
		{"before the part", func(c *[]cutting, _ *proof.Input) { slices.Reverse(*c) }, "order"},
		{"the part's lead reaches beyond it", func(c *[]cutting, _ *proof.Input) { (*c)[0].pierce = geom.Pt(170, 30) }, "trim-beyond"},
		{"too near to the part's kerf", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(127, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 127
			}
			(*c)[1].pierce.X = 121
		}, "trim-web"},
		{"through the part", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(100, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 100
			}
			(*c)[1].pierce.X = 94
		}, "gouge"},
		{"the part lies beyond it", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(20, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 20
			}
			(*c)[1].pierce.X = 14
		}, "trim-parts"},
		{"far off the plate at its end", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[2].to.Y += 10 }, "off-plate"},
		{"over a clamp", func(_ *[]cutting, in *proof.Input) {
			in.Stock.Voids = []proof.Void{{Path: rounded(geom.Pt(150, 150), geom.Pt(170, 170), 0), Clamp: true, Name: "clamp"}}
		}, "in-void"},
		{"begun on the edge, not by wish", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].pierce = geom.Pt(trimAt, 0)
			(*c)[1].way = (*c)[1].way[1:]
		}, "off-plate"},
		{"begun and touched off on the edge", func(c *[]cutting, in *proof.Input) {
			(*c)[1].pierce = geom.Pt(trimAt, 0)
			(*c)[1].way = (*c)[1].way[1:]
			in.Parts[1].Features[0].OnEdge = true
		}, "touch-off-void"},
		{"another cut along it", func(c *[]cutting, _ *proof.Input) { *c = append(*c, trimming()) }, "cut-twice"},
	} {
		t.Run(m.name, func(t *testing.T) {
			cuts := trimCuts()
			in := trimInput()
			m.spoil(&cuts, &in)
			in.Text = program(cuts...)
			r := proof.Prove(in)
			if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
				return f.Severity == fault.Error && f.Code == m.code && f.Text != "" && f.Do != ""
			}) || r.OK {
				t.Errorf("wanted [%s]\n%s", m.code, show(r))
			}
		})
	}
}
