package feature_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func cutLoops(paths ...geom.Path) *drawing.Loops {
	d := &drawing.Loops{Units: unit.MM}
	for _, p := range paths {
		d.Closed = append(d.Closed, drawing.Loop{Path: p, Use: job.LayerCut})
	}
	return d
}

func box(x, y, w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func longHole(x, y, l, w float64) geom.Path {
	r := w / 2
	return geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(x+r, y)}, {P: geom.Pt(x+l-r, y), Bulge: 1}, {P: geom.Pt(x+l-r, y+w)}, {P: geom.Pt(x+r, y+w), Bulge: 1}}}
}

// A hinge leaf of 160 by 80, its middle at 80, 40: hole of 20 at 20, 20, hole
// of 12 at 20, 60, slot 60 by 14 with its middle at 90, 17, window with a disc
// of 10 in it at 90, 55.
func hinge() *drawing.Loops {
	return cutLoops(box(0, 0, 160, 80), geom.Circle(geom.Pt(20, 20), 10), geom.Circle(geom.Pt(20, 60), 6), longHole(60, 10, 60, 14),
		box(60, 40, 60, 30), geom.Circle(geom.Pt(90, 55), 10))
}

func buildEdited(edits ...job.Edit) (feature.Tree, []string, string) {
	t, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{hinge()}, Stock: job.Stock{Thickness: 6}, Edits: edits, Units: unit.MM})
	var codes []string
	for _, f := range faults {
		codes = append(codes, f.Code)
	}
	text := ""
	for _, f := range faults {
		text += f.Error() + "\n"
	}
	return t, codes, text
}

