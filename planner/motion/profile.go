// Package motion works out how fast the torch truly moves along a path under
// the machine's limits, how long that takes, and where it is slower than it
// was told. It takes paths and limits and gives speeds and times; it never
// changes a path.
package motion

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// Limits are the machine's, for moves in the plane.
type Limits struct {
	Accel     float64 // mm/s2
	Deviation float64 // mm by which a corner may be cut short (G64)
}

// Profile is the fastest motion along a path within the limits.
type Profile struct {
	Segs []Seg
	Time float64 // s
	cap  float64 // mm/s, programmed
	a    float64
}

// Seg is one segment of the path: from V0 up to Peak and down to V1, mm/s.
type Seg struct {
	Length       float64 // mm
	V0, Peak, V1 float64
}

// Plan returns the profile of a path run from rest to rest at a programmed
// feed (mm/min). The problem is linear in v^2: cap every joint and every arc,
// then v1^2 <= v0^2 + 2 a L in one pass back and one forth, which is the
// fastest motion for these limits (H. Pham, Q.-C. Pham 2018, for tangential
// acceleration alone derived by hand).
func Plan(path geom.Path, feed float64, lim Limits) Profile { return PlanFeeds(path, feed, nil, lim) }

// PlanFeeds is Plan with a feed (mm/min) of its own for each segment; nil is
// feed throughout. Under goes by feed.
func PlanFeeds(path geom.Path, feed float64, feeds []float64, lim Limits) Profile {
	n := path.NumSegs()
	p := Profile{Segs: make([]Seg, n), cap: feed / 60, a: lim.Accel}
	if n == 0 || feed <= 0 || lim.Accel <= 0 {
		return p
	}
	top := make([]float64, n)     // mm/s allowed within each segment
	joint := make([]float64, n+1) // mm/s allowed at each joint
	for i := range n {
		s := path.Seg(i)
		p.Segs[i].Length = s.Length()
		top[i] = p.cap
		if feeds != nil {
			top[i] = feeds[i] / 60
		}
		if r := s.Radius(); s.IsArc() {
			top[i] = min(top[i], math.Sqrt(lim.Accel*r)) // a = v^2/r
		}
	}
	for i := range n {
		top[i] = min(top[i], chordSpeed(path, i, lim))
	}
	for i := 1; i < n; i++ {
		joint[i] = min(top[i-1], top[i], JointSpeed(path.Seg(i-1), path.Seg(i), lim))
	}
	for i := n - 1; i >= 0; i-- {
		joint[i] = min(joint[i], math.Sqrt(joint[i+1]*joint[i+1]+2*lim.Accel*p.Segs[i].Length))
	}
	for i := range n {
		joint[i+1] = min(joint[i+1], math.Sqrt(joint[i]*joint[i]+2*lim.Accel*p.Segs[i].Length))
		s := &p.Segs[i]
		s.V0, s.V1 = joint[i], joint[i+1]
		s.Peak = math.Sqrt(min(top[i]*top[i], lim.Accel*s.Length+(s.V0*s.V0+s.V1*s.V1)/2))
		p.Time += s.time(lim.Accel)
	}
	return p
}

// time is (2vp - v0 - v1)/a + (L - (2vp^2 - v0^2 - v1^2)/(2a))/vp.
func (s Seg) time(a float64) float64 {
	if s.Length == 0 || s.Peak == 0 {
		return 0
	}
	ramps := (2*s.Peak*s.Peak - s.V0*s.V0 - s.V1*s.V1) / (2 * a)
	return (2*s.Peak-s.V0-s.V1)/a + max(0, s.Length-ramps)/s.Peak
}

