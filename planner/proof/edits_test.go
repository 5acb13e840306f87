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

// placedInput is the edited plate where place lays it, its outline first: m is
// what the edits make of its edges.
func placedInput(place geom.Move, m func(id string, p geom.Path) geom.Path, c geom.Point, edits ...proof.Edit) proof.Input {
	drawn := drawnPlate()
	fs := drawn[0].Features
	slices.Reverse(fs)
	var wanted []proof.Feature
	for _, f := range fs {
		kind, rule := "hole", "leave"
		if f.Outline {
			kind = "outline"
		}
		if f.ID == "p1.h1" {
			rule = "inside"
		}
		x := feature(f.ID, kind, rule, place.Path(m(f.ID, f.Loop)))
		x.Of = f.ID
		wanted = append(wanted, x)
	}
	in := single(program(hole("p1.h1", place.Apply(c), 20, full, false)), wanted...)
	in.Parts[0].Of, in.Parts[0].Place = "p1", place
	in.Drawn, in.Edits = drawn, edits
	return in
}

// moves shifts one feature and leaves the others.
func moves(id string, by geom.Point) func(string, geom.Path) geom.Path {
	return func(of string, p geom.Path) geom.Path {
		if of == id {
			return geom.Move{Shift: by}.Path(p)
		}
		return p
	}
}

// A copy may lie turned over, and turned.
func TestEditedPartIsProvedHoweverItLies(t *testing.T) {
	by := geom.Pt(4, -3)
	for _, place := range []geom.Move{{Shift: geom.Pt(60, 80)}, {Angle: 0.4, Shift: geom.Pt(90, 60)}, {Mirror: true, Shift: geom.Pt(180, 60)}, {Mirror: true, Angle: 0.4, Shift: geom.Pt(190, 80)}} {
		c := geom.Pt(drawnX, drawnY).Add(by)
		edit := proof.Edit{Do: "move", On: "p1.h1", X: by.X, Y: by.Y}
		wantGood(t, placedInput(place, moves("p1.h1", by), c, edit))
		other := place
		other.Mirror = !other.Mirror
		in := placedInput(place, moves("p1.h1", by), c, edit)
		in.Parts[0].Place = other
		wantCodes(t, proof.Prove(in), "edit-apart")
	}
}

// The edge of a blank is that of the edits, not the one that is handed over.
func TestEditedBlankHasTheEdgeOfTheEdits(t *testing.T) {
	place := geom.Move{Shift: geom.Pt(layX, layY)}
	onBlank := func(x float64, given geom.Path) proof.Input {
		by := geom.Pt(x, 0)
		in := placedInput(place, moves("p1.h1", by), geom.Pt(drawnX+x, drawnY), proof.Edit{Do: "move", On: "p1.h1", X: x})
		in.Parts[0].Features[0].Rule = "locate"
		in.Stock.Blank, in.Stock.Shapes = true, []geom.Path{place.Path(given)}
		return in
	}
	right := rounded(geom.Pt(0, 0), geom.Pt(100, 60), 0)
	large, small := rounded(geom.Pt(-20, -20), geom.Pt(140, 80), 0), rounded(geom.Pt(10, 0), geom.Pt(40, 20), 0)
	for _, given := range []geom.Path{right, large, small} {
		wantGood(t, onBlank(5, given))
		wantCodes(t, proof.Prove(onBlank(65, given)), "off-plate")
	}
	for _, blank := range []int{-1, 1} { // of no shape: any will do
		in := onBlank(5, right)
		in.Parts[0].Blank = blank
		wantGood(t, in)
	}
}

