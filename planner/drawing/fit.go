package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// fitter turns smooth curves into lines and arcs that stay within tol of them.
type fitter struct {
	tol    float64 // mm
	work   int     // done so far, in multiplications of a curve's evaluation
	budget int
}

// spent reports that curves have taken more work than the file allows.
func (f *fitter) spent() bool { return f.work > f.budget }

const (
	// corner is the turn between two pieces of a curve, in rad, from which on
	// they are fitted apart: over a stretch of 1 mm a smaller one moves nothing
	// by more than geom.Fit.
	corner = 0.02
	// samples is how many points of a stretch are measured for one trial; the
	// error of a biarc has one hump on each arc.
	samples = 14
	// spare is what is kept of the tolerance for what lies between samples:
	// the refined hump is within 1 % of the true one (test on the ellipse).
	spare = 0.97
)

// run appends the vertices of the fitted curve to dst, without its last point.
// The curve is fitted from the end that comes first, so that a copy drawn the
// other way round gives the same arcs.
func (f *fitter) run(dst []geom.Vertex, r curveRun, src int32) []geom.Vertex {
	p, q := r.ends()
	if !endFirst(p, q) {
		return f.forward(dst, r, src)
	}
	from := len(dst)
	dst = f.forward(dst, r.reverse(), src)
	// Turn the run round: segment k of n becomes segment n-1-k.
	return turnTail(dst, from, p, src)
}

// turnTail reverses the run dst[from:] that ends at p, which is not in it, so
// that it begins at p and its last point is left out.
func turnTail(dst []geom.Vertex, from int, p geom.Point, src int32) []geom.Vertex {
	run := append(append([]geom.Vertex{}, dst[from:]...), geom.Vertex{P: p, Src: src})
	rev := geom.Path{V: run}.Reverse()
	return append(dst[:from], rev.V[:len(rev.V)-1]...)
}

// endFirst reports whether the end q of a curve comes before its start p, by x
// and then y, with rounding let pass.
func endFirst(p, q geom.Point) bool {
	if math.Abs(p.X-q.X) > geom.Same {
		return q.X < p.X
	}
	return q.Y < p.Y
}

func less(p, q geom.Point) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }

// reverse returns the curve run the other way.
func (r curveRun) reverse() curveRun {
	out := make(curveRun, len(r))
	for i, s := range r {
		s.t0, s.t1 = s.t1, s.t0
		h := make([]hpoint, len(s.h))
		for k := range h {
			h[k] = s.h[len(h)-1-k]
		}
		s.h = h
		out[len(r)-1-i] = s
	}
	return out
}

func (f *fitter) forward(dst []geom.Vertex, r curveRun, src int32) []geom.Vertex {
	var todo curveRun // pieces that belong to one stretch
	flush := func() {
		for len(todo) > 0 {
			n := 1
			for n < len(todo) && todo[n-1].smoothInto(&todo[n]) {
				n++
			}
			dst = f.stretch(dst, todo[:n], src)
			todo = todo[n:]
		}
	}
	for _, s := range r {
		if s.kind == curveEllipse {
			flush()
			dst = f.oval(dst, s, src)
			continue
		}
		if seg, ok := s.asSeg(); ok {
			flush()
			for _, half := range seg.Split() {
				dst = append(dst, geom.Vertex{P: half.A, Bulge: half.Bulge, Src: src})
			}
			continue
		}
		todo = append(todo, s)
	}
	flush()
	return dst
}

func (s *smooth) smoothInto(t *smooth) bool {
	a, b := s.tangent(1), t.tangent(0)
	return math.Abs(math.Atan2(a.Cross(b), a.Dot(b))) <= corner
}

// tangent returns the unit direction at u. Where the derivative vanishes
// (control points that coincide) it is the direction a little further inside.
func (s *smooth) tangent(u float64) geom.Point {
	p, d := s.at(u)
	if l := d.Len(); l > 1e-9*(1+p.Len()) { // above the rounding of the derivative
		return d.Mul(1 / l)
	}
	const inside = 1.0 / 64
	if u < 0.5 {
		q, _ := s.at(u + inside)
		return q.Sub(p).Unit()
	}
	q, _ := s.at(u - inside)
	return p.Sub(q).Unit()
}