// JointSpeed returns the speed, mm/s, at which the joint between two segments
// may be passed. The corner is rounded by a circle that touches both sides and
// leaves the corner by the deviation d: v^2 = a d sin(t/2)/(1 - sin(t/2)) with
// t the inner angle (derived; 90 deg, 0.05 mm, 1000 mm/s2: 10.99 mm/s). Runs of
// short lines are also held to the circle through their ends, or a fine
// polygon would be run faster than the circle that it stands for.
func JointSpeed(in, out geom.Seg, lim Limits) float64 {
	a, b := in.Tangent(1), out.Tangent(0)
	half := math.Atan2(math.Abs(a.Cross(b)), a.Dot(b)) / 2 // half the turn
	s := math.Cos(half)                                    // = sin of half the inner angle
	v := math.Inf(1)
	if 2*half > geom.Angle {
		v = math.Sqrt(lim.Accel * lim.Deviation * s / (1 - s))
		if !in.IsArc() && !out.IsArc() {
			v = min(v, math.Sqrt(lim.Accel*circumradius(in.A, in.B, out.B)))
		}
	}
	return v
}

// mostChord is the turn under which a short line counts as a chord of a
// circle (reference practice for finding arcs in polylines: 30 degrees).
const mostChord = math.Pi / 6

// chordSpeed holds a line that stands for a piece of a circle to that
// circle's own speed, so that an arc and its polygon take the same time.
func chordSpeed(path geom.Path, i int, lim Limits) float64 {
	s := path.Seg(i)
	if s.IsArc() {
		return math.Inf(1)
	}
	v, sign := 0.0, 0.0
	for _, k := range [2]int{i, i + 1} {
		if k == 0 || k == path.NumSegs() {
			continue
		}
		a, b := path.Seg(k-1), path.Seg(k)
		turn := math.Atan2(a.Tangent(1).Cross(b.Tangent(0)), a.Tangent(1).Dot(b.Tangent(0)))
		if a.IsArc() || b.IsArc() || math.Abs(turn) > mostChord || turn*sign < 0 {
			return math.Inf(1)
		}
		sign = turn
		v = max(v, math.Sqrt(lim.Accel*circumradius(a.A, a.B, b.B)))
	}
	if sign == 0 {
		return math.Inf(1)
	}
	return v
}

func circumradius(a, b, c geom.Point) float64 {
	area2 := math.Abs(b.Sub(a).Cross(c.Sub(a)))
	if area2 == 0 {
		if b.Sub(a).Dot(c.Sub(b)) < 0 {
			return 0 // straight back
		}
		return math.Inf(1)
	}
	return a.Dist(b) * b.Dist(c) * c.Dist(a) / (2 * area2)
}

// Span is a stretch of a path, mm from its start.
type Span struct{ From, To float64 }

// Under returns the stretches in which the true speed is under the part k of
// the programmed feed, joined where they touch.
func (p Profile) Under(k float64) []Span {
	limit := k * p.cap
	var out []Span
	add := func(from, to float64) {
		switch n := len(out); {
		case to-from <= geom.Same:
		case n > 0 && from-out[n-1].To <= geom.Same:
			out[n-1].To = to
		default:
			out = append(out, Span{from, to})
		}
	}
	at := 0.0
	for _, s := range p.Segs {
		up := min(s.Length, max(0, (limit*limit-s.V0*s.V0)/(2*p.a)))
		down := min(s.Length, max(0, (limit*limit-s.V1*s.V1)/(2*p.a)))
		if s.Peak < limit || up+down >= s.Length {
			add(at, at+s.Length)
		} else {
			add(at, at+up)
			add(at+s.Length-down, at+s.Length)
		}
		at += s.Length
	}
	return out
}

// RestToRest returns the time, s, of a straight move of the length (mm) at a
// top feed (mm/min): L/v + v/a, or 2 sqrt(L/a) if the feed is never reached.
func RestToRest(length, feed, accel float64) float64 {
	v := feed / 60
	if length <= 0 || v <= 0 || accel <= 0 {
		return 0
	}
	if length*accel < v*v {
		return 2 * math.Sqrt(length/accel)
	}
	return length/v + v/accel
}
