package geom

import (
	"math"
)

// Clean returns the path without corners that lie within the given distance
// (mm) of the one before: repeated vertices and segments of no length. Of a
// closed path the last corner may go as well. A path that shrinks to a point
// keeps one vertex.
func (p Path) Clean(within float64) Path {
	if len(p.V) == 0 {
		return p
	}
	out := Path{V: make([]Vertex, 0, len(p.V)), Closed: p.Closed}
	for i, v := range p.V {
		if n := len(out.V); n > 0 && out.V[n-1].P.Dist(v.P) <= within {
			// An arc all but once round has its ends together.
			if s := p.Seg(i - 1); math.Abs(s.Bulge) <= 1 || s.Length() <= within {
				out.V[n-1].Bulge, out.V[n-1].Src = v.Bulge, v.Src
				continue
			}
		}
		out.V = append(out.V, v)
	}
	for n := len(out.V); p.Closed && n > 1; n = len(out.V) {
		last := out.Seg(n - 1)
		if last.A.Dist(last.B) > within || math.Abs(last.Bulge) > 1 && last.Length() > within {
			break
		}
		if n == 2 && math.Abs(out.V[0].Bulge) > 1 {
			break // that arc would lose its chord
		}
		// The segment that arrives at the last corner now ends at the first.
		out.V = out.V[:n-1]
	}
	return out
}

// Merge returns the path with runs of neighbours joined that are one line or
// one arc of at most half a circle, within the given distance (mm) of every
// corner and middle that is left out. Ends of an open path stay. A joined
// segment has the Src of its first.
func (p Path) Merge(within float64) Path {
	n := p.NumSegs()
	if n < 2 {
		return p
	}
	// Begin where nothing can be joined over the start, if there is such a place.
	start := 0
	if p.Closed {
		for i := range n {
			if _, ok := p.joined(i, 2, within); !ok {
				start = (i + 1) % n
				break
			}
		}
	}
	out := Path{V: make([]Vertex, 0, len(p.V)), Closed: p.Closed}
	for i := 0; i < n; {
		k := (start + i) % n
		run, bulge := 1, p.V[k].Bulge
		for i+run < n {
			b, ok := p.joined(k, run+1, within)
			if !ok {
				break
			}
			run, bulge = run+1, b
		}
		out.V = append(out.V, Vertex{p.V[k].P, bulge, p.V[k].Src})
		i += run
	}
	if !p.Closed {
		out.V = append(out.V, p.V[len(p.V)-1])
	} else if len(out.V) < 2 {
		return p
	}
	return out
}

// joined returns the bulge of the one segment that may stand for count of them
// from segment i on.
func (p Path) joined(i, count int, within float64) (bulge float64, ok bool) {
	n := len(p.V)
	sweep, sign, reach := 0.0, 0.0, 0.0
	for k := range count {
		s := p.Seg((i + k) % n)
		a := s.Sweep()
		if a*sign < 0 {
			return 0, false
		}
		if a != 0 {
			sign = a
		}
		sweep += a
		reach += s.Length()
	}
	if math.Abs(sweep) > math.Pi+Angle {
		return 0, false
	}
	last := p.Seg((i + count - 1) % n)
	one := Seg{p.V[i].P, last.B, max(-1, min(1, BulgeOf(sweep)))}
	// The same length to within what the corners may be off: no folds.
	if one.A.Near(one.B) || math.Abs(one.Length()-reach) > 2*float64(count)*within {
		return 0, false
	}
	f := newForm(one)
	for k := range count {
		s := p.Seg((i + k) % n)
		if f.dist(s.Mid()) > within || f.dist(s.B) > within {
			return 0, false
		}
	}
	return one.Bulge, true
}
