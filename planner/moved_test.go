package planner_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"pgregory.net/rapid"
)

func leafPaths() []geom.Path {
	return []geom.Path{rect(0, 0, 160, 80), geom.Circle(geom.Pt(20, 20), 6.75), geom.Circle(geom.Pt(20, 60), 6.75), slot(60, 10, 60, 14),
		rect(60, 40, 60, 30), geom.Circle(geom.Pt(140, 40), 12)}
}

func words(m planner.Moves) []string {
	var out []string
	for _, x := range m.List {
		out = append(out, x.What)
	}
	return out
}

// What became of a drawing, told as a person would who knows what was changed.
func TestWhatMovedIsToldByNameFigureAndPlace(t *testing.T) {
	shifted := func(paths []geom.Path, x, y float64) (out []geom.Path) {
		for _, p := range paths {
			out = append(out, geom.Move{Shift: geom.Pt(x, y)}.Path(p))
		}
		return out
	}
	for _, c := range []struct {
		name   string
		change func(p []geom.Path) []geom.Path
		want   []string
	}{
		{"nothing", func(p []geom.Path) []geom.Path { return p }, nil},
		{"drawn from another corner", func(p []geom.Path) []geom.Path {
			for i := range p {
				p[i] = p[i].CCW().StartAt(len(p[i].V)-1, 0)
			}
			return p
		}, nil},
		{"rounded by the CAD", func(p []geom.Path) []geom.Path { return shifted(p, 0.001, -0.001) }, nil},
		{"a wider hole", func(p []geom.Path) []geom.Path { p[1] = geom.Circle(geom.Pt(20, 20), 7.25); return p },
			[]string{"p1.h1 was 13.5 mm, is 14.5 mm now"}},
		{"a hole moved", func(p []geom.Path) []geom.Path { p[1] = geom.Circle(geom.Pt(25, 18), 6.75); return p },
			[]string{"p1.h1 moved X 5 mm, Y -2 mm, from X 20 mm Y 20 mm to X 25 mm Y 18 mm"}},
		{"a hole gone, so that the next has another name", func(p []geom.Path) []geom.Path { return slices.Delete(p, 1, 2) },
			[]string{"p1.h1 is gone: hole 13.5 mm at X 20 mm Y 20 mm", "p1.h2 is called p1.h1 now", "p1.h3 is called p1.h2 now"}},
		{"a new hole", func(p []geom.Path) []geom.Path { return append(p, geom.Circle(geom.Pt(145, 70), 4)) },
			[]string{"p1.h4 is new: hole 8 mm at X 145 mm Y 70 mm"}},
		{"a longer slot", func(p []geom.Path) []geom.Path { p[3] = slot(55, 10, 70, 14); return p },
			[]string{"p1.s1 was 60 mm x 14 mm, is 70 mm x 14 mm now"}},
		{"a hole that is a square now", func(p []geom.Path) []geom.Path { p[5] = rect(130, 30, 20, 20); return p },
			[]string{"p1.h3 was a hole 24 mm, is a cut-out 20 mm x 20 mm now, called p1.c2 now"}},
		{"a window with a corner cut off", func(p []geom.Path) []geom.Path {
			p[4] = geom.Polygon(geom.Pt(60, 40), geom.Pt(120, 40), geom.Pt(120, 60), geom.Pt(110, 70), geom.Pt(60, 70))
			return p
		}, []string{"p1.c1 has another form, of the same size"}},
		{"a longer leaf", func(p []geom.Path) []geom.Path { p[0] = rect(0, 0, 170, 80); return p },
			[]string{"p1.outline was 160 mm x 80 mm, is 170 mm x 80 mm now"}},
		{"all of it drawn elsewhere, and one hole moved in it", func(p []geom.Path) []geom.Path {
			p = shifted(p, 100, -40)
			p[5] = geom.Circle(geom.Pt(237, 0), 12)
			return p
		}, []string{"leaf: all of it moved X 100 mm, Y -40 mm", "p1.h3 moved X -3 mm, Y 0 mm, from X 140 mm Y 40 mm to X 237 mm Y 0 mm"}},
		{"a hole wider and moved", func(p []geom.Path) []geom.Path { p[1] = geom.Circle(geom.Pt(22, 20), 8); return p },
			[]string{"p1.h1 moved X 2 mm, Y 0 mm, from X 20 mm Y 20 mm to X 22 mm Y 20 mm and was 13.5 mm, is 16 mm now"}},
	} {
		m := planner.WhatMoved(gateJob(), loops(leafPaths()...), loops(c.change(leafPaths())...))
		if got := words(m); !slices.Equal(got, c.want) {
			t.Errorf("%s: got\n  %s\nwant\n  %s", c.name, strings.Join(got, "\n  "), strings.Join(c.want, "\n  "))
		}
	}
}

