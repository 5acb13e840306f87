package geom

import (
	"math"
	"slices"
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

// SelfContact is a place where a closed path meets itself elsewhere than where
// neighbours follow on. Both parts of lengths are under 1: the end of a
// segment is the start of the next.
type SelfContact struct {
	Seg, Other int
	T, U       float64
	P          Point
	Kind       Kind // Overlap where a stretch that both share begins or ends; at corners that of one pair of segments
	Through    bool // one stretch passes from one side of the other to the other
}

// SelfContacts returns every place where a closed path crosses or touches
// itself within the given distance (mm), in order of Seg, T, Other, U. Arcs
// over half a circle must have been split.
func SelfContacts(p Path, within float64) []SelfContact {
	n := p.NumSegs()
	forms, boxes := make([]form, n), make([]Box, n)
	for i := range n {
		forms[i] = newForm(p.Seg(i))
		boxes[i] = forms[i].box()
	}
	var out []SelfContact
	NewIndex(boxes).SelfPairs(within, func(i, j int) bool {
		m := meet(&forms[i], &forms[j], within)
		for k, c := range m.At[:m.N] {
			if (i+1)%n == j && c.P.Dist(forms[i].B) <= within || (j+1)%n == i && c.P.Dist(forms[i].A) <= within {
				if c.Kind != Overlap && (k == 0 || m.At[k-1].Kind != Overlap) {
					continue
				}
			}
			s := SelfContact{Seg: i, Other: j, T: c.T, U: c.U, P: c.P, Kind: c.Kind}
			if k > 0 && m.At[k-1].Kind == Overlap {
				s.Kind = Overlap
			}
			s.Seg, s.T = startOf(&forms[i], i, n, s.T, within)
			s.Other, s.U = startOf(&forms[j], j, n, s.U, within)
			if s.Seg > s.Other || s.Seg == s.Other && s.T > s.U {
				s.Seg, s.T, s.Other, s.U = s.Other, s.U, s.Seg, s.T
			}
			s.Through = s.Kind != Overlap && passes(p, s)
			out = append(out, s)
		}
		return true
	})
	slices.SortFunc(out, compareContacts)
	// At corners up to four pairs of segments say the same.
	return slices.CompactFunc(out, func(a, b SelfContact) bool {
		return a.Seg == b.Seg && a.Other == b.Other && math.Abs(a.T-b.T)*forms[a.Seg].length <= within && math.Abs(a.U-b.U)*forms[a.Other].length <= within
	})
}

func compareContacts(a, b SelfContact) int {
	for _, d := range [4]float64{float64(a.Seg - b.Seg), a.T - b.T, float64(a.Other - b.Other), a.U - b.U} {
		if d < 0 {
			return -1
		} else if d > 0 {
			return 1
		}
	}
	return 0
}

// startOf turns the end of segment i into the start of the next, and what is
// within reach of a corner into the corner.
func startOf(f *form, i, n int, t, within float64) (int, float64) {
	switch {
	case t*f.length <= within:
		return i, 0
	case (1-t)*f.length <= within:
		return (i + 1) % n, 0
	}
	return i, t
}

// passes reports whether the stretch at Other goes through the one at Seg:
// just one of its two arms lies left of it.
func passes(p Path, s SelfContact) bool {
	n := p.NumSegs()
	// Four arms, taken equally far out, where curves that touch have parted.
	arms := [4]arm{{p.Seg(s.Seg), s.T, true}, {p.Seg(s.Seg), s.T, false}, {p.Seg(s.Other), s.U, true}, {p.Seg(s.Other), s.U, false}}
	if s.T == 0 {
		arms[0] = arm{p.Seg((s.Seg + n - 1) % n), 1, true}
	}
	if s.U == 0 {
		arms[2] = arm{p.Seg((s.Other + n - 1) % n), 1, true}
	}
	reach := math.Inf(1)
	for _, a := range arms {
		reach = min(reach, a.length()/8)
	}
	in, out := arms[0].at(reach), arms[1].at(reach)
	left := func(v Point) bool { return turnTo(out, v) < turnTo(out, in) }
	return left(arms[2].at(reach)) != left(arms[3].at(reach))
}

// arm is the part of a segment before or after a place.
type arm struct {
	s    Seg
	t    float64
	back bool
}

func (a arm) length() float64 {
	if a.back {
		return a.t * a.s.Length()
	}
	return (1 - a.t) * a.s.Length()
}

// at is the way from the place to the point reach along the arm.
func (a arm) at(reach float64) Point {
	dt := reach / a.s.Length()
	if a.back {
		dt = -dt
	}
	return a.s.At(a.t + dt).Sub(a.s.At(a.t))
}

// turnTo is the turn to the left from u to v, 0 to 2 pi.
func turnTo(u, v Point) float64 {
	a := math.Atan2(u.Cross(v), u.Dot(v))
	if a < 0 {
		a += 2 * math.Pi
	}
	return a
}
