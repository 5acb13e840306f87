package proof_test

import (
	"math"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A plate of 100 by 60 with a hole of 20 at 30, 20, one of 4 for the drill at
// 80, 40, and a slot of 40 by 10 with its middle at 60, 45, that lies on the
// stock shifted by 50, 70. Only the hole of 20 is cut.
const (
	drawnX, drawnY = 30.0, 20.0
	layX, layY     = 50.0, 70.0
)

func drawnPlate() []proof.DrawnPart {
	slot := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(45, 40)}, {P: geom.Pt(75, 40), Bulge: 1}, {P: geom.Pt(75, 50)}, {P: geom.Pt(45, 50), Bulge: 1}}}
	return []proof.DrawnPart{{ID: "p1", Features: []proof.DrawnFeature{
		{ID: "p1.h1", Loop: geom.Circle(geom.Pt(drawnX, drawnY), 10)}, {ID: "p1.h2", Loop: geom.Circle(geom.Pt(80, 40), 2)}, {ID: "p1.s1", Loop: slot},
		{ID: "p1.outline", Outline: true, Loop: geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 60), geom.Pt(0, 60))}}}}
}

// editedInput is a program that cuts a hole of d with its middle at c in the
// drawing's axes, and what a planner would hand over: map for the edges that
// are not cut.
func editedInput(c geom.Point, d float64, m func(geom.Path) geom.Path, edits ...proof.Edit) proof.Input {
	lay := geom.Move{Shift: geom.Pt(layX, layY)}
	on := lay.Apply(c)
	hole1 := feature("p1.h1", "hole", "inside", geom.Circle(on, d/2))
	hole1.Of = "p1.h1"
	fs := []proof.Feature{hole1}
	for _, f := range drawnPlate()[0].Features[1:] {
		kind := map[bool]string{true: "outline", false: "hole"}[f.Outline]
		x := feature(f.ID, kind, "leave", lay.Path(m(f.Loop)))
		x.Of = f.ID
		fs = append(fs, x)
	}
	in := single(program(hole("p1.h1", on, d, full, false)), fs...)
	in.Parts[0].Of, in.Parts[0].Place = "p1", lay
	in.Drawn, in.Edits = drawnPlate(), edits
	return in
}

func asIs(p geom.Path) geom.Path { return p }

func reshaped(m func(geom.Point) geom.Point, mirrored bool) func(geom.Path) geom.Path {
	return func(p geom.Path) geom.Path {
		p.V = slices.Clone(p.V)
		for i := range p.V {
			if p.V[i].P = m(p.V[i].P); mirrored {
				p.V[i].Bulge = -p.V[i].Bulge
			}
		}
		return p
	}
}

