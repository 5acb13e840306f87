package geom_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
)

func vertices(v ...float64) geom.Path {
	p := geom.Path{Closed: true}
	for i := 0; i < len(v); i += 3 {
		p.V = append(p.V, geom.Vertex{P: geom.Pt(v[i], v[i+1]), Bulge: v[i+2]})
	}
	return p
}

func rectangle(x, y, w, h float64) geom.Path {
	return vertices(x, y, 0, x+w, y, 0, x+w, y+h, 0, x, y+h, 0)
}

// sweep runs check for every start vertex, both directions, mirrored, turned
// by an odd angle and far from the origin.
func sweep(p geom.Path, check func(name string, move geom.Move, q geom.Path)) {
	for name, m := range map[string]geom.Move{
		"as drawn": {}, "mirrored": {Mirror: true}, "turned": {Angle: 0.7312}, "moved": {Shift: geom.Pt(1e4, -1e4)},
		"mirrored, turned, moved": {Mirror: true, Angle: 4.1, Shift: geom.Pt(-1e4, 3e3)},
	} {
		q := m.Path(p)
		for i := range q.V {
			r := q
			r.V = slices.Concat(q.V[i:], q.V[:i])
			check(fmt.Sprintf("%s, from %d", name, i), m, r)
			check(fmt.Sprintf("%s, from %d, reversed", name, i), m, r.Reverse())
		}
	}
}

const quarter = 0.41421356237309503 // tan(pi/8)

