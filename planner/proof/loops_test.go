package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A loop of 4 mm on a square corner has its middle 4.75 mm out along either
// axis, 6.72 from the corner. With its kerf and one to spare it takes 6.25 about
// the middle, and 2.25 to either side of the way to it. What lies at all four
// corners is said here by its place outwards from each, out from the corner and
// side across that.
func atCorners(out, side float64) []geom.Point {
	var all []geom.Point
	for _, q := range []geom.Point{plateA, {X: plateA.X, Y: plateB.Y}, plateB, {X: plateB.X, Y: plateA.Y}} {
		u := geom.Pt(math.Copysign(1, q.X-150), math.Copysign(1, q.Y-110)).Unit()
		all = append(all, q.Add(u.Mul(out)).Add(u.Left().Mul(side)))
	}
	return all
}

func TestRoomOfALoopEndsWhereItIsSaidTo(t *testing.T) {
	text := textOf(careful(full, 0, 0))
	dots := func(out, side float64) func(in *proof.Input) { // parts of 0.2 mm
		return func(in *proof.Input) {
			for i, q := range atCorners(out, side) {
				f := feature(fmt.Sprintf("p%d.outline", i+2), "outline", "locate", geom.Circle(q, 0.1))
				in.Parts = append(in.Parts, proof.Part{Label: f.ID[:2], Features: []proof.Feature{f}})
			}
		}
	}
	plate := func(cut float64) func(in *proof.Input) { // 15 mm round the part, its corners cut off so far out from the part's
		return func(in *proof.Input) {
			lo, hi := plateA.Sub(geom.Pt(15, 15)), plateB.Add(geom.Pt(15, 15))
			d := 2 * (15 - cut/math.Sqrt2)
			in.Stock.Shapes[0] = geom.Polygon(geom.Pt(lo.X+d, lo.Y), geom.Pt(hi.X-d, lo.Y), geom.Pt(hi.X, lo.Y+d), geom.Pt(hi.X, hi.Y-d),
				geom.Pt(hi.X-d, hi.Y), geom.Pt(lo.X+d, hi.Y), geom.Pt(lo.X, hi.Y-d), geom.Pt(lo.X, lo.Y+d))
		}
	}
	trim := func(d float64) func(in *proof.Input) { // d outside the part
		return func(in *proof.Input) {
			f := feature("trim.line", "trim", "trim", rounded(plateA.Sub(geom.Pt(d, d)), plateB.Add(geom.Pt(d, d)), 0))
			f.Web = 5
			in.Parts = append(in.Parts, proof.Part{Label: "trim", Features: []proof.Feature{f}})
		}
	}
	tabs := func(d float64) func(in *proof.Input) { // of 3 mm, on a neighbour, d out along either axis
		return func(in *proof.Input) {
			f := feature("p2.outline", "outline", "leave", geom.Circle(geom.Pt(30, 30), 5))
			for _, q := range atCorners(d*math.Sqrt2, 0) {
				f.Tabs = append(f.Tabs, proof.Tab{At: q, Width: 3})
			}
			in.Parts = append(in.Parts, proof.Part{Label: "p2", Features: []proof.Feature{f}})
		}
	}
	for _, c := range []struct {
		name      string
		room, not func(in *proof.Input)
	}{
		{"beside the circle, left", dots(6.72, 6.4), dots(6.72, 6.3)},
		{"beside the circle, right", dots(6.72, -6.4), dots(6.72, -6.3)},
		{"beside the way to it", dots(0.3, 2.4), dots(0.3, 2.3)},
		{"on the other side of it", dots(0.3, -2.4), dots(0.3, -2.3)},
		{"a plate without corners", plate(6.72 + 6.3), plate(6.72 + 6.2)},
		{"a trim, its web and its kerf", trim(4.75 + 6.25 + 5 + 1.5 + 0.1), trim(4.75 + 6.25 + 5 + 1.5 - 0.1)}, // a kerf of 1.5
		{"a tab, its width and a kerf", tabs(4.75 + 6.25 + 3 + 1.5 + 0.1), tabs(4.75 + 6.25 + 3 + 1.5 - 0.1)},
	} {
		for want, change := range map[bool]func(in *proof.Input){true: c.room, false: c.not} {
			in := plainPlate(text, 0, 0, 4)
			change(&in)
			if r := proof.Prove(in); strings.Contains(show(r), "corner-loop") != want {
				t.Errorf("%s: asked %v, wanted %v: %s", c.name, !want, want, show(r))
			}
		}
	}
}

