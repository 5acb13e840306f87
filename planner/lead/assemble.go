package lead

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// Cut is a lead, the path and what follows it, as one open path.
type Cut struct {
	Path   geom.Path
	LeadIn int // segments of lead-in at its start
	Tail   int // segments of overburn and lead-out at its end
}

// Assemble runs in on the lead, once round the path from the lead's start,
// on over the start by overburn mm, and out towards the pierce by out mm.
// Overburn is at most half the way round; out stops half-way to the pierce.
// With a Span it runs in and along that much of the path, straight on by On,
// and no more.
// A lead-out that would not keep the kerf off the edges is left out.
func Assemble(s Spec, l Lead, overburn, out float64) Cut {
	if s.Span > 0 {
		return s.stretch(l)
	}
	loop := s.Path.StartAt(l.Seg, l.T)
	n := loop.NumSegs()
	// Room for the overburn and the way out too: a few segments.
	segs := append(make([]geom.Seg, 0, len(l.In)+n+4), l.In...)
	shift := l.Seg // segment of Path that segment i of loop is, less i
	if s.Path.Seg(l.Seg).At(l.T).Near(s.Path.Seg(l.Seg).B) {
		shift++
	}
	for i := range n {
		// The corner at which the cut starts needs none: the lead passed it.
		if at := (i + shift) % s.Path.NumSegs(); s.Loop > 0 && i < n-1 && slices.Contains(s.LoopAt, at) {
			if round, ok := s.round(at); ok {
				segs = append(segs, round...)
				continue
			}
		}
		segs = append(segs, loop.Seg(i))
	}
	c := Cut{LeadIn: len(l.In)}
	rest := min(overburn, loop.Length()/2)
	for i := 0; rest > geom.Join && i < n; i++ {
		sg := loop.Seg(i)
		if length := sg.Length(); length > rest {
			sg = sg.Part(0, rest/length)
			rest = 0
		} else {
			rest -= length
		}
		segs = append(segs, sg)
		c.Tail++
	}
	if out > geom.Join {
		end := segs[len(segs)-1].B
		to := end.Lerp(l.Pierce, min(0.5, out/max(end.Dist(l.Pierce), geom.Same)))
		if away := geom.Line(end, to); away.Length() > geom.Join && s.clear([]geom.Seg{away}) {
			segs = append(segs, away)
			c.Tail++
		}
	}
	c.Path = geom.FromSegs(segs, false)
	return c
}

// stretch runs in on the lead, along Span mm of the path and straight on.
func (s Spec) stretch(l Lead) Cut {
	loop := s.Path.StartAt(l.Seg, l.T)
	segs := append([]geom.Seg{}, l.In...)
	rest := s.Span
	for i := 0; rest > geom.Join && i < loop.NumSegs(); i++ {
		sg := loop.Seg(i)
		if length := sg.Length(); length > rest {
			sg = sg.Part(0, rest/length)
			rest = 0
		} else {
			rest -= length
		}
		segs = append(segs, sg)
	}
	c := Cut{LeadIn: len(l.In)}
	if s.On > geom.Join {
		last := segs[len(segs)-1]
		segs = append(segs, geom.Line(last.B, last.B.Add(last.Tangent(1).Mul(s.On))))
		c.Tail = 1
	}
	c.Path = geom.FromSegs(segs, false)
	return c
}

// round replaces the join round a corner by a loop outside it, so that the
// torch passes the corner at full feed: straight on to where both edges' ways
// cross and beyond, round by a circle that touches both, and back along the
// second. With a turn of t and a radius of r the circle touches both r tan(t/2)
// from the crossing (derived). ok is false if the kerf would reach an edge that
// stays.
func (s Spec) round(i int) (segs []geom.Seg, ok bool) {
	n := s.Path.NumSegs()
	join := s.Path.Seg(i)
	d, e := s.Path.Seg((i+n-1)%n).Tangent(1), s.Path.Seg((i+1)%n).Tangent(0)
	turn := math.Atan2(d.Cross(e), d.Dot(e))
	half := math.Abs(turn) / 2
	if half < geom.Angle || math.Cos(half) < geom.Angle {
		return nil, false
	}
	k := join.A.Dist(join.B) / (2 * math.Cos(half)) // from either end of the join to the crossing
	cross := join.A.Add(d.Mul(k))
	reach := s.Loop * math.Tan(half)
	a, b := cross.Add(d.Mul(reach)), cross.Sub(e.Mul(reach))
	sweep := 2*math.Pi - math.Abs(turn)
	if turn > 0 {
		sweep = -sweep
	}
	arc := geom.Seg{A: a, B: b, Bulge: geom.BulgeOf(sweep)}
	segs = append(segs, geom.Line(join.A, a))
	segs = append(segs, arc.Split()...)
	segs = append(segs, geom.Line(b, join.B))
	return segs, s.clear(segs)
}
