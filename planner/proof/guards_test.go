package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Holds are asked for only where the job, the profile and the machine say
// enough; each alone is reason to ask for none.
func TestHoldsAreAskedForOnlyWhereAllIsSaid(t *testing.T) {
	var bare []held
	for _, h := range asNeeded() {
		bare = append(bare, held{h.cutting, nil})
	}
	text := writeHeld(&writer{k: 1, dec: 4}, bare).text()
	asked := func(change func(in *proof.Input)) bool {
		in := heldInput(text)
		change(&in)
		return strings.Contains(show(proof.Prove(in)), "must be held there")
	}
	for _, c := range []struct {
		name   string
		change func(in *proof.Input)
		want   bool
	}{
		{"all is said", func(*proof.Input) {}, true},
		{"nothing is said of kerfs beside", func(in *proof.Input) { in.HoldNear = 0 }, true},
		{"no height control", func(in *proof.Input) { in.Holds = proof.HoldsUnchecked }, false},
		{"held throughout", func(in *proof.Input) { in.Holds = proof.HoldsThroughout }, false},
		{"no share of the feed", func(in *proof.Input) { in.HoldBelow = 0 }, false},
		{"no acceleration", func(in *proof.Input) { in.Machine.AccelXY = 0 }, false},
		{"no line to hold with", func(in *proof.Input) { in.Form.Lines.HoldOn = nil }, false},
		{"no line to let go with", func(in *proof.Input) { in.Form.Lines.HoldOff = nil }, false},
		{"features held whole", func(in *proof.Input) {
			for i := range in.Parts[0].Features {
				in.Parts[0].Features[i].Hold = true
			}
		}, false},
		{"marks", func(in *proof.Input) {
			for i := range in.Parts[0].Features {
				in.Parts[0].Features[i].Rule = "mark"
			}
		}, false},
	} {
		if got := asked(c.change); got != c.want {
			t.Errorf("%s: asked %v", c.name, got)
		}
	}
}

// The earlier program may be found on the plate further off than the job
// allows, and only by the first cut.
func TestFirstCutAfterAStopMayTouchOffBesideItsPierce(t *testing.T) {
	for _, c := range []struct {
		id    string
		touch float64
		off   float64
		ok    bool
	}{
		{"p1.h2", 20, 12, true}, {"p1.h2", 10, 12, false}, {"p1.h2", 0, 12, false}, {"p1.h3", 20, 12, false},
	} {
		x := &text{strings.Split(strings.TrimSpace(string(program(cuttings()[1:]...))), "\n")}
		at := map[string]geom.Point{"p1.h2": h2, "p1.h3": h3}[c.id]
		i := x.find(c.id, "G0 X", 0)
		x.lines[i] = "G0 " + (&writer{k: 1, dec: 4}).xy(at.Sub(geom.Pt(0, c.off)))
		x.insert(x.find(c.id, "G0 Z3.8", 0), "G0 Z25", "G0 "+(&writer{k: 1, dec: 4}).xy(at))
		in := goesOn(lineOf("p1.h2", "(p1.h2", 0), []byte(strings.Join(x.lines, "\n")+"\n"))
		in.Done.Touch = c.touch
		r := proof.Prove(in)
		if r.OK != c.ok || !c.ok && !slices.Contains(codes(r), "no-touch-off") {
			t.Errorf("%+v: %s", c, show(r))
		}
	}
}

// A pierce that came to nothing left a hole: the next cut may not begin in it,
// nor the plate be touched there.
func TestHoleOfALostPierceIsNoMetal(t *testing.T) {
	line := lineOf("p1.outline", "G1 X140", 0) // lit, and not moved
	in := goesOn(line, program(cuttingOf("p1.outline")))
	r := proof.Prove(in)
	if r.OK || !slices.Contains(codes(r), "touch-off-void") && !slices.Contains(codes(r), "pierce-void") {
		t.Error(show(r))
	}
	beside := cuttingOf("p1.outline")
	beside.pierce = beside.pierce.Add(geom.Pt(8, 0))
	in = goesOn(line, program(beside))
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// A blank without an edge of its own bounds nothing.
func TestBlankWithoutAnEdgeBoundsNothing(t *testing.T) {
	in := blanks(program(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false)), 0)
	wantGood(t, in)
	in.Stock.Shapes[0] = geom.Path{}
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
	in.Stock.Shapes[0] = rounded(geom.Pt(200, 30), geom.Pt(300, 90), 0)
	wantCodes(t, proof.Prove(in), "off-plate")
	in.Parts[0].Blank = 7 // there is no such blank: any shape will do
	in.Stock.Shapes[0] = rounded(geom.Pt(30, 30), geom.Pt(130, 90), 0)
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// A program that is lit in a part and never moves gouges it by the kerf that
// stands in it.
func TestPierceInAPartGougesIt(t *testing.T) {
	stab := cutting{"p1.h1", geom.Pt(200, 110), nil, full, false}
	x := &text{good().lines}
	w := &writer{k: 1, dec: 4}
	w.cut(stab)
	w.lines = slices.DeleteFunc(w.lines, func(l string) bool { return strings.HasPrefix(l, "G1 Z") })
	from, _ := x.section("p1.h2")
	x.insert(from, w.lines[1:]...)
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	// (200, 110) lies 20 mm from the window's edge: 20 and half a kerf.
	if !found(r, "gouge", "the kerf reaches 20.75 mm into a part") || r.WorstGouge < 20.74 || r.WorstGouge > 20.76 {
		t.Error(show(r))
	}
}
