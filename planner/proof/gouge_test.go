package proof_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// of lists the findings of one code.
func of(r proof.Result, code string) []proof.Finding {
	return slices.DeleteFunc(slices.Clone(r.Findings), func(f proof.Finding) bool { return f.Code != code })
}

// A circle run d beside its place reaches d into the part, also where its whole
// kerf is in it; one run makes one gouge.
func TestGougeOfARunIsToldOnceAndByItsDepth(t *testing.T) {
	for _, d := range []float64{0.1, 0.7, 2, 6} {
		in := single(program(moved(hole("p1.h1", h1, 20, full, false), geom.Pt(-0.6*d, 0.8*d))), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)),
			feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)))
		r := proof.Prove(in)
		if got := of(r, "gouge"); len(got) != 1 || math.Abs(r.WorstGouge-d) > 0.011 {
			t.Errorf("moved by %g: %s", d, show(r))
		}
	}
}

// Lit 8 mm outside the window's edge, in the part, and driven 5 mm deeper: 13 mm
// and half a kerf. Lit at another place and never moved, the line is the one
// that lights the torch.
func TestDepthOfARunThatIsLitInAPartIsThatOfItsWay(t *testing.T) {
	prove := func(c cutting) (proof.Result, int) {
		x := &text{good().lines}
		w := &writer{k: 1, dec: 4}
		w.cut(c)
		if len(c.way) == 0 {
			w.lines = slices.DeleteFunc(w.lines, func(l string) bool { return strings.HasPrefix(l, "G1 Z") })
		}
		from, _ := x.section("p1.h2")
		x.insert(from, w.lines[1:]...)
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		return proof.Prove(in), from + slices.Index(w.lines, "M3")
	}
	r, _ := prove(cutting{"", geom.Pt(188, 110), []step{{to: geom.Pt(193, 110)}}, full, false})
	if !found(r, "gouge", "") || math.Abs(r.WorstGouge-13-kerf/2) > 0.011 {
		t.Error(show(r))
	}
	r, line := prove(cutting{"", geom.Pt(200, 110), nil, full, false})
	if got := of(r, "gouge"); len(got) != 1 || got[0].Line != line {
		t.Errorf("line %d: %s", line, show(r))
	}
	if len(of(r, "pierce-clearance")) > 0 {
		t.Errorf("a pierce in a part is no near one: %s", show(r))
	}
}

// manySided is a stock with more edges than are looked at one by one.
func manySided(c geom.Point, r float64) geom.Path {
	p := geom.Path{Closed: true}
	for i := range 60 {
		p.V = append(p.V, geom.Vertex{P: geom.Polar(c, r, float64(i)*math.Pi/30)})
	}
	return p
}

