package proof_test

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

func square(c geom.Point, half float64) geom.Path {
	d := geom.Pt(half, half)
	return rounded(c.Sub(d), c.Add(d), 0)
}

func TestVoidsOfTheStockAreKeptClearOf(t *testing.T) {
	for _, row := range []struct {
		name string
		void proof.Void
		code string // "" is good
	}{
		{"hole of the offcut beside the parts", proof.Void{Path: geom.Circle(geom.Pt(20, 110), 8), Name: "a hole"}, ""},
		{"bad spot in the slug of the window", proof.Void{Path: square(geom.Pt(112, 92), 3), Name: "a weld"}, ""},
		{"clamp at the edge, away from every rapid", proof.Void{Path: square(geom.Pt(290, 110), 8), Clamp: true, Name: "clamp"}, ""},
		{"under a pierce", proof.Void{Path: square(geom.Pt(145, 35), 3), Name: "a weld"}, "in-void"},
		{"under a touch-off", proof.Void{Path: square(geom.Pt(145, 35), 3), Name: "a weld"}, "touch-off-void"},
		{"across the outline's cut", proof.Void{Path: geom.Circle(geom.Pt(240, 110), 5), Name: "a hole"}, "in-void"},
		{"just inside the kerf", proof.Void{Path: square(geom.Pt(240+kerf+4.9, 110), 5), Name: "a hole"}, "in-void"},
		{"just outside the kerf", proof.Void{Path: square(geom.Pt(240+kerf+5.1, 110), 5), Name: "a hole"}, ""},
		{"in the kerf by less than the proof allows", proof.Void{Path: square(geom.Pt(240+kerf+4.985, 110), 5), Name: "a hole"}, ""},
		{"in the kerf by more", proof.Void{Path: square(geom.Pt(240+kerf+4.975, 110), 5), Name: "a hole"}, "in-void"},
		{"past a round corner of the kerf", proof.Void{Path: square(geom.Pt(40.5, 40.5), 1), Name: "a hole"}, ""},
		{"of no size", proof.Void{Path: geom.Path{Closed: true}, Name: "a hole"}, ""},
		{"inside the part, where nothing is cut", proof.Void{Path: geom.Circle(geom.Pt(200, 110), 6), Name: "a hole"}, "part-on-void"},
	} {
		t.Run(row.name, func(t *testing.T) {
			in := input(good().text())
			in.Stock.Voids = []proof.Void{row.void}
			r := proof.Prove(in)
			if count(r, "in-void") > 1 { // of one cut
				t.Error(show(r))
			}
			if row.code == "" {
				if !r.OK || len(r.Findings) > 0 {
					t.Fatal(show(r))
				}
				return
			}
			if r.OK || !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool { return f.Code == row.code }) {
				t.Fatalf("no %s: %s", row.code, show(r))
			}
		})
	}
}

func TestRapidsPassClampsAtSafeHeightOnly(t *testing.T) {
	low := &text{lines: good().lines}
	i := low.find("p1.h2", "G0 X", 0)
	low.lines[i-1] = "G0 Z12.0000" // the rise before the second hole
	for _, row := range []struct {
		w     *writer
		clamp bool
		want  bool
	}{{good(), true, true}, {&writer{lines: low.lines}, true, false}, {&writer{lines: low.lines}, false, true}} {
		in := input(row.w.text())
		// On the way from the first hole to the second, in neither.
		in.Stock.Voids = []proof.Void{{Path: square(geom.Pt(140, 60), 5), Clamp: row.clamp, Name: "clamp"}}
		r := proof.Prove(in)
		found := slices.ContainsFunc(r.Findings, func(f proof.Finding) bool { return f.Code == "low-over-clamp" })
		if found == row.want {
			t.Errorf("%v: %s", row, show(r))
		}
	}
}

// The stock may be of several pieces; one that has no outline holds nothing.
func TestCutMayLieOnAnyPieceOfTheStock(t *testing.T) {
	in := input(good().text())
	plate := in.Stock.Shapes[0]
	in.Stock.Shapes = []geom.Path{rounded(geom.Pt(400, 0), geom.Pt(500, 90), 0), {}, plate}
	wantGood(t, in)
	in.Stock.Shapes = in.Stock.Shapes[:2]
	wantCodes(t, proof.Prove(in), "off-plate")
}