// Where things are after an edit, worked out by hand.
func TestEditsPutThingsWhereTheyAreWorkedOutToBe(t *testing.T) {
	deg := math.Pi / 180
	type at struct {
		id             string
		x, y           float64 // of its middle
		width, height  float64
		diameter, long float64
	}
	for _, c := range []struct {
		name  string
		edits []job.Edit
		want  []at
	}{
		{"turned a quarter about the middle (80, 40): (x, y) goes to (120 - y, x - 40)",
			[]job.Edit{{Do: job.EditTurn, On: "p1", Angle: 90 * deg}},
			[]at{{"p1.outline", 80, 40, 80, 160, 0, 0}, {"p1.h1", 100, -20, 20, 20, 20, 0}, {"p1.s1", 103, 50, 14, 60, 14, 60}, {"p1.c1", 65, 50, 30, 60, 0, 0}, {"p2.outline", 65, 50, 20, 20, 0, 0}}},
		{"turned by 30 degrees: the box of w by h is w cos + h sin wide",
			[]job.Edit{{Do: job.EditTurn, On: "p1", Angle: 30 * deg}},
			[]at{{"p1.outline", 80, 40, 160*math.Cos(30*deg) + 80*math.Sin(30*deg), 160*math.Sin(30*deg) + 80*math.Cos(30*deg), 0, 0}}},
		{"mirrored about x = 80",
			[]job.Edit{{Do: job.EditMirror, On: "p1", Sure: true}},
			[]at{{"p1.outline", 80, 40, 160, 80, 0, 0}, {"p1.h1", 140, 20, 20, 20, 20, 0}, {"p1.s1", 70, 17, 60, 14, 14, 60}, {"p2.outline", 70, 55, 20, 20, 0, 0}}},
		{"scaled by 1.5: the disc in the window keeps its size and goes with its place",
			[]job.Edit{{Do: job.EditScale, On: "p1", Factor: 1.5}},
			[]at{{"p1.outline", 80, 40, 240, 120, 0, 0}, {"p1.h1", -10, 10, 30, 30, 30, 0}, {"p1.s1", 95, 5.5, 90, 21, 21, 90}, {"p2.outline", 95, 62.5, 20, 20, 0, 0}}},
		{"corrected: 160 came out as 159.2, 80 as 80.4",
			[]job.Edit{{Do: job.EditCorrect, On: "p1", DrawnX: 160, MeasuredX: 159.2, DrawnY: 80, MeasuredY: 80.4}},
			[]at{{"p1.outline", 80, 40, 160 * 160 / 159.2, 80 * 80 / 80.4, 0, 0}, {"p1.c1", 80 + 10*160/159.2, 40 + 15*80/80.4, 60 * 160 / 159.2, 30 * 80 / 80.4, 0, 0}}},
		{"a hole of another diameter, moved", []job.Edit{{Do: job.EditDiameter, On: "p1.h1", Diameter: 23.5}, {Do: job.EditMove, On: "p1.h1", X: 3, Y: -4}},
			[]at{{"p1.h1", 23, 16, 23.5, 23.5, 23.5, 0}, {"p1.h2", 20, 60, 12, 12, 12, 0}}},
		{"a longer slot keeps middle and width", []job.Edit{{Do: job.EditLength, On: "p1.s1", Length: 72}},
			[]at{{"p1.s1", 90, 17, 72, 14, 14, 72}}},
		{"a slot of a turned part", []job.Edit{{Do: job.EditTurn, On: "p1", Angle: 90 * deg}, {Do: job.EditLength, On: "p1.s1", Length: 40}},
			[]at{{"p1.s1", 103, 50, 14, 40, 14, 40}}},
		{"added", []job.Edit{{Do: job.EditAdd, On: "p1.a1", X: 140, Y: 20, Diameter: 14}, {Do: job.EditAdd, On: "p1.a2", X: 140, Y: 55, Length: 30, Width: 10, Angle: 90 * deg}},
			[]at{{"p1.a1", 140, 20, 14, 14, 14, 0}, {"p1.a2", 140, 55, 10, 30, 10, 30}}},
		{"what was added turns too", []job.Edit{{Do: job.EditAdd, On: "p1.a1", X: 140, Y: 20, Diameter: 14}, {Do: job.EditTurn, On: "p1", Angle: 180 * deg}},
			[]at{{"p1.a1", 20, 60, 14, 14, 14, 0}}},
		{"a moved window takes the disc in it along", []job.Edit{{Do: job.EditMove, On: "p1.c1", X: 5, Y: 1}},
			[]at{{"p1.c1", 95, 56, 60, 30, 0, 0}, {"p2.outline", 95, 56, 20, 20, 0, 0}}},
	} {
		tree, codes, text := buildEdited(c.edits...)
		if len(codes) > 0 {
			t.Errorf("%s: %s", c.name, text)
		}
		for _, w := range c.want {
			i := tree.Find(w.id)
			if i < 0 {
				t.Errorf("%s: no %s", c.name, w.id)
				continue
			}
			f := tree.Features[i]
			b := f.Loop.Box()
			got := at{w.id, b.Center().X, b.Center().Y, b.Width(), b.Height(), f.Diameter, f.Length}
			for _, d := range []float64{got.x - w.x, got.y - w.y, got.width - w.width, got.height - w.height, got.diameter - w.diameter, got.long - w.long, f.Width - w.width, f.Height - w.height} {
				if math.Abs(d) > 1e-6 {
					t.Errorf("%s: got %+v, want %+v", c.name, got, w)
					break
				}
			}
			if f.Loop.Area() < 0 {
				t.Errorf("%s: %s runs clockwise", c.name, w.id)
			}
		}
		for i, d := range tree.Done {
			if !d.OK {
				t.Errorf("%s: edit %d is not made", c.name, i+1)
			}
		}
	}
}

// A corrected hole is an ellipse: every place of its arcs satisfies the
// ellipse's equation, and the arcs are no further from it than the tolerance.
func TestCorrectedHolesAreEllipsesWithinTheTolerance(t *testing.T) {
	for _, tol := range []float64{0.001, 0.01} {
		once := job.Edit{Do: job.EditCorrect, On: "p1", DrawnX: 100, MeasuredX: 92, DrawnY: 100, MeasuredY: 105}
		tree, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{hinge()}, Stock: job.Stock{Thickness: 6}, Units: unit.MM,
			Rules: job.Rules{Tolerance: tol, ProofWithin: 0.05},
			Edits: []job.Edit{once, once}})
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		f := tree.Features[tree.Find("p1.h1")]
		if f.Kind != feature.CutOut {
			t.Errorf("a hole that is far out of round is still a %s", f.Kind)
		}
		fx, fy := 100/92.0*100/92.0, 100/105.0*100/105.0
		a, b := 10*fx, 10*fy
		c := geom.Pt(80+(20-80)*fx, 40+(20-40)*fy)
		worst := 0.0
		for _, s := range f.Loop.Segs() {
			if !s.IsArc() {
				t.Fatalf("a line in an ellipse: %+v", s)
			}
			for k := range 9 {
				q := s.At(float64(k) / 8).Sub(c)
				g := q.X*q.X/(a*a) + q.Y*q.Y/(b*b) - 1
				slope := 2 * math.Hypot(q.X/(a*a), q.Y/(b*b))
				worst = max(worst, math.Abs(g)/slope) // distance to first order
			}
		}
		if worst > tol*1.001 || worst == 0 {
			t.Errorf("tolerance %g: off by %g", tol, worst)
		}
		if n := len(f.Loop.V); n > 60 {
			t.Errorf("%d arcs for an ellipse", n)
		}
	}
}

