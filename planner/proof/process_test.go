package proof_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// count is of the findings of one code.
func count(r proof.Result, code string) (n int) {
	for _, f := range r.Findings {
		if f.Code == code {
			n++
		}
	}
	return
}

// Where no height is known, nothing is said of heights.
func TestCutWithoutAnyTouchOffIsToldOfOnce(t *testing.T) {
	x := &text{good().lines}
	x.drop("p1.h1", "G38.2", 0)
	x.drop("p1.h1", "G92", 0)
	x.sub("p1.h1", "G0 Z3.8", 0, "3.8", "9")
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	for _, f := range r.Findings {
		if f.Feature == "p1.h1" && f.Code != "no-touch-off" {
			t.Errorf("[%s]: %s", f.Code, show(r))
		}
	}
	wantCodes(t, r, "no-touch-off")
}

// Which blank a part lies on is asked of blanks only.
func TestOneTouchOffServesOneBlank(t *testing.T) {
	x := &text{good().lines}
	x.drop("p2.outline", "G38.2", 0)
	x.drop("p2.outline", "G92", 0)
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Machine.ProbeReuse = 500
	in.Parts[1].Blank = 1
	wantGood(t, in)

	y := &text{}
	w := &writer{k: 1, dec: 4}
	w.header()
	for i, at := range []geom.Point{{X: 80, Y: 60}, {X: 200, Y: 60}} {
		w.cut(hole(fmt.Sprintf("p1#%d.h1", i+1), at, 20, full, false))
	}
	w.footer()
	y.lines = w.lines
	y.drop("p1#2.h1", "G38.2", 0)
	y.drop("p1#2.h1", "G92", 0)
	b := blanks([]byte(strings.Join(y.lines, "\n")+"\n"), 0, 0)
	b.Machine.ProbeReuse = 500
	if r := proof.Prove(b); !found(r, "no-touch-off", "was on another blank") {
		t.Error(show(r))
	}
}

// A cut that nobody wants, before or behind one that is wanted, and one
// touch-off for both.
func TestTouchOffMayBeSharedWithAStrayCut(t *testing.T) {
	stray := cutting{"p1#9", geom.Pt(34, 60), []step{{to: geom.Pt(34, 70)}}, full, false}
	wanted := hole("p1#1.h1", geom.Pt(80, 60), 20, full, false)
	for _, cuts := range [][]cutting{{stray, wanted}, {wanted, stray}} {
		x := &text{strings.Split(strings.TrimSpace(string(program(cuts...))), "\n")}
		x.drop(cuts[1].id, "G38.2", 0)
		x.drop(cuts[1].id, "G92", 0)
		for _, blank := range []bool{true, false} {
			in := blanks([]byte(strings.Join(x.lines, "\n")+"\n"), 0)
			in.Stock.Blank = blank
			in.Machine.ProbeReuse = 500
			r := proof.Prove(in)
			if wantCodes(t, r, "stray-cut"); slices.Contains(codes(r), "no-touch-off") {
				t.Error(show(r))
			}
		}
	}
}

// Marks and pops lie on the metal by wish, however near to an edge.
func TestNoClearanceIsAskedOfAMark(t *testing.T) {
	pts := []geom.Point{{X: 60, Y: 38.5}, {X: 90, Y: 38.5}}
	line := geom.Polygon(pts...)
	line.Closed = false
	pop := feature("p1.d1", "hole", "drill", geom.Circle(geom.Pt(240+kerf+1, 110), 1))
	pop.Pop = true
	mark := cutting{"p1.m1", pts[0], []step{{to: pts[1]}}, full, false}
	point := cutting{id: "p1.d1", pierce: geom.Pt(240+kerf+1, 110), feed: full}
	text := strings.Replace(string(program(point, mark, cuttingOf("p1.outline"))), "G1 Z1.5000 F1000.0\nM5", "M5", 1)
	wantGood(t, single([]byte(text), feature("p1.m1", "mark", "mark", line), pop, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))))
	long := strings.Replace(text, "P0.400", "P2", 1)
	pop.PierceDelay = 0.3
	if r := proof.Prove(single([]byte(long), feature("p1.m1", "mark", "mark", line), pop, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)))); !found(r, "pierce-delay", "a pulse of 2 s, must be 0.3 s") {
		t.Error(show(r))
	}
}

// An outline pierced inside its part gouges it; no room for the pierce is asked for besides.
func TestPierceInAPartIsNotOneThatIsTooNear(t *testing.T) {
	c := cuttingOf("p1.outline")
	c.pierce.Y += 12
	x := &text{good().lines}
	x.replace("p1.outline", c)
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	if wantCodes(t, r, "gouge"); slices.Contains(codes(r), "pierce-clearance") {
		t.Error(show(r))
	}
}

func TestWhatIsWrongWithACutIsSaid(t *testing.T) {
	for _, v := range []struct {
		name, code, words string
		spoil             func(x *text)
	}{
		{"waits too long", "pierce-delay", "a pierce delay of 1.5 s, must be 0.4 s", func(x *text) { x.sub("p1.h1", "G4", 0, "0.400", "1.5") }},
		{"goes up before it moves along", "lit-lift", "goes up to 5 mm while lit", func(x *text) { x.insert(x.find("p1.h1", "G1 X", 0), "G1 Z5 F1000") }},
		{"goes up on its way", "lit-lift", "goes up while it moves along while lit", func(x *text) { x.insert(x.find("p1.h1", "G3", 1), "G1 Z5 F1000") }},
		{"runs too high", "cut-height", "cuts at 2 mm over the plate", func(x *text) { x.sub("p1.h1", "G1 Z", 0, "1.5000", "2") }},
		{"runs uphill", "cut-height", "cuts at 1.5 mm to 2.5 mm over the plate", func(x *text) { x.sub("p1.h1", "G1 X", 0, " F", " Z2.5 F") }},
	} {
		x := &text{good().lines}
		v.spoil(x)
		if r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n"))); !found(r, v.code, v.words) {
			t.Errorf("%s: %s", v.name, show(r))
		}
	}
}

// Holds that are wrong over several lines are told at the first of them.
func TestHoldsAreToldAtTheirFirstLine(t *testing.T) {
	c := window("p1.c1", win1, win2)
	x := &text{strings.Split(strings.TrimSpace(string(program(c))), "\n")}
	f := feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0))
	side := x.find("p1.c1", "G1 X", 2) // after the lower right corner
	w := c.ways()
	f.Holds = []proof.Span{{From: w[1], To: w[3]}}
	at := func(r proof.Result, code string) int {
		for _, f := range r.Findings {
			if f.Code == code {
				return f.Line
			}
		}
		return -1
	}
	if r := proof.Prove(single([]byte(strings.Join(x.lines, "\n")+"\n"), f)); at(r, "hold-missing") != side+1 {
		t.Error(show(r))
	}
	x.insert(side, "(height hold on)")
	x.insert(side+3, "(height hold off)")
	wantGood(t, single([]byte(strings.Join(x.lines, "\n")+"\n"), f))
	f.Holds = []proof.Span{}
	if r := proof.Prove(single([]byte(strings.Join(x.lines, "\n")+"\n"), f)); at(r, "hold-needless") != side+2 {
		t.Error(show(r))
	}
}

// Height control that no line lets act again is held to the end, for want of one.
func TestHoldWithoutALineThatEndsItMayLast(t *testing.T) {
	in := input(good().text())
	in.Form.Lines.HoldOff = nil
	wantGood(t, in)
	in = input([]byte(strings.ReplaceAll(string(good().text()), "(height hold off)\n", "")))
	wantCodes(t, proof.Prove(in), "hold-end")
}