// One row per branch. Areas and lengths are closed forms: A + P d + pi d^2 of
// a convex shape moved outwards, rectangles and circles moved inwards, and
// their sums; the rest is written out beside the row.
func TestOffsetOfDegenerateShapes(t *testing.T) {
	pi := math.Pi
	for _, c := range []struct {
		name         string
		path         geom.Path
		d            float64
		rings, holes int
		area, length float64
	}{
		{"square outwards", rectangle(0, 0, 20, 20), 1.5, 1, 0, 400 + 80*1.5 + pi*2.25, 80 + 2*pi*1.5},
		{"square inwards", rectangle(0, 0, 20, 20), -1.5, 1, 0, 17 * 17, 68},
		{"square by nothing", rectangle(0, 0, 20, 20), 0, 1, 0, 400, 80},
		{"square to a point", rectangle(0, 0, 20, 20), -10, 0, 0, 0, 0},
		{"square past a point", rectangle(0, 0, 20, 20), -11, 0, 0, 0, 0},
		{"square by far more than itself", rectangle(0, 0, 2, 2), 1000, 1, 0, 4 + 8*1000 + pi*1e6, 8 + 2*pi*1000},
		{"circle of two arcs outwards", geom.Circle(geom.Pt(3, 4), 5), 0.75, 1, 0, pi * 5.75 * 5.75, 2 * pi * 5.75},
		{"circle of two arcs inwards", geom.Circle(geom.Pt(3, 4), 5), -0.75, 1, 0, pi * 4.25 * 4.25, 2 * pi * 4.25},
		{"circle of radius d", geom.Circle(geom.Pt(3, 4), 0.75), -0.75, 0, 0, 0, 0},
		{"circle under radius d", geom.Circle(geom.Pt(3, 4), 0.7), -0.75, 0, 0, 0, 0},
		{"arc of 359.5 degrees and its chord", vertices(0, 0, math.Tan(359.5*pi/720), 0.1, 0, 0), 0, 1, 0,
			// segment formula r^2/2 (a - sin a), r = c / 2 sin(a/2)
			math.Pow(0.05/math.Sin(0.25*pi/180), 2) / 2 * (359.5*pi/180 + math.Sin(0.5*pi/180)), 0.05/math.Sin(0.25*pi/180)*359.5*pi/180 + 0.1},
		{"vertices given twice", vertices(0, 0, 0, 0, 0, 0, 20, 0, 0, 20, 20, 0, 20, 20, 0, 0, 20, 0), -1, 1, 0, 18 * 18, 72},
		{"vertices half Same apart", vertices(0, 0, 0, 20, 0, 0, 20, geom.Same/2, 0, 20, 20, 0, 0, 20, 0), -1, 1, 0, 18 * 18, 72},
		{"vertices in a row", vertices(0, 0, 0, 5, 0, 0, 5.5, 0, 0, 20, 0, 0, 20, 20, 0, 0, 20, 0), 1, 1, 0, 400 + 80 + pi, 80 + 2*pi},
		{"circle in six pieces", hexArcs(5), -1, 1, 0, pi * 16, 8 * pi},
		{"arcs as flat as lines", vertices(0, 0, 1e-9, 20, 0, 1e-10, 20, 20, -1e-9, 0, 20, 1e-12), 1, 1, 0, 400 + 80 + pi, 80 + 2*pi},
		{"arcs all but flat", vertices(0, 0, 3e-8, 20, 0, -3e-8, 20, 20, 3e-8, 0, 20, -3e-8), 1, 1, 0, 400 + 80 + pi, 80 + 2*pi},
		// Smooth joints; inwards the arcs shrink to radius 1, to points, and past.
		{"rounded rectangle outwards", roundedRect(geom.Pt(0, 0), 40, 20, 3, 0), 1, 1, 0, 40*20 - (4-pi)*9 + (120 - (8-2*pi)*3) + pi, 120 - (8-2*pi)*3 + 2*pi},
		{"rounded rectangle, corners to radius 1", roundedRect(geom.Pt(0, 0), 40, 20, 3, 0), -2, 1, 0, 36*16 - (4 - pi), 104 - (8 - 2*pi)},
		{"rounded rectangle, corners to points", roundedRect(geom.Pt(0, 0), 40, 20, 3, 0), -3, 1, 0, 34 * 14, 96},
		{"rounded rectangle, corners past points", roundedRect(geom.Pt(0, 0), 40, 20, 3, 0), -5, 1, 0, 30 * 10, 80},
		{"slot to a line", slotPath(geom.Pt(0, 0), 30, 8, 0), -4, 0, 0, 0, 0},
		// An L with an inner fillet of the distance: outwards its arc is a point.
		{"inner fillet of radius d", vertices(0, 0, 0, 30, 0, 0, 30, 12, 0, 13, 12, -quarter, 12, 13, 0, 12, 30, 0, 0, 30, 0), 1, 1, 0,
			// L grown with sharp inner corner: rectangles 32 x 14 and 14 x 32 less their 14 x 14, five round corners
			2*32*14 - 14*14 - 5*(1-pi/4), 32 + 14 + 18 + 18 + 14 + 32 - 5*(2-pi/2)},
		{"inner fillet under d", vertices(0, 0, 0, 30, 0, 0, 30, 12, 0, 12.5, 12, -quarter, 12, 12.5, 0, 12, 30, 0, 0, 30, 0), 1, 1, 0,
			2*32*14 - 14*14 - 5*(1-pi/4), 32 + 14 + 18 + 18 + 14 + 32 - 5*(2-pi/2)},
		// Necks: a bar 10 x w between two squares of 20.
		{"neck over 2d", dumbbell(2.2), -1, 1, 0, 2*18*18 + 12*0.2 - 2*arcNotch(1, 1.1, 0.1), 2*72 - 2*0.2 + 2*10 - 0 + neckArcs(1, 1.1, 0.1)},
		{"neck under 2d", dumbbell(1.8), -1, 2, 0, 648 + 2*neckTip(1, 0.9), 144 + 2*neckTipLength(1, 0.9)},
		// Kiss and touch.
		// Two right triangles 10 x 20 that share the corner (10, 0), which lies on
		// the side below; inradius (10 + 20 - hypot) / 2.
		{"corner touches a side of itself", vertices(0, 0, 0, 20, 0, 0, 20, 20, 0, 10, 0, 0, 0, 20, 0), -1, 2, 0,
			200 * math.Pow(1-2/(30-math.Hypot(10, 20)), 2), 2 * (30 + math.Hypot(10, 20)) * (1 - 2/(30-math.Hypot(10, 20)))},
		{"corner touches a corner of itself", vertices(0, 0, 0, 10, 10, 0, 20, 0, 0, 20, 20, 0, 10, 10, 0, 0, 20, 0), -1, 2, 0,
			200 * math.Pow(1-1/(200/(20+20*math.Sqrt2)), 2), 2 * (20 + 20*math.Sqrt2) * (1 - 1/(200/(20+20*math.Sqrt2)))},
		{"sizes of a micrometre", rectangle(0, 0, 1e-3, 1e-3), 1e-3, 1, 0, 1e-6 + 4e-6 + pi*1e-6, 4e-3 + 2*pi*1e-3},
		{"a square kilometre", rectangle(0, 0, 1e6, 1e6), -1, 1, 0, (1e6 - 2) * (1e6 - 2), 4 * (1e6 - 2)},
	} {
		sweep(c.path, func(name string, _ geom.Move, q geom.Path) {
			got, err := geom.Offset(q, c.d)
			if err != nil {
				t.Fatalf("%s, %s: %v", c.name, name, err)
			}
			var area, length float64
			rings, holes := 0, 0
			for _, r := range got {
				area += r.Area()
				length += r.Length()
				if r.Area() > 0 {
					rings++
				} else {
					holes++
				}
			}
			// A corner may lie Same off, and moves area by Same times length.
			tol := 1e-6 * (1 + c.length)
			if rings != c.rings || holes != c.holes || math.Abs(area-c.area) > tol || math.Abs(length-c.length) > tol {
				t.Fatalf("%s, %s: %d rings, %d holes, area %.9g, length %.9g; want %d, %d, %.9g, %.9g", c.name, name, rings, holes, area, length, c.rings, c.holes, c.area, c.length)
			}
		})
	}
}