// A hole that a correction makes a hair oval is still drilled or cut slowly by
// the rules for holes; a slot is still a slot.
func TestHardlyOvalHolesStayHoles(t *testing.T) {
	tree, codes, text := buildEdited(job.Edit{Do: job.EditCorrect, On: "p1", DrawnX: 200, MeasuredX: 199, DrawnY: 100, MeasuredY: 100.3})
	if len(codes) > 0 {
		t.Fatal(text)
	}
	h, s := tree.Features[tree.Find("p1.h2")], tree.Features[tree.Find("p1.s1")]
	if h.Kind != feature.Hole || h.Rule != feature.RuleInside || !h.Oval || math.Abs(h.Diameter-12*math.Sqrt(200.0/199*100/100.3)) > 1e-9 {
		t.Errorf("%+v", h)
	}
	if s.Kind != feature.Slot || math.Abs(s.Length-(14*100/100.3+46*200.0/199)) > 1e-9 || math.Abs(s.Diameter-14*100/100.3) > 1e-9 {
		t.Errorf("slot %g by %g", s.Length, s.Diameter)
	}
}

func TestEditsThatCannotBeMeantAreRefused(t *testing.T) {
	hole := func(d float64) job.Edit { return job.Edit{Do: job.EditDiameter, On: "p1.h1", Diameter: d} }
	for _, c := range []struct {
		name  string
		edits []job.Edit
		code  string
		says  string
	}{
		{"no such part", []job.Edit{{Do: job.EditTurn, On: "p9", Angle: 1}}, "edit-unknown", "edits[1]: p9: turn: there is no such part"},
		{"turn a feature", []job.Edit{{Do: job.EditTurn, On: "p1.h1", Angle: 1}}, "edit-unknown", "no such part"},
		{"no such feature", []job.Edit{{Do: job.EditDelete, On: "p1.h7"}}, "edit-unknown", "no such feature"},
		{"deleted before", []job.Edit{{Do: job.EditDelete, On: "p1.h1"}, hole(12)}, "edit-unknown", "edit 1 deleted it"},
		{"an outline", []job.Edit{{Do: job.EditDelete, On: "p1.outline"}}, "edit-outline", "only with its part"},
		{"mirror without a word", []job.Edit{{Do: job.EditMirror, On: "p1"}}, "edit-sure", "asked twice"},
		{"turn by nothing", []job.Edit{{Do: job.EditTurn, On: "p1"}}, "edit-number", "unknown"},
		{"scale by nothing", []job.Edit{{Do: job.EditScale, On: "p1"}}, "edit-number", "unknown"},
		{"half a correction", []job.Edit{{Do: job.EditCorrect, On: "p1", DrawnX: 100}}, "edit-number", "along X"},
		{"a correction of another part", []job.Edit{{Do: job.EditCorrect, On: "p1", DrawnX: 100, MeasuredX: 88}}, "edit-correct", "more than 10 %"},
		{"diameter of a slot", []job.Edit{{Do: job.EditDiameter, On: "p1.s1", Diameter: 12}}, "edit-shape", "no circle"},
		{"length of a window", []job.Edit{{Do: job.EditLength, On: "p1.c1", Length: 12}}, "edit-shape", "no slot"},
		{"diameter of what is oval", []job.Edit{{Do: job.EditCorrect, On: "p1", DrawnX: 100, MeasuredX: 97}, hole(12)}, "edit-shape", "before the correction"},
		{"a slot shorter than wide", []job.Edit{{Do: job.EditLength, On: "p1.s1", Length: 13}}, "edit-number", "14 mm wide"},
		{"swallows its neighbour", []job.Edit{{Do: job.EditMove, On: "p1.h1", X: 0, Y: 38}, hole(26)}, "edit-touches", "swallow p1.h2"},
		{"runs into its neighbour", []job.Edit{hole(70)}, "edit-touches", "Stay under a diameter of 40 mm"},
		{"runs into the slot", []job.Edit{{Do: job.EditMove, On: "p1.h1", X: 35, Y: 0}}, "edit-touches", "run into p1.s1"},
		{"leaves the part", []job.Edit{{Do: job.EditMove, On: "p1.h1", X: -100, Y: 0}}, "edit-touches", "leave the part"},
		{"breaks the edge", []job.Edit{{Do: job.EditMove, On: "p1.h1", X: -10, Y: 0}}, "edit-touches", "leave the part"},
		{"into a window", []job.Edit{{Do: job.EditMove, On: "p1.h2", X: 48, Y: 0}}, "edit-touches", "inside p1.c1"},
		{"add without a size", []job.Edit{{Do: job.EditAdd, On: "p1.a1", X: 140, Y: 40}}, "edit-number", "neither"},
		{"add under another name", []job.Edit{{Do: job.EditAdd, On: "p1.h9", X: 140, Y: 40, Diameter: 9}}, "edit-id", "p1.a1"},
		{"add twice", []job.Edit{{Do: job.EditAdd, On: "p1.a1", X: 140, Y: 20, Diameter: 9}, {Do: job.EditAdd, On: "p1.a1", X: 140, Y: 60, Diameter: 9}}, "edit-id", "already"},
		{"add a slot wider than long", []job.Edit{{Do: job.EditAdd, On: "p1.a1", X: 140, Y: 20, Length: 9, Width: 10}}, "edit-number", "longer than wide"},
		{"a window with a part in it", []job.Edit{{Do: job.EditDelete, On: "p1.c1"}}, "edit-holds", "part p2 lies in it"},
		{"a part out of its window", []job.Edit{{Do: job.EditScale, On: "p2", Factor: 2}}, "edit-lodged", "p1.c1"},
		{"a window too small", []job.Edit{{Do: job.EditScale, On: "p1", Factor: 0.5}}, "edit-lodged", "p1.c1"},
	} {
		_, codes, text := buildEdited(c.edits...)
		if !slices.Contains(codes, c.code) || !strings.Contains(text, c.says) {
			t.Errorf("%s: want %s with %q, got %v\n%s", c.name, c.code, c.says, codes, text)
		}
	}
}

