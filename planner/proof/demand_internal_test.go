package proof

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// lineOrArc draws a line, or an arc of up to half a circle and its rounding.
func lineOrArc(t *rapid.T, name string) piece {
	at := geom.Pt(rapid.Float64Range(-10, 10).Draw(t, name+" x"), rapid.Float64Range(-10, 10).Draw(t, name+" y"))
	dir := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, name+" direction")
	r := rapid.Float64Range(0.5, 20).Draw(t, name+" size")
	if rapid.Bool().Draw(t, name+" is a line") {
		return piece{a: at, b: geom.Polar(at, r, dir)}
	}
	sweep := rapid.OneOf(rapid.Float64Range(0.05, math.Pi), rapid.Just(math.Pi*(1+geom.Angle/2))).Draw(t, name+" sweep")
	if rapid.Bool().Draw(t, name+" is clockwise") {
		sweep = -sweep
	}
	return piece{a: geom.Polar(at, r, dir), b: geom.Polar(at, r, dir+sweep), c: at, r: r, sweep: sweep}
}

func TestWayToAPointOfAPiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := lineOrArc(t, "piece")
		part := rapid.OneOf(rapid.Float64Range(0, 1), rapid.SampledFrom([]float64{0, 1})).Draw(t, "part")
		if got, want := p.wayTo(p.at(part)), part*p.length(); math.Abs(got-want) > 1e-6 {
			t.Errorf("%g, must be %g", got, want)
		}
	})
}

// A piece is sampled: what is nearer must lie in a stretch, what is further
// not, but for the step to which the ends are found. Stretches that touch are
// one.
func TestStretchesBesideAPiece(t *testing.T) {
	const along, step = 7.0, 0.05
	rapid.Check(t, func(t *rapid.T) {
		p, q := lineOrArc(t, "cut"), lineOrArc(t, "kerf")
		within := rapid.Float64Range(0.2, 8).Draw(t, "within")
		got := nearer(&p, &q, within, along, step, nil)
		for i, s := range got {
			if s.To <= s.From || i > 0 && s.From-got[i-1].To < step/4 {
				t.Errorf("stretches %v", got)
			}
		}
		for k := range 200 {
			part := (float64(k) + 0.5) / 200
			at, d := along+part*p.length(), q.dist(p.at(part))
			in := false
			for _, s := range got {
				in = in || s.From <= at && at <= s.To
			}
			if d < within-step && !in || d > within+step && in {
				t.Errorf("%g mm along, %g mm away, within %g: %v", at, d, within, got)
			}
		}
	})
}

func TestDemandsOfOneReasonAreJoined(t *testing.T) {
	var ds []demand
	for k := range 10 { // in short pieces by turns, each under what is let pass
		s := Span{0.4 * float64(k), 0.4 * float64(k+1)}
		ds = append(ds, demand{s, "b"}, demand{s, "a"})
	}
	ds = append(ds, demand{Span{20, 30}, "a"}, demand{Span{22, 24}, "a"}, demand{Span{29, 41}, "a"}, demand{Span{10, 11}, "c"})
	got := joined(ds)
	want := []demand{{Span{0, 4}, "a"}, {Span{0, 4}, "b"}, {Span{10, 11}, "c"}, {Span{20, 41}, "a"}}
	if len(got) != len(want) {
		t.Fatal(got)
	}
	for i, d := range got {
		if d.why != want[i].why || math.Abs(d.From-want[i].From) > 1e-9 || math.Abs(d.To-want[i].To) > 1e-9 {
			t.Errorf("%d: %v", i, d)
		}
	}
}

// alongX is a check of one run, straight along X from 0 in pieces of a length
// each, held but for some pieces. Its lines count from 1.
func alongX(n int, each float64, free func(k int) bool) (*check, *run) {
	pts := []geom.Point{{}}
	for k := range n {
		pts = append(pts, geom.Pt(float64(k+1)*each, 0))
	}
	r := straight(pts...)
	for k := range r.path {
		r.path[k].line, r.path[k].held = k+1, !free(k)
	}
	r.last = n + 1
	r.loop = &loop{Feature: &Feature{ID: "f", Rule: "inside", Kerf: 1.5}}
	return &check{in: &Input{}, tol: tol}, r
}