// Where the hole is after each edit, worked out by hand about the middle of
// the plate, 50, 30. A program for that passes; one that ignores the edit, or
// takes it for another, does not.
func TestEditsAreMadeAsWorkedOutByHand(t *testing.T) {
	deg := math.Pi / 180
	turn := func(p geom.Point) geom.Point { return geom.Pt(50-(p.Y-30), 30+(p.X-50)) }
	mirror := func(p geom.Point) geom.Point { return geom.Pt(100-p.X, p.Y) }
	scale := func(p geom.Point) geom.Point { return geom.Pt(50+1.2*(p.X-50), 30+1.2*(p.Y-30)) }
	both := func(p geom.Point) geom.Point { return turn(mirror(p)) }
	drawn := geom.Pt(drawnX, drawnY)
	for _, c := range []struct {
		name  string
		edits []proof.Edit
		at    geom.Point
		d     float64
		m     func(geom.Path) geom.Path
	}{
		{"turned", []proof.Edit{{Do: "turn", On: "p1", Angle: 90 * deg}}, turn(drawn), 20, reshaped(turn, false)},
		{"mirrored", []proof.Edit{{Do: "mirror", On: "p1"}}, mirror(drawn), 20, reshaped(mirror, true)},
		{"scaled", []proof.Edit{{Do: "scale", On: "p1", Factor: 1.2}}, scale(drawn), 24, reshaped(scale, false)},
		{"corrected alike", []proof.Edit{{Do: "correct", On: "p1", DrawnX: 120, MeasuredX: 100, DrawnY: 60, MeasuredY: 50}}, scale(drawn), 24, reshaped(scale, false)},
		{"mirrored and turned", []proof.Edit{{Do: "mirror", On: "p1"}, {Do: "turn", On: "p1", Angle: 90 * deg}}, both(drawn), 20, reshaped(both, true)},
		{"wider", []proof.Edit{{Do: "diameter", On: "p1.h1", Diameter: 22}}, drawn, 22, asIs},
		{"moved", []proof.Edit{{Do: "move", On: "p1.h1", X: 3, Y: -2}}, drawn.Add(geom.Pt(3, -2)), 20, asIs},
		{"wider, then turned", []proof.Edit{{Do: "diameter", On: "p1.h1", Diameter: 22}, {Do: "turn", On: "p1", Angle: 90 * deg}}, turn(drawn), 22, reshaped(turn, false)},
		{"moved, then turned", []proof.Edit{{Do: "move", On: "p1.h1", X: 3}, {Do: "turn", On: "p1", Angle: 90 * deg}}, turn(drawn.Add(geom.Pt(3, 0))), 20, reshaped(turn, false)},
	} {
		in := editedInput(c.at, c.d, c.m, c.edits...)
		wantGood(t, in)
		if c.at == drawn && c.d == 20 {
			t.Fatalf("%s: nothing is edited", c.name)
		}
		on := func(p geom.Point) geom.Point { return p.Add(geom.Pt(layX, layY)) }
		for _, wrong := range []struct {
			name string
			at   geom.Point
			d    float64
		}{{"ignored", drawn, 20}, {"in the wrong place", c.at.Add(geom.Pt(0.03, 0)), c.d}, {"too wide", c.at, c.d + 0.05}} {
			in.Text = program(hole("p1.h1", on(wrong.at), wrong.d, full, false))
			if r := proof.Prove(in); r.OK {
				t.Errorf("%s: a program that cuts it %s passes", c.name, wrong.name)
			}
		}
	}
}