func TestPartsOfOneDrawingThatMeetAreRefused(t *testing.T) {
	two := cutLoops(box(0, 0, 100, 20), box(0, 30, 100, 20))
	_, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{two}, Units: unit.MM, Edits: []job.Edit{{Do: job.EditTurn, On: "p1", Angle: math.Pi / 2}}})
	if !faults.Bad() || faults[0].Code != "edit-parts" || !strings.Contains(faults[0].Error(), "p2") {
		t.Error(faults)
	}
}

// Ids stay those of the drawing, and what the operator said of a feature
// follows it.
func TestOverridesFollowTheEdits(t *testing.T) {
	edge := geom.Pt(30, 20) // on hole 1, to its right
	tree, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{hinge()}, Stock: job.Stock{Thickness: 6}, Units: unit.MM,
		Edits:     []job.Edit{{Do: job.EditDelete, On: "p1.h2"}, {Do: job.EditDiameter, On: "p1.h1", Diameter: 24}, {Do: job.EditTurn, On: "p1", Angle: math.Pi / 2}},
		Overrides: []job.Override{{Feature: "p1.h1", Start: &edge, Critical: []geom.Point{edge}}, {Feature: "p1.h2", Rule: "drill"}}})
	if faults.Bad() || len(faults) != 1 || faults[0].Code != "override-deleted" {
		t.Fatal(faults)
	}
	if tree.Find("p1.h2") >= 0 || tree.Find("p1.h1") < 0 {
		t.Error("ids move")
	}
	f := tree.Features[tree.Find("p1.h1")]
	want := geom.Pt(100, -20+12) // the hole's middle (20, 20) is at (100, -20), and its right is its top
	if f.Start == nil || f.Start.Dist(want) > 1e-9 || f.Critical[0].Dist(want) > 1e-9 {
		t.Errorf("start %v, faces %v, want %v", f.Start, f.Critical, want)
	}
	if back := f.AsDrawn(want); back.Dist(edge) > 1e-9 {
		t.Errorf("as drawn it is %v, not %v", back, edge)
	}
	for k, p := range tree.Parts {
		for _, i := range p.Features {
			if tree.Features[i].Part != k {
				t.Errorf("%s is listed in %s", tree.Features[i].ID, p.ID)
			}
		}
		if p.In >= 0 && tree.Features[p.In].ID != "p1.c1" {
			t.Errorf("%s lies in %s", p.ID, tree.Features[p.In].ID)
		}
	}
}

