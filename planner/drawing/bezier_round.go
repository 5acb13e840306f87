package drawing

import (
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// Neither SVG as most programs write it nor PDF at all knows circles: they
// arrive as cubic Béziers, usually four, with handles of 4/3 tan(sweep/4) of
// the radius. A quarter turn so drawn lies up to 2.7e-4 of the radius outside
// the true circle, a half turn up to 1.8e-2. roundBeziers gives back what was
// drawn: a full turn becomes the circle through its end points, which all known
// constants leave on the true circle, and any other cubic that has the handles
// of an arc becomes that arc.
//
// An ellipse, or a curve that is only nearly an arc, stays a Bézier; those are
// fitted by arcs later, within a tolerance.

const (
	// handleError is how far the handles of an arc may be off 4/3 tan(sweep/4)
	// of the radius. The constant of least error for a quarter turn, 0.551915,
	// is off by 0.7e-3.
	handleError = 2e-3
	// handleTurn, in rad, is how far the two ends of an arc's Bézier may turn
	// from symmetry, beside rounding.
	handleTurn = 1e-4
	// Beyond a quarter turn and a little the curve itself is visibly no arc, so
	// that its handles must say all the more clearly that one was meant.
	wideSweep = 100 * math.Pi / 180
	wideError = 2e-4
)

// roundBeziers replaces Béziers by the arcs and circles that they stand for.
// Coordinates may be rounded by up to half of geom.Fit.
func (b *builder) roundBeziers() {
	b.endPath()
	r := &b.raw
	mm := r.Unit.MM
	if !(mm > 0) {
		mm = 1
	}
	eps := geom.Fit / 2 / mm
	for i := range r.items {
		it := &r.items[i]
		v := r.verts[it.first : it.first+it.n]
		bulges, any := r.arcBulges(v, it.closed, eps)
		if !any {
			continue
		}
		loop, turns := v, bulges
		if n := len(v); !it.closed && n > 2 && v[0].P.Dist(v[n-1].P) <= 2*eps { // back at its start, but not closed
			loop, turns = v[:n-1], bulges[:n-1]
		} else if !it.closed {
			loop = nil
		}
		if c, ok := wholeCircle(loop, turns, eps); ok {
			it.n, it.closed = 2, true
			b.noteOn(fault.Note, "bezier-circle", r.types[it.typ], it.layer, "a circle drawn as Béziers is a circle again", "",
				place{line: int(it.line), p: c, at: true})
			continue
		}
		it.n = int32(mergeArcs(v, bulges, eps))
	}
}

// arcBulges returns the bulge of every segment that is a Bézier for an arc, 0
// for the others.
func (r *Raw) arcBulges(v []rawVertex, closed bool, eps float64) (out []float64, any bool) {
	for i := range v {
		if v[i].Src == 0 || i == len(v)-1 && !closed {
			continue
		}
		c := r.curves[v[i].Src-1]
		if c.kind != curveBezier || c.n != 4 {
			continue
		}
		k := r.nums[c.first : c.first+8]
		b, ok := arcOfCubic(geom.Pt(k[0], k[1]), geom.Pt(k[2], k[3]), geom.Pt(k[4], k[5]), geom.Pt(k[6], k[7]), eps)
		if !ok {
			continue
		}
		if out == nil {
			out = make([]float64, len(v))
		}
		out[i], any = b, true
	}
	return out, any
}

// arcOfCubic returns the bulge of the arc that a cubic Bézier stands for. eps
// is the rounding of its coordinates.
func arcOfCubic(p0, p1, p2, p3 geom.Point, eps float64) (bulge float64, ok bool) {
	d, h1, h2 := p3.Sub(p0), p1.Sub(p0), p3.Sub(p2)
	c, l1, l2 := d.Len(), h1.Len(), h2.Len()
	if !(min(c, l1, l2) > 4*eps) {
		return 0, false
	}
	// Half the sweep is the turn from each handle to the chord.
	a := math.Atan2(h1.Cross(d), h1.Dot(d))
	b := math.Atan2(d.Cross(h2), d.Dot(h2))
	sweep := a + b
	if !(math.Abs(a-b) <= handleTurn+2*eps/l1+2*eps/l2) || math.Abs(sweep) > math.Pi*(1+1e-3) {
		return 0, false
	}
	bulge = geom.BulgeOf(sweep)
	s := geom.Seg{A: p0, B: p3, Bulge: bulge}
	if math.Abs(bulge)*c/2 <= 2*eps { // as good as straight
		return 0, false
	}
	want := s.Radius() * 4 / 3 * math.Tan(math.Abs(sweep)/4)
	within := handleError
	if math.Abs(sweep) > wideSweep {
		within = wideError
	}
	for _, l := range []float64{l1, l2} {
		if math.Abs(l-want) > within*want+2*eps {
			return 0, false
		}
	}
	return bulge, true
}

// wholeCircle reports whether the segments are arcs of one circle that go
// round it once; then v[0] and v[1] become two halves of it.
func wholeCircle(v []rawVertex, bulges []float64, eps float64) (c geom.Point, ok bool) {
	if len(v) < 2 {
		return c, false
	}
	turn := 0.0
	for _, b := range bulges {
		if b == 0 || b*bulges[0] < 0 {
			return c, false
		}
		turn += 4 * math.Atan(b)
	}
	const once = 0.01 // part of a turn that rounding may take or give
	if math.Abs(math.Abs(turn)/(2*math.Pi)-1) > once {
		return c, false
	}
	r := v[0].P.Dist(v[1].P) / 2
	c = v[0].P.Lerp(v[1].P, 0.5)
	if len(v) > 2 {
		pts := make([]geom.Point, len(v))
		for i := range v {
			pts[i] = v[i].P
		}
		if c, r, ok = circleOf(pts); !ok {
			return c, false
		}
	}
	for i := range v {
		if math.Abs(v[i].P.Dist(c)-r) > 2*eps {
			return c, false
		}
	}
	u := v[0].P.Sub(c).Unit()
	b := math.Copysign(1, turn)
	v[0] = rawVertex{P: c.Add(u.Mul(r)), Bulge: b}
	v[1] = rawVertex{P: c.Sub(u.Mul(r)), Bulge: b}
	return c, true
}

// mergeArcs writes the arcs into v, neighbours of one circle as one arc of at
// most a half turn, and returns how many vertices are left. bulges is 0 where
// a segment is no arc, as it is after the last vertex of an open run.
func mergeArcs(v []rawVertex, bulges []float64, eps float64) int {
	first := v[0].P // v is overwritten from the front
	end := func(i int) geom.Point {
		if i == len(v)-1 {
			return first
		}
		return v[i+1].P
	}
	out := 0
	for i := 0; i < len(v); {
		w, b := v[i], bulges[i]
		if b == 0 {
			v[out] = w
			out++
			i++
			continue
		}
		last := end(i)
		next := i + 1
		for next < len(v) && bulges[next]*b > 0 {
			to := end(next)
			both, ok := oneArc(geom.Seg{A: w.P, B: last, Bulge: b}, geom.Seg{A: last, B: to, Bulge: bulges[next]}, eps)
			if !ok {
				break
			}
			b, last = both, to
			next++
		}
		w.Src, w.Bulge = 0, b
		v[out] = w
		out++
		i = next
	}
	return out
}

// oneArc returns the bulge of the arc that two arcs make together.
func oneArc(a, b geom.Seg, eps float64) (float64, bool) {
	sweep := a.Sweep() + b.Sweep()
	const halfTurn = math.Pi * (1 + 1e-3) // with rounding
	if math.Abs(sweep) > halfTurn {
		return 0, false
	}
	bulge := geom.BulgeOf(sweep)
	if math.Abs(bulge) > 1 {
		bulge = math.Copysign(1, sweep)
	}
	s := geom.Seg{A: a.A, B: b.B, Bulge: bulge}
	if s.A.Dist(s.B) <= 4*eps {
		return 0, false
	}
	for _, p := range []geom.Point{a.Mid(), a.B, b.Mid()} {
		if s.Dist(p) > 2*eps {
			return 0, false
		}
	}
	return bulge, true
}