// What no cut shows is compared all the same: each of these only by that check.
func TestPlannersOwnEditsAreHeldAgainstTheProofs(t *testing.T) {
	move := proof.Edit{Do: "move", On: "p1.h2", X: 1}
	drawn := geom.Pt(drawnX, drawnY)
	shift := geom.Move{Shift: geom.Pt(layX, layY)}
	good := func() proof.Input {
		in := editedInput(drawn, 20, asIs, move)
		in.Parts[0].Features[1].Loop = shift.Path(geom.Circle(geom.Pt(81, 40), 2))
		return in
	}
	wantGood(t, good())
	for _, c := range []struct {
		name  string
		spoil func(in *proof.Input)
		code  string
	}{
		{"a drilled hole stays where it was", func(in *proof.Input) { in.Parts[0].Features[1].Loop = shift.Path(geom.Circle(geom.Pt(80, 40), 2)) }, "edit-apart"},
		{"a hole for the drill is of another size", func(in *proof.Input) { in.Parts[0].Features[1].Loop = shift.Path(geom.Circle(geom.Pt(81, 40), 2.1)) }, "edit-apart"},
		{"the slot is turned the other way", func(in *proof.Input) {
			f := &in.Parts[0].Features[2]
			f.Loop = geom.Move{Mirror: true, Shift: geom.Pt(2*(60+layX), 0)}.Path(f.Loop)
			f.Loop.V[0].P.Y += 0.05
		}, "edit-apart"},
		{"a deleted hole is cut", func(in *proof.Input) { in.Edits = append(in.Edits, proof.Edit{Do: "delete", On: "p1.h2"}) }, "edit-gone"},
		{"an added hole is not cut", func(in *proof.Input) {
			in.Edits = append(in.Edits, proof.Edit{Do: "add", On: "p1.a1", X: 20, Y: 45, Diameter: 8})
		}, "edit-missing"},
		{"a hole of no drawing", func(in *proof.Input) { in.Parts[0].Features[1].Of = "p1.h7" }, "edit-gone"},
		{"a part of no drawing", func(in *proof.Input) { in.Parts[0].Of = "p7" }, "edit"},
		{"an edit of nothing", func(in *proof.Input) {
			in.Edits = append(in.Edits, proof.Edit{Do: "diameter", On: "p1.h7", Diameter: 3})
		}, "edit"},
		{"the diameter of a slot", func(in *proof.Input) {
			in.Edits = append(in.Edits, proof.Edit{Do: "diameter", On: "p1.s1", Diameter: 3})
		}, "edit"},
		{"the length of a hole", func(in *proof.Input) {
			in.Edits = append(in.Edits, proof.Edit{Do: "length", On: "p1.h2", Length: 30})
		}, "edit"},
		{"the length of a plate", func(in *proof.Input) {
			in.Edits = append(in.Edits, proof.Edit{Do: "length", On: "p1.outline", Length: 30})
		}, "edit"},
		{"an edit of a part that is none", func(in *proof.Input) { in.Edits = append(in.Edits, proof.Edit{Do: "turn", On: "p3", Angle: 1}) }, "edit"},
		{"an edit that there is not", func(in *proof.Input) { in.Edits = append(in.Edits, proof.Edit{Do: "bend", On: "p1.h2"}) }, "edit"},
	} {
		in := good()
		c.spoil(&in)
		r := proof.Prove(in)
		if r.OK || !slices.Contains(codes(r), c.code) {
			t.Errorf("%s: wanted [%s], got %s", c.name, c.code, show(r))
		}
	}
}

// A slot of another length, by its closed form, and one that is added.
func TestSlotsAreMadeByTheirFigures(t *testing.T) {
	lay := geom.Move{Shift: geom.Pt(layX, layY)}
	in := editedInput(geom.Pt(drawnX, drawnY), 20, asIs, proof.Edit{Do: "length", On: "p1.s1", Length: 56},
		proof.Edit{Do: "add", On: "p1.a1", X: 12, Y: 40, Length: 20, Width: 6, Angle: math.Pi / 2})
	long := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(37, 40)}, {P: geom.Pt(83, 40), Bulge: 1}, {P: geom.Pt(83, 50)}, {P: geom.Pt(37, 50), Bulge: 1}}}
	added := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(15, 33)}, {P: geom.Pt(15, 47), Bulge: 1}, {P: geom.Pt(9, 47)}, {P: geom.Pt(9, 33), Bulge: 1}}}
	in.Parts[0].Features[2].Loop = lay.Path(long)
	x := feature("p1.a1", "slot", "leave", lay.Path(added))
	x.Of = "p1.a1"
	in.Parts[0].Features = append(in.Parts[0].Features, x)
	wantGood(t, in)
}

