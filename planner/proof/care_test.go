package proof_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// beforeTab is the plain plate with one tab of 3 mm in the middle of its upper
// side, cut from 2.25 mm beside it to end mm before it.
func beforeTab(end float64) cutting {
	h := kerf / 2
	lo, hi := plateA.Sub(geom.Pt(h, h)), plateB.Add(geom.Pt(h, h))
	return cutting{"p1.outline", geom.Pt(162, 144.2), []step{
		{to: geom.Pt(152.25, hi.Y)}, {to: geom.Pt(plateB.X, hi.Y)}, {geom.Pt(hi.X, plateB.Y), plateB, -1},
		{to: geom.Pt(hi.X, plateA.Y)}, {geom.Pt(plateB.X, lo.Y), geom.Pt(plateB.X, plateA.Y), -1},
		{to: geom.Pt(plateA.X, lo.Y)}, {geom.Pt(lo.X, plateA.Y), plateA, -1},
		{to: geom.Pt(lo.X, plateB.Y)}, {geom.Pt(plateA.X, hi.Y), geom.Pt(plateA.X, plateB.Y), -1},
		{to: geom.Pt(150-end, hi.Y)},
	}, full, false}
}

// tabbed is a job of that plate and a block of 14 by 20 over it, whose lower
// side lies at a height of y.
func tabbed(y float64, cuts ...cutting) proof.Input {
	in := input(program(cuts...))
	f := feature("p1.outline", "outline", "outline", rounded(plateA, plateB, 0))
	f.Tabs = []proof.Tab{{At: geom.Pt(150, 140), Width: 3}}
	in.Parts = []proof.Part{
		{Label: "p1", Features: []proof.Feature{f}},
		{Label: "p2", Features: []proof.Feature{feature("p2.outline", "outline", "outline", rounded(geom.Pt(140, y), geom.Pt(154, y+20), 0))}},
	}
	return in
}

func block(y float64) cutting {
	h := kerf / 2
	return cutting{"p2.outline", geom.Pt(150, y+26), []step{
		{to: geom.Pt(147, y+20+h)}, {to: geom.Pt(154, y+20+h)}, {geom.Pt(154+h, y+20), geom.Pt(154, y+20), -1},
		{to: geom.Pt(154+h, y)}, {geom.Pt(154, y-h), geom.Pt(154, y), -1},
		{to: geom.Pt(140, y-h)}, {geom.Pt(140-h, y), geom.Pt(140, y), -1},
		{to: geom.Pt(140-h, y+20)}, {geom.Pt(140, y+20+h), geom.Pt(140, y+20), -1},
		{to: geom.Pt(147, y+20+h)},
	}, full, false}
}

// A cut that runs on into a tab is found at its very end, and told by the cut
// that did it, whatever else runs near.
func TestTabIsHeldToItsWidthAtTheEndOfACut(t *testing.T) {
	for _, c := range []struct {
		y, end float64
		first  bool // the block is cut first
		words  string
		line   string
	}{
		{144, 2.25, true, "", ""},
		{144, 2.25, false, "", ""},
		{144, 2.21, true, "a tab of 3 mm is cut to 2.92 mm", "p1.outline"},
		{144, 2.21, false, "a tab of 3 mm is cut to 2.92 mm", "p1.outline"},
		// A tab is looked at a kerf and a half out, to 142.25; the block's kerf
		// reaches down to 1.5 mm under it.
		{143.7, 2.25, true, "a tab of 3 mm is cut to 0 mm", "p2.outline"},
		{143.7, 2.25, false, "a tab of 3 mm is cut to 0 mm", "p2.outline"},
	} {
		cuts := []cutting{block(c.y), beforeTab(c.end)}
		if !c.first {
			slices.Reverse(cuts)
		}
		in := tabbed(c.y, cuts...)
		r := proof.Prove(in)
		if c.words == "" {
			if !r.OK {
				t.Errorf("%+v: %s", c, show(r))
			}
			continue
		}
		x := &text{strings.Split(strings.TrimSpace(string(in.Text)), "\n")}
		if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
			return f.Code == "tab" && f.Text == c.words && f.Line == x.find(c.line, "M3", 0)+1
		}) {
			t.Errorf("%+v: %s", c, show(r))
		}
	}
}

// A kerf that ends beside a tab, 0.4 mm further out than it is looked at: of
// the circle of 0.75 mm a chord of twice 0.634 mm reaches in.
func TestTabIsHeldToItsWidthBesideARoundEnd(t *testing.T) {
	for along, ok := range map[float64]bool{2.3: true, 2.16: true, 2.1: false, 2: false} {
		c := block(150)
		c.pierce = geom.Pt(150+along, 140+1.5*kerf+0.4)
		c.way[0] = step{to: geom.Pt(150+along, 149.25)}
		c.way = []step{
			c.way[0], {to: geom.Pt(140, 149.25)}, c.way[6], c.way[7], c.way[8], {to: geom.Pt(154, 170.75)}, c.way[2], c.way[3], c.way[4], c.way[0],
		}
		in := tabbed(150, c, beforeTab(2.25))
		r := proof.Prove(in)
		if got := !found(r, "tab", fmt.Sprintf("a tab of 3 mm is cut to %.4g mm", 2*(along-math.Sqrt(kerf*kerf/4-0.16)))); got != ok || r.OK != ok {
			t.Errorf("%g beside its middle: %s", along, show(r))
		}
	}
}

