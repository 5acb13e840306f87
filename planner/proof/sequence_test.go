package proof_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A dry run cuts nothing: it may touch off where its own path has been, inside
// a hole that it has gone round, and begin a path on an earlier one.
func TestDryRunFreesAndCutsNothing(t *testing.T) {
	for _, at := range []string{"G0 X55 Y60", "G0 X69.25 Y60"} {
		x := &text{goodDry().lines}
		x.insert(x.find("p1.h2", "G0 X", 0), at, "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25")
		in := input(x.bytes())
		in.Dry = true
		wantGood(t, in)
	}
	x := &text{goodDry().lines}
	x.sub("p1.c1", "G0 X", 0, "X135.0000 Y86.7500", "X124.3 Y110")
	in := input(x.bytes())
	in.Dry = true
	if r := proof.Prove(in); found(r, "pierce-void", "") {
		t.Error(show(r))
	}
}

// The first pierce after a lost cut may lie in the kerf of that cut, no other.
func TestOnlyTheLostCutsKerfMayBePiercedAgain(t *testing.T) {
	side := lineOf("p1.outline", "G1", 5)
	on := func(q geom.Point, lost bool) proof.Result {
		c := around()
		c.pierce = q
		in := goesOn(side, program(c))
		in.Machine.Probes = false
		in.Done.Along = 72.01
		if !lost {
			in.Done.Line = lineOf("p1.outline", "(p1.outline", 0)
		}
		return proof.Prove(in)
	}
	own := geom.Pt(p1b.X+kerf/2, 167) // on the side that is cut
	other := geom.Pt(h1.X+9.25, h1.Y) // on the kerf of the first hole
	if r := on(own, true); found(r, "pierce-void", "") {
		t.Error(show(r))
	}
	for _, lost := range []bool{true, false} {
		if r := on(other, lost); !found(r, "pierce-void", "pierces over the cut of p1.h1 (made before this program)") {
			t.Errorf("lost %v: %s", lost, show(r))
		}
	}
}

// A cut of an earlier program that is made again is named as such.
func TestCutOfAnEarlierProgramIsNotMadeAgain(t *testing.T) {
	w := &writer{k: 1, dec: 4}
	w.header()
	w.cut(cuttingOf("p1.h1"))
	w.cut(cuttingOf("p1.outline"))
	w.footer()
	r := proof.Prove(goesOn(lineOf("p1.outline", "(p1.outline", 0), w.text()))
	if !found(r, "cut-twice", "the cut before it: made before this program") {
		t.Error(show(r))
	}
	x := &text{good().lines}
	from, to := x.section("p1.h1")
	line := x.find("p1.h1", "M3", 0) + 1
	x.insert(to, x.lines[from:to]...)
	if r := proof.Prove(input(x.bytes())); !found(r, "cut-twice", fmt.Sprintf("; the cut before it: line %d", line)) {
		t.Error(show(r))
	}
}

// Metal begins half a kerf beside the middle of a cut.
func TestTouchOffBesideAKerfIsOnMetal(t *testing.T) {
	for beside, ok := range map[float64]bool{0: false, 0.7: false, -0.7: false, 0.755: true, 1: true} {
		in := input(nil)
		in.Machine.ProbeReuse = 500
		x := &text{good().lines}
		i := x.find("p1.h2", "G38.2", 0)
		at := geom.Polar(h1, 9.25+beside, 0.8)
		x.insert(i, fmt.Sprintf("G0 X%.4f Y%.4f", at.X, at.Y), "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25", "G0 X220 Y60")
		x.drop("p1.h2", "G38.2", 1)
		x.drop("p1.h2", "G92", 1)
		in.Text = x.bytes()
		if r := proof.Prove(in); r.OK != ok || !ok && !found(r, "touch-off-void", "touches off over the cut of p1.h1 (line ") {
			t.Errorf("%g beside: %s", beside, show(r))
		}
	}
}

// A touch-off after the last cut, or in a program without any, needs metal too:
// that of the load which lies there then.
func TestTouchOffAfterTheLastCutNeedsMetal(t *testing.T) {
	touch := func(at string) []string { return []string{at, "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25"} }
	for at, ok := range map[string]bool{"G0 X55 Y60": false, "G0 X69.25 Y60": false, "G0 X10 Y10": true, "G0 X-10 Y10": false} {
		x := &text{good().lines}
		x.insert(x.find("", "G0 X0 Y0", 0), touch(at)...)
		in := input(x.bytes())
		if r := proof.Prove(in); r.OK != ok || !ok && !found(r, "touch-off-void", "") {
			t.Errorf("%s: %s", at, show(r))
		}
		w := &writer{k: 1, dec: 4}
		w.header()
		w.lines = append(w.lines, touch(at)...)
		w.footer()
		in = goesOn(lineOf("p1.outline", "M5", 0)+1, w.text())
		if r := proof.Prove(in); r.OK != ok || !ok && !found(r, "touch-off-void", "") {
			t.Errorf("nothing cut, %s: %s", at, show(r))
		}
	}
	w := &writer{k: 1, dec: 4}
	w.header()
	w.lines = append(w.lines, touch("G0 X80 Y60")...)
	w.footer()
	in := input(w.text())
	in.Parts = nil
	wantGood(t, in)
	// Two blanks in one pocket, with a hole each at another place.
	write := func(at string) proof.Input {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false))
		w.put("M0")
		w.cut(hole("p1#2.h1", geom.Pt(110, 60), 8, full, false))
		w.lines = append(w.lines, touch(at)...)
		w.footer()
		in := blanks(w.text(), 0, 1)
		in.Stock.Shapes[0] = rounded(geom.Pt(30, 30), geom.Pt(130, 90), 0)
		in.Parts[1].Features[0].Loop = geom.Circle(geom.Pt(110, 60), 4)
		return in
	}
	wantGood(t, write("G0 X89.25 Y60")) // the first blank is gone, with its hole
	for _, at := range []string{"G0 X113.25 Y60", "G0 X110 Y60"} {
		if r := proof.Prove(write(at)); !found(r, "touch-off-void", "") {
			t.Errorf("%s: %s", at, show(r))
		}
	}
}

// Within one blank, and on a plate, no pause is asked for.
func TestPauseIsAskedForBetweenBlanksOnly(t *testing.T) {
	in := input(good().text())
	in.Parts[1].Blank = 1
	wantGood(t, in)
	a, b := geom.Pt(60, 60), geom.Pt(100, 60)
	for _, stop := range []bool{false, true} {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(hole("p1#1.h1", a, 20, full, false))
		w.cut(hole("p1#1.h2", b, 20, full, false))
		if stop {
			w.put("M0")
		}
		w.cut(hole("p1#2.h1", geom.Pt(200, 60), 20, full, false))
		w.footer()
		in := blanks(w.text(), 0, 0)
		f := in.Parts[0].Features
		f[0].Loop = geom.Circle(a, 10)
		in.Parts[0].Features = append(slices.Clone(f), feature("p1#1.h2", "hole", "inside", geom.Circle(b, 10)))
		r := proof.Prove(in)
		if r.OK != stop || !stop && (!found(r, "no-pause", "without a stop after p1#1.h2") || strings.Count(show(r), "[no-pause]") != 1) {
			t.Error(show(r))
		}
	}
}
