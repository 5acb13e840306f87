package shape_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/shape"
	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

// of builds a shape from field, value pairs.
func of(k job.ShapeKind, pairs ...any) job.Shape {
	s := job.Shape{Kind: k}
	for i := 0; i < len(pairs); i += 2 {
		v, ok := pairs[i+1].(float64)
		if !ok {
			v = float64(pairs[i+1].(int))
		}
		s = s.With(pairs[i].(job.Field), v)
	}
	return s
}

// net is the area of the outline less all holes.
func net(l *drawing.Loops) float64 {
	a := math.Abs(l.Closed[0].Path.Area())
	for _, c := range l.Closed[1:] {
		a -= math.Abs(c.Path.Area())
	}
	return a
}

// Areas by handbook formulae, or worked from them by hand; the formula stands
// beside each. Figures with nine digits are derived apart from this code.
func TestAreasAreThoseOfTheHandbook(t *testing.T) {
	for _, c := range []struct {
		name  string
		s     job.Shape
		area  float64
		w, h  float64
		loops int
	}{
		{"rectangle: w h", of(job.ShapeRectangle, job.ShapeWidth, 200, job.ShapeHeight, 100), 20000, 200, 100, 1},
		{"rounded: wh - (4 - pi) r^2", of(job.ShapeRectangle, job.ShapeWidth, 100, job.ShapeHeight, 60, job.ShapeCornerRadius, 10), 5914.159265, 100, 60, 1},
		{"stadium: r is half the height", of(job.ShapeRectangle, job.ShapeWidth, 40, job.ShapeHeight, 10, job.ShapeCornerRadius, 5), 378.5398163, 40, 10, 1},
		{"all round: pi d^2/4", of(job.ShapeRectangle, job.ShapeWidth, 50, job.ShapeHeight, 50, job.ShapeCornerRadius, 25), math.Pi * 625, 50, 50, 1},
		{"chamfered: wh - 2 c^2", of(job.ShapeRectangle, job.ShapeWidth, 100, job.ShapeHeight, 60, job.ShapeChamfer, 12), 6000 - 288, 100, 60, 1},
		{"chamfered to a point", of(job.ShapeRectangle, job.ShapeWidth, 100, job.ShapeHeight, 60, job.ShapeChamfer, 30), 6000 - 1800, 100, 60, 1},
		{"disc: pi d^2/4", of(job.ShapeDisc, job.ShapeDiameter, 80), math.Pi * 1600, 80, 80, 1},
		{"ring: pi (R^2 - r^2)", of(job.ShapeRing, job.ShapeDiameter, 100, job.ShapeBore, 60), 5026.548246, 100, 100, 2},
		{"flange: ring less n holes", of(job.ShapeFlange, job.ShapeDiameter, 150, job.ShapeBore, 60, job.ShapeBoltCircle, 110, job.ShapeBoltCount, 6, job.ShapeBoltHole, 14),
			math.Pi / 4 * (150*150 - 60*60 - 6*14*14), 150, 150, 8},
		{"slotted: w h - n (w(L-w) + pi w^2/4)", of(job.ShapeSlotted, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 3, job.ShapeUp, 1, job.ShapeSlotLength, 40, job.ShapeSlotWidth, 10, job.ShapePitchX, 60),
			20000 - 3*378.5398163, 200, 100, 4},
		{"grid: w h - n pi d^2/4", of(job.ShapeGrid, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 4, job.ShapeUp, 2, job.ShapeHoleDiameter, 14, job.ShapePitchX, 45, job.ShapePitchY, 50),
			20000 - 8*math.Pi*49, 200, 100, 9},
		{"gusset: w h/2", of(job.ShapeGusset, job.ShapeWidth, 120, job.ShapeHeight, 90), 5400, 120, 90, 1},
		{"gusset, cut: less c^2/2", of(job.ShapeGusset, job.ShapeWidth, 120, job.ShapeHeight, 90, job.ShapeCornerCut, 20), 5400 - 200, 120, 90, 1},
		// A square t^2, strips t(w-t) and t(h-t), a triangle (w-t)(h-t)/2, less the cut.
		{"gusset, blunt", of(job.ShapeGusset, job.ShapeWidth, 120, job.ShapeHeight, 90, job.ShapeCornerCut, 20, job.ShapeToe, 10),
			100 + 10*110 + 10*80 + 110*80/2.0 - 200, 120, 90, 1},
		{"L: two rectangles", of(job.ShapeAngle, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 30, job.ShapeFoot, 40), 120*40 + 30*60, 120, 100, 1},
		{"L, filleted: + r^2 (1 - pi/4)", of(job.ShapeAngle, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 30, job.ShapeFoot, 40, job.ShapeInsideRadius, 8),
			120*40 + 30*60 + 64*(1-math.Pi/4), 120, 100, 1},
		{"U: three rectangles", of(job.ShapeFork, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 30, job.ShapeFoot, 40), 120*40 + 2*30*60, 120, 100, 1},
		{"U, filleted", of(job.ShapeFork, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 30, job.ShapeFoot, 40, job.ShapeInsideRadius, 8),
			120*40 + 2*30*60 + 2*64*(1-math.Pi/4), 120, 100, 1},
		// Bend allowance pi/2 (r + k t) = pi/2 x 4.2; flats 60 - 6 and 40 - 6 (from memory).
		{"L fold: flats and the neutral line", of(job.ShapeFoldL, job.ShapeLegA, 60, job.ShapeLegB, 40, job.ShapeWidth, 50, job.ShapeFoldStock, 3, job.ShapeFoldRadius, 3, job.ShapeNeutral, 0.4),
			50 * (54 + 34 + math.Pi/2*4.2), 54 + 34 + math.Pi/2*4.2, 50, 1},
		{"U fold: flats and two neutral lines", of(job.ShapeFoldU, job.ShapeLegA, 40, job.ShapeBase, 80, job.ShapeLegB, 30, job.ShapeWidth, 50, job.ShapeFoldStock, 3, job.ShapeFoldRadius, 3, job.ShapeNeutral, 0.4),
			50 * (34 + 68 + 24 + math.Pi*4.2), 34 + 68 + 24 + math.Pi*4.2, 50, 1},
		{"strip: l w - 2 pi d^2/4", of(job.ShapeStrip, job.ShapeLength, 200, job.ShapeWidth, 40, job.ShapeHoleDiameter, 14, job.ShapeEnd, 25), 8000 - 2*math.Pi*49, 200, 40, 3},
		{"triangle: sqrt 3/4 a^2, r = a/(2 sqrt 3)", of(job.ShapePolygon, job.ShapeSides, 3, job.ShapeFlats, 100/math.Sqrt(3)), math.Sqrt(3) / 4 * 1e4, 100, 100 * math.Sqrt(3) / 2, 1},
		{"square", of(job.ShapePolygon, job.ShapeSides, 4, job.ShapeFlats, 70), 4900, 70, 70, 1},
		{"hexagon: sqrt 3/2 F^2", of(job.ShapePolygon, job.ShapeSides, 6, job.ShapeFlats, 100), math.Sqrt(3) / 2 * 1e4, 200 / math.Sqrt(3), 100, 1},
		{"octagon: 2 (sqrt 2 - 1) F^2, bored", of(job.ShapePolygon, job.ShapeSides, 8, job.ShapeFlats, 100, job.ShapeBore, 20), 2*(math.Sqrt2-1)*1e4 - math.Pi*100, 100, 100, 2},
	} {
		l, f := shape.Loops(c.s)
		if l == nil {
			t.Errorf("%s: %v", c.name, f)
			continue
		}
		if got := net(l); math.Abs(got-c.area) > 1e-6*c.area {
			t.Errorf("%s: area %.6f, want %.6f", c.name, got, c.area)
		}
		if b := l.Box; b.Min.Len() > 1e-9 || math.Abs(b.Max.X-c.w) > 1e-6 || math.Abs(b.Max.Y-c.h) > 1e-6 {
			t.Errorf("%s: box %v, want %g x %g from zero", c.name, b, c.w, c.h)
		}
		if len(l.Closed) != c.loops || len(l.Open) != 0 {
			t.Errorf("%s: %d loops, want %d", c.name, len(l.Closed), c.loops)
		}
	}
}