// asSeg recognises a Bézier that is a line, or stands for an arc: rational
// ones are exact; a cubic is what programs write for an arc of up to a quarter
// turn, with handles of 4/3 tan(sweep/4) r, and is then out by up to 2.8e-4 of
// the radius, always outwards. The arc through its ends is what was meant.
func (s *smooth) asSeg() (geom.Seg, bool) {
	p, q := s.start(), s.end()
	chord := q.Sub(p)
	c := chord.Len()
	if len(s.h) == 2 || c == 0 {
		return geom.Line(p, q), len(s.h) == 2 && c > 0
	}
	t, u := s.tangent(0), s.tangent(1)
	bend, leave := halfTan(t, chord), halfTan(chord, u)
	if !(math.Abs(bend) <= 1 && math.Abs(leave) <= 1) {
		return geom.Seg{}, false
	}
	seg := geom.Seg{A: p, B: q, Bulge: (bend + leave) / 2}
	worst := 0.0
	g := newGauge(seg)
	for k := 1; k < 8; k++ {
		m, _ := s.at(float64(k) / 8)
		worst = max(worst, g.dist(m))
	}
	if worst <= geom.Same && math.Abs(bend-leave) <= geom.Angle {
		return seg, true
	}
	if len(s.h) != 4 || s.rational || !g.arc {
		return geom.Seg{}, false
	}
	// Numbers of a file with three decimals move a handle by geom.Join.
	handle := 4.0 / 3 * math.Abs(seg.Bulge) * g.r
	h0 := math.Hypot(s.h[1].x-s.h[0].x, s.h[1].y-s.h[0].y)
	h1 := math.Hypot(s.h[3].x-s.h[2].x, s.h[3].y-s.h[2].y)
	slack := 0.005*handle + geom.Join // the two usual constants differ by 0.07 %
	meant := math.Abs(h0-handle) <= slack && math.Abs(h1-handle) <= slack &&
		math.Abs(bend-leave) <= 0.001+geom.Join/handle &&
		math.Abs(seg.Bulge) <= 0.45 && // tan(90/4 deg) is 0.414
		worst <= 3.2e-4*g.r+geom.Join
	return seg, meant
}

// stretch fits pieces that run smoothly into one another: from the start, the
// longest biarc that stays within tolerance, then on from there.
func (f *fitter) stretch(dst []geom.Vertex, r curveRun, src int32) []geom.Vertex {
	end := float64(len(r))
	u, step := 0.0, end
	for u < end && !f.spent() {
		var best [2]geom.Seg
		got, tooFar := 0.0, math.Inf(1)
		for try := step; ; {
			try = min(try, end-u)
			a, b, off, ok := f.trial(r, u, u+try)
			if ok {
				best, got = [2]geom.Seg{a, b}, try
			} else {
				tooFar = try
			}
			switch {
			case f.spent():
				return append(dst, geom.Vertex{P: r.point(u), Src: src})
			case got >= end-u || got > 0 && (tooFar < 1.15*got || ok && off > 0.65*f.tol):
			case got == 0:
				try *= f.reach(off, 0.5, 0.1, 0.8)
				continue
			case math.IsInf(tooFar, 1):
				try *= f.reach(off, 1.5, 1.15, 4)
				continue
			default:
				try = (got + tooFar) / 2
				continue
			}
			break
		}
		for _, s := range best {
			if s.A != s.B {
				dst = append(dst, geom.Vertex{P: s.A, Bulge: s.Bulge, Src: src})
				f.work += fitArc
			}
		}
		u += got
		if end-u < 1e-9*end { // rounding of the sum
			break
		}
		step = got
	}
	return dst
}

// reach is how much longer or shorter the next stretch to try is than one that
// was off by so much: the error of a biarc grows with the cube of its length
// (Meek and Walton 1995, from memory). Where the error is not known it is even.
func (f *fitter) reach(off, even, least, most float64) float64 {
	if off == 0 {
		return even
	}
	return max(least, min(most, math.Cbrt(0.85*f.tol/off)))
}

// at evaluates a stretch: piece by the whole part of u, place in it by the rest.
func (r curveRun) at(u float64) (*smooth, float64) {
	i := max(0, min(int(u), len(r)-1))
	return &r[i], u - float64(i)
}

func (r curveRun) point(u float64) geom.Point {
	s, v := r.at(u)
	p, _ := s.at(v)
	return p
}

