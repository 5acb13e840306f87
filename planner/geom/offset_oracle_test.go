package geom_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	sf "github.com/peterstace/simplefeatures/geom"
)

// randomShape makes the kinds of outlines that shops draw, and worse: stars
// of lines and arcs, filleted polygons, combs with narrow gaps, bands along a
// walk, steps. Some cross themselves; those are for refusal.
func randomShape(r *rand.Rand) geom.Path {
	f := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	p := geom.Path{Closed: true}
	add := func(q geom.Point, bulge float64) { p.V = append(p.V, geom.Vertex{P: q, Bulge: bulge}) }
	switch r.IntN(6) {
	case 0, 1: // star of lines and arcs
		n, arcs := 3+r.IntN(40), r.IntN(3)
		in := f(3, 20)
		for i := range n {
			a := 2 * math.Pi * (float64(i) + f(-0.3, 0.3)) / float64(n)
			b := 0.0
			if arcs > 0 && r.IntN(2) == 0 {
				b = f(-0.8, 0.8) / float64(arcs*arcs)
			}
			add(geom.Polar(geom.Point{}, f(in, 22), a), b)
		}
	case 2: // filleted polygon
		n := 4 + r.IntN(12)
		for i := range n {
			a := 2 * math.Pi * (float64(i) + f(-0.3, 0.3)) / float64(n)
			add(geom.Polar(geom.Point{}, f(10, 30), a), 0)
		}
		p = fillet(p, func() float64 { return f(0.2, 3) })
	case 3: // comb, its gaps now and then as wide as they ought not to be
		n, y := 2+r.IntN(6), f(5, 20)
		x := 0.0
		add(geom.Pt(0, -f(2, 6)), 0)
		var top []geom.Point
		for i := range n {
			w, gap := f(0.5, 5), f(0.3, 4)
			top = append(top, geom.Pt(x, f(0, y)), geom.Pt(x+w, f(0, y)))
			x += w
			if i < n-1 {
				d := f(-1, 0)
				top = append(top, geom.Pt(x, d), geom.Pt(x+gap, d))
				x += gap
			}
		}
		add(geom.Pt(x, -f(2, 6)), 0)
		for i := len(top) - 1; i >= 0; i-- {
			b := 0.0
			if r.IntN(6) == 0 {
				b = f(-0.2, 0.2)
			}
			add(top[i], b)
		}
	case 4: // steps, down to a thousandth
		n := 3 + r.IntN(20)
		x, step := 0.0, math.Pow(10, f(-3, 0.5))
		add(geom.Pt(0, -10), 0)
		var up []geom.Point
		for range n {
			up = append(up, geom.Pt(x, f(0, step)))
			x += f(step/10, 3)
			up = append(up, geom.Pt(x, f(0, step)))
			x += f(0, step)
		}
		add(geom.Pt(x, -10), 0)
		for i := len(up) - 1; i >= 0; i-- {
			add(up[i], 0)
		}
	default: // a band of half circles and straights
		half, at, dir := f(0.5, 3), geom.Point{}, f(0, 6)
		var left, right []geom.Vertex
		for range 2 + r.IntN(6) {
			bend, l := f(-2.5, 2.5), f(1, 12)
			u, v := geom.Polar(geom.Point{}, 1, dir), geom.Polar(geom.Point{}, 1, dir+bend)
			to := at.Add(u.Mul(l))
			left = append(left, geom.Vertex{P: at.Add(u.Left().Mul(half))}, geom.Vertex{P: to.Add(u.Left().Mul(half)), Bulge: geom.BulgeOf(bend)})
			right = append(right, geom.Vertex{P: at.Sub(u.Left().Mul(half))}, geom.Vertex{P: to.Sub(u.Left().Mul(half)), Bulge: geom.BulgeOf(bend)})
			// The bend is about the inner corner, half + 0.5 away.
			c, rad := to.Add(u.Left().Mul(half+0.5)), half+0.5
			if bend < 0 {
				c, rad = to.Sub(u.Left().Mul(half+0.5)), -half-0.5
			}
			at, dir = c.Sub(v.Left().Mul(rad)), dir+bend
		}
		u := geom.Polar(geom.Point{}, 1, dir)
		p.V = append(p.V, right...)
		add(at.Sub(u.Left().Mul(half)), 1)
		add(at.Add(u.Left().Mul(half)), 0)
		for i := len(left) - 1; i >= 0; i-- {
			b := 0.0
			if i > 0 {
				b = -left[i-1].Bulge
			} else {
				b = 1
			}
			p.V = append(p.V, geom.Vertex{P: left[i].P, Bulge: b})
		}
	}
	if r.IntN(2) == 0 {
		p = p.Reverse()
	}
	return geom.Move{Angle: f(0, 6), Shift: geom.Pt(f(-500, 500), f(-500, 500))}.Path(p)
}

