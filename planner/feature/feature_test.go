package feature_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

func rect(x, y, w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func slot(x, y, l, w float64) geom.Path {
	r := w / 2
	return geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(x+r, y)}, {P: geom.Pt(x+l-r, y), Bulge: 1}, {P: geom.Pt(x+l-r, y+w)}, {P: geom.Pt(x+r, y+w), Bulge: 1}}}
}

func loops(paths ...geom.Path) *drawing.Loops {
	d := &drawing.Loops{Units: unit.MM}
	for _, p := range paths {
		d.Closed = append(d.Closed, drawing.Loop{Path: p, Use: job.LayerCut})
	}
	return d
}

func build(t *testing.T, thickness float64, overrides []job.Override, paths ...geom.Path) feature.Tree {
	t.Helper()
	tree, faults := feature.Build(feature.Input{
		Drawings: []*drawing.Loops{loops(paths...)}, Units: unit.MM, Overrides: overrides,
		Stock: job.Stock{Thickness: thickness, Hold: job.Plate},
	})
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	return tree
}

func get(t *testing.T, tree feature.Tree, id string) feature.Feature {
	t.Helper()
	i := tree.Find(id)
	if i < 0 {
		t.Fatalf("no feature %s", id)
	}
	return tree.Features[i]
}

func TestPartInACutOutIsAPartOfItsOwn(t *testing.T) {
	tree := build(t, 6, nil,
		rect(0, 0, 200, 200), rect(50, 50, 100, 100), rect(70, 70, 40, 40), geom.Circle(geom.Pt(90, 90), 10), geom.Circle(geom.Pt(20, 20), 8))
	if len(tree.Parts) != 2 {
		t.Fatalf("%d parts, want 2", len(tree.Parts))
	}
	inner := tree.Parts[1]
	if inner.In < 0 || tree.Features[inner.In].ID != "p1.c1" {
		t.Errorf("inner part lies in %d", inner.In)
	}
	if f := get(t, tree, "p2.h1"); f.Diameter != 20 {
		t.Errorf("hole of the inner part: %g wide", f.Diameter)
	}
	want := 200*200 - 100*100 - math.Pi*64
	if got := tree.Parts[0].NetArea; math.Abs(got-want) > 1e-9 {
		t.Errorf("net area %g, want %g", got, want)
	}
	last := tree.Parts[0].Features[len(tree.Parts[0].Features)-1]
	if tree.Features[last].Kind != feature.Outline {
		t.Error("the outline is not the last feature of its part")
	}
}

// However the CAD drew it: two arcs and two lines, split pieces, turned.
func TestSlotIsRecognisedHoweverDrawn(t *testing.T) {
	whole := slot(0, 0, 40, 10)
	quarter := geom.BulgeOf(math.Pi / 2)
	pieces := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(20, 0)}, {P: geom.Pt(35, 0), Bulge: quarter}, {P: geom.Pt(40, 5), Bulge: quarter}, {P: geom.Pt(35, 10)},
		{P: geom.Pt(12, 10)}, {P: geom.Pt(5, 10), Bulge: quarter}, {P: geom.Pt(0, 5), Bulge: quarter}, {P: geom.Pt(5, 0)}}}
	turned := geom.Move{Angle: 0.7, Shift: geom.Pt(3, 4)}.Path(whole)
	for name, p := range map[string]geom.Path{"whole": whole, "pieces": pieces, "turned": turned, "reversed": pieces.Reverse(), "start elsewhere": pieces.StartAt(5, 0.3)} {
		// Moved into a plate that holds it.
		tree := build(t, 4, nil, rect(-100, -100, 300, 300), p)
		f := get(t, tree, "p1.s1")
		if math.Abs(f.Diameter-10) > 1e-6 || math.Abs(f.Length-40) > 1e-6 {
			t.Errorf("%s: %g x %g", name, f.Length, f.Diameter)
		}
	}
}