// trial fits one biarc between u and v and measures it: off is how far it was
// found to be off, 0 if that is not why it failed.
func (f *fitter) trial(r curveRun, u, v float64) (a, b geom.Seg, off float64, ok bool) {
	s0, w0 := r.at(u)
	p, t := r.point(u), s0.tangent(w0)
	s1, w1 := r.at(v)
	if w1 == 0 && v > u && s1 != &r[0] { // the end of a piece, not the start of the next
		i := int(v) - 1
		s1, w1 = &r[i], 1
	}
	q, t1 := r.point(v), s1.tangent(w1)
	cost := max(len(s0.h)*len(s0.h), 16)
	if s0.kind == curveEllipse {
		cost = 50 // sine and cosine
	}
	a, b, ok = biarc(p, t, q, t1)
	if !ok {
		a, b = geom.Line(p, q), geom.Line(q, q)
	}
	ga, gb := newGauge(a), newGauge(b)
	dist := func(u float64) float64 {
		m := r.point(u)
		return min(ga.dist(m), gb.dist(m))
	}
	// Where a stretch is far too long, one of a few points shows it.
	for _, w := range [...]float64{0.5, 0.25, 0.75} {
		m := r.point(u + (v-u)*w)
		if off := min(ga.dist(m), gb.dist(m)); off > spare*f.tol && m.Dist(p) > f.tol/2 {
			f.work += 3 * cost
			return a, b, off, false
		}
	}
	f.work += (samples + 6) * cost
	var d [samples + 2]float64
	var pts [samples + 2]geom.Point
	pts[0], pts[samples+1] = p, q
	top, length := 0, 0.0
	for k := 1; k <= samples; k++ {
		m := r.point(u + (v-u)*float64(k)/(samples+1))
		length += m.Dist(pts[k-1])
		pts[k] = m
		d[k] = min(ga.dist(m), gb.dist(m))
		if d[k] > d[top] {
			top = k
		}
	}
	length += q.Dist(pts[samples])
	if length < f.tol/2 { // nothing in so short a stretch leaves the chord by more
		return geom.Line(p, q), geom.Line(q, q), d[top], true
	}
	if !ok || d[top] > spare*f.tol {
		return a, b, d[top], false
	}
	// The top of the parabola through the highest sample and its neighbours.
	if top > 0 {
		if bow := d[top-1] - 2*d[top] + d[top+1]; bow < 0 {
			shift := (d[top-1] - d[top+1]) / (2 * bow)
			if d := dist(u + (v-u)*(float64(top)+shift)/(samples+1)); d > spare*f.tol {
				return a, b, d, false
			}
		}
	}
	// Where the curve runs fast, samples lie far apart: look between them.
	even := length / (samples + 1)
	for k := 1; k < len(pts); k++ {
		if l := pts[k].Dist(pts[k-1]); l > 1.5*even {
			n := min(int(4*l/even), 4*samples)
			f.work += n * cost
			for i := 1; i < n; i++ {
				if d := dist(u + (v-u)*(float64(k-1)+float64(i)/float64(n))/(samples+1)); d > spare*f.tol {
					return a, b, d, false
				}
			}
		}
	}
	if sharp(pts[:], t, t1) {
		return a, b, 0, false
	}
	if flatBiarc(a, b, p, q) {
		return geom.Line(p, q), geom.Line(q, q), d[top], true
	}
	if !f.covers(r, u, v, pts[:], a) || !f.covers(r, u, v, pts[:], b) {
		return a, b, 0, false
	}
	return a, b, d[top], true
}

// sharp reports whether a curve, given by points on it and its directions at
// the ends, turns by more than
// 0.6 rad between one stretch and the next: round a bend that sharp it may
// lie on the arcs while these run past its tip.
func sharp(pts []geom.Point, t, end geom.Point) bool {
	for i := 1; i < len(pts); i++ {
		v := pts[i].Sub(pts[i-1])
		if math.Abs(t.Cross(v)) > tanSharp*t.Dot(v) {
			return true
		}
		t = v
	}
	return math.Abs(t.Cross(end)) > tanSharp*t.Dot(end)
}

// tanSharp is tan of 0.6 rad: two half circles turn by 0.42 between samples.
const tanSharp = 0.684

// covers reports whether points along an arc lie near the curve
// between u and v, of which pts are even samples: the other way of measuring.
// From the nearest sample two steps of Gauss and Newton find the foot.
func (f *fitter) covers(r curveRun, u, v float64, pts []geom.Point, s geom.Seg) bool {
	if s.A == s.B {
		return true
	}
	step := (v - u) / float64(len(pts)-1)
	parts := 4
	if s.Radius() < 10*f.tol { // round a hairpin the error has a narrow top
		parts = 24
	}
	for k := 1; k < parts; k++ {
		c := s.At(float64(k) / float64(parts))
		best, at := math.Inf(1), 0
		for i, p := range pts {
			if v := p.Sub(c); v.Dot(v) < best {
				best, at = v.Dot(v), i
			}
		}
		best = math.Sqrt(best)
		w := u + step*float64(at)
		for range 2 {
			if best <= spare*f.tol {
				break
			}
			piece, x := r.at(w)
			p, d := piece.at(x)
			w = min(v, max(u, w+c.Sub(p).Dot(d)/d.Dot(d)))
			if math.IsNaN(w) {
				return false
			}
			best = min(best, r.point(w).Dist(c))
		}
		if best > f.tol {
			return false
		}
	}
	return true
}

// flatBiarc reports whether both arcs are lines on one line.
func flatBiarc(a, b geom.Seg, p, q geom.Point) bool {
	return !a.IsArc() && !b.IsArc() && geom.Line(p, q).Dist(a.B) <= geom.Flat
}
