package nest

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// region is a shape at one angle, about its own zero: rings with the metal on
// their left.
type region struct {
	rings [][]geom.Point
	box   geom.Box
	area  float64
	poles []geom.Disc
	hull  float64 // area of the convex hull
	small float64 // shorter side of the box
}

// newRegion turns the rings the right way round: outside counter-clockwise,
// holes clockwise. Rings of no area are dropped.
func newRegion(rings [][]geom.Point) *region {
	r := &region{box: geom.EmptyBox()}
	for i, ring := range rings {
		a := ringArea(ring)
		if a == 0 || len(ring) < 3 {
			continue
		}
		depth := 0
		for k, o := range rings {
			if k != i && len(o) >= 3 && inRing(o, ring[0]) {
				depth++
			}
		}
		out := make([]geom.Point, len(ring))
		copy(out, ring)
		if (depth%2 == 0) != (a > 0) {
			for x, y := 0, len(out)-1; x < y; x, y = x+1, y-1 {
				out[x], out[y] = out[y], out[x]
			}
		}
		r.rings = append(r.rings, out)
	}
	for _, ring := range r.rings {
		r.area += ringArea(ring)
		for _, p := range ring {
			r.box = r.box.Add(p)
		}
	}
	r.small = min(r.box.Width(), r.box.Height())
	if len(r.rings) > 0 {
		r.hull = hullArea(r.rings)
	}
	return r
}

// turned returns the region flipped, then turned; poles go with it.
func (r *region) turned(flip bool, angle float64) *region {
	m := geom.Move{Mirror: flip, Angle: angle}
	out := &region{box: geom.EmptyBox(), area: r.area, hull: r.hull}
	exact := exactTurn(angle)
	apply := func(p geom.Point) geom.Point {
		if exact == nil {
			return m.Apply(p)
		}
		if flip {
			p.X = -p.X
		}
		return exact(p)
	}
	for _, ring := range r.rings {
		n := make([]geom.Point, len(ring))
		for i, p := range ring {
			q := apply(p)
			if flip {
				n[len(ring)-1-i] = q
			} else {
				n[i] = q
			}
			out.box = out.box.Add(q)
		}
		out.rings = append(out.rings, n)
	}
	for _, d := range r.poles {
		out.poles = append(out.poles, geom.Disc{C: apply(d.C), R: d.R})
	}
	out.small = min(out.box.Width(), out.box.Height())
	return out
}

// exactTurn returns a turn by a multiple of a quarter without rounding, nil
// for other angles.
func exactTurn(angle float64) func(geom.Point) geom.Point {
	q := angle / (math.Pi / 2)
	n := math.Round(q)
	if math.Abs(q-n) > 1e-14 { // a quarter turn in rad is rounded to 16 digits
		return nil
	}
	switch int(n) & 3 {
	case 0:
		return func(p geom.Point) geom.Point { return p }
	case 1:
		return func(p geom.Point) geom.Point { return geom.Pt(-p.Y, p.X) }
	case 2:
		return func(p geom.Point) geom.Point { return geom.Pt(-p.X, -p.Y) }
	}
	return func(p geom.Point) geom.Point { return geom.Pt(p.Y, -p.X) }
}

func ringArea(ring []geom.Point) float64 {
	twice := 0.0
	for i, p := range ring {
		twice += p.Sub(ring[0]).Cross(ring[(i+1)%len(ring)].Sub(ring[0]))
	}
	return twice / 2
}

// inRing tells by the half-open rule (Hormann and Agathos 2001).
func inRing(ring []geom.Point, q geom.Point) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// holds reports whether q lies in the metal of the region.
func (r *region) holds(q geom.Point) bool {
	in := false
	for _, ring := range r.rings {
		if inRing(ring, q) {
			in = !in
		}
	}
	return in
}

// edgeDist returns the distance to the nearest edge.
func (r *region) edgeDist(q geom.Point) float64 {
	best := math.Inf(1)
	for _, ring := range r.rings {
		for i, a := range ring {
			best = min(best, pointToSeg(q, a, ring[(i+1)%len(ring)]))
		}
	}
	return best
}

func pointToSeg(q, a, b geom.Point) float64 {
	d := b.Sub(a)
	l := d.Dot(d)
	t := 0.0
	if l > 0 {
		t = min(1, max(0, q.Sub(a).Dot(d)/l))
	}
	return q.Dist(a.Add(d.Mul(t)))
}

// hullArea is the area of the convex hull (Andrew's monotone chain).
func hullArea(rings [][]geom.Point) float64 {
	var pts []geom.Point
	for _, r := range rings {
		pts = append(pts, r...)
	}
	return ringArea(hull(pts))
}

// Poles: at most mostPoles, fewer once they cover most of the area (the
// figures of arXiv 2509.13329).
const (
	mostPoles = 24
	poleGrid  = 48
)