func TestLooksLikeASlotButIsNot(t *testing.T) {
	tapered := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(5, 0)}, {P: geom.Pt(35, 1), Bulge: 1}, {P: geom.Pt(35, 9)}, {P: geom.Pt(5, 10), Bulge: 1}}}
	shallow := slot(0, 0, 40, 10)
	shallow.V[1].Bulge = 0.8
	square := rect(0, 0, 40, 10)
	for name, p := range map[string]geom.Path{"tapered": tapered, "shallow end": shallow, "square": square} {
		tree := build(t, 4, nil, rect(-100, -100, 300, 300), p)
		if f := tree.Features[0]; f.Kind == feature.Slot {
			t.Errorf("%s is called a slot", name)
		}
		get(t, tree, "p1.c1")
	}
}

// design.md section 5 (common practice, no source): no wider than 1 x
// thickness is drilled, under 2 x thickness is cut slowly.
func TestHoleRuleFollowsTheRatio(t *testing.T) {
	for _, c := range []struct {
		d, t float64
		rule feature.Rule
	}{
		{6, 6, feature.RuleDrill}, {5.9, 6, feature.RuleDrill}, {6.1, 6, feature.RuleSlow}, {11.9, 6, feature.RuleSlow}, {12, 6, feature.RuleInside},
		{31, 12, feature.RuleSlow}, {32, 12, feature.RuleInside}, {31, 11.9, feature.RuleInside},
	} {
		f := get(t, build(t, c.t, nil, rect(-100, -100, 200, 200), geom.Circle(geom.Pt(0, 0), c.d/2)), "p1.h1")
		if f.Rule != c.rule {
			t.Errorf("%g mm in %g mm: %s (%s), want %s", c.d, c.t, f.Rule, f.Why, c.rule)
		}
		if f.Why == "" || math.Abs(f.Ratio-c.d/c.t) > 1e-9 {
			t.Errorf("reason %q, ratio %g", f.Why, f.Ratio)
		}
	}
}

func TestOperatorsWordWins(t *testing.T) {
	start := geom.Pt(10, 0)
	tree := build(t, 6, []job.Override{{Feature: "p1.h1", Rule: "inside", Start: &start}}, rect(-50, -50, 100, 100), geom.Circle(geom.Pt(0, 0), 5))
	f := get(t, tree, "p1.h1")
	if f.Rule != feature.RuleInside || f.Start == nil || *f.Start != start || !f.Changed || !strings.Contains(f.Why, "slow-hole") {
		t.Errorf("%+v", f)
	}
}

func TestOverridesThatCannotBeAreRefused(t *testing.T) {
	for _, c := range []struct {
		o    job.Override
		code string
	}{
		{job.Override{Feature: "p1.h9"}, "override-unknown"},
		{job.Override{Feature: "p1.c1", Kind: "hole"}, "override-kind"},
		{job.Override{Feature: "p1.outline", Rule: "slow-hole"}, "override-rule"},
	} {
		_, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{loops(rect(0, 0, 90, 90), rect(10, 10, 20, 20))},
			Stock: job.Stock{Thickness: 6, Hold: job.Plate}, Overrides: []job.Override{c.o}})
		if len(faults) != 1 || faults[0].Code != c.code || !faults.Bad() {
			t.Errorf("%+v: %v", c.o, faults)
		}
	}
}

func TestBlankOutlineLocatesAndIsNotCut(t *testing.T) {
	tree, _ := feature.Build(feature.Input{Drawings: []*drawing.Loops{loops(rect(0, 0, 90, 40), geom.Circle(geom.Pt(20, 20), 8))},
		Stock: job.Stock{Thickness: 6, Hold: job.Blank}})
	if f := get(t, tree, "p1.outline"); f.Rule != feature.RuleLocate || f.Rule.Cuts() {
		t.Errorf("rule %s", f.Rule)
	}
}

func BenchmarkBuild20000Contours(b *testing.B) {
	var paths []geom.Path
	for p := range 1000 {
		x, y := float64(p%40)*210, float64(p/40)*160
		paths = append(paths, rect(x, y, 200, 150))
		for k := range 19 {
			paths = append(paths, geom.Circle(geom.Pt(x+20+float64(k%5)*38, y+20+float64(k/5)*35), 5))
		}
	}
	d := loops(paths...)
	for b.Loop() {
		tree, _ := feature.Build(feature.Input{Drawings: []*drawing.Loops{d}, Stock: job.Stock{Thickness: 6}})
		if len(tree.Parts) != 1000 {
			b.Fatal(len(tree.Parts))
		}
	}
}