// What is handed over may lie beside what the edits make by the tolerance; the
// program is held to what they make, not to that.
func TestProgramIsHeldToTheEditsThemselves(t *testing.T) {
	place := geom.Move{Shift: geom.Pt(layX, layY)}
	by := geom.Pt(5, 0)
	for beside, ok := range map[float64]bool{0: true, 0.015: true, 0.03: false} {
		in := placedInput(place, moves("p1.h1", by.Add(geom.Pt(0.015, 0))), geom.Pt(drawnX+5+beside, drawnY), proof.Edit{Do: "move", On: "p1.h1", X: 5})
		if r := proof.Prove(in); r.OK != ok || !ok && !slices.Contains(codes(r), "gouge") {
			t.Errorf("hole %g beside: %s", beside, show(r))
		}
		// A text that is marked on the plate, turned half a turn about 50, 30.
		said := geom.Path{V: []geom.Vertex{{P: geom.Pt(20, 45)}, {P: geom.Pt(30, 45)}}}
		line := geom.Path{V: []geom.Vertex{{P: geom.Pt(80, 15.015)}, {P: geom.Pt(70, 15.015)}}}
		y := 15 + beside
		cut := cutting{"t1.m1", place.Apply(geom.Pt(80, y)), []step{{to: place.Apply(geom.Pt(70, y))}}, full, false}
		in = single(program(cut), feature("t1.m1", "mark", "mark", place.Path(line)))
		in.Parts[0].Place = place
		in.Parts[0].Ride = &proof.Ride{On: "p1", Middle: geom.Pt(25, 47), Said: []geom.Path{said}}
		in.Drawn, in.Edits = drawnPlate(), []proof.Edit{{Do: "turn", On: "p1", Angle: math.Pi}}
		if r := proof.Prove(in); r.OK != ok || !ok && !slices.Contains(codes(r), "uncut") {
			t.Errorf("text %g beside: %s", beside, show(r))
		}
	}
}