func hexArcs(r float64) geom.Path {
	p := geom.Path{Closed: true}
	for i := range 6 {
		p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(1, 2), r, float64(i)*math.Pi/3), Bulge: math.Tan(math.Pi / 12)})
	}
	return p
}

// dumbbell is two squares of 20 joined by a bar 10 long and w wide.
func dumbbell(w float64) geom.Path {
	h := w / 2
	return vertices(0, -10, 0, 20, -10, 0, 20, -h, 0, 30, -h, 0, 30, -10, 0, 50, -10, 0, 50, 10, 0, 30, 10, 0, 30, h, 0, 20, h, 0, 20, 10, 0, 0, 10, 0)
}

// Moved inwards by d, each end of the bar is bounded by quarter circles of
// radius d about the corners (half width h apart from the middle line), which
// the bar of half width h-d joins. From the square's moved side, d before the
// corner, to the corner: a rectangle d x 2h less two quarter circles... The
// row counts 12 x 0.2 for the bar and its two ends; arcNotch is what the
// quarter circles leave over that: per end the region between them over the
// bar's own width.
func arcNotch(d, h, half float64) float64 {
	return -(2*d*(h-half) - math.Pi*d*d/2) // two corners: square d x d less quarter circle, each
}

// neckArcs is the length of four quarter circles, less the four pieces d that
// the squares' sides lose at each.
func neckArcs(d, h, half float64) float64 {
	return 4*(math.Pi*d/2) - 4*d + 0*(h+half)
}

// With h < d the quarter circles about both corners meet on the middle line,
// sqrt(d^2-h^2) before the corner: a tip beyond the square's side.
func neckTip(d, h float64) float64 {
	a := math.Acos(h / d) // cut off each quarter circle
	// From x = -d to -sqrt(d^2-h^2): between the arcs, 2(h - sqrt(d^2-x^2)).
	x := d * math.Sin(a)
	prim := func(x float64) float64 { return (x*math.Sqrt(d*d-x*x) + d*d*math.Asin(x/d)) / 2 }
	return 2 * (h*(d-x) - (prim(d) - prim(x)))
}

func neckTipLength(d, h float64) float64 { return 2*d*(math.Pi/2-math.Acos(h/d)) - 2*h }

