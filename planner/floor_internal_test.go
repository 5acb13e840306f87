package planner

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func box(x, y, w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func floorOf(regions ...geom.Path) *floor {
	f := newFloor(geom.Box{Min: geom.Pt(-1000, -1000), Max: geom.Pt(1000, 1000)})
	for _, r := range regions {
		f.loosen(r)
	}
	return f
}

// Round a square of 100 with the room beside it, from the middle of one side to
// the middle of the other: out to the bevelled corner of the bounds, along,
// and back. Worked by hand: the bounds are grown by flat + roomBeside in
// each of eight directions, so the corner of the square is cut at 45 degrees.
func TestWayRoundASquareIsTheShortestRoundItsBounds(t *testing.T) {
	f := floorOf(box(0, 0, 100, 100))
	a, b := geom.Pt(-40, 50), geom.Pt(140, 50)
	way, ok := f.route(a, b, 1000)
	if !ok {
		t.Fatal("no way")
	}
	// Corners of the grown octagon: x+y = 200+g*sqrt(2) meets y = 100+g.
	g := roomBeside + flat
	k := g * (math.Sqrt2 - 1)
	side, top := geom.Pt(-g, 100+k), geom.Pt(-k, 100+g)
	want := 2*(a.Dist(side)+side.Dist(top)) + 100 + 2*k
	if got := way.Length(); math.Abs(got-want) > geom.Join || len(way.V) != 6 {
		t.Errorf("%g mm over %d points, by hand %g", got, len(way.V), want)
	}
	if _, ok := f.route(a, b, want-1); ok {
		t.Error("a way longer than allowed")
	}
}

func TestWayKeepsToThePlate(t *testing.T) {
	f := floorOf(box(0, 0, 100, 100))
	f.bounds = geom.Box{Min: geom.Pt(-50, -50), Max: geom.Pt(150, 105)} // no room above
	way, ok := f.route(geom.Pt(-40, 90), geom.Pt(140, 90), 1000)
	if !ok {
		t.Fatal("no way")
	}
	for _, v := range way.V {
		if v.P.Y > 105 {
			t.Errorf("goes to %v, off the plate", v.P)
		}
	}
	f.bounds = geom.Box{Min: geom.Pt(-50, -5), Max: geom.Pt(150, 105)}
	if _, ok := f.route(geom.Pt(-40, 90), geom.Pt(140, 90), 1000); ok {
		t.Error("a way where there is none")
	}
}

// deepest returns how far a way passes into a region, mm, looked at every
// hundredth of a millimetre.
func deepest(way geom.Path, region geom.Path) (mm float64) {
	for i := range way.NumSegs() {
		s := way.Seg(i)
		n := int(s.Length()/0.01) + 1
		for k := 0; k <= n; k++ {
			p := s.At(float64(k) / float64(n))
			if region.Winding(p) != 0 {
				_, _, _, d := region.Nearest(p)
				mm = max(mm, d)
			}
		}
	}
	return mm
}

// A way that begins a few thousandths of a millimetre beside a round piece and
// ends on the edge of another; found by random tests at high counts.
func TestWaysThatTouchPassOverNothingLoose(t *testing.T) {
	all := []geom.Path{
		geom.Circle(geom.Pt(1, 1.5), 4),
		geom.Move{Angle: 1, Shift: geom.Pt(1, 1)}.Path(box(-2.5, -5./3, 5, 5/1.5)),
		geom.Circle(geom.Pt(9.5, 1), 4),
	}
	a, b := geom.Pt(-2.875, 0.5), geom.Pt(13.5, 1)
	for most := a.Dist(b) + 1; most < 300; most *= 1.07 {
		way, ok := floorOf(all...).route(a, b, most)
		if !ok {
			continue
		}
		for _, r := range all {
			if d := deepest(way, r); d > dip {
				t.Errorf("%v passes over by %g mm", way.V, d)
			}
		}
	}
}

// Chords of a circle: whether one passes over it hangs on the height of its
// arc, r - sqrt(r*r - c*c/4), and on nothing else.
func TestAChordPassesOverByTheHeightOfItsArc(t *testing.T) {
	const r = 20.0
	for k := range 64 {
		turn := float64(k) * math.Pi / 32 // start and end at corners of the edge and between
		for _, high := range []float64{dip / 2, 0.9 * dip, 1.1 * dip, 2 * dip, 1, r} {
			half := math.Sqrt(r*r - (r-high)*(r-high))
			m := geom.Move{Angle: turn}
			a, b := m.Apply(geom.Pt(-half, r-high)), m.Apply(geom.Pt(half, r-high))
			for _, long := range []float64{0, 30} { // from edge to edge, and from far off
				out := b.Sub(a).Unit().Mul(long)
				f := floorOf(geom.Circle(geom.Pt(0, 0), r))
				if got := len(f.over(a.Sub(out), b.Add(out))) > 0; got != (high > dip) {
					t.Errorf("turned %g, %g mm deep, %g mm more: over it %v", turn, high, long, got)
				}
			}
		}
	}
}

// Whatever lies about, a way found passes over nothing loose and is no longer
// than allowed.
func TestWaysPassOverNothingLoose(t *testing.T) {
	found := 0
	rapid.Check(t, func(rt *rapid.T) {
		var all []geom.Path
		for range rapid.IntRange(1, 12).Draw(rt, "pieces") {
			at := geom.Pt(rapid.Float64Range(0, 300).Draw(rt, "x"), rapid.Float64Range(0, 300).Draw(rt, "y"))
			size := rapid.Float64Range(5, 60).Draw(rt, "size")
			if rapid.Bool().Draw(rt, "round") {
				all = append(all, geom.Circle(at, size/2))
			} else {
				all = append(all, geom.Move{Angle: rapid.Float64Range(0, 3).Draw(rt, "turn"), Shift: at}.Path(box(-size/2, -size/3, size, size/1.5)))
			}
		}
		free := func(name string) geom.Point {
			for range 50 {
				p := geom.Pt(rapid.Float64Range(-50, 350).Draw(rt, name), rapid.Float64Range(-50, 350).Draw(rt, name))
				clear := true
				for _, r := range all {
					clear = clear && r.Winding(p) == 0
				}
				if clear {
					return p
				}
			}
			rt.Skip("no free place")
			return geom.Point{}
		}
		a, b := free("a"), free("b")
		f := floorOf(all...)
		most := a.Dist(b) + 200
		way, ok := f.route(a, b, most)
		if !ok {
			return
		}
		found++
		if way.Start() != a || way.End() != b || way.Length() > most+geom.Join {
			rt.Fatalf("from %v to %v: %v", a, b, way)
		}
		for _, r := range all {
			if d := deepest(way, r); d > dip {
				rt.Fatalf("%v passes over a loose piece by %g", way.V, d)
			}
		}
	})
	if found == 0 {
		t.Error("no way was ever found")
	}
}