// A part turns about the middle of its outline, whatever sticks out of it and
// however its features are ordered; without an outline about that of all.
func TestPartsTurnAboutTheMiddleOfTheirOutline(t *testing.T) {
	outline := proof.DrawnFeature{ID: "p1.outline", Outline: true, Loop: geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 60), geom.Pt(0, 60))}
	round := proof.DrawnFeature{ID: "p1.h1", Loop: geom.Circle(geom.Pt(30, 20), 10)}
	mark := proof.DrawnFeature{ID: "p1.m1", Loop: geom.Path{V: []geom.Vertex{{P: geom.Pt(10, -40)}, {P: geom.Pt(160, 60), Bulge: 0.3}, {P: geom.Pt(150, 10)}}}}
	inner := proof.DrawnFeature{ID: "p1.m1", Loop: geom.Path{V: []geom.Vertex{{P: geom.Pt(0, 60)}, {P: geom.Pt(100, 0)}}}}
	for name, fs := range map[string][]proof.DrawnFeature{
		"outline first": {outline, round, mark}, "outline last": {mark, round, outline}, "between": {round, outline, mark}, "no outline": {round, inner}, "no outline, the line first": {inner, round},
	} {
		in := input(program())
		m := reshaped(func(p geom.Point) geom.Point { return geom.Pt(50-(p.Y-30), 30+(p.X-50)) }, false)
		var wanted []proof.Feature
		for _, f := range fs {
			x := feature(f.ID, "hole", "leave", m(f.Loop))
			x.Of = f.ID
			wanted = append(wanted, x)
		}
		in.Parts = []proof.Part{{Label: "p1", Of: "p1", Features: wanted}}
		in.Drawn, in.Edits = []proof.DrawnPart{{ID: "p1", Features: fs}}, []proof.Edit{{Do: "turn", On: "p1", Angle: math.Pi / 2}}
		if r := proof.Prove(in); !r.OK {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// A round hole that is added lies where it is said and is as wide; an edit that
// cannot be made is named by its number.
func TestAddedHolesAndTheNumbersOfEdits(t *testing.T) {
	add := proof.Edit{Do: "add", On: "p1.a1", X: 20, Y: 48, Diameter: 8}
	for _, c := range []struct {
		x, y, r float64
		ok      bool
	}{{20, 48, 4, true}, {20, 48, 4.03, false}, {20, 48, 16, false}, {20.03, 48, 4, false}} {
		in := editedInput(geom.Pt(drawnX, drawnY), 20, asIs, add)
		x := feature("p1.a1", "hole", "leave", geom.Circle(geom.Pt(layX+c.x, layY+c.y), c.r))
		x.Of = "p1.a1"
		in.Parts[0].Features = append(in.Parts[0].Features, x)
		if r := proof.Prove(in); r.OK != c.ok || !c.ok && !slices.Contains(codes(r), "edit-apart") {
			t.Errorf("%+v: %s", c, show(r))
		}
	}
	in := editedInput(geom.Pt(drawnX, drawnY), 20, asIs, proof.Edit{Do: "turn", On: "p1"}, proof.Edit{Do: "diameter", On: "p1.s1", Diameter: 3})
	if r := proof.Prove(in); !found(r, "edit", "edit 2, diameter, cannot be made: it is no circle") {
		t.Error(show(r))
	}
}

// What lies in a cut-out of a part in a cut-out goes along with both, its texts
// too; the edits of one part leave the texts of another alone.
func TestEditsReachAllThatLiesOnAPart(t *testing.T) {
	box := func(x, y, w, h float64) geom.Path { return rounded(geom.Pt(x, y), geom.Pt(x+w, y+h), 0) }
	drawn := []proof.DrawnPart{
		{ID: "p1", Features: []proof.DrawnFeature{{ID: "p1.c1", Loop: box(10, 10, 60, 40)}, {ID: "p1.outline", Outline: true, Loop: box(0, 0, 100, 60)}}},
		{ID: "p2", In: "p1.c1", Features: []proof.DrawnFeature{{ID: "p2.c1", Loop: box(20, 15, 30, 20)}, {ID: "p2.outline", Outline: true, Loop: box(15, 12, 50, 30)}}},
		{ID: "p3", In: "p2.c1", Features: []proof.DrawnFeature{{ID: "p3.outline", Outline: true, Loop: box(25, 20, 10, 5)}}},
		{ID: "p4", Features: []proof.DrawnFeature{{ID: "p4.outline", Outline: true, Loop: box(200, 0, 10, 40)}}},
	}
	said := geom.Path{V: []geom.Vertex{{P: geom.Pt(26, 21)}, {P: geom.Pt(31, 22)}}}
	quarter := func(about geom.Point) func(geom.Path) geom.Path {
		return reshaped(func(p geom.Point) geom.Point {
			return geom.Pt(about.X-(p.Y-about.Y), about.Y+(p.X-about.X))
		}, false)
	}
	shift := func(x, y float64) func(geom.Path) geom.Path {
		return reshaped(func(p geom.Point) geom.Point { return p.Add(geom.Pt(x, y)) }, false)
	}
	for _, c := range []struct {
		name string
		edit proof.Edit
		m    func(geom.Path) geom.Path // of the innermost part and its text
	}{
		{"the outermost turned", proof.Edit{Do: "turn", On: "p1", Angle: math.Pi / 2}, quarter(geom.Pt(50, 30))},
		{"the middle one turned", proof.Edit{Do: "turn", On: "p2", Angle: math.Pi / 2}, quarter(geom.Pt(40, 27))},
		{"the innermost turned", proof.Edit{Do: "turn", On: "p3", Angle: math.Pi / 2}, quarter(geom.Pt(30, 22.5))},
		{"another turned", proof.Edit{Do: "turn", On: "p4", Angle: math.Pi / 2}, asIs},
		{"the outer cut-out moved", proof.Edit{Do: "move", On: "p1.c1", X: 3, Y: 2}, shift(3, 2)},
		{"the inner cut-out moved", proof.Edit{Do: "move", On: "p2.c1", X: 3, Y: 2}, shift(3, 2)},
		{"the middle one mirrored", proof.Edit{Do: "mirror", On: "p2"}, shift(20, 0)}, // the innermost middle from 30 to 50
	} {
		in := input(program())
		inner := feature("p3.outline", "outline", "leave", c.m(drawn[2].Features[0].Loop))
		inner.Of = "p3.outline"
		in.Parts = []proof.Part{{Label: "p3", Of: "p3", Features: []proof.Feature{inner}}, {Label: "t1", Features: []proof.Feature{feature("t1.m1", "mark", "leave", c.m(said))},
			Ride: &proof.Ride{On: "p3", Middle: geom.Pt(28, 22), Angle: 0.2, Said: []geom.Path{said}}}}
		in.Drawn, in.Edits = drawn, []proof.Edit{c.edit}
		if r := proof.Prove(in); !r.OK {
			t.Errorf("%s: %s", c.name, show(r))
		}
	}
}