// The hole's kerf ends at 10 mm from its centre; the stock may end there.
func TestKerfIsHeldToStockOfManyEdges(t *testing.T) {
	in := single(program(hole("p1.h1", h1, 20, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	in.Stock.Shapes[0] = manySided(h1, 10.05)
	wantGood(t, in)
	in.Stock.Shapes[0] = manySided(h1, 9.97)
	wantCodes(t, proof.Prove(in), "off-plate")
	in.Stock.Shapes[0] = geom.Circle(geom.Pt(20, 30), 5)
	in.Stock.Shapes = append(in.Stock.Shapes, manySided(h1, 12)) // the second is as good
	wantGood(t, in)
	in.Stock.Voids = []proof.Void{{Path: manySided(geom.Pt(63, 60), 7.4), Name: "a hole"}, {Path: geom.Path{}, Name: "nothing"}}
	wantCodes(t, proof.Prove(in), "in-void")
	in.Stock.Shapes = []geom.Path{rounded(geom.Pt(0, 0), geom.Pt(300, 220), 0)}
	in.Stock.Voids[0].Path = manySided(geom.Pt(60.5, 60), 40) // all of it
	wantCodes(t, proof.Prove(in), "in-void")
	in.Stock.Voids = in.Stock.Voids[1:]
	wantGood(t, in)
}

// A kerf as narrow as what is allowed for may not leave the plate for all that.
func TestNarrowKerfStaysOnTheStock(t *testing.T) {
	for _, k := range []float64{0.01, 0.04, 0.1} {
		f := feature("p1.h1", "hole", "inside", geom.Circle(h1, 10))
		f.Kerf = k
		in := single(program(hole("p1.h1", h1, 20+kerf-k, full, false)), f)
		wantGood(t, in)
		in.Stock.Shapes[0] = rounded(geom.Pt(40, 40), geom.Pt(65, 80), 0)
		wantCodes(t, proof.Prove(in), "off-plate")
		in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(300, 220), 0)
		in.Stock.Voids = []proof.Void{{Path: square(geom.Pt(72, 60), 4), Name: "a hole"}}
		wantCodes(t, proof.Prove(in), "in-void")
	}
}

// Only a trim that is meant to may begin on the plate's edge, and there.
func TestTrimMayBeginOnAnyEdgeOfThePlate(t *testing.T) {
	a, b := geom.Pt(0, 0), geom.Pt(300, 220)
	for name, way := range map[string][2]geom.Point{
		"below": {geom.Pt(trimAt, 0), geom.Pt(trimAt, 220+kerf)}, "above": {geom.Pt(trimAt, 220), geom.Pt(trimAt, -kerf)},
		"left": {geom.Pt(0, 90), geom.Pt(300+kerf, 90)}, "right": {geom.Pt(300, 90), geom.Pt(-kerf, 90)},
	} {
		u := way[1].Sub(way[0]).Unit()
		for _, off := range []float64{0, -0.015, -0.03} { // along it, off the plate
			c := cutting{"trim.line", way[0].Add(u.Mul(off)), []step{{to: way[1]}}, full, false}
			x := &text{strings.Split(strings.TrimSpace(string(program(c))), "\n")}
			i := x.find(c.id, "G38.2", 0)
			w := &writer{k: 1, dec: 4}
			x.insert(i+2, "G0 Z12", "G0 "+w.xy(c.pierce))
			x.insert(i, "G0 "+w.xy(way[0].Add(u.Mul(20))))
			in := aloneInput([]byte(strings.Join(x.lines, "\n") + "\n"))
			f := &in.Parts[0].Features[0]
			f.OnEdge = true
			if u.X != 0 {
				f.Loop = rounded(geom.Pt(-20, -20), geom.Pt(320, 90), 0)
			}
			in.Stock.Shapes[0] = rounded(a, b, 0)
			if off > -0.02 {
				wantGood(t, in)
				f.OnEdge = false
				if r := proof.Prove(in); r.OK {
					t.Errorf("%s, not meant to: %s", name, show(r))
				}
			} else {
				wantCodes(t, proof.Prove(in), "off-plate")
			}
			in.Stock.Shapes = []geom.Path{{}}
			f.OnEdge = true
			proof.Prove(in) // a plate without an edge has none to begin on
		}
	}
}

// Blanks are counted from 0: a part on the one after the last lies on any.
func TestPartOnABlankThatIsNotThereLiesOnAny(t *testing.T) {
	in := blanks(program(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false)), 0)
	in.Parts[0].Blank = len(in.Stock.Shapes)
	wantGood(t, in)
}

// With nothing but marks there is no edge that a pierce could be near to.
func TestPierceWithNoEdgeToKeepHasAFiniteClearance(t *testing.T) {
	line := geom.Path{V: []geom.Vertex{{P: geom.Pt(70, 70)}, {P: geom.Pt(90, 75)}}}
	mark := cutting{"p1.m1", geom.Pt(70, 70), []step{{to: geom.Pt(90, 75)}}, full, false}
	r := wantGood(t, single(program(mark), feature("p1.m1", "mark", "mark", line)))
	if len(r.Cuts) != 1 || math.IsInf(r.Cuts[0].Clearance, 0) { // reports could not be written
		t.Error(r.Cuts)
	}
}
