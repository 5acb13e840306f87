package proof_test

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// openMark is a line on the plate that is not cut; the lines of a drawing that
// parts are told by are closed.
func openMark() proof.Feature {
	return feature("p1.m1", "mark", "leave", geom.Path{V: []geom.Vertex{{P: geom.Pt(70, 50)}, {P: geom.Pt(90, 50)}}})
}

// editedKit is kit with an edit that changes nothing, and the drawings that it
// is made on.
func editedKit(in *proof.Input) {
	kit(in)
	for k := range in.Parts {
		p := &in.Parts[k]
		p.Of = p.Label
		if k == 0 {
			p.Features = append(slices.Clone(p.Features), openMark())
		}
		d := proof.DrawnPart{ID: p.Label}
		for i := range p.Features {
			f := &p.Features[i]
			f.Of = f.ID
			d.Features = append(d.Features, proof.DrawnFeature{ID: f.ID, Outline: f.Kind == "outline", Loop: geom.Move{Shift: p.Place.Shift.Mul(-1)}.Path(f.Loop)})
		}
		in.Drawn = append(in.Drawn, d)
	}
	in.Edits = []proof.Edit{{Do: "turn", On: "p1"}}
}

// Where the job has edits the part is told by what they begin with.
func TestPartThatIsMeantIsFoundBeforeItsEdits(t *testing.T) {
	edited := func() proof.Input { in := input(good().text()); editedKit(&in); return in }
	wantGood(t, edited())
	for name, spoil := range map[string]func(in *proof.Input){
		"another part is meant": func(in *proof.Input) { in.Meant[0].Part = 1 },
		"a hole is moved in the drawing": func(in *proof.Input) {
			in.Drawings[0][2].Loop = geom.Move{Shift: geom.Pt(0.05, 0)}.Path(in.Drawings[0][2].Loop)
		},
		"one line less": func(in *proof.Input) { in.Drawings[0] = slices.Delete(slices.Clone(in.Drawings[0]), 2, 3) },
	} {
		in := edited()
		spoil(&in)
		if r := proof.Prove(in); r.OK || !found(r, "other-part", "") {
			t.Errorf("%s: %s", name, show(r))
		}
	}
	// The edit itself is no reason: what it moves was drawn elsewhere.
	in := edited()
	in.Edits = append(in.Edits, proof.Edit{Do: "move", On: "p1.d1", X: 3})
	f := &in.Parts[0].Features[3]
	f.Loop = geom.Move{Shift: geom.Pt(3, 0)}.Path(f.Loop)
	wantGood(t, in)
}

// Open lines and the line of a trim are of no part.
func TestOpenLinesAndTrimsAreOfNoPart(t *testing.T) {
	in := input(good().text())
	in.Parts[0].Features = append(in.Parts[0].Features, openMark())
	kit(&in)
	last := len(in.Drawings[0]) - 2 // the second part's outline comes behind it
	in.Drawings[0] = slices.Delete(in.Drawings[0], last, last+1)
	wantGood(t, in)

	in = trimInput(trimCuts()...)
	in.Parts[0].Features = append(in.Parts[0].Features, in.Parts[1].Features...)
	in.Parts = in.Parts[:1]
	outline := in.Parts[0].Features[0].Loop
	in.Drawings, in.Meant = [][]proof.Line{{{Loop: outline}}}, []proof.Meant{{Part: 1, Parts: []int{0}}}
	wantGood(t, in)
}

// A hole may be wanted wider than drawn, for its taper, by a quarter at most;
// anything else may not.
func TestHoleMayBeWantedWiderThanDrawn(t *testing.T) {
	for r, ok := range map[float64]bool{10: true, 9.75: true, 10.25: true, 7.6: true, 7.4: false, 12.4: true, 12.6: false} {
		in := input(good().text())
		kit(&in)
		in.Drawings[0][1].Loop = geom.Circle(h1.Sub(in.Parts[0].Place.Shift), r)
		if p := proof.Prove(in); p.OK != ok || !ok && !found(p, "other-part", "") {
			t.Errorf("radius %g: %s", r, show(p))
		}
	}
	for name, spoil := range map[string]func(in *proof.Input){
		"the hole beside its place": func(in *proof.Input) {
			in.Drawings[0][1].Loop = geom.Circle(h1.Sub(in.Parts[0].Place.Shift).Add(geom.Pt(0.03, 0)), 9.75)
		},
		"the window smaller": func(in *proof.Input) {
			in.Drawings[0][5].Loop = geom.Move{Shift: in.Parts[0].Place.Shift.Mul(-1)}.Path(rounded(win1.Add(geom.Pt(0.1, 0.1)), win2.Sub(geom.Pt(0.1, 0.1)), 0))
		},
	} {
		in := input(good().text())
		kit(&in)
		spoil(&in)
		if p := proof.Prove(in); p.OK || !found(p, "other-part", "") {
			t.Errorf("%s: %s", name, show(p))
		}
	}
}
