package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Two braces of 80 x 60, one kerf apart, from closed forms: the left one all
// round, the right one in a chain from the corner above the open kerf round to
// the kerf again.
var (
	left1, left2   = geom.Pt(40, 40), geom.Pt(120, 100)
	right1, right2 = geom.Pt(120+kerf, 40), geom.Pt(200+kerf, 100)
)

func chain() cutting {
	h := kerf / 2
	a, b := right1, right2
	return cutting{"b.outline", geom.Pt(a.X, b.Y+h+5), []step{
		{to: geom.Pt(a.X, b.Y+h)},
		{to: geom.Pt(b.X, b.Y+h)}, {geom.Pt(b.X+h, b.Y), b, -1},
		{to: geom.Pt(b.X+h, a.Y)}, {geom.Pt(b.X, a.Y-h), geom.Pt(b.X, a.Y), -1},
		{to: geom.Pt(a.X, a.Y-h)}, {to: geom.Pt(a.X-h, a.Y-h)},
	}, full, false}
}

func pair() []cutting { return []cutting{frame("a.outline", left1, left2, 0), chain()} }

func sharedInput(cuts ...cutting) proof.Input {
	in := input(program(cuts...))
	in.Parts = []proof.Part{
		{Label: "a", Features: []proof.Feature{feature("a.outline", "outline", "outline", rounded(left1, left2, 0))}},
		{Label: "b", Features: []proof.Feature{feature("b.outline", "outline", "outline", rounded(right1, right2, 0))}},
	}
	in.Shared = true
	return in
}

func TestSharedEdgeSatisfiesBothParts(t *testing.T) {
	r := proof.Prove(sharedInput(pair()...))
	if !r.OK || len(r.Findings) > 0 || len(r.Cuts) != 2 || r.Cuts[0].Feature != "a.outline" || r.Cuts[1].Feature != "b.outline" {
		t.Fatal(show(r))
	}
	if r.Uncut > 0.0003+0.001 || r.WorstGouge > 0.0003 {
		t.Error(show(r))
	}
}

// without takes steps out of a cut.
func without(c cutting, from, to int) cutting {
	c.way = slices.Delete(slices.Clone(c.way), from, to)
	return c
}

func TestEveryMutantOfASharedEdgeIsCaught(t *testing.T) {
	h := kerf / 2
	for _, m := range []struct {
		name    string
		spoil   func(a, b *cutting, in *proof.Input)
		code    string
		feature string
	}{
		{"sharing is not asked for", func(_, _ *cutting, in *proof.Input) { in.Shared = false }, "uncut", "b.outline"},
		{"cut by neither", func(a, _ *cutting, _ *proof.Input) {
			// Down the left, along the top, and away over the corner: no right side.
			a.way = a.way[:6]
			a.way[5] = step{to: geom.Pt(left2.X+h, left2.Y+h)}
		}, "uncut", "a.outline"},
		{"cut by neither, the other part", func(a, _ *cutting, _ *proof.Input) {
			a.way = a.way[:6]
			a.way[5] = step{to: geom.Pt(left2.X+h, left2.Y+h)}
		}, "uncut", "b.outline"},
		{"half of it", func(a, _ *cutting, _ *proof.Input) {
			a.way = a.way[:7]
			a.way[6] = step{to: geom.Pt(left2.X+h, 70)}
		}, "uncut", "b.outline"},
		{"shifted to one part", func(a, _ *cutting, _ *proof.Input) {
			a.way[5] = step{to: geom.Pt(left2.X+h-0.1, left2.Y)}
			a.way[6] = step{to: geom.Pt(left2.X+h-0.1, left1.Y)}
		}, "gouge", "a.outline"},
		{"shifted away from it", func(a, _ *cutting, _ *proof.Input) {
			a.way[5] = step{to: geom.Pt(left2.X+h+0.1, left2.Y)}
			a.way[6] = step{to: geom.Pt(left2.X+h+0.1, left1.Y)}
		}, "uncut", "a.outline"},
		{"the chain ends too early", func(_, b *cutting, _ *proof.Input) { *b = without(*b, 6, 7); b.way[5].to.X += 8 }, "uncut", "b.outline"},
		{"the chain begins too late", func(_, b *cutting, _ *proof.Input) { b.way[0].to.X += 8; b.pierce.X += 8 }, "uncut", "b.outline"},
		{"the chain runs on into the neighbour", func(_, b *cutting, _ *proof.Input) { b.way[6].to = b.way[6].to.Add(geom.Pt(-3, 3)) }, "gouge", "b.outline"},
		{"the chain the other way round", func(_, b *cutting, _ *proof.Input) { *b = reversed(*b) }, "direction", "b.outline"},
		{"the neighbour is missing", func(a, _ *cutting, _ *proof.Input) { a.way = nil }, "not-cut", "a.outline"},
		{"pierced in the open kerf", func(_, b *cutting, _ *proof.Input) {
			b.pierce = geom.Pt(left2.X+h, 98)
			b.way[0] = step{to: geom.Pt(left2.X+h, left2.Y)}
			b.way = slices.Insert(b.way, 1, step{geom.Pt(right1.X, right2.Y+h), geom.Pt(right1.X, right2.Y), -1})
		}, "pierce-void", "b.outline"},
	} {
		t.Run(m.name, func(t *testing.T) {
			cuts := pair()
			in := sharedInput()
			m.spoil(&cuts[0], &cuts[1], &in)
			if len(cuts[0].way) == 0 {
				cuts = cuts[1:]
			}
			in.Text = program(cuts...)
			r := proof.Prove(in)
			if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
				return f.Severity == fault.Error && f.Code == m.code && f.Feature == m.feature && f.Text != "" && f.Do != ""
			}) || r.OK {
				t.Errorf("wanted [%s] for %s\n%s", m.code, m.feature, show(r))
			}
		})
	}
}