// A side that bows in reaches out towards the loop at either of its ends: none
// is asked for there.
func TestNoLoopIsAskedForBesideASideThatBowsIn(t *testing.T) {
	a, b, c, d := plateA, geom.Pt(plateB.X, plateA.Y), plateB, geom.Pt(plateA.X, plateB.Y)
	left, right := geom.Pt(60, 110), geom.Pt(240, 110) // 40 and 30 from the corners: radius 50
	bulge := -math.Tan(math.Atan2(30, 40) / 2)
	edge := geom.Path{Closed: true, V: []geom.Vertex{{P: a}, {P: b, Bulge: bulge}, {P: c}, {P: d, Bulge: bulge}}}
	h := kerf / 2
	to := func(q, centre geom.Point) geom.Point { return q.Add(centre.Sub(q).Unit().Mul(h)) }
	low, high := geom.Pt(0, -h), geom.Pt(0, h)
	cut := cutting{"p1.outline", geom.Pt(155, 74.25), []step{
		{to: geom.Pt(150, 79.25)}, {to: a.Add(low)}, {to(a, left), a, -1}, {to(d, left), left, 1}, {d.Add(high), d, -1},
		{to: c.Add(high)}, {to(c, right), c, -1}, {to(b, right), right, 1}, {b.Add(low), b, -1}, {to: geom.Pt(150, 79.25)},
	}, full, false}
	in := plainPlate(program(cut), 0, 0, 4)
	in.Parts[0].Features[0].Loop = edge
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
	// With straight sides it is.
	in = plainPlate(textOf(careful(full, 0, 0)), 0, 0, 4)
	if r := proof.Prove(in); !found(r, "corner-loop", "of radius 4 mm") {
		t.Error(show(r))
	}
}

// A cut may begin with the way round a corner: it needs no loop either.
func TestCornerThatACutBeginsWithNeedsNoLoop(t *testing.T) {
	l := careful(full, 4, 0)
	start := l[1].to // before the first corner
	legs := append([]leg{{step{to: start}, full}, {step{l[5].to, plateA, -1}, full}}, l[6:21]...)
	legs = append(legs, leg{step{to: start}, full})
	text := strings.Replace(string(textOf(legs)), "G0 X155.0000 Y74.2500", "G0 X104.0000 Y74.2500", 1)
	if r := proof.Prove(plainPlate([]byte(text), 0, 0, 4)); !r.OK {
		t.Errorf("%s\n%s", show(r), text)
	}
}

// On a strip of 6 mm a loop at one corner comes near the next one, where none
// has room: it is not taken for a small loop of that one.
func TestLoopOfTheNextCornerIsNoneOfThisOne(t *testing.T) {
	h := kerf / 2
	a, b, c, d := geom.Pt(100, 80), geom.Pt(200, 80), geom.Pt(200, 86), geom.Pt(100, 86)
	l := careful(full, 4, 0)[1:6] // the loop at a
	legs := append([]leg{{step{to: geom.Pt(150, 80-h)}, full}}, l...)
	for _, s := range []step{{to: d.Add(geom.Pt(-h, 0))}, {d.Add(geom.Pt(0, h)), d, -1}, {to: c.Add(geom.Pt(0, h))}, {c.Add(geom.Pt(h, 0)), c, -1},
		{to: b.Add(geom.Pt(h, 0))}, {b.Add(geom.Pt(0, -h)), b, -1}, {to: geom.Pt(150, 80-h)}} {
		legs = append(legs, leg{s, full})
	}
	in := plainPlate(textOf(legs), 0, 0, 4)
	in.Parts[0].Features[0].Loop = geom.Polygon(a, b, c, d)
	f := feature("p2.outline", "outline", "leave", geom.Circle(geom.Pt(30, 30), 5))
	for _, q := range []geom.Point{{X: 95, Y: 100}, {X: 205, Y: 100}, {X: 205, Y: 66}} {
		f.Tabs = append(f.Tabs, proof.Tab{At: q, Width: 3})
	}
	in.Parts = append(in.Parts, proof.Part{Label: "p2", Features: []proof.Feature{f}})
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// A cut that was lost in a loop is taken up in it: the rest of the loop runs at
// the full feed, its lead at the creep.
func TestCutIsTakenUpInTheMiddleOfALoop(t *testing.T) {
	was := textOf(careful(creep, 4, 0))
	lines := strings.Split(string(was), "\n")
	all := careful(creep, 4, 0)
	half := all[8].to // of the second loop, about (95.25, 144.75)
	lost := 0
	for i, s := range lines {
		if strings.HasPrefix(s, fmt.Sprintf("G3 X%.4f Y%.4f", half.X, half.Y)) {
			lost = i + 1
		}
	}
	for _, c := range []struct {
		name   string
		pierce geom.Point
		lead   float64
		goesOn bool
		fault  bool
	}{
		{"from outside", geom.Pt(88, 152), creep, true, false},
		{"from inside the loop", geom.Pt(95.25, 144.75), creep, true, false},
		{"lead from outside at full feed", geom.Pt(88, 152), full, true, true},
		{"lead from outside at another feed", geom.Pt(88, 152), 1500, true, true},
		{"lead from inside at another feed", geom.Pt(95.25, 144.75), 1500, true, true},
		{"not taken up at all", geom.Pt(88, 152), creep, false, true},
	} {
		legs := append([]leg{{step{to: half}, c.lead}}, all[9:]...)
		text := strings.Replace(string(textOf(legs)), "G0 X155.0000 Y74.2500", fmt.Sprintf("G0 X%.4f Y%.4f", c.pierce.X, c.pierce.Y), 1)
		in := plainPlate([]byte(text), creep, 0, 4)
		if c.goesOn {
			in.Done = &proof.Done{Text: was, Line: lost, Along: 7}
		}
		if r := proof.Prove(in); found(r, "feed", "on the lead-in") != c.fault || r.OK == c.fault {
			t.Errorf("%s: %s", c.name, show(r))
		}
	}
}
