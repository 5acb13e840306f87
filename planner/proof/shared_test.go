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

// A cut that no feature wants, inside a part and out over its edge.
func TestStrayCutAmongPartsThatShareIsFound(t *testing.T) {
	stray := cutting{"", geom.Pt(160, 75), []step{{to: geom.Pt(160, 180)}}, full, false}
	a, b := frame("a.outline", left1, left2, 0), chain()
	for _, cuts := range [][]cutting{{stray, a, b}, {a, stray, b}, {a, b, stray}} {
		wantCodes(t, proof.Prove(sharedInput(cuts...)), "stray-cut", "gouge")
	}
}

// The kerf of another plate parts nothing.
func TestNeighbourOfAnotherLoadCutsNoEdge(t *testing.T) {
	w := &writer{k: 1, dec: 4}
	w.header()
	w.cut(frame("a.outline", left1, left2, 0))
	w.put("M0")
	w.cut(chain())
	w.footer()
	in := sharedInput()
	in.Text = w.text()
	wantGood(t, in)
	in.Parts[1].Load = 1
	r := proof.Prove(in)
	wantCodes(t, r, "uncut")
	for _, f := range r.Findings {
		if f.Code == "uncut" && f.Feature != "b.outline" {
			t.Error(show(r))
		}
	}
}

// tallPair is a pair whose left part is three times as high as the right one.
func tallPair() proof.Input {
	top := geom.Pt(left2.X, 210)
	b := chain()
	b.pierce = b.pierce.Add(geom.Pt(6, 1)) // clear of the left one
	in := sharedInput(frame("a.outline", left1, top, 0), b)
	in.Parts[0].Features[0].Loop = rounded(left1, top, 0)
	return in
}

func TestLongKerfBesideAShortEdgeServesIt(t *testing.T) {
	wantGood(t, tallPair())
}

// A third part lies 2 mm right of the right one: its kerf passes by, 0.5 mm of
// metal away, and parts nothing of it. The right one is loose before that.
func TestKerfThatOnlyPassesByKeepsNoPartFromBeingLoose(t *testing.T) {
	a, b := geom.Pt(right2.X+2, 40), geom.Pt(right2.X+40, 100)
	for _, x := range []float64{160, 20} { // over the right part, and over none
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(frame("a.outline", left1, left2, 0))
		w.cut(chain())
		w.lines = append(w.lines[:len(w.lines)-1], "G0 Z12.0000", "G0 X160 Y30", "G0 X"+w.n(x)+" Y30", "G0 X"+w.n(x)+" Y70", "G0 Z25.0000")
		w.cut(frame("c.outline", a, b, 0))
		w.footer()
		in := sharedInput()
		in.Text = w.text()
		in.Parts = append(in.Parts, proof.Part{Label: "c", Features: []proof.Feature{feature("c.outline", "outline", "outline", rounded(a, b, 0))}})
		r := proof.Prove(in)
		if got := slices.Contains(codes(r), "low-over-loose"); got != (x == 160) || !got && !r.OK {
			t.Error(show(r))
		}
	}
}

// Three kerfs are 4.5 mm. Of the way up from below, 0.58 mm lie beside the
// neighbour's corner, further than 0.02 mm from its arc of 0.75 mm.
func TestRunMayEndAShortWayAlongItsNeighboursKerf(t *testing.T) {
	for _, over := range []float64{4, 5.4} {
		cuts := pair()
		cuts[1].way = append(slices.Clone(cuts[1].way), step{to: geom.Pt(right1.X-kerf/2, right1.Y-kerf/2+over)})
		r := proof.Prove(sharedInput(cuts...))
		if over == 4 {
			wantCodes(t, r)
		} else if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "cut-twice" || r.Findings[0].Feature != "b.outline" || !strings.HasPrefix(r.Findings[0].Text, "goes over 4.8") || !strings.HasSuffix(r.Findings[0].Text, "of the kerf of a.outline again") {
			t.Error(show(r))
		}
	}
}

// lineIn returns the line, from 1, of the nth line of a feature in a program that
// begins so.
func lineIn(program []byte, id, prefix string, nth int) int {
	x := &text{strings.Split(string(program), "\n")}
	return x.find(id, prefix, nth) + 1
}

// A program that goes on is held to how the earlier one left the parts that
// share.
func TestPartsThatShareAreHeldTogetherWithAnEarlierProgram(t *testing.T) {
	far1, far2 := geom.Pt(230, 40), geom.Pt(280, 100)
	last := frame("c.outline", far1, far2, 0)
	job := func(was, now []byte, line int) proof.Input {
		in := sharedInput()
		in.Parts = append(in.Parts, proof.Part{Label: "c", Features: []proof.Feature{feature("c.outline", "outline", "outline", rounded(far1, far2, 0))}})
		in.Text, in.Done = now, &proof.Done{Text: was, Line: line}
		return in
	}
	whole := program(append(pair(), last)...)
	after := lineIn(whole, "c.outline", "(c", 0)
	wantGood(t, job(whole, program(last), after))

	// It began the right part's cut too late, see TestPartThatHangsOnABridge.
	cuts := pair()
	cuts[1].way[0].to.X += 1.2
	cuts[1].pierce.X += 1.2
	in := job(program(append(cuts, last)...), program(last), after)
	in.Tolerance = 1
	r := proof.Prove(in)
	wantCodes(t, r, "held")
	for _, f := range r.Findings {
		if f.Line != 0 || f.Feature != "b.outline" {
			t.Error(show(r))
		}
	}

	// It was left as soon as it had lit the torch for the right part.
	again := chain()
	again.pierce.X += 8 // beside the hole
	in = job(whole, program(again, last), lineIn(whole, "b.outline", "G1 X", 0))
	wantGood(t, in)

	// It was left in the middle of the right part's right side, which goes on
	// from Y 71, 1 mm before.
	h := kerf / 2
	rest := chain()
	rest.pierce = geom.Pt(right2.X+h+6, 77)
	rest.way = append([]step{{to: geom.Pt(right2.X+h, 71)}}, rest.way[3:]...)
	in = job(whole, program(rest, last), lineIn(whole, "b.outline", "G1 X", 2))
	in.Done.Along = 30
	wantGood(t, in)
	in.Done.Along = 27
	wantCodes(t, proof.Prove(in), "uncut", "held")
}