// An edge point may be reached from both sides of a gap and the part hang on a
// bridge all the same: here a tolerance that forgives 3 mm of edge hides it.
func TestPartThatHangsOnABridgeIsFound(t *testing.T) {
	cuts := pair()
	cuts[1].way[0].to.X += 1.2
	cuts[1].pierce.X += 1.2
	in := sharedInput(cuts...)
	in.Tolerance = 1
	r := proof.Prove(in)
	if r.OK || !slices.Contains(codes(r), "held") {
		t.Error(show(r))
	}
}

func TestSharedEdgeCutTwiceIsTold(t *testing.T) {
	in := sharedInput(frame("a.outline", left1, left2, 0), frame("b.outline", right1, right2, 0))
	r := proof.Prove(in)
	if !r.OK || !slices.Contains(codes(r), "cut-twice") {
		t.Error(show(r))
	}
	for _, f := range r.Findings {
		if f.Code == "cut-twice" && !strings.HasPrefix(f.Text, "goes over 60.") {
			t.Errorf("60 mm of straight edge are cut twice: %s", f.Text)
		}
	}
	in.Shared = false
	wantGood(t, in)
}

// The right part is loose once its last kerf is cut, whichever part's cut makes
// it: then the torch may not go over it low.
func TestPartIsLooseWhenTheLastKerfRoundItIsCut(t *testing.T) {
	for _, c := range []struct {
		name  string
		cuts  []cutting
		after int // cuts before the torch goes over the right part
		loose bool
	}{
		{"both are cut", pair(), 2, true},
		{"the chain is cut, the neighbour is not", []cutting{chain(), frame("a.outline", left1, left2, 0)}, 1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := &writer{k: 1, dec: 4}
			w.header()
			for i, x := range c.cuts {
				w.cut(x)
				if i+1 == c.after {
					w.lines = append(w.lines[:len(w.lines)-1], "G0 Z12.0000", "G0 X160 Y70", "G0 Z25.0000")
				}
			}
			w.footer()
			in := sharedInput()
			in.Text = w.text()
			if r := proof.Prove(in); slices.Contains(codes(r), "low-over-loose") != c.loose {
				t.Error(show(r))
			}
		})
	}
}