// Pieces shorter than what is let pass add up.
func TestFreePiecesThatFollowOnEachOtherAreOneStretch(t *testing.T) {
	_, r := alongX(40, 0.4, func(k int) bool { return k >= 5 && k < 20 || k >= 25 && k < 26 })
	got := r.free()
	want := []Span{{2, 8}, {10, 10.4}}
	if len(got) != len(want) {
		t.Fatal(got)
	}
	for i, s := range got {
		if math.Abs(s.From-want[i].From) > 1e-9 || math.Abs(s.To-want[i].To) > 1e-9 {
			t.Errorf("%v", got)
		}
	}
}

// Two reasons for one stretch are told as one and what the second adds.
func TestMissingHoldIsToldOnceForEachStretch(t *testing.T) {
	c, r := alongX(50, 2, func(k int) bool { return k >= 10 }) // free from 20 mm
	c.heldWhere(r, []demand{{Span{10, 40}, "a"}, {Span{25, 39.9}, "b"}, {Span{30, 50}, "c"}}, r.free())
	if len(c.found) != 2 {
		t.Fatal(c.found)
	}
	for i, want := range []struct {
		line int
		x    float64
		text string
	}{{11, 20, "from 20 to 40 mm"}, {21, 40, "from 40 to 50 mm"}} {
		f := c.found[i]
		if f.Line != want.line || f.At == nil || f.At.Dist(geom.Pt(want.x, 0)) > 1e-9 || !strings.Contains(f.Text, want.text) || f.Severity != fault.Error {
			t.Errorf("%+v", f)
		}
	}
	// The first run of all was lost, and this one goes on with it.
	c.found, c.runs, r.loop.runs = nil, []run{{lost: true}, *r}, []int{-1, 0, 1}
	c.heldWhere(r, []demand{{Span{10, 40}, "a"}}, r.free())
	if len(c.found) != 1 || c.found[0].Severity != fault.Warning {
		t.Error(c.found)
	}
}

// A hold of 50 mm and more that nothing asks for is told, once for each cut.
func TestNeedlessHoldIsTold(t *testing.T) {
	for _, v := range []struct {
		name string
		free func(k int) bool
		ds   []Span
		x    float64 // where it begins, -1: nothing is told
	}{
		{"all of it is asked for", func(int) bool { return false }, []Span{{0, 60}, {60, 150}}, -1},
		{"two demands overlap", func(int) bool { return false }, []Span{{0, 110}, {20, 40}}, -1},
		{"short of 50 mm each", func(int) bool { return false }, []Span{{49, 101}}, -1},
		{"free in the middle", func(k int) bool { return k == 20 }, nil, -1},
		{"free in the middle only", func(k int) bool { return k == 20 }, []Span{{40, 60}}, 60},
		{"at the start and later", func(int) bool { return false }, []Span{{60, 70}}, 0},
		{"behind a demand", func(int) bool { return false }, []Span{{30, 80}}, 80},
	} {
		c, r := alongX(75, 2, v.free)
		var ds []demand
		for _, s := range v.ds {
			ds = append(ds, demand{s, "a"})
		}
		c.freeSomewhere(r, ds, r.free())
		if v.x < 0 {
			if len(c.found) > 0 {
				t.Errorf("%s: %v", v.name, c.found)
			}
		} else if len(c.found) != 1 || c.found[0].At == nil || c.found[0].At.Dist(geom.Pt(v.x, 0)) > 1e-9 || c.found[0].Line != int(v.x/2)+1 {
			t.Errorf("%s: %v", v.name, c.found)
		}
	}
}

func TestLineThatCutsAtAPlace(t *testing.T) {
	_, r := alongX(5, 2, func(int) bool { return true })
	for at, want := range map[float64]int{0: 1, 1: 1, 2: 2, 3.9: 2, 9: 5, 10: 6, 11: 6} {
		if got := r.lineAt(at); got != want {
			t.Errorf("%g mm along: line %d, must be %d", at, got, want)
		}
	}
}