// What was said of a feature goes with it under its new name; of what is gone
// it is left out by name.
func TestJobIsCarriedToTheDrawingAsItIsNow(t *testing.T) {
	was := leafPaths()
	now := slices.Delete(leafPaths(), 1, 2) // p1.h1 is gone: p1.h2 is p1.h1 now, p1.h3 is p1.h2
	for i := range now {
		now[i] = geom.Move{Shift: geom.Pt(10, 5)}.Path(now[i])
	}
	now[len(now)-1] = geom.Circle(geom.Pt(150, 45), 11)
	start := geom.Pt(26.75, 60)
	j := gateJob()
	j.Overrides = []job.Override{{Feature: "p1.h1", Rule: "drill"}, {Feature: "p1.h2", Start: &start, Critical: []geom.Point{start}}, {Feature: "p1.h3", Rule: "drill"}, {Feature: "p1.outline", Note: plain.Of("x")}}
	j.Edits = []job.Edit{{Do: job.EditTurn, On: "p1", Angle: 1}, {Do: job.EditDiameter, On: "p1.h1", Diameter: 12}, {Do: job.EditDiameter, On: "p1.h3", Diameter: 22},
		{Do: job.EditAdd, On: "p1.a1", X: 40, Y: 25, Diameter: 9}, {Do: job.EditMove, On: "p1.a1", X: 1}}
	j.Alignment = job.Alignment{By: job.AlignHoles, Holes: []job.Located{{Feature: "p1.h2"}, {Feature: "p1.h1"}, {Feature: "p1#2.h3"}}}
	j.Texts = []job.Text{{Say: plain.Of("A"), Drawing: 1, X: 3, Y: 4}, {Say: plain.Of("B"), X: 3, Y: 4}}
	j.Layout.Places = []job.Place{{X: 100, Y: 100}, {X: 300, Y: 100, Angle: math.Pi / 2}, {X: 200, Y: 200, Mirror: true}}
	got, told := planner.WhatMoved(j, loops(was...), loops(now...)).Carry(j)
	var ids []string
	for _, o := range got.Overrides {
		ids = append(ids, o.Feature)
	}
	for _, e := range got.Edits {
		ids = append(ids, e.On)
	}
	if s := strings.Join(ids, " "); s != "p1.h1 p1.h2 p1.outline p1 p1.h2 p1.a1 p1.a1" {
		t.Errorf("names %s", s)
	}
	if o := got.Overrides[0]; *o.Start != geom.Pt(36.75, 65) || o.Critical[0] != geom.Pt(36.75, 65) {
		t.Errorf("start at %v", *o.Start)
	}
	if start != geom.Pt(26.75, 60) || j.Overrides[1].Critical[0] != start || j.Edits[3].X != 40 {
		t.Error("the job that was handed over is changed")
	}
	if e := got.Edits[2]; e.X != 50 || e.Y != 30 {
		t.Errorf("the added hole is at %g, %g", e.X, e.Y)
	}
	if got.Texts[0].X != 13 || got.Texts[0].Y != 9 || got.Texts[1].X != 3 {
		t.Errorf("texts %+v", got.Texts)
	}
	for i, p := range got.Layout.Places { // a corner of the part lies where it lay
		was, now := j.Layout.Places[i], geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}
		if d := now.Apply(geom.Pt(10, 5)).Dist(geom.Pt(was.X, was.Y)); d > 1e-9 {
			t.Errorf("place %d: off by %g", i+1, d)
		}
	}
	want := []string{"what was said of p1.h1 no longer holds: it is gone", "look at what was said of p1.h3: it has another size now",
		"edit 2, p1.h1 diameter 12 mm, no longer holds: p1.h1 is gone", "look at edit 3, p1.h3 diameter 22 mm: p1.h3 has another size now",
		"the stock is aligned by p1.h1, which is gone: locate another hole", "the stock is aligned by p1#2.h3, which is called p1.h2 now: locate it anew"}
	if !slices.Equal(told, want) {
		t.Errorf("told\n  %s\nwant\n  %s", strings.Join(told, "\n  "), strings.Join(want, "\n  "))
	}
}

// Whatever is done to a drawing, each feature before and after is told of once
// or is as it was, and a job carried there has no override of nothing.
func TestEveryFeatureIsAccountedFor(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string) []geom.Path {
			out := []geom.Path{rect(0, 0, 400, 400)}
			for i := range 16 {
				x, y := float64(i%4)*90+60, float64(i/4)*90+60
				switch rapid.IntRange(0, 4).Draw(rt, name) {
				case 1:
					out = append(out, geom.Circle(geom.Pt(x, y), 10))
				case 2:
					out = append(out, geom.Circle(geom.Pt(x, y), 12))
				case 3:
					out = append(out, slot(x-20, y-7, 40, 14))
				case 4:
					out = append(out, geom.Circle(geom.Pt(x+4, y), 10))
				}
			}
			return out
		}
		was, now := loops(draw("was")...), loops(draw("now")...)
		j := gateJob()
		a, _ := planner.Features(j, was)
		b, _ := planner.Features(j, now)
		for _, f := range a.Features {
			j.Overrides = append(j.Overrides, job.Override{Feature: f.ID, Note: plain.Of("x")})
		}
		m := planner.WhatMoved(j, was, now)
		gone, new_ := 0, 0
		for _, x := range m.List {
			if x.Now == "" {
				gone++
			} else if x.Was == "" {
				new_++
			}
		}
		if len(a.Features)-gone != len(b.Features)-new_ {
			rt.Errorf("%d features, %d gone; %d now, %d new", len(a.Features), gone, len(b.Features), new_)
		}
		got, _ := m.Carry(j)
		seen := map[string]bool{}
		for _, o := range got.Overrides {
			if seen[o.Feature] || b.Find(o.Feature) < 0 {
				rt.Errorf("%s is said twice, or of nothing", o.Feature)
			}
			seen[o.Feature] = true
		}
		if len(got.Overrides) != len(a.Features)-gone {
			rt.Errorf("%d overrides", len(got.Overrides))
		}
	})
}
