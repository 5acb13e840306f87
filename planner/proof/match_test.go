package proof_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Only in a dry run does going to a centre stand for the pulse there.
func TestGoingToACentreMarksNothing(t *testing.T) {
	f := feature("p1.d1", "hole", "drill", geom.Circle(geom.Pt(220, 160), 2))
	f.Pop = true
	text := strings.Replace(string(program(cuttingOf("p1.outline"))), "G0 X0 Y0", "G0 X220 Y160\nG0 X0 Y0", 1)
	r := proof.Prove(single([]byte(text), f, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))))
	if x := told(t, r, "not-cut"); x.Feature != "p1.d1" || !strings.Contains(x.Text, "is not marked") {
		t.Errorf("%+v", x)
	}
}

// A cut that follows no edge is told with what it was meant for: the smallest
// feature that its pierce lies in and nothing else cuts, else one close by.
func TestStrayCutIsNamedAfterWhatItIsMeantFor(t *testing.T) {
	window, hole := feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0)), feature("p1.h1", "hole", "inside", geom.Circle(geom.Pt(140, 110), 10))
	plate := feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))
	for name, c := range map[string]struct {
		at    geom.Point
		cut   []cutting
		want  string
		parts []proof.Feature
	}{
		"in the hole":                 {geom.Pt(140, 110), nil, "p1.h1", []proof.Feature{plate, window, hole}},
		"in the hole, said first":     {geom.Pt(140, 110), nil, "p1.h1", []proof.Feature{hole, window, plate}},
		"in the window":               {geom.Pt(110, 110), nil, "p1.c1", []proof.Feature{plate, window, hole}},
		"in the plate":                {geom.Pt(70, 70), nil, "p1.outline", []proof.Feature{plate, window, hole}},
		"beside the plate":            {geom.Pt(p1b.X+7, 110), nil, "p1.outline", []proof.Feature{plate, window, hole}},
		"too far beside the plate":    {geom.Pt(p1b.X+11, 110), nil, "", []proof.Feature{plate, window, hole}},
		"in the window, that one cut": {geom.Pt(110, 110), []cutting{window1()}, "p1.outline", []proof.Feature{plate, window}},
	} {
		// A straight line of 1 mm follows no edge from there.
		stray := cutting{"stray", c.at, []step{{to: c.at.Add(geom.Pt(0, 1))}}, full, false}
		r := proof.Prove(single(program(append(c.cut, stray)...), c.parts...))
		got := "?"
		for _, x := range r.Findings {
			if x.Code == "stray-cut" || x.Code == "off-edge" {
				got = x.Feature
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q: %s", name, got, c.want, show(r))
		}
	}
}

func window1() cutting { return window("p1.c1", win1, win2) }