// A cut comes back to where it met the edge after once round, however long its
// lead and its overlap are.
func TestCutClosesWhereItMetTheEdge(t *testing.T) {
	for _, v := range []struct {
		name     string
		pts      []geom.Point
		from, to int
		want     float64 // under 0: it does not
	}{
		{"a square from the middle of a side", []geom.Point{{X: 5, Y: 5}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 5}}, 1, 6, 45},
		{"and past it", []geom.Point{{X: 5, Y: 5}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 5}, {X: 8}}, 1, 7, 45},
		{"past it in one move", []geom.Point{{X: 5, Y: 5}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 8}}, 1, 6, 45},
		{"from a corner, without a lead", []geom.Point{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}}, 0, 4, 40},
		{"a lead longer than the edge", []geom.Point{{X: 5, Y: -100}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 5}}, 1, 6, 140},
		{"a lead out back to it", []geom.Point{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {Y: 2}, {}}, 0, 4, -1},
		{"0.5 mm short", []geom.Point{{X: 5, Y: 5}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 4.5}}, 1, 6, 44.5},
		{"1 mm short", []geom.Point{{X: 5, Y: 5}, {X: 5}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}, {X: 4}}, 1, 6, -1},
		{"beside it first on the one, then on the other side", []geom.Point{{}, {X: 10}, {X: 10, Y: 10}, {X: -10, Y: 10}, {X: -10, Y: 0.2}, {X: 5, Y: 0.2}, {X: 5, Y: -0.2}, {X: -5, Y: -0.2}}, 0, 7, 10 + 10 + 20 + 9.8 + 10},
		{"an edge that is not met", []geom.Point{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}, {}}, 0, 0, -1},
	} {
		r := straight(v.pts...)
		r.from, r.to, r.loop = v.from, v.to, &loop{Feature: &Feature{Rule: "inside"}}
		at, ok := r.closes(0.75)
		if ok != (v.want >= 0) || ok && math.Abs(at-v.want) > 1e-9 {
			t.Errorf("%s: %g, %v", v.name, at, ok)
		}
		r.loop.Rule = "trim"
		if _, ok := r.closes(0.75); ok {
			t.Errorf("%s: a cut off across a part closes", v.name)
		}
	}
}

// A lost cut leaves no kerf for the one that goes on with it, nor for any if
// nobody knows what it followed; all others do.
func TestKerfBeforeACut(t *testing.T) {
	mine, other, mark := &loop{Feature: &Feature{Rule: "inside"}}, &loop{Feature: &Feature{Rule: "inside"}}, &loop{Feature: &Feature{Rule: "mark"}}
	for _, v := range []struct {
		name string
		a, b run
		want bool
	}{
		{"of another feature", run{loop: other}, run{loop: mine}, true},
		{"of the same", run{loop: mine}, run{loop: mine}, true},
		{"of none", run{}, run{loop: mine}, true},
		{"lost, of another", run{loop: other, lost: true}, run{loop: mine}, true},
		{"lost, of the same", run{loop: mine, lost: true}, run{loop: mine}, false},
		{"lost, of none", run{lost: true}, run{loop: mine}, false},
		{"on another load", run{loop: other, load: 1}, run{loop: mine}, false},
		{"a mark", run{loop: mark}, run{loop: mine}, false},
	} {
		c := &check{runs: []run{v.a, v.b}}
		if got := c.kerfBefore(0, 1); got != v.want {
			t.Errorf("%s: %v", v.name, got)
		}
		if c.kerfBefore(1, 0) || c.kerfBefore(1, 1) {
			t.Errorf("%s: a kerf before it is cut", v.name)
		}
	}
}

// kerfsOf makes the kerfs of the runs ready, as read does.
func (c *check) kerfsOf(runs ...run) {
	c.runs, c.kerfs = runs, pieceIndex{}
	for i := range c.runs {
		c.kerfs.add(c.runs[i].voids(), i)
	}
	c.kerfs.build()
}

