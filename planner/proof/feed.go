package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// The true feed is found by small steps along the lit path: what each place
// allows, then one sweep forth and one back that let the speed change no
// faster than the machine can. Nothing here is shared with the planner, which
// works with whole segments and closed forms.

const (
	// firstStep is the length, mm, of a step at the ends of a piece, where the
	// speed changes most, at most; towards the middle steps grow with the root
	// of the way, which is evenly in time for a constant acceleration. No such
	// step is longer than firstPart of the way in which the speed is reached:
	// five steps of that kind then lead up to it.
	firstStep = 0.05
	firstPart = 0.04
	// mostSteps bounds the steps on half a piece: 200 steps of that kind are
	// 2 m of it.
	mostSteps = 200
	// smoothTurn is the turn, rad, between two lines up to which they stand
	// for a curve and not for a corner (30 degrees: common practice for
	// finding arcs in lines, no source).
	smoothTurn = math.Pi / 6
	// sameBend is how much more than beside it a joint may be bent and still be
	// one of the curve there, however unlike the chords at it: a hold line cuts
	// them anywhere.
	sameBend = 1.05
	// fineTurn is the turn, rad, up to which lines are so fine that they can be
	// but the chords of a curve: 40 and more to the circle.
	fineTurn = 0.157
	// slowClear is the part by which the true feed must be under its limit
	// before a hold is asked for: what two ways of working it out may differ.
	slowClear = 0.01
)

// feedSteps is the path of one run in steps, kept from run to run for its
// room. Speeds are squared, (mm/s)^2, since they then change evenly along the
// way under a constant acceleration.
type feedSteps struct {
	legs []leg
	way  []float64 // length of each step, mm
	cap  []float64 // allowed in each step
	goal []float64 // under it a step is slow
	at   []float64 // at each end of a step: allowed, then true
}

// leg is a part of the path without a corner: a move that is cut in two for a
// hold line is still one.
type leg struct {
	from, to int        // pieces
	length   float64    // mm
	corner   float64    // rad, the turn at its end
	turn     float64    // that between two lines, up to smoothTurn; else 0
	joint    float64    // speed allowed at its end, squared
	bends    [2]float64 // 1/mm, curvature of its halves where lines stand for a curve
}

// trueFeeds works out the time of every run and where it is slow.
func (c *check) trueFeeds() {
	if !(c.in.Machine.AccelXY > 0) {
		return
	}
	var s feedSteps
	for i := range c.runs {
		c.trueFeed(&c.runs[i], &s)
	}
}

func (c *check) trueFeed(r *run, s *feedSteps) {
	s.way, s.cap, s.goal, s.at = s.way[:0], s.cap[:0], s.goal[:0], append(s.at[:0], 0)
	a := c.in.Machine.AccelXY
	c.legs(r, s, a)
	for i := range s.legs {
		g := &s.legs[i]
		done := 0.0
		for k := g.from; k < g.to; k++ {
			p := &r.path[k]
			l := p.length()
			top := c.topSpeed(p, a)
			capAt := func(part float64) float64 { // the nearer end's bend
				bend := g.bends[0]
				if done+part*l > g.length/2 {
					bend = g.bends[1]
				}
				if bend > 0 {
					return min(top, a/bend)
				}
				return top
			}
			goal := p.feed / 60
			if r.loop != nil {
				goal = max(goal, r.loop.Feed/60)
			}
			goal *= c.in.HoldBelow * (1 - slowClear)
			joint := math.Inf(1)
			if k == g.to-1 {
				joint = g.joint
			}
			s.piece(l, max(geom.Same, min(firstStep, firstPart*top/(2*a))), capAt(0.25), capAt(0.75), goal*goal, joint)
			done += l
		}
	}
	s.sweep(a)
	r.time, r.slow = s.times(), s.slow()
}

// legs cuts the path at its corners and where the torch stands still.
func (c *check) legs(r *run, s *feedSteps, a float64) {
	s.legs = s.legs[:0]
	rounding := 4 * c.rounding()
	g := leg{}
	var ref *piece // says best which way the leg goes on at its end
	for k := range r.path {
		p := &r.path[k].piece
		if ref == nil || p.arc() || p.length() > ref.length() {
			ref = p
		}
		g.length += p.length()
		g.to = k + 1
		if g.to < len(r.path) {
			q := &r.path[g.to]
			g.corner = turnOf(ref, &q.piece)
			// Less than the text can say is no corner.
			if !q.rest && (g.corner < geom.Angle || g.corner < 1 && g.corner*min(ref.length(), q.length()) < rounding) {
				continue
			}
			if !q.rest && !ref.arc() && !q.arc() && g.corner <= smoothTurn {
				g.turn = g.corner
			}
		}
		s.legs = append(s.legs, g)
		g, ref = leg{from: k + 1}, nil
	}
	for i := range s.legs {
		g := &s.legs[i]
		if i+1 == len(s.legs) || r.path[g.to].rest {
			continue // it stands still
		}
		d := c.in.Machine.CornerDeviation
		if r.path[g.to].exact {
			d = 0
		}
		g.joint = a * s.cornerRadius(i, g.corner, d)
		if g.turn > 0 {
			// The turn lies half on each line; all of it on the shorter of two
			// unlike ones, since the longer is no part of the curve.
			next := &s.legs[i+1]
			bend := 1 / s.cornerRadius(i, g.corner, math.Inf(1))
			if curve, as := s.bend(i), max(s.bend(i-1), s.bend(i+1)); g.turn <= fineTurn && curve <= sameBend*as {
				bend = min(bend, curve) // chords of one curve, or of two, wherever it was cut
				g.bends[1], next.bends[0] = bend, bend
				continue
			}
			switch {
			case g.length > 2*next.length:
				next.bends[0] = 2 * bend
			case next.length > 2*g.length:
				g.bends[1] = 2 * bend
			default:
				g.bends[1], next.bends[0] = bend, bend
			}
		}
	}
}