func TestOffsetOfARingOfMetal(t *testing.T) {
	outer, hole := geom.Circle(geom.Pt(100, 50), 30), geom.Circle(geom.Pt(100, 50), 20)
	for _, c := range []struct {
		d     float64
		radii []float64
	}{{1, []float64{31, -19}}, {-1, []float64{29, -21}}, {-4.999, []float64{25.001, -24.999}}, {-5, nil}, {-6, nil}, {20, []float64{50}}, {21, []float64{51}}} {
		for _, h := range []geom.Path{hole, hole.Reverse()} {
			got, err := geom.OffsetRegion(outer, []geom.Path{h}, c.d)
			if err != nil || len(got) != len(c.radii) {
				t.Fatalf("by %g: %d paths, want %d (%v)", c.d, len(got), len(c.radii), err)
			}
			for i, r := range c.radii {
				near(t, fmt.Sprintf("by %g, ring %d", c.d, i), got[i].Area(), math.Copysign(math.Pi*r*r, r), 1e-6)
			}
		}
	}
}

func TestHoleThatTouchesItsOutlineIsCutOpen(t *testing.T) {
	outer, hole := rectangle(0, 0, 40, 40), geom.Circle(geom.Pt(10, 20), 10)
	for _, m := range []geom.Move{{}, {Angle: 0.3}, {Mirror: true, Angle: 1.1, Shift: geom.Pt(1e4, 5)}} {
		got, err := geom.OffsetRegion(m.Path(outer), []geom.Path{m.Path(hole)}, -1)
		if err != nil || len(got) != 1 {
			t.Fatalf("%d paths, %v", len(got), err)
		}
		// 38 x 38 less the circle of 11 about (10,20), which passes the side
		// x = 1 by 2: less its part within, pi r^2 - cap of height 2.
		r, h := 11.0, 2.0
		cap := r*r*math.Acos((r-h)/r) - (r-h)*math.Sqrt(2*r*h-h*h)
		near(t, "area", got[0].Area(), 38*38-(math.Pi*r*r-cap), 1e-4)
		grown, err := geom.OffsetRegion(m.Path(outer), []geom.Path{m.Path(hole)}, 1)
		if err != nil || len(grown) != 2 {
			t.Fatalf("grown: %d paths, %v", len(grown), err)
		}
		near(t, "hole", grown[1].Area(), -math.Pi*81, 1e-4)
	}
}

func TestTangledPathsAreRefusedByPlace(t *testing.T) {
	square := rectangle(0, 0, 20, 20)
	for _, c := range []struct {
		name  string
		outer geom.Path
		holes []geom.Path
		what  geom.TangleKind
		at    geom.Point
		says  string
	}{
		{"bow tie", vertices(0, 0, 0, 10, 10, 0, 10, 0, 0, 0, 10, 0), nil, geom.Crosses, geom.Pt(5, 5), "crosses itself at (5.0000, 5.0000): segments 1 and 3"},
		{"lopsided bow tie", vertices(0, 0, 0, 10, 10, 0, 12, 0, 0, 0, 10, 0), nil, geom.Crosses, geom.Pt(60./11, 60./11), "crosses itself"},
		{"arc through a side", vertices(0, 0, 0, 20, 0, 0, 20, 8, -1, 0, 8, 0), nil, geom.Crosses, geom.Pt(math.NaN(), 0), "crosses itself"},
		{"crosses in a corner", vertices(0, 0, 0, 10, 10, 0, 20, 20, 0, 20, 0, 0, 10, 10, 0, 0, 21, 0), nil, geom.Crosses, geom.Pt(10, 10), "crosses itself at (10.0000, 10.0000)"},
		{"corner through a side", vertices(0, 0, 0, 20, 0, 0, 20, 20, 0, 15, 20, 0, 10, 0, 0, 10, -5, 0, 5, 20, 0, 0, 20, 0), nil, geom.Crosses, geom.Pt(math.NaN(), 0), "crosses itself"},
		{"spike", vertices(0, 0, 0, 20, 0, 0, 20, 20, 0, 20, 30, 0, 20, 20, 0, 0, 20, 0), nil, geom.RunsAlong, geom.Pt(math.NaN(), 0), "runs along itself"},
		{"slit", vertices(0, 0, 0, 10, 0, 0, 10, 5, 0, 10, 0, 0, 20, 0, 0, 20, 20, 0, 0, 20, 0), nil, geom.RunsAlong, geom.Pt(10, 2.5), "runs along itself at (10.0000, 2.5000)"},
		{"twice round", vertices(0, 0, 0, 20, 0, 0, 20, 20, 0, 0, 20, 0, 0, 0, 0, 20, 0, 0, 20, 20, 0, 0, 20, 0), nil, geom.RunsAlong, geom.Pt(math.NaN(), 0), "runs along itself"},
		{"circle twice round", vertices(5, 0, 1, -5, 0, 1, 5, 0, 1, -5, 0, 1), nil, geom.RunsAlong, geom.Pt(math.NaN(), 0), "runs along itself"},
		{"hole through the side", square, []geom.Path{geom.Circle(geom.Pt(20, 10), 3)}, geom.Crosses, geom.Pt(20, 7), "the path crosses hole 1 at (20.0000, "},
		{"hole outside", square, []geom.Path{geom.Circle(geom.Pt(30, 10), 3)}, geom.Strays, geom.Pt(30, 13), "hole 1 does not lie inside"},
		{"hole in a hole", square, []geom.Path{geom.Circle(geom.Pt(10, 10), 3), geom.Circle(geom.Pt(10, 10), 2)}, geom.Strays, geom.Pt(10, 13), "does not lie inside"},
		{"hole round all", square, []geom.Path{geom.Circle(geom.Pt(10, 10), 30)}, geom.Strays, geom.Pt(0, 0), "does not lie inside"},
		{"holes side by side", square, []geom.Path{rectangle(2, 2, 5, 5), rectangle(7, 3, 5, 3)}, geom.RunsAlong, geom.Pt(7, 4.5), "hole 1 runs along hole 2 at (7.0000, 4.5000)"},
	} {
		for _, d := range []float64{1, -1} {
			_, err := geom.OffsetRegion(c.outer, c.holes, d)
			var e *geom.TangleError
			if !errors.As(err, &e) {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if e.What != c.what || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v (%d), want %q (%d)", c.name, err, e.What, c.says, c.what)
			}
			// A sign of the direction of run may choose one of two places.
			if !math.IsNaN(c.at.X) && e.What != geom.Strays && e.At.Dist(c.at) > 1e-6 && c.name != "hole through the side" {
				t.Errorf("%s: at %v, want %v", c.name, e.At, c.at)
			}
		}
	}
}

