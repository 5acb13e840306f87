package proof

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner/geom"
)

// half is half a circle about c from the angle t on, as strokesOf gives it.
func half(c geom.Point, r, t float64) stroke {
	return stroke{bent: true, c: c, u: geom.Pt(r, 0), v: geom.Pt(0, r), t0: t, t1: t + math.Pi}
}

// A circle stays one however often the part is turned, large or small; one
// that is stretched by a part in ten million is none any more.
func TestCircleStaysOneUntilItIsStretched(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := math.Pow(10, rapid.Float64Range(-2, 5).Draw(rt, "log r"))
		s := half(geom.Pt(rapid.Float64Range(-100, 100).Draw(rt, "x"), 30), r, 0)
		for _, a := range rapid.SliceOfN(rapid.Float64Range(-4, 4), 1, 12).Draw(rt, "turns") {
			s = s.mapped(func(q geom.Point) geom.Point { return turned(q, a) })
		}
		if !s.isRound() {
			rt.Fatal("a turned circle is none")
		}
		stretched := s.mapped(func(q geom.Point) geom.Point { return geom.Pt(q.X*(1+1e-7), q.Y) })
		if stretched.isRound() {
			rt.Fatal("an oval is a circle")
		}
	})
}

// What is made of bent strokes under any map lies on them: sampled along the
// strokes, and no longer than they are.
func TestPathOfMappedStrokesLiesOnThem(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		r, c := draw("r", 1, 500), geom.Pt(draw("x", -200, 200), draw("y", -200, 200))
		from, sweep := draw("from", -math.Pi, math.Pi), draw("sweep", 0.1, math.Pi)
		if rapid.Bool().Draw(rt, "about zero") { // as the ends of slots are
			from = -sweep / 2
		}
		sx, sy, a := draw("sx", 0.95, 1.05), draw("sy", 0.95, 1.05), draw("turn", -3, 3)
		s := stroke{bent: true, c: c, u: geom.Pt(r, 0), v: geom.Pt(0, r), t0: from, t1: from + sweep}
		if rapid.Bool().Draw(rt, "clockwise") {
			s.t0, s.t1 = s.t1, s.t0
		}
		m := func(q geom.Point) geom.Point { return geom.Pt(turned(q, a).X*sx, turned(q, a).Y*sy) }
		if rapid.Bool().Draw(rt, "round") {
			m = func(q geom.Point) geom.Point { return turned(q, a) }
		}
		s = s.mapped(m)
		tail := stroke{a: s.at(s.t1), b: s.at(s.t1).Add(geom.Pt(7, 3))}
		for _, strokes := range [][]stroke{{s}, {s, tail}} {
			f := redrawnFeature{strokes: strokes}
			ps := newPieces(piecesOf(f.path(0)))
			const n = 300
			long := 0.0
			for k := range n + 1 {
				q := s.at(s.t0 + (s.t1-s.t0)*float64(k)/n)
				if _, d := ps.nearest(q); d > 1e-3 {
					rt.Fatalf("%v lies %g beside the path", q, d)
				}
				if k > 0 {
					long += q.Dist(s.at(s.t0 + (s.t1-s.t0)*float64(k-1)/n))
				}
			}
			if len(strokes) > 1 {
				long += tail.a.Dist(tail.b)
			}
			sum := 0.0
			for i := range ps.all {
				sum += ps.all[i].length()
			}
			// The chords are shorter by a 24th of the square of their turn.
			if math.Abs(sum-long) > 1e-3+long*0.001 {
				rt.Fatalf("%g mm of path for %g mm of strokes", sum, long)
			}
		}
	})
}

// A closed path does not come back to its first corner a second time.
func TestClosedPathHasEachCornerOnce(t *testing.T) {
	box := geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 5), geom.Pt(0, 5))
	for closed, want := range map[bool]int{true: 4, false: 4} {
		box.Closed = closed
		f := redrawnFeature{strokes: strokesOf(box), closed: closed}
		if got := f.path(0); len(got.V) != want || got.Closed != closed {
			t.Errorf("closed %v: %d corners", closed, len(got.V))
		}
	}
}

