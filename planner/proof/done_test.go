package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// goesOn is the input for a program that goes on where the good one was left.
func goesOn(line int, text []byte) proof.Input {
	in := input(text)
	in.Done = &proof.Done{Text: good().text(), Line: line}
	return in
}

// lineOf returns the line, from 1, of the nth line of a feature that begins so.
func lineOf(id, prefix string, nth int) int {
	return (&text{good().lines}).find(id, prefix, nth) + 1
}

// around is what is left of the outline from the middle of its right side, by a
// lead from the skeleton: closed forms of its rounded rectangle.
func around() cutting {
	c := frame("p1.outline", p1a, p1b, 10)
	// way[7] goes down the right side, way[8] round the last corner, way[9] home.
	right := p1b.X + kerf/2
	c.pierce = geom.Pt(right+6, 104)
	c.way = append([]step{{to: geom.Pt(right, 98)}}, c.way[7:]...)
	return c
}

func TestProgramThatGoesOnIsHeldToWhatIsCutAlready(t *testing.T) {
	all := cuttings()
	for k, c := range all {
		at := lineOf(c.id, "("+c.id, 0)
		r := wantGood(t, goesOn(at, program(all[k:]...)))
		if len(r.Cuts) != len(all)-k || r.Cuts[0].Feature != c.id || r.Cuts[0].N != 1 {
			t.Errorf("from %s: %+v", c.id, r.Cuts)
		}
		wantCodes(t, proof.Prove(input(program(all[k:]...))), map[bool][]string{true: nil, false: {"not-cut"}}[k == 0]...)
		if k+1 < len(all) {
			wantCodes(t, proof.Prove(goesOn(at, program(all[k+1:]...))), "not-cut")
		}
		if k > 0 { // the cut before it is made again
			r := proof.Prove(goesOn(at, program(all[k-1:]...)))
			if r.OK {
				t.Errorf("%s is cut twice: %s", all[k-1].id, show(r))
			}
		}
	}
}

func TestLostCutIsFinishedFromWhereItWasLeft(t *testing.T) {
	id := "p1.outline"
	// Left before line G2 nr 3 (from 0): the right side is reached, not run.
	side := lineOf(id, "G1", 5)
	if l := good().lines[side-1]; !strings.HasPrefix(l, "G1 X240.75 Y50") && !strings.HasPrefix(l, "G1 X240.7500 Y50") {
		t.Fatalf("not the right side: %s", l)
	}
	left := func(along float64) proof.Input {
		in := goesOn(side, program(around()))
		in.Done.Along = along
		return in
	}
	// The side runs from Y170 to Y50; the lead comes in at Y98.
	for _, c := range []struct {
		name  string
		along float64
		codes []string
	}{
		{"cut as far as the lead", 72.01, nil},
		{"an overlap of 20", 92, nil},
		{"4 mm short", 68, []string{"uncut"}},
		{"none of it", 0, []string{"uncut"}},
		{"all of it: 48 cut again", 120, []string{"cut-twice"}},
	} {
		r := proof.Prove(left(c.along))
		if len(c.codes) == 0 && !r.OK {
			t.Errorf("%s: %s", c.name, show(r))
		}
		for _, code := range c.codes {
			if !slices.Contains(codes(r), code) {
				t.Errorf("%s: no %s: %s", c.name, code, show(r))
			}
		}
	}
	// What only the outline frees is not loose yet, what was cut before is.
	spoilt := around()
	spoilt.pierce = geom.Pt(240.75, 170-3) // over the old kerf: no metal to touch
	spoilt.way = append([]step{{to: geom.Pt(240.75, 98)}}, spoilt.way[1:]...)
	in := left(72.01)
	in.Text = program(spoilt)
	wantCodes(t, proof.Prove(in), "touch-off-void")
	// A rapid across the window, low.
	x := &text{strings.Split(strings.TrimSpace(string(program(around()))), "\n")}
	i := x.find(id, "G38.2", 0)
	x.insert(i, "G0 X90 Y110", "G0 X190 Y110", "G0 X246.75 Y104")
	in = left(72.01)
	in.Text = []byte(strings.Join(x.lines, "\n"))
	wantCodes(t, proof.Prove(in), "low-over-loose")
}

func TestEarlierProgramThatDoesNotReadIsFoundFaultWith(t *testing.T) {
	in := goesOn(5, program(cuttings()...))
	in.Done.Text = []byte("G21\nM3\nG1 X1 ((\n")
	wantCodes(t, proof.Prove(in), "done")
}

// Left at the line that lights the arc, nothing of the cut is made: it may be
// pierced at the same place.
func TestCutThatWasNotLitLeavesNoHole(t *testing.T) {
	all := cuttings()
	for k, c := range all {
		in := goesOn(lineOf(c.id, "M3", 0), program(all[k:]...))
		wantGood(t, in)
		in.Done.Line++ // lit, and lost while it pierced
		if r := proof.Prove(in); r.OK || !found(r, "touch-off-void", "") {
			t.Errorf("%s: %s", c.id, show(r))
		}
	}
}

// A program that goes on is started anew, behind as many stops as the earlier
// one had: the next load lies there.
func TestProgramThatGoesOnMayBeginWithTheNextLoad(t *testing.T) {
	at := geom.Pt(80, 60)
	w := &writer{k: 1, dec: 4}
	w.header()
	for i := range 3 {
		if i > 0 {
			w.put("M0")
		}
		w.cut(hole([]string{"p1#1.h1", "p1#2.h1", "p1#3.h1"}[i], at, 20, full, false))
	}
	w.footer()
	in := blanks(program(hole("p1#3.h1", at, 20, full, false)), 0, 1, 2)
	in.Done = &proof.Done{Text: w.text(), Line: slices.Index(w.lines, "(p1#3.h1)") + 1}
	wantGood(t, in)
}