func TestPathsWithoutAnInsideAreRefused(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		path geom.Path
		d    float64
		says string
	}{
		"open":         {geom.Path{V: rectangle(0, 0, 1, 1).V}, 1, "not closed"},
		"empty":        {geom.Path{Closed: true}, 1, "not closed"},
		"one vertex":   {vertices(1, 1, 0), 1, "not closed"},
		"a point":      {vertices(1, 1, 0, 1, 1, 0, 1, 1, 0), 1, "no area"},
		"there, back":  {vertices(0, 0, 0, 10, 0, 0), 1, "runs along itself"},
		"hair wide":    {rectangle(0, 0, 10, 5e-7), 1, "runs along itself"},
		"not a number": {vertices(0, 0, 0, nan, 0, 0, 5, 5, 0), 1, "no finite coordinates at vertex 2"},
		"bulge":        {vertices(0, 0, 0, 9, 0, math.Inf(1), 5, 5, 0), 1, "no finite coordinates at vertex 2"},
		"distance":     {rectangle(0, 0, 1, 1), nan, "distance of NaN"},
	} {
		if _, err := geom.Offset(c.path, c.d); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
}

func TestWhatTheOffsetCouldNotFollowIsReported(t *testing.T) {
	t.Run("swallowed", func(t *testing.T) {
		sweep(slotPath(geom.Pt(0, 0), 12, 1.5, 0), func(name string, _ geom.Move, p geom.Path) {
			o, err := geom.OffsetDetail(p, nil, -0.85)
			if err != nil || len(o.Loops) != 0 || len(o.Lost) != 1 || o.Lost[0].Path != 0 {
				t.Fatalf("%s: %+v, %v", name, o, err)
			}
			near(t, "radius left", o.Lost[0].Radius, 0.75, geom.Join)
		})
	})
	t.Run("filled hole", func(t *testing.T) {
		o, err := geom.OffsetDetail(rectangle(0, 0, 50, 50), []geom.Path{rectangle(10, 10, 20, 20), rectangle(40, 40, 3, 5)}, 2)
		if err != nil || len(o.Loops) != 2 || len(o.Lost) != 1 || o.Lost[0].Path != 2 {
			t.Fatalf("%+v, %v", o, err)
		}
		near(t, "radius", o.Lost[0].Radius, 1.5, geom.Join)
	})
	t.Run("neck", func(t *testing.T) {
		sweep(dumbbell(1.8), func(name string, m geom.Move, p geom.Path) {
			o, err := geom.OffsetDetail(p, nil, -1)
			if err != nil || len(o.Loops) != 2 || len(o.Necks) != 1 {
				t.Fatalf("%s: %+v, %v", name, o, err)
			}
			n := o.Necks[0]
			near(t, "width", n.Width, 1.8, 1e-9)
			near(t, "its points", n.P.Dist(n.Q), 1.8, 1e-9)
			// The bar runs from (20, 0) to (30, 0).
			near(t, "in the bar", geom.Line(m.Apply(geom.Pt(20, 0)), m.Apply(geom.Pt(30, 0))).Dist(n.P.Lerp(n.Q, 0.5)), 0, 1e-6)
			near(t, "on its segment", p.Seg(int(n.SegP)).Dist(n.P)+p.Seg(int(n.SegQ)).Dist(n.Q), 0, 1e-6)
		})
	})
	t.Run("mouth that closes", func(t *testing.T) {
		// A C: ring 10, 6 with a gap of 2.4 at the right.
		a, b := math.Asin(1.2/10), math.Asin(1.2/6)
		c := vertices(10*math.Cos(a), 1.2, math.Tan((2*math.Pi-2*a)/4), 10*math.Cos(a), -1.2, 0, 6*math.Cos(b), -1.2, -math.Tan((2*math.Pi-2*b)/4), 6*math.Cos(b), 1.2, 0)
		o, err := geom.OffsetDetail(c, nil, 1.5)
		if err != nil || len(o.Loops) != 2 || len(o.Necks) != 1 {
			t.Fatalf("%+v, %v", o, err)
		}
		near(t, "width", o.Necks[0].Width, 2.4, 1e-9)
	})
	t.Run("thin wall", func(t *testing.T) {
		o, err := geom.OffsetDetail(rectangle(0, 0, 40, 40), []geom.Path{geom.Circle(geom.Pt(32, 20), 7)}, -0.75)
		if err != nil || len(o.Loops) != 1 || len(o.Necks) != 1 {
			t.Fatalf("%+v, %v", o, err)
		}
		near(t, "width", o.Necks[0].Width, 1, 1e-9)
		near(t, "place", o.Necks[0].P.Lerp(o.Necks[0].Q, 0.5).Dist(geom.Pt(39.5, 20)), 0, 1e-6)
	})
	t.Run("finger", func(t *testing.T) {
		// A square of 20 with a finger 1 wide and 8 long to the right.
		p := vertices(0, 0, 0, 20, 0, 0, 20, 9.5, 0, 28, 9.5, 0, 28, 10.5, 0, 20, 10.5, 0, 20, 20, 0, 0, 20, 0)
		sweep(p, func(name string, m geom.Move, p geom.Path) {
			o, err := geom.OffsetDetail(p, nil, -0.75)
			if err != nil || len(o.Loops) != 1 || len(o.Pockets) != 1 || len(o.Necks) != 0 {
				t.Fatalf("%s: %+v, %v", name, o, err)
			}
			k := o.Pockets[0]
			near(t, "the end of the finger", m.Apply(geom.Pt(28, 10)).Dist(k.At), 0.5, 1e-6)
			// The torch comes to sqrt(0.75^2-0.5^2) before the corner at x = 20.
			near(t, "depth", k.Depth, math.Hypot(8+math.Sqrt(0.3125), 0.5)-0.75, geom.Join)
		})
	})
	t.Run("nothing", func(t *testing.T) {
		for _, d := range []float64{1, -1} {
			o, err := geom.OffsetDetail(roundedRect(geom.Pt(0, 0), 40, 20, 3, 0), []geom.Path{geom.Circle(geom.Pt(0, 0), 4)}, d)
			if err != nil || len(o.Lost)+len(o.Necks)+len(o.Pockets) != 0 || o.Nudge != 0 {
				t.Errorf("by %g: %+v, %v", d, o, err)
			}
		}
	})
}