// fillet rounds corners of a polygon with tangent arcs that take up to a third
// of the shorter side.
func fillet(p geom.Path, radius func() float64) geom.Path {
	out, n := geom.Path{Closed: true}, len(p.V)
	for i := range n {
		a, c, b := p.V[(i+n-1)%n].P, p.V[i].P, p.V[(i+1)%n].P
		u, v := c.Sub(a).Unit(), b.Sub(c).Unit()
		turn := math.Atan2(u.Cross(v), u.Dot(v))
		t := min(radius()*math.Abs(math.Tan(turn/2)), min(a.Dist(c), c.Dist(b))/3)
		out.V = append(out.V, geom.Vertex{P: c.Sub(u.Mul(t)), Bulge: geom.BulgeOf(turn)}, geom.Vertex{P: c.Add(v.Mul(t))})
	}
	return out
}

const oracleSag = 2e-4

func toPolygon(sag float64, paths ...geom.Path) sf.Geometry {
	rings := make([]sf.LineString, len(paths))
	for i, p := range paths {
		var xy []float64
		pts := p.Flatten(sag)
		for _, q := range append(pts, pts[0]) {
			xy = append(xy, q.X, q.Y)
		}
		rings[i] = sf.NewLineString(sf.NewSequence(xy, sf.DimXY))
	}
	return sf.NewPolygon(rings).AsGeometry()
}

func fromGeometry(g sf.Geometry) []geom.Path {
	var out []geom.Path
	for _, part := range g.Dump() {
		if part.IsEmpty() || !part.IsPolygon() {
			continue
		}
		for _, ring := range part.MustAsPolygon().DumpRings() {
			p := geom.Path{Closed: true}
			c := ring.Coordinates()
			for i := range c.Length() - 1 {
				p.V = append(p.V, geom.Vertex{P: geom.Point(c.GetXY(i))})
			}
			if math.Abs(p.Area()) > 1e-4 { // it leaves slivers of no area
				out = append(out, p)
			}
		}
	}
	return out
}

// buffer is the oracle: a port of the well-known buffer, its own thinning of
// concave detail turned down to a millionth of the distance.
func buffer(sag, d float64, paths ...geom.Path) ([]geom.Path, error) {
	quad := max(8, int(math.Ceil(math.Pi/4/math.Acos(1-min(0.5, sag/math.Abs(d))))))
	g, err := sf.Buffer(toPolygon(sag, paths...), d, sf.BufferQuadSegments(quad), sf.BufferSimplifyFactor(1e-6))
	return fromGeometry(g), err
}

// verdict compares an offset with the oracle's. Where two moved edges cross at
// a small angle the chords' error grows, so they are made finer before the
// result is found wanting. fragile: a ring comes or goes within 0.005 mm of
// the distance. Specks under 1e-4 mm2 count on neither side.
func verdict(got []geom.Path, d float64, paths ...geom.Path) (off float64, fragile bool, err error) {
	got = slices.DeleteFunc(slices.Clone(got), func(p geom.Path) bool { return math.Abs(p.Area()) <= 1e-4 })
	for _, sag := range []float64{oracleSag, oracleSag / 20} {
		want, err := buffer(sag, d, paths...)
		if err != nil {
			return 0, false, err
		}
		if _, off = geom.Hausdorff(got, want, 1e-3); off <= 0.01 {
			return off, false, nil
		}
	}
	a, err1 := buffer(oracleSag, d+0.005, paths...)
	b, err2 := buffer(oracleSag, d-0.005, paths...)
	return off, err1 == nil && err2 == nil && (len(a) != len(b) || len(a) != len(got)), nil
}

func longRun() bool { return os.Getenv("KERFWRIGHT_LONG") != "" }