// What is cut out of another load does not cut a tab.
func TestTabIsOfItsOwnLoad(t *testing.T) {
	c := geom.Pt(80, 60)
	whole := hole("p1#2.h1", c, 20, full, false)
	part := hole("p1#1.h1", c, 20, full, false)
	a := 2.25 / 9.25
	part.way = []step{{to: geom.Polar(c, 9.25, a)}, {geom.Polar(c, 9.25, math.Pi), c, 1}, {geom.Polar(c, 9.25, -a), c, 1}}
	for _, loads := range [][2]int{{0, 1}, {1, 0}} {
		w := &writer{k: 1, dec: 4}
		w.header()
		cuts := []cutting{part, whole}
		if loads[0] == 1 {
			slices.Reverse(cuts)
		}
		w.cut(cuts[0])
		w.put("M0")
		w.cut(cuts[1])
		w.footer()
		in := blanks(w.text(), 0, 1)
		for i := range in.Parts {
			in.Parts[i].Load = loads[i]
		}
		in.Parts[0].Features[0].Tabs = []proof.Tab{{At: c.Add(geom.Pt(10, 0)), Width: 3}}
		if r := proof.Prove(in); !r.OK {
			t.Errorf("%v: %s", loads, show(r))
		}
	}
}

// The slower feed beside a corner is allowed within its reach and no further.
func TestSlowerFeedEndsWithItsReach(t *testing.T) {
	text := textOf(careful(full, 0, low)) // 6 mm along the edge, 6.05 from the corner
	for reach, ok := range map[float64]bool{6: true, 5.7: false} {
		in := plainPlate(text, 0, low, 0)
		in.Parts[0].Features[0].Corner.Reach = reach
		if r := proof.Prove(in); r.OK != ok || !ok && !slices.Contains(codes(r), "feed") {
			t.Errorf("reach of %g: %s", reach, show(r))
		}
	}
}

// A drawing's corner may miss the limit by its rounding: a loop round it is
// then as good as none.
func TestLoopRoundACornerOnTheLimitIsAllowed(t *testing.T) {
	text := textOf(careful(full, 4, 0))
	for over, ok := range map[float64]bool{-0.1: true, 0: true, geom.Join / 2: true, 2 * geom.Join: false} {
		in := plainPlate(text, 0, 0, 4)
		in.Parts[0].Features[0].Corner.Turn = math.Pi/2 + over
		if r := proof.Prove(in); r.OK != ok || !ok && !slices.Contains(codes(r), "off-edge") {
			t.Errorf("limit %g over the corner: %s", over, show(r))
		}
	}
}

// A slug in a slug, both to be cut across: a cut in the inner one is the inner
// one's. A short cut along an edge is a piece of that edge, not one across.
func TestCutAcrossBelongsToTheInnermostSlug(t *testing.T) {
	a, b := geom.Pt(60, 60), geom.Pt(220, 160) // the outer window
	plateA, plateB := geom.Pt(90, 80), geom.Pt(190, 140)
	inA, inB := geom.Pt(110, 90), geom.Pt(170, 130)
	line := func(id string, x float64, to float64) cutting {
		return cutting{id, geom.Pt(x, 110), []step{{to: geom.Pt(x, to)}}, full, false}
	}
	for _, swap := range []bool{false, true} {
		fs := []proof.Feature{feature("p1.c1", "cut-out", "inside", rounded(a, b, 0)), feature("p2.c1", "cut-out", "inside", rounded(inA, inB, 0))}
		fs[0].Split, fs[1].Split = true, true
		in := input(program(line("p2.c1", 140, inB.Y-kerf/2), window("p2.c1", inA, inB), frame("p2.outline", plateA, plateB, 0),
			line("p1.c1", 80, b.Y-kerf/2), window("p1.c1", a, b), cuttingOf("p1.outline")))
		in.Parts = []proof.Part{
			{Label: "p1", Features: []proof.Feature{fs[0], feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))}},
			{Label: "p2", Features: []proof.Feature{fs[1], feature("p2.outline", "outline", "outline", rounded(plateA, plateB, 0))}},
		}
		if swap {
			slices.Reverse(in.Parts)
		}
		r := proof.Prove(in)
		got := ""
		for _, c := range r.Cuts {
			got += c.Feature + " "
		}
		if !r.OK || got != "p2.c1 p2.c1 p2.outline p1.c1 p1.c1 p1.outline " {
			t.Errorf("swapped %v: %s%s", swap, got, show(r))
		}
	}
	along := window("p1.c1", a, b)
	along.way = along.way[:2]
	f := feature("p1.c1", "cut-out", "inside", rounded(a, b, 0))
	f.Split = true
	r := proof.Prove(single(program(along, cuttingOf("p1.outline")), f, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))))
	if !found(r, "uncut", "") || slices.Contains(codes(r), "not-cut") {
		t.Error(show(r))
	}
}