// findPoles fills the region with circles, largest first, none over another:
// greedily over a grid of places, each then moved to where it is widest nearby.
func (r *region) findPoles() {
	step := max(r.box.Width(), r.box.Height()) / poleGrid
	if !(step > 0) {
		return
	}
	type spot struct {
		p geom.Point
		d float64
	}
	var spots []spot
	depth := func(p geom.Point) float64 {
		d := r.edgeDist(p)
		for _, o := range r.poles {
			d = min(d, p.Dist(o.C)-o.R)
		}
		return d
	}
	for y := r.box.Min.Y + step/2; y < r.box.Max.Y; y += step {
		for x := r.box.Min.X + step/2; x < r.box.Max.X; x += step {
			if p := geom.Pt(x, y); r.holds(p) {
				spots = append(spots, spot{p, r.edgeDist(p)})
			}
		}
	}
	if len(spots) == 0 { // thinner than the grid: a middle between two edges
		r.poles = append(r.poles, r.anyPole())
		return
	}
	covered := 0.0
	for len(r.poles) < mostPoles {
		best := -1
		for i := range spots {
			if best < 0 || spots[i].d > spots[best].d {
				best = i
			}
		}
		c, d := spots[best].p, spots[best].d
		if d <= 0 {
			break
		}
		for s := step / 2; s > step/50; s /= 2 {
			for again := true; again; {
				again = false
				for _, v := range [4]geom.Point{{X: s}, {X: -s}, {Y: s}, {Y: -s}} {
					if q := c.Add(v); r.holds(q) {
						if e := depth(q); e > d {
							c, d, again = q, e, true
						}
					}
				}
			}
		}
		r.poles = append(r.poles, geom.Disc{C: c, R: d})
		covered += math.Pi * d * d
		n := len(r.poles)
		if n >= 8 && covered > 0.9*r.area || n >= 16 && covered > 0.8*r.area || d < r.poles[0].R/40 {
			break
		}
		for i := range spots {
			spots[i].d = min(spots[i].d, spots[i].p.Dist(c)-d)
		}
	}
}

// anyPole finds some circle in a very thin region.
func (r *region) anyPole() geom.Disc {
	best := geom.Disc{C: r.box.Center()}
	for _, ring := range r.rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			m, n := a.Lerp(b, 0.5), b.Sub(a).Left().Unit()
			for s := r.small; s > r.small/1024; s /= 2 {
				if q := m.Add(n.Mul(s)); r.holds(q) {
					if d := r.edgeDist(q); d > best.R {
						best = geom.Disc{C: q, R: d}
					}
				}
			}
		}
	}
	return best
}

// overlap reports whether the metal of a at zero and of b at t share more
// than an edge: whether one goes deeper than tol into the other.
func overlap(a, b *region, t geom.Point, tol float64) bool {
	if a.box.Min.X >= b.box.Max.X+t.X-tol || b.box.Min.X+t.X >= a.box.Max.X-tol || a.box.Min.Y >= b.box.Max.Y+t.Y-tol || b.box.Min.Y+t.Y >= a.box.Max.Y-tol {
		return false
	}
	for i := range a.poles {
		for k := range b.poles {
			p, q := &a.poles[i], &b.poles[k]
			if d := p.R + q.R - tol; d > 0 {
				v := q.C.Add(t).Sub(p.C)
				if v.Dot(v) < d*d {
					return true
				}
			}
		}
	}
	for _, ra := range a.rings {
		for i, a0 := range ra {
			a1 := ra[(i+1)%len(ra)]
			da := a1.Sub(a0)
			la := tol * da.Len()
			lo, hi := geom.Pt(min(a0.X, a1.X), min(a0.Y, a1.Y)), geom.Pt(max(a0.X, a1.X), max(a0.Y, a1.Y))
			if hi.X < b.box.Min.X+t.X || lo.X > b.box.Max.X+t.X || hi.Y < b.box.Min.Y+t.Y || lo.Y > b.box.Max.Y+t.Y {
				continue
			}
			for _, rb := range b.rings {
				b0 := rb[len(rb)-1].Add(t)
				for _, q := range rb {
					b1 := q.Add(t)
					c0, c1 := b0, b1
					b0 = b1
					if c0.X < lo.X && c1.X < lo.X || c0.X > hi.X && c1.X > hi.X || c0.Y < lo.Y && c1.Y < lo.Y || c0.Y > hi.Y && c1.Y > hi.Y {
						continue
					}
					// On the line counts as outside: metal lies left of every edge.
					s0, s1 := da.Cross(c0.Sub(a0)) > la, da.Cross(c1.Sub(a0)) > la
					if s0 == s1 {
						continue
					}
					db := c1.Sub(c0)
					lb := tol * db.Len()
					if (db.Cross(a0.Sub(c0)) > lb) != (db.Cross(a1.Sub(c0)) > lb) {
						return true
					}
				}
			}
		}
	}
	return len(a.poles) > 0 && b.holds(a.poles[0].C.Sub(t)) || len(b.poles) > 0 && a.holds(b.poles[0].C.Add(t))
}