// Centres by D/2 cos and sin about the middle, to six digits.
func TestBoltHolesLieOnTheirCircle(t *testing.T) {
	l, f := shape.Loops(of(job.ShapeFlange, job.ShapeDiameter, 140, job.ShapeBoltCircle, 72, job.ShapeBoltCount, 5, job.ShapeBoltHole, 10, job.ShapeBoltAngle, math.Pi/2))
	if l == nil {
		t.Fatal(f)
	}
	for i, want := range []geom.Point{{X: 0, Y: 36}, {X: -34.238035, Y: 11.124612}, {X: -21.160269, Y: -29.124612}, {X: 21.160269, Y: -29.124612}, {X: 34.238035, Y: 11.124612}} {
		if c := l.Closed[i+1].Path.Box().Center(); c.Dist(want.Add(geom.Pt(70, 70))) > 1e-6 {
			t.Errorf("hole %d at %v, want %v", i+1, c.Sub(geom.Pt(70, 70)), want)
		}
	}
}

func TestAddedHolesAndSlotsLieWhereTyped(t *testing.T) {
	s := of(job.ShapeRectangle, job.ShapeWidth, 200, job.ShapeHeight, 100)
	s.Holes = []job.ShapeHole{{X: 30, Y: 40, Diameter: 12}}
	s.Slots = []job.ShapeSlot{{X: 100, Y: 50, Length: 40, Width: 10, Angle: math.Pi / 2}, {X: 150, Y: 50, Length: 10, Width: 10}}
	l, f := shape.Loops(s)
	if l == nil {
		t.Fatal(f)
	}
	for i, want := range []geom.Box{{Min: geom.Pt(24, 34), Max: geom.Pt(36, 46)}, {Min: geom.Pt(95, 30), Max: geom.Pt(105, 70)}, {Min: geom.Pt(145, 45), Max: geom.Pt(155, 55)}} {
		if b := l.Closed[i+1].Path.Box(); b.Min.Dist(want.Min) > 1e-9 || b.Max.Dist(want.Max) > 1e-9 {
			t.Errorf("%s: %v, want %v", l.Entities[i+1].Type, b, want)
		}
	}
	if a := 20000 - math.Pi*36 - 378.5398163 - math.Pi*25; math.Abs(net(l)-a) > 1e-6 {
		t.Errorf("area %.6f, want %.6f", net(l), a)
	}
}