// A text goes along with its part, by hand: 20 long and 10 high at 100, 70 its
// middle is at 110, 75.
func TestTextsRideOnTheirPart(t *testing.T) {
	x := job.Text{Drawing: 1, X: 125, Y: 30, Height: 10}
	for _, c := range []struct {
		edit        job.Edit
		x, y, angle float64 // of the lower left of its first letter
	}{
		// Its middle (135, 35) goes to (120-35, 135-40) = (85, 95).
		{job.Edit{Do: job.EditTurn, On: "p1", Angle: math.Pi / 2}, 90, 85, math.Pi / 2},
		{job.Edit{Do: job.EditMirror, On: "p1", Sure: true}, 15, 30, 0},
		{job.Edit{Do: job.EditScale, On: "p1", Factor: 2}, 190 - 10, 30 - 5, 0},
		{job.Edit{Do: job.EditScale, On: "p2", Factor: 0.5}, 125, 30, 0},
	} {
		tree, _, _ := buildEdited(c.edit)
		got := tree.Ride(x, 20)
		if math.Hypot(got.X-c.x, got.Y-c.y) > 1e-9 || math.Abs(got.Angle-c.angle) > 1e-9 || got.Height != 10 {
			t.Errorf("%s %s: %+v", c.edit.Do, c.edit.On, got)
		}
	}
	// Along a mirrored slanting edge it slants the other way.
	x.Angle = 0.3
	tree, _, _ := buildEdited(job.Edit{Do: job.EditTurn, On: "p1", Angle: 0.1}, job.Edit{Do: job.EditMirror, On: "p1", Sure: true})
	if got := tree.Ride(x, 20); math.Abs(got.Angle+0.4) > 1e-9 {
		t.Errorf("slants by %g", got.Angle)
	}
}

func TestMoreEditsThanAnyoneMakesAreRefused(t *testing.T) {
	var all []job.Edit
	for range job.MaxEdits + 1 {
		all = append(all, job.Edit{Do: job.EditTurn, On: "p1", Angle: 2 * math.Pi})
	}
	if _, codes, _ := buildEdited(all...); !slices.Equal(codes, []string{"edit-limit"}) {
		t.Error(codes)
	}
}

// BenchmarkEditOfTenThousandParts turns a frame with ten thousand discs in its
// window.
func BenchmarkEditOfTenThousandParts(b *testing.B) {
	paths := []geom.Path{box(0, 0, 4000, 4000), box(10, 10, 3980, 3980)}
	for i := range 10000 {
		paths = append(paths, geom.Circle(geom.Pt(50+float64(i%100)*38, 50+float64(i/100)*38), 15))
	}
	in := feature.Input{Drawings: []*drawing.Loops{cutLoops(paths...)}, Units: unit.MM, Edits: []job.Edit{{Do: job.EditTurn, On: "p1", Angle: 0.5}, {Do: job.EditScale, On: "p1", Factor: 1.1}}}
	for b.Loop() {
		if t, faults := feature.Build(in); faults.Bad() || len(t.Parts) != 10001 {
			b.Fatal(faults.Err())
		}
	}
}