// bend returns the curvature, 1/mm, that the turn after leg i says of a curve
// in chords: a circle turns by half the chords before and behind (inscribed
// angles, Euclid III.20). 0 where there is none.
func (s *feedSteps) bend(i int) float64 {
	if i < 0 || i+1 >= len(s.legs) {
		return 0
	}
	return 2 * s.legs[i].turn / (s.legs[i].length + s.legs[i+1].length)
}

// turnOf returns the turn, rad, from one piece into the next.
func turnOf(p, q *piece) float64 {
	u, v := p.headingAt(p.b), q.headingAt(q.a)
	return math.Atan2(math.Abs(u.Cross(v)), u.Dot(v))
}

// cornerRadius returns the radius, mm, of the largest circle on which a corner
// may be passed: it touches both sides, no further from the corner than half
// of each, and leaves the corner by no more than the deviation. With the turn
// t, it touches the sides r tan(t/2) from the corner, and passes the corner at
// r(1/cos(t/2) - 1) (by construction).
func cornerRadius(t, before, after, deviation float64) float64 {
	half := math.Cos(t / 2)
	return min(deviation*half/(1-half), min(before, after)/2/math.Tan(t/2))
}

// cornerRadius returns the radius, mm, on which the corner after leg i may be
// passed. Where a line of a curve is cut in two unlike ones, the short one is
// passed on the circle that touches the lines before and behind it.
func (s *feedSteps) cornerRadius(i int, t, deviation float64) float64 {
	g := s.legs[max(0, i-1):min(len(s.legs), i+3)]
	at := min(i, 1)
	one, other := &g[at], &g[at+1]
	r := cornerRadius(t, one.length, other.length, deviation)
	switch {
	case one.turn == 0:
	case at == 1 && g[0].turn > 0 && 2*one.length < other.length:
		r = max(r, cornerRadius(g[0].turn+t, g[0].length+one.length, other.length, deviation))
	case other.turn > 0 && 2*other.length < one.length:
		r = max(r, cornerRadius(t+other.turn, one.length, other.length+g[at+2].length, deviation))
	}
	return r
}

// topSpeed is what a piece allows by itself: its feed, the machine's, and on
// an arc the acceleration towards the middle, v^2/r.
func (c *check) topSpeed(p *lit, a float64) float64 {
	v := max(0, p.feed/60)
	if m := c.in.Machine.MaxFeed; m > 0 {
		v = min(v, m/60)
	}
	v *= v
	if p.arc() {
		v = min(v, a*p.r)
	}
	return v
}

// piece adds the steps of one piece, of about step at its ends: caps of its
// halves, and what the joint at its end allows.
func (s *feedSteps) piece(length, step, first, second, goal, joint float64) {
	half := length / 2
	n := int(min(mostSteps, max(2, math.Ceil(math.Sqrt(half/step)))))
	unit := half / float64(n*n)
	for i := range 2 * n {
		k, top := 2*i+1, first // from i^2 to (i+1)^2
		if i >= n {
			k, top = 2*(2*n-i)-1, second
		}
		s.way = append(s.way, float64(k)*unit)
		s.cap = append(s.cap, top)
		s.goal = append(s.goal, goal)
		s.at = append(s.at, math.Inf(1))
	}
	s.at[len(s.at)-1] = joint
}

// sweep turns what is allowed into what is done: v1^2 - v0^2 = 2 a s.
func (s *feedSteps) sweep(a float64) {
	n := len(s.way)
	for i := range n {
		s.at[i] = min(s.at[i], s.cap[i])
		s.at[i+1] = min(s.at[i+1], s.cap[i], s.at[i]+2*a*s.way[i])
	}
	for i := n - 1; i >= 0; i-- {
		s.at[i] = min(s.at[i], s.at[i+1]+2*a*s.way[i])
	}
}

// times adds up way over mean speed, s. No step is more than a quarter of a
// piece, so that none runs from rest to rest.
func (s *feedSteps) times() float64 {
	sum, from := 0.0, math.Sqrt(s.at[0])
	for i, way := range s.way {
		to := math.Sqrt(s.at[i+1])
		if from+to > 0 { // not where a feed is so low that its square is 0
			sum += 2 * way / (from + to)
		}
		from = to
	}
	return sum
}

// slow returns the stretches under the goal; there are none under 0.
func (s *feedSteps) slow() []Span {
	var out []Span
	at := 0.0
	for i, way := range s.way {
		v0, v1, goal := s.at[i], s.at[i+1], s.goal[i]
		from, to := at, at+way
		at = to
		if v0 >= goal && v1 >= goal {
			continue
		}
		if v0 >= goal {
			from += way * (v0 - goal) / (v0 - v1)
		} else if v1 >= goal {
			to -= way * (v1 - goal) / (v1 - v0)
		}
		if n := len(out); n > 0 && from-out[n-1].To <= geom.Same {
			out[n-1].To = to
		} else {
			out = append(out, Span{from, to})
		}
	}
	return out
}