// Oracle: simplefeatures v0.59.0, Buffer. It works on chords 2e-4 off the
// arcs; where a ring comes or goes within 0.005 mm of the distance the two may
// differ by that ring, and are not compared.
func TestOffsetAgreesWithAnIndependentBuffer(t *testing.T) {
	shapes := 300
	if longRun() {
		shapes = 10000
	}
	compared, tangled, fragile, oracleFailed := 0, 0, 0, 0
	worst := 0.0
	for i := range shapes {
		r := rand.New(rand.NewPCG(20251125, uint64(i)))
		p := randomShape(r)
		d := math.Pow(10, -1+1.7*r.Float64()) // 0.1 to 5 mm
		if r.IntN(2) == 0 {
			d = -d
		}
		got, err := geom.Offset(p, d)
		valid := toPolygon(oracleSag, p).Validate() == nil
		if err != nil {
			var e *geom.TangleError
			if !errors.As(err, &e) {
				t.Errorf("shape %d by %g: %v", i, d, err)
			} else if a, b := p.Seg(e.Seg), p.Seg(e.Also); valid && (e.What != geom.Crosses || a.Dist(e.At) > geom.Same || b.Dist(e.At) > geom.Same) {
				// A loop of a few um at a tip may be lost on the chords: then
				// the place must speak for itself.
				t.Errorf("shape %d: %v, but it is simple", i, err)
			}
			tangled++
			continue
		}
		if !valid {
			if !nearlyTangled(p) {
				t.Errorf("shape %d by %g: offset, but it crosses itself", i, d)
			}
			tangled++
			continue
		}
		off, oneOrOther, err := verdict(got, d, p)
		switch {
		case err != nil:
			oracleFailed++
			continue
		case oneOrOther:
			fragile++
			continue
		}
		compared++
		if off > 0.01 {
			t.Errorf("shape %d by %g: %g mm off, %d rings", i, d, off, len(got))
		}
		worst = max(worst, off)
	}
	t.Logf("%d compared, worst %.4f mm; %d tangled and refused, %d with a ring within 5 um of coming or going, %d the oracle failed on", compared, worst, tangled, fragile, oracleFailed)
	if compared < shapes/2 {
		t.Errorf("only %d of %d shapes were compared", compared, shapes)
	}
}

// The same with holes: discs that fit well inside.
func TestOffsetOfRegionsAgreesWithAnIndependentBuffer(t *testing.T) {
	shapes := 100
	if longRun() {
		shapes = 2000
	}
	compared, fragile, tangled, oracleFailed := 0, 0, 0, 0
	for i := range shapes {
		r := rand.New(rand.NewPCG(77, uint64(i)))
		p := randomShape(r)
		if toPolygon(oracleSag, p).Validate() != nil {
			tangled++
			continue
		}
		var holes []geom.Path
		for _, d := range geom.Poles(p, nil, 0.05, 4) {
			holes = append(holes, geom.Circle(d.C, d.R*(0.3+0.6*r.Float64())))
		}
		d := math.Pow(10, -1+1.2*r.Float64())
		if r.IntN(2) == 0 {
			d = -d
		}
		got, err := geom.OffsetRegion(p, holes, d)
		var e *geom.TangleError
		if errors.As(err, &e) && e.What == geom.Crosses && e.Path == 0 && e.With == 0 && p.Seg(e.Seg).Dist(e.At)+p.Seg(e.Also).Dist(e.At) <= geom.Same {
			tangled++ // by a few um at a tip, lost on the chords
			continue
		}
		if err != nil {
			t.Errorf("shape %d by %g: %v", i, d, err)
			continue
		}
		off, oneOrOther, err := verdict(got, d, append([]geom.Path{p}, holes...)...)
		switch {
		case err != nil:
			oracleFailed++
		case oneOrOther:
			fragile++
		default:
			if compared++; off > 0.01 {
				t.Errorf("shape %d by %g: %g mm off, %d rings", i, d, off, len(got))
			}
		}
	}
	t.Logf("%d compared, %d tangled, %d with a ring within 5 um of coming or going, %d the oracle failed on", compared, tangled, fragile, oracleFailed)
	if compared < shapes/2 {
		t.Errorf("only %d of %d were compared", compared, shapes)
	}
}

// nearlyTangled reports whether p is simple or not depending on how its arcs
// are flattened: then nothing can be said.
func nearlyTangled(p geom.Path) bool {
	var xs [2]bool
	for i, tol := range []float64{1e-5, 1e-2} {
		var xy []float64
		pts := p.Flatten(tol)
		for _, q := range append(pts, pts[0]) {
			xy = append(xy, q.X, q.Y)
		}
		ls := sf.NewLineString(sf.NewSequence(xy, sf.DimXY))
		xs[i] = sf.NewPolygon([]sf.LineString{ls}).AsGeometry().Validate() == nil
	}
	return xs[0] != xs[1]
}
