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
		if d := r.Cuts[0].Pierce.Dist(h1); d > 0.001 {
			t.Errorf("the pierce is told %g from the hole as drawn", d)
		}
		// Moved by 0.05, the torch gouges on one side and leaves the edge on the other.
		in.Text = program(hole("p1.h1", m.Apply(h1).Add(geom.Pt(0.05, 0)), 20, full, false))
		r = proof.Prove(in)
		wantCodes(t, r, "gouge", "uncut")
		for _, f := range r.Findings {
			if d := f.At.Dist(h1); math.Abs(d-10) > 0.001 {
				t.Errorf("[%s] is told %g from the middle of the hole as drawn", f.Code, d)
			}
		}
	}
}

// A turn that cannot be reckoned is no turn: the program is not proved.
func TestLieThatTellsNothingIsRefused(t *testing.T) {
	good := single(program(hole("p1.h1", h1, 20, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	good.Parts[0].Features = append(good.Parts[0].Features, feature("p1.h8", "hole", "leave", geom.Path{}))
	pt := geom.Pt
	for name, lie := range map[string]proof.Lie{
		"one point":                  {Edge: "bottom", Next: "left", Points: []geom.Point{pt(0, 0)}},
		"one place twice":            {Edge: "bottom", Next: "left", Points: []geom.Point{pt(5, 0), pt(5, 0)}},
		"no edge":                    {Edge: "front", Next: "left", Points: []geom.Point{pt(0, 0), pt(90, 0)}},
		"edges alike":                {Edge: "bottom", Next: "top", Points: []geom.Point{pt(0, 0), pt(90, 0)}},
		"nothing":                    {},
		"no next edge":               {Edge: "bottom", Next: "front", Points: []geom.Point{pt(0, 0), pt(90, 0)}},
		"next read along the first":  {Edge: "bottom", Next: "left", Points: []geom.Point{pt(0, 0), pt(10, 0)}, NextPoints: []geom.Point{pt(0, 0), pt(90, 0)}},
		"unknown feature, elsewhere": {Located: []proof.Located{{ID: "p1.h1", At: h1}, {ID: "p1.h7", At: h1.Add(pt(9, 1))}}},
		"feature without an edge":    {Located: []proof.Located{{ID: "p1.h1", At: h1}, {ID: "p1.h8", At: h1.Add(pt(9, 1))}}},
		"unknown feature":            {Located: []proof.Located{{ID: "p1.h1", At: h1}, {ID: "p1.h7", At: h1}}},
		"one feature only":           {Located: []proof.Located{{ID: "p1.h1", At: h1}}},
	} {
		in := good
		in.Lie = &lie
		r := proof.Prove(in)
		if r.OK || !slices.Contains(codes(r), "lie") {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// Stock whose edges nobody gave has none to read points along.
func TestStockWithoutAnOutlineTellsNoTurn(t *testing.T) {
	in := single(program(hole("p1.h1", h1, 20, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	in.Stock.Shapes = []geom.Path{{}}
	in.Lie = &proof.Lie{Edge: "bottom", Next: "left", Points: []geom.Point{{}, {X: 90}}}
	if r := proof.Prove(in); !found(r, "lie", "the stock has no edges") {
		t.Error(show(r))
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

// lying is a job for stock that lies moved: the cuts are moved by hand, the
// drawing by four points read along the edges of the plate.
func lying(in proof.Input, m geom.Move, cuts ...cutting) proof.Input {
	for k, c := range cuts {
		c.pierce = m.Apply(c.pierce)
		c.way = slices.Clone(c.way)
		for i := range c.way {
			c.way[i].to, c.way[i].centre = m.Apply(c.way[i].to), m.Apply(c.way[i].centre)
		}
		cuts[k] = c
	}
	in.Text = program(cuts...)
	b := in.Stock.Shapes[0].Box()
	read := func(x, y float64) geom.Point { return m.Apply(geom.Pt(x, y)) }
	in.Lie = &proof.Lie{Edge: "bottom", Next: "left", Points: []geom.Point{read(b.Min.X, b.Min.Y), read(b.Max.X, b.Min.Y)},
		NextPoints: []geom.Point{read(b.Min.X, b.Min.Y+10), read(b.Min.X, b.Max.Y)}}
	return in
}

// A hole of the stock lies where the stock does.
func TestVoidsLieWithTheStock(t *testing.T) {
	m := geom.Move{Angle: 0.05, Shift: geom.Pt(9, -2)}
	for _, v := range []struct {
		y  float64
		ok bool
	}{{0.1, true}, {-0.1, false}} {
		in := input(nil)
		in.Stock.Voids = []proof.Void{{Path: square(geom.Pt(240+kerf+5+v.y, 110), 5), Name: "a hole"}}
		was := in.Stock.Voids[0].Path.V[0]
		r := proof.Prove(lying(in, m, cuttings()...))
		if r.OK != v.ok || slices.Contains(codes(r), "in-void") == v.ok {
			t.Errorf("%g: %s", v.y, show(r))
		}
		if in.Stock.Voids[0].Path.V[0] != was {
			t.Error("the caller's void is moved")
		}
	}
}

// A tab lies with its part, and the caller's own is left where it is drawn.
func TestTabsLieWithThePart(t *testing.T) {
	m := geom.Move{Angle: 0.05, Shift: geom.Pt(9, -2)}
	in := tabbed(170, beforeTab(2.25), block(170))
	wantGood(t, in)
	was := in.Parts[0].Features[0].Tabs[0]
	wantGood(t, lying(in, m, beforeTab(2.25), block(170)))
	if in.Parts[0].Features[0].Tabs[0] != was {
		t.Errorf("the caller's tab is moved to %v", in.Parts[0].Features[0].Tabs[0].At)
	}
}
