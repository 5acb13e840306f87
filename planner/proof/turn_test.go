package proof_test

import (
	"math"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// The program of a hole on the stock as drawn is wrong for a stock that lies
// turned; the same program turned by hand is right.
func TestStockThatLiesTurnedIsProvedWhereItLies(t *testing.T) {
	for _, lie := range []proof.Lie{
		{Edge: "bottom", Next: "left"}, {Edge: "top", Next: "right"}, {Edge: "left", Next: "top"}, {Edge: "right", Next: "bottom"},
	} {
		in := single(program(hole("p1.h1", h1, 20, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
		wantGood(t, in)
		box := geom.EmptyBox()
		for _, s := range in.Stock.Shapes {
			box = box.Union(s.Box())
		}
		m := geom.Move{Angle: 0.02, Shift: geom.Pt(3, -2)}
		ends := map[string][2]geom.Point{
			"bottom": {box.Min, geom.Pt(box.Max.X, box.Min.Y)}, "top": {geom.Pt(box.Min.X, box.Max.Y), box.Max},
			"left": {box.Min, geom.Pt(box.Min.X, box.Max.Y)}, "right": {geom.Pt(box.Max.X, box.Min.Y), box.Max},
		}
		for k, at := range ends[lie.Edge] {
			lie.Points = append(lie.Points, m.Apply(at.Lerp(ends[lie.Edge][1-k], 0.1)))
		}
		lie.NextPoints = []geom.Point{m.Apply(ends[lie.Next][0].Lerp(ends[lie.Next][1], 0.4))}
		in.Lie = &lie
		wantCodes(t, proof.Prove(in), "gouge", "uncut")
		in.Text = program(hole("p1.h1", m.Apply(h1), 20, full, false))
		r := wantGood(t, in)
		if d := r.Cuts[0].Pierce.Dist(h1); d > 10 {
			t.Errorf("the pierce is told %g from the hole as drawn", d)
		}
	}
}

// A turn that cannot be reckoned is no turn: the program is not proved.
func TestLieThatTellsNothingIsRefused(t *testing.T) {
	good := single(program(hole("p1.h1", h1, 20, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	pt := geom.Pt
	for name, lie := range map[string]proof.Lie{
		"one point":        {Edge: "bottom", Next: "left", Points: []geom.Point{pt(0, 0)}},
		"one place twice":  {Edge: "bottom", Next: "left", Points: []geom.Point{pt(5, 0), pt(5, 0)}},
		"no edge":          {Edge: "front", Next: "left", Points: []geom.Point{pt(0, 0), pt(90, 0)}},
		"edges alike":      {Edge: "bottom", Next: "top", Points: []geom.Point{pt(0, 0), pt(90, 0)}},
		"nothing":          {},
		"unknown feature":  {Located: []proof.Located{{ID: "p1.h1", At: h1}, {ID: "p1.h7", At: h1}}},
		"one feature only": {Located: []proof.Located{{ID: "p1.h1", At: h1}}},
	} {
		in := good
		in.Lie = &lie
		r := proof.Prove(in)
		if r.OK || !slices.Contains(codes(r), "lie") {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// Two located features, by hand: turned a quarter about the first.
func TestLocatedFeaturesTurnTheDrawing(t *testing.T) {
	far := h1.Add(geom.Pt(60, 0))
	two := []proof.Feature{feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)), feature("p1.h2", "hole", "leave", geom.Circle(far, 3))}
	in := single(program(hole("p1.h1", h1, 20, full, false)), two...)
	in.Lie = &proof.Lie{Located: []proof.Located{{ID: "p1.h1", At: h1}, {ID: "p1.h2", At: h1.Add(geom.Polar(geom.Point{}, 60, math.Pi/200))}}}
	wantGood(t, in) // about its own middle a hole may turn
	in.Lie.Located[0].At = h1.Add(geom.Pt(0, 1))
	wantCodes(t, proof.Prove(in), "gouge", "uncut")
}