func TestFoldMarksLieInTheMiddleOfTheFold(t *testing.T) {
	l, f := shape.Loops(of(job.ShapeFoldU, job.ShapeLegA, 40, job.ShapeBase, 80, job.ShapeLegB, 30, job.ShapeWidth, 50, job.ShapeFoldStock, 3, job.ShapeFoldRadius, 3, job.ShapeNeutral, 0.4, job.ShapeFoldMarks, 1))
	if l == nil || len(l.Open) != 2 {
		t.Fatal(f)
	}
	half := math.Pi / 4 * 4.2
	for i, x := range []float64{34 + half, 34 + 2*half + 68 + half} {
		if p := l.Open[i]; math.Abs(p.Path.Start().X-x) > 1e-9 || p.Use != job.LayerMark {
			t.Errorf("mark %d at %v, want x %g", i, p.Path.V, x)
		}
	}
	if len(l.Layers) != 2 || l.Layers[1].Use != job.LayerMark {
		t.Error(l.Layers)
	}
}

func TestWhatDoesNotFitIsRefusedByName(t *testing.T) {
	plate := of(job.ShapeRectangle, job.ShapeWidth, 200, job.ShapeHeight, 100)
	hole := func(x, y, d float64) job.Shape {
		s := plate.Clone()
		s.Holes = append(s.Holes, job.ShapeHole{X: x, Y: y, Diameter: d})
		return s
	}
	two := hole(50, 50, 20)
	two.Holes = append(two.Holes, job.ShapeHole{X: 60, Y: 50, Diameter: 12})
	nested := hole(50, 50, 40)
	nested.Holes = append(nested.Holes, job.ShapeHole{X: 50, Y: 50, Diameter: 10})
	wide := plate.Clone()
	wide.Slots = []job.ShapeSlot{{X: 50, Y: 50, Length: 10, Width: 20}}
	for name, c := range map[string]struct {
		s    job.Shape
		says string
	}{
		"no kind":             {job.Shape{Kind: "banana\x1b"}, "is no shape"},
		"missing":             {of(job.ShapeRectangle, job.ShapeWidth, 200), "height 0 mm: must be 1 to"},
		"negative":            {plate.With(job.ShapeWidth, -4), "width -4 mm: must be"},
		"not a number":        {plate.With(job.ShapeWidth, math.NaN()), "must be"},
		"another's parameter": {plate.With(job.ShapeBoltCount, 4), "it has no drawings.shape.bolt_count"},
		"radius":              {plate.With(job.ShapeCornerRadius, 60), "corner radius 60 mm: must be at most 50 mm, half of the shorter side"},
		"radius and chamfer":  {plate.With(job.ShapeCornerRadius, 6).With(job.ShapeChamfer, 6), "both"},
		"half a hole":         {of(job.ShapeFlange, job.ShapeDiameter, 150, job.ShapeBoltCircle, 100, job.ShapeBoltCount, 2.5, job.ShapeBoltHole, 9), "whole number"},
		"bore":                {of(job.ShapeRing, job.ShapeDiameter, 100, job.ShapeBore, 100), "bore 100 mm: must be less than 100 mm"},
		"bolts in the bore":   {of(job.ShapeFlange, job.ShapeDiameter, 150, job.ShapeBore, 100, job.ShapeBoltCircle, 105, job.ShapeBoltCount, 4, job.ShapeBoltHole, 14), "bolt circle diameter 105 mm: must be more than 114 mm"},
		"bolts off the edge":  {of(job.ShapeFlange, job.ShapeDiameter, 150, job.ShapeBoltCircle, 140, job.ShapeBoltCount, 4, job.ShapeBoltHole, 14), "must be less than 136 mm"},
		"too many bolts":      {of(job.ShapeFlange, job.ShapeDiameter, 150, job.ShapeBoltCircle, 100, job.ShapeBoltCount, 30, job.ShapeBoltHole, 14), "distance between neighbours"},
		"grid, no pitch":      {of(job.ShapeGrid, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 4, job.ShapeUp, 1, job.ShapeHoleDiameter, 14), "pitch across is missing"},
		"grid, tight":         {of(job.ShapeGrid, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 4, job.ShapeUp, 1, job.ShapeHoleDiameter, 14, job.ShapePitchX, 12), "hole 1 and hole 2 overlap"},
		"grid, off the plate": {of(job.ShapeGrid, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 4, job.ShapeUp, 1, job.ShapeHoleDiameter, 14, job.ShapePitchX, 90), "hole 1 lies outside the part"},
		"grid, huge":          {of(job.ShapeGrid, job.ShapeWidth, 200, job.ShapeHeight, 100, job.ShapeAcross, 1000, job.ShapeUp, 1000, job.ShapeHoleDiameter, 14, job.ShapePitchX, 70, job.ShapePitchY, 70), "more than 5000"},
		"L":                   {of(job.ShapeAngle, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 130, job.ShapeFoot, 40), "width of an upright 130 mm"},
		"U":                   {of(job.ShapeFork, job.ShapeWidth, 120, job.ShapeHeight, 100, job.ShapeArm, 60, job.ShapeFoot, 40), "half of the width overall"},
		"fold, short leg":     {of(job.ShapeFoldL, job.ShapeLegA, 5, job.ShapeLegB, 40, job.ShapeWidth, 50, job.ShapeFoldStock, 3, job.ShapeFoldRadius, 3, job.ShapeNeutral, 0.4), "first leg, outside 5 mm: must be more than 6 mm"},
		"fold, neutral line":  {of(job.ShapeFoldL, job.ShapeLegA, 50, job.ShapeLegB, 40, job.ShapeWidth, 50, job.ShapeFoldStock, 3, job.ShapeFoldRadius, 3, job.ShapeNeutral, 0.7), "must be 0.25 to 0.5"},
		"strip, holes meet":   {of(job.ShapeStrip, job.ShapeLength, 60, job.ShapeWidth, 40, job.ShapeHoleDiameter, 14, job.ShapeEnd, 25), "or the two holes meet"},
		"gusset, all toe":     {of(job.ShapeGusset, job.ShapeWidth, 50, job.ShapeHeight, 40, job.ShapeToe, 45), "blunt toes 45 mm"},
		"hole on the edge":    {hole(3, 50, 12), "added hole 1 meets the part's edge"},
		"hole touches":        {hole(6, 50, 12), "added hole 1 meets the part's edge"},
		"hole outside":        {hole(300, 50, 12), "added hole 1 lies outside the part"},
		"holes overlap":       {two, "added hole 1 and added hole 2 overlap"},
		"hole in a hole":      {nested, "added hole 1 and added hole 2 overlap"},
		"hole of no size":     {hole(50, 50, 0), "added hole 1, 0 mm: must be 0.1 to"},
		"slot too wide":       {wide, "added slot 1: length 10 mm is less than its width 20 mm"},
	} {
		l, f := shape.Loops(c.s)
		if l != nil || !f.Bad() || !strings.Contains(f.Err().Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, f, c.says)
		}
	}
}

