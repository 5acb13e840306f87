package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A program may be as long as the controller takes, and no longer.
func TestProgramIsNoLongerThanTheControllerTakes(t *testing.T) {
	set := three()
	for k, x := range set {
		size := len(x.bytes())
		lines := len(x.lines)
		in := inSet(input(nil), set[:1])
		in.Text, in.Then = x.bytes(), nil
		for _, c := range []struct {
			takes proof.Takes
			words string
			line  int
		}{
			{proof.Takes{Lines: lines}, "", 0},
			{proof.Takes{Bytes: size}, "", 0},
			{proof.Takes{Lines: lines - 1}, fmt.Sprintf("the program has %d lines, the controller takes %d", lines, lines-1), lines},
			{proof.Takes{Lines: 10}, fmt.Sprintf("the program has %d lines, the controller takes 10", lines), 11},
			{proof.Takes{Bytes: size - 1}, fmt.Sprintf("the program has %d bytes, the controller takes %d", size, size-1), lines},
		} {
			in.Form.Takes = c.takes
			r := proof.Prove(in)
			if told := found(r, "too-long", ""); told != (c.line > 0) || told && !foundIn(r, "too-long", c.words, 1, c.line) {
				t.Errorf("program %d, %+v: %s", k+1, c.takes, show(r))
			}
		}
	}
	// In a set each program is held to it by itself.
	in := inSet(input(nil), set)
	most := 0
	for _, x := range set {
		most = max(most, len(x.lines))
	}
	in.Form.Takes.Lines = most
	wantGood(t, in)
	in.Form.Takes.Lines = most - 1
	for k, x := range set {
		if r := proof.Prove(in); foundIn(r, "too-long", "", k+1, most) != (len(x.lines) == most) {
			t.Errorf("program %d: %s", k+1, show(r))
		}
	}
}

func TestPlacesHaveTheDecimalsOfTheProfile(t *testing.T) {
	in := input(good().text())
	in.Form.Takes.Decimals = 4
	wantGood(t, in)
	x := &text{good().lines}
	x.sub("p1.c1", "G1 X", 1, "00 Y", "001 Y")
	in.Text = x.bytes()
	line := x.find("p1.c1", "G1 X", 1) + 1
	if r := proof.Prove(in); r.OK || !foundIn(r, "decimals", "a place with 5 decimals, the profile says 4", 1, line) || strings.Count(show(r), "[decimals]") != 1 {
		t.Error(show(r))
	}
	in.Form.Takes.Decimals = 0
	wantGood(t, in)
}

// arcProgram cuts a hole of radius r by arcs of the given sweeps, degrees, with
// a few decimals.
func arcProgram(c geom.Point, r float64, dec int, sweeps ...float64) []byte {
	w := &writer{k: 1, dec: dec}
	w.header()
	cut := cutting{id: "p1.h1", pierce: c, feed: full, way: []step{{to: c.Add(geom.Pt(r, 0))}}}
	at := 0.0
	for _, s := range sweeps {
		at += s * math.Pi / 180
		cut.way = append(cut.way, step{geom.Polar(c, r, at), c, 1})
	}
	w.cut(cut)
	w.footer()
	return w.text()
}

// Arcs of 9.25 mm radius at a place far from the diagonal; what three decimals may
// shift an arc's ends and centre by is let be.
func TestArcsAreThoseThatTheControllerTakes(t *testing.T) {
	c := geom.Pt(130, 47)
	deg := math.Pi / 180
	for _, x := range []struct {
		name   string
		takes  proof.Takes
		dec    int
		sweeps []float64
		words  string
	}{
		{"no arc at all", proof.Takes{NoArcs: true}, 4, []float64{180, 180}, "an arc, and the controller takes none"},
		{"nothing said", proof.Takes{}, 4, []float64{180, 180}, ""},
		{"as large as may be", proof.Takes{MaxRadius: 9.25}, 4, []float64{180, 180}, ""},
		{"too large", proof.Takes{MaxRadius: 9.2}, 4, []float64{180, 180}, "an arc of 9.25 mm radius, the controller takes up to 9.2 mm"},
		{"a little too large", proof.Takes{MaxRadius: 9.249}, 4, []float64{180, 180}, "radius"},
		{"too large by what three decimals may shift", proof.Takes{MaxRadius: 9.2485}, 3, []float64{180, 180}, ""},
		{"too large by more", proof.Takes{MaxRadius: 9.247}, 3, []float64{180, 180}, "radius"},
		{"as small as may be", proof.Takes{MinRadius: 9.25}, 4, []float64{180, 180}, ""},
		{"too small", proof.Takes{MinRadius: 9.3}, 4, []float64{180, 180}, "an arc of 9.25 mm radius, the controller takes 9.3 mm and more"},
		{"a little too small", proof.Takes{MinRadius: 9.251}, 4, []float64{180, 180}, "radius"},
		{"too small by what three decimals may shift", proof.Takes{MinRadius: 9.2515}, 3, []float64{180, 180}, ""},
		{"too small by more", proof.Takes{MinRadius: 9.253}, 3, []float64{180, 180}, "radius"},
		{"between both", proof.Takes{MinRadius: 9, MaxRadius: 10}, 4, []float64{180, 180}, ""},
		{"halves", proof.Takes{MaxSweep: math.Pi}, 4, []float64{180, 180}, ""},
		{"halves where quarters are taken", proof.Takes{MaxSweep: math.Pi / 2}, 4, []float64{180, 180}, "an arc of 180 degrees, the controller takes up to 90"},
		{"quarters", proof.Takes{MaxSweep: math.Pi / 2}, 4, []float64{90, 90, 90, 90}, ""},
		{"more than a quarter", proof.Takes{MaxSweep: math.Pi / 2}, 4, []float64{90, 90.01, 90, 90}, "degrees"},
		{"half a degree too much", proof.Takes{MaxSweep: math.Pi / 2}, 3, []float64{90, 90.5, 90, 90}, "degrees"},
		{"what three decimals may turn an end by", proof.Takes{MaxSweep: (90 - 0.009) * deg}, 3, []float64{90, 90, 90, 90}, ""},
	} {
		in := single(arcProgram(c, 9.25, x.dec, x.sweeps...), feature("p1.h1", "hole", "inside", geom.Circle(c, 10)))
		in.Form.Decimals, in.Form.Takes = x.dec, x.takes
		r := proof.Prove(in)
		if told := found(r, "arc-taken", x.words); told != (x.words != "") || x.words == "" && found(r, "arc-taken", "") {
			t.Errorf("%s: %s", x.name, show(r))
		}
	}
}
