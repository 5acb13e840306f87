package nest

import (
	"cmp"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// hull returns the convex hull, counter-clockwise: Andrew's monotone chain.
func hull(pts []geom.Point) []geom.Point {
	pts = slices.Clone(pts)
	slices.SortFunc(pts, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return pts
	}
	half := func(pts []geom.Point) []geom.Point {
		var out []geom.Point
		for _, p := range pts {
			for n := len(out); n >= 2 && out[n-1].Sub(out[n-2]).Cross(p.Sub(out[n-2])) <= 0; n = len(out) {
				out = out[:n-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	low := half(pts)
	slices.Reverse(pts)
	return append(low, half(pts)...)
}

// simplify drops corners of a ring that has metal on its left, so that the
// metal only grows and by no more than the area given: a corner that turns in
// is cut off, an edge between two corners that turn out is pushed out to where
// its neighbours meet. The cheapest change comes first; none may make the ring
// cross itself.
func simplify(ring []geom.Point, most float64) []geom.Point {
	ring = slices.Clone(ring)
	type change struct {
		at    int
		out   bool // the edge from at is pushed out to p
		p     geom.Point
		grows float64
	}
	for len(ring) > 4 {
		var all []change
		n := len(ring)
		turn := func(i int) float64 {
			a, b, c := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
			return b.Sub(a).Cross(c.Sub(b))
		}
		for i := range n {
			if t := turn(i); t <= 0 {
				all = append(all, change{at: i, grows: -t / 2})
				continue
			}
			if turn((i+1)%n) <= 0 {
				continue
			}
			a, b, c, d := ring[(i+n-1)%n], ring[i], ring[(i+1)%n], ring[(i+2)%n]
			u, v := b.Sub(a), c.Sub(d)
			den := u.Cross(v)
			if den <= 0 { // they do not meet beyond the edge
				continue
			}
			k := c.Sub(b).Cross(v) / den
			p := b.Add(u.Mul(k))
			if grows := p.Sub(b).Cross(c.Sub(b)) / -2; k > 0 && grows >= 0 || k > 0 {
				all = append(all, change{at: i, out: true, p: p, grows: max(grows, -grows)})
			}
		}
		slices.SortFunc(all, func(a, b change) int { return cmp.Or(cmp.Compare(a.grows, b.grows), a.at-b.at) })
		done := true
		for _, c := range all {
			if c.grows > most {
				break
			}
			next := slices.Clone(ring)
			if c.out {
				j := (c.at + 1) % n
				next[c.at] = c.p
				next = slices.Delete(next, j, j+1)
			} else {
				next = slices.Delete(next, c.at, c.at+1)
			}
			if !simple(next) {
				continue
			}
			most -= c.grows
			ring, done = next, false
			break
		}
		if done {
			break
		}
	}
	return ring
}

// simple reports whether no two edges of a ring cross or touch but at their
// shared corners.
func simple(ring []geom.Point) bool {
	n := len(ring)
	for i := range n {
		a, b := ring[i], ring[(i+1)%n]
		for k := i + 1; k < n; k++ {
			if k == i+1 || i == 0 && k == n-1 {
				continue
			}
			c, d := ring[k], ring[(k+1)%n]
			if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) || max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
				continue
			}
			if b.Sub(a).Cross(c.Sub(a))*b.Sub(a).Cross(d.Sub(a)) <= 0 && d.Sub(c).Cross(a.Sub(c))*d.Sub(c).Cross(b.Sub(c)) <= 0 {
				return false
			}
		}
	}
	return true
}