// The first run lies along Y at X 0, with a kerf of 1.5. The second goes along
// X, piece by piece: lead, edge, lead out.
func TestLeadsThatCrossAnEarlierKerf(t *testing.T) {
	kerfed := func(id string) *loop { return &loop{Feature: &Feature{ID: id, Rule: "inside", Kerf: 1.5}} }
	xs := func(x ...float64) (pts []geom.Point) {
		for _, x := range x {
			pts = append(pts, geom.Pt(x, 0))
		}
		return
	}
	for _, v := range []struct {
		name     string
		pts      []geom.Point
		from, to int
		change   func(old, cut *run)
		line     int // of the warning, 0: there is none
	}{
		{"the lead in", xs(-5, 5, 10, 15, 20), 1, 3, nil, 1},
		{"the second piece of the lead", xs(-10, -5, 5, 10, 15), 2, 4, nil, 2},
		{"the first piece of the edge", xs(-10, -5, 5, 10, 15), 1, 4, nil, 0},
		{"the last piece of the edge", xs(-15, -10, -5, 5), 1, 3, nil, 0},
		{"the lead out", xs(-15, -10, -5, 5), 1, 2, nil, 3},
		{"the lead out, of a shared edge", xs(-15, -10, -5, 5), 1, 2, func(_, cut *run) { cut.loop.lent = []int32{0} }, 0},
		{"the lead in, of a shared edge", xs(-5, 5, 10, 15, 20), 1, 3, func(_, cut *run) { cut.loop.lent = []int32{0} }, 1},
		{"no edge is met", xs(-5, 5, 10), 0, 0, nil, 0},
		{"nothing is followed", xs(-5, 5, 10), 0, 0, func(_, cut *run) { cut.loop = nil }, 0},
		{"a mark", xs(-5, 5, 10, 15, 20), 1, 3, func(_, cut *run) { cut.loop.Rule = "mark" }, 0},
		{"ends at the kerf's side", xs(-5, -0.75, -5), 1, 2, nil, 0},
		{"ends a hair in the kerf, as far as the tolerance", xs(-5, -0.74, -5), 1, 2, nil, 0},
		{"ends in the kerf", xs(-5, -0.7, -5), 1, 2, nil, 1},
		{"over the cut across its own slug", xs(-5, 5, 10, 15, 20), 1, 3, func(old, cut *run) { old.loop, old.split = nil, cut.loop }, 0},
		{"over the cut across another's slug", xs(-5, 5, 10, 15, 20), 1, 3, func(old, cut *run) { old.loop, old.split = nil, kerfed("third") }, 1},
		{"over its own first cut", xs(-5, 5, 10, 15, 20), 1, 3, func(old, cut *run) { old.loop = cut.loop }, 1},
	} {
		old, cut := straight(geom.Pt(0, -20), geom.Pt(0, 20)), straight(v.pts...)
		old.loop, cut.loop = kerfed("old"), kerfed("cut")
		cut.from, cut.to = v.from, v.to
		for k := range cut.path {
			cut.path[k].line = k + 1
		}
		if v.change != nil {
			v.change(old, cut)
		}
		c := &check{in: &Input{}, tol: tol, loads: []metal{{wide: 1.5}}}
		c.kerfsOf(*old, *cut)
		c.leadsOverKerfs()
		if v.line == 0 && len(c.found) > 0 || v.line > 0 && (len(c.found) != 1 || c.found[0].Line != v.line || c.found[0].Code != "lead-over-kerf" || c.found[0].Severity != fault.Warning) {
			t.Errorf("%s: %v", v.name, c.found)
		}
	}
}

// A wall of the width that the job names is wide enough, one under it by more
// than the tolerance is not.
func TestHoldBesideAKerfBeginsAtTheJobsOwnDistance(t *testing.T) {
	for wall, want := range map[float64]bool{2: true, 2.47: true, 2.5: false, 2.53: false} {
		a, b := straight(geom.Pt(0, 0), geom.Pt(100, 0)), straight(geom.Pt(100, wall+1.5), geom.Pt(0, wall+1.5))
		for _, r := range []*run{a, b} {
			r.loop = &loop{Feature: &Feature{ID: "f", Rule: "inside", Kerf: 1.5}}
			r.box = geom.EmptyBox().Add(r.path[0].a).Add(r.path[0].b)
		}
		c := &check{in: &Input{HoldNear: 2.5}, tol: tol, loads: []metal{{wide: 1.5}}}
		c.kerfsOf(*a, *b)
		ds := c.beside(1, newTree([]geom.Box{a.box, b.box}), nil)
		if (len(ds) == 1 && ds[0].Span == Span{0, 100}) != want || !want && len(ds) > 0 {
			t.Errorf("a wall of %g mm: %v", wall, ds)
		}
	}
}