// A hole is wider by its taper, a stretched one too: the area of an oval of
// half axes a and b is pi a b.
func TestTaperWidensAHole(t *testing.T) {
	for _, stretch := range []float64{1, 1.02} {
		f := redrawnFeature{strokes: strokesOf(geom.Circle(geom.Pt(40, 30), 10)), closed: true}
		f.mapped(func(q geom.Point) geom.Point { return geom.Pt(q.X*stretch, q.Y) })
		for _, taper := range []float64{0, 0.6, -0.4} {
			mean := 10*math.Sqrt(stretch) + taper/2
			p := f.path(taper)
			if got, want := math.Abs(p.Area()), math.Pi*mean*mean; math.Abs(got-want) > 0.001 {
				t.Errorf("stretch %g, taper %g: area %g, want %g", stretch, taper, got, want)
			}
			if c := p.Box().Center(); c.Dist(geom.Pt(40*stretch, 30)) > 1e-6 {
				t.Errorf("stretch %g, taper %g: its middle goes to %v", stretch, taper, c)
			}
		}
	}
}

// Two arcs that bulge from one chord, a lens, are no circle even if their ends
// nearly meet in line, nor are two half circles of two radii.
func TestOnlyACircleHasAMiddle(t *testing.T) {
	c := geom.Pt(3, 4)
	if m, ok := middleOfRound([]stroke{half(c, 100, 0), half(c, 100, math.Pi)}); !ok || m.Dist(c) > 1e-9 {
		t.Errorf("a circle: %v, %v", m, ok)
	}
	for name, all := range map[string][]stroke{
		"a lens":          {half(c, 100, 0), half(c.Add(geom.Pt(0, 0.3)), 100, math.Pi)},
		"two radii":       {half(c, 100, 0), half(c, 100.3, math.Pi)},
		"half a circle":   {half(c, 100, 0)},
		"an oval":         {{bent: true, c: c, u: geom.Pt(10, 0), v: geom.Pt(0, 11), t1: 2 * math.Pi}},
		"nothing":         nil,
		"lines":           strokesOf(geom.Polygon(geom.Pt(0, 0), geom.Pt(9, 0), geom.Pt(0, 9))),
		"circle and line": {half(c, 100, 0), half(c, 100, math.Pi), {a: c, b: c.Add(geom.Pt(1, 0))}},
	} {
		if _, ok := middleOfRound(all); ok {
			t.Errorf("%s is a circle", name)
		}
	}
}

// A slot has two ends of one radius.
func TestOnlyASlotHasTwoEnds(t *testing.T) {
	a, b := geom.Pt(10, 20), geom.Pt(50, 20)
	slot := long(a.Lerp(b, 0.5), geom.Pt(1, 0), 52, 6)
	p, q, r, ok := endsOfLong(slot)
	if !ok || math.Abs(r-6) > 1e-9 || min(p.Dist(a)+q.Dist(b), p.Dist(b)+q.Dist(a)) > 1e-9 {
		t.Errorf("a slot: %v %v %g %v", p, q, r, ok)
	}
	oval := long(a.Lerp(b, 0.5), geom.Pt(1, 0), 52, 6)
	for i := range oval {
		oval[i] = oval[i].mapped(func(x geom.Point) geom.Point { return geom.Pt(x.X, x.Y*1.1) })
	}
	for name, all := range map[string][]stroke{
		"a drop":               {half(a, 6, math.Pi/2), half(b, 6.5, -math.Pi/2)},
		"three ends":           {half(a, 6, 0), half(b, 6, 0), half(a.Add(geom.Pt(0, 30)), 6, 0)},
		"a plate with corners": strokesOf(geom.Path{Closed: true, V: roundedCorners(60, 40, 5)}),
		"a stretched slot":     oval,
		"a circle":             {half(a, 6, 0), half(a, 6, math.Pi)},
		"no end":               strokesOf(geom.Polygon(a, b, geom.Pt(30, 50))),
	} {
		if _, _, _, ok := endsOfLong(all); ok {
			t.Errorf("%s is a slot", name)
		}
	}
}

func roundedCorners(w, h, r float64) []geom.Vertex {
	q := math.Tan(math.Pi / 8)
	v := func(x, y, bulge float64) geom.Vertex { return geom.Vertex{P: geom.Pt(x, y), Bulge: bulge} }
	return []geom.Vertex{v(r, 0, 0), v(w-r, 0, q), v(w, r, 0), v(w, h-r, q), v(w-r, h, 0), v(r, h, q), v(0, h-r, 0), v(0, r, q)}
}