func TestFaultsSpeakTheOperatorsUnit(t *testing.T) {
	_, f := shape.In(of(job.ShapeRectangle, job.ShapeWidth, 254, job.ShapeHeight, 101.6, job.ShapeCornerRadius, 76.2), unit.Inch)
	if !f.Bad() || !strings.Contains(f[0].What, "corner radius 3 in: must be at most 2 in") {
		t.Error(f)
	}
}

func TestEveryKindStartsAsAPartThatCanBeCut(t *testing.T) {
	for _, k := range job.ShapeKinds() {
		s := job.NewShape(k)
		l, f := shape.Loops(s)
		if l == nil {
			t.Errorf("%s: %v", k, f)
			continue
		}
		if len(l.Entities) != len(l.Closed)+len(l.Open) || l.UnitFrom != drawing.UnitSaid {
			t.Errorf("%s: %d entities, %d loops", k, len(l.Entities), len(l.Closed))
		}
		for i, c := range l.Closed {
			if a := c.Path.Area(); a <= 0 || c.Use != job.LayerCut {
				t.Errorf("%s: loop %d has area %g", k, i, a)
			}
			for _, v := range c.Path.V {
				if math.Abs(v.Bulge) > 1 || int(v.Src) >= len(l.Entities) {
					t.Errorf("%s: loop %d: %v", k, i, v)
				}
			}
		}
		if len(job.ShapeParams(k)) == 0 {
			t.Errorf("%s has no parameters", k)
		}
	}
}