// What lies in a cut-out is turned with it, or goes along with its place; it
// is neither mirrored nor stretched.
func TestPartsInCutOutsGoAlong(t *testing.T) {
	tri := func(x, y float64) geom.Path { return geom.Polygon(geom.Pt(x, y), geom.Pt(x+6, y), geom.Pt(x, y+4)) }
	box := func(x, y, w, h float64) geom.Path {
		return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
	}
	drawn := []proof.DrawnPart{
		{ID: "p1", Features: []proof.DrawnFeature{{ID: "p1.c1", Loop: box(10, 10, 30, 20)}, {ID: "p1.outline", Outline: true, Loop: box(0, 0, 100, 60)}}},
		{ID: "p2", In: "p1.c1", Features: []proof.DrawnFeature{{ID: "p2.outline", Outline: true, Loop: tri(20, 15)}}}, // its box's middle: 23, 17
	}
	for _, c := range []struct {
		edit proof.Edit
		want geom.Path
	}{
		{proof.Edit{Do: "mirror", On: "p1"}, tri(100-23-3, 15)},
		{proof.Edit{Do: "scale", On: "p1", Factor: 2}, tri(50+2*(23-50)-3, 30+2*(17-30)-2)},
		{proof.Edit{Do: "move", On: "p1.c1", X: 4, Y: 1}, tri(24, 16)},
		{proof.Edit{Do: "turn", On: "p1", Angle: math.Pi}, geom.Polygon(geom.Pt(80, 45), geom.Pt(74, 45), geom.Pt(80, 41))},
	} {
		in := input(program())
		lodged := feature("p2.outline", "outline", "leave", c.want)
		lodged.Of = "p2.outline"
		in.Parts = []proof.Part{{Label: "p2", Of: "p2", Features: []proof.Feature{lodged}}}
		in.Drawn, in.Edits = drawn, []proof.Edit{c.edit}
		wantGood(t, in)
	}
}

// A text goes along with the part that it lies on, by hand: its stroke from 20,
// 45 to 30, 45, its middle at 26, 47. It is turned with the part and leans the
// other way where that is mirrored, but is not mirrored itself. A program is
// held to that, whatever the planner says.
func TestTextsAreHeldToWhereTheirPartTookThem(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) geom.Path {
		return geom.Path{V: []geom.Vertex{{P: geom.Pt(x0, y0)}, {P: geom.Pt(x1, y1)}}}
	}
	said := line(20, 45, 30, 45)
	for _, c := range []struct {
		name  string
		edits []proof.Edit
		angle float64
		want  geom.Path
	}{
		{"mirrored: its middle goes to 74, 47", []proof.Edit{{Do: "mirror", On: "p1"}}, 0, line(68, 45, 78, 45)},
		{"turned a quarter", []proof.Edit{{Do: "turn", On: "p1", Angle: math.Pi / 2}}, 0, line(35, 0, 35, 10)},
		{"scaled by 1.5: its middle goes to 14, 55.5", []proof.Edit{{Do: "scale", On: "p1", Factor: 1.5}}, 0, line(8, 53.5, 18, 53.5)},
		{"the edit of a hole", []proof.Edit{{Do: "diameter", On: "p1.h2", Diameter: 5}}, 0, said},
		// Upright it stays upright, its first end down: mirrored and turned half a
		// turn, as upright as before and end for end.
		{"upright and mirrored", []proof.Edit{{Do: "mirror", On: "p1"}}, math.Pi / 2, line(80, 49, 70, 49)},
	} {
		in := input(program())
		on := geom.Move{Shift: geom.Pt(layX, layY)}
		mark := feature("t1.m1", "mark", "leave", on.Path(c.want))
		in.Parts = []proof.Part{{Label: "t1", Features: []proof.Feature{mark}, Place: on,
			Ride: &proof.Ride{On: "p1", Middle: geom.Pt(26, 47), Angle: c.angle, Said: []geom.Path{said}}}}
		in.Drawn, in.Edits = drawnPlate(), c.edits
		wantGood(t, in)
		for name, wrong := range map[string]geom.Path{"left behind": line(20, 45.1, 30, 45), "beside": geom.Move{Shift: geom.Pt(0, 0.03)}.Path(c.want)} {
			in.Parts[0].Features[0].Loop = on.Path(wrong)
			if r := proof.Prove(in); r.OK || !slices.Contains(codes(r), "edit-apart") {
				t.Errorf("%s, %s: %s", c.name, name, show(r))
			}
		}
		in.Parts[0].Features = nil
		wantCodes(t, proof.Prove(in), "edit-apart")
	}
}