// Whatever is typed either gives a sound part or says why not.
func TestAnyNumbersGiveAPartOrAReason(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.SampledFrom(job.ShapeKinds()).Draw(rt, "kind")
		s := job.Shape{Kind: k}
		for _, p := range job.ShapeParams(k) {
			v := rapid.OneOf(rapid.Just(p.Default), rapid.Float64Range(0, 300), rapid.SampledFrom([]float64{0, 1, 2, 7, -1, 1e9, math.Inf(1)})).Draw(rt, p.Label)
			if p.Range().Dim == job.Count {
				v = math.Trunc(math.Mod(v, 40))
			}
			s = s.With(p.Field, v)
		}
		if rapid.Bool().Draw(rt, "hole") {
			s.Holes = []job.ShapeHole{{X: rapid.Float64Range(-10, 200).Draw(rt, "x"), Y: 30, Diameter: rapid.Float64Range(0, 40).Draw(rt, "d")}}
		}
		l, f := shape.Loops(s)
		if (l == nil) != f.Bad() {
			rt.Fatalf("%v %v", l, f)
		}
		if l == nil {
			for _, x := range f {
				if x.Severity != fault.Error || x.What == "" {
					rt.Fatalf("%v", x)
				}
			}
			return
		}
		if !(net(l) > 0) || l.Box.Min.Len() > 1e-6 {
			rt.Fatalf("area %g, box %v", net(l), l.Box)
		}
		for i, c := range l.Closed[1:] {
			if l.Closed[0].Path.Side(c.Path.Start(), 0) != geom.Inside {
				rt.Fatalf("loop %d is not inside", i+1)
			}
		}
	})
}

func TestAShapeIsNotChangedInPlace(t *testing.T) {
	a := job.NewShape(job.ShapeFlange)
	b := a.With(job.ShapeBore, 10)
	if a.Value(job.ShapeBore) != 60 || b.Value(job.ShapeBore) != 10 {
		t.Errorf("%v %v", a, b)
	}
}
