package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// When a run of short lines is an arc again. A CAD that writes an arc as lines
// puts their ends on the arc. What must never happen is that a polygon that
// was meant becomes round: so a chord may sweep no more than 12 degrees (30 to
// a turn) where the arc lies visibly outside the chord, and less than 30 where
// it does not; common practice, no source.
const (
	fineChord  = 12.1 * math.Pi / 180
	mostChord  = 29.9 * math.Pi / 180
	leastRun   = 4           // chords of an arc
	leastRound = 8           // chords of a long arc or a circle
	leastSweep = math.Pi / 9 // rad, of an arc with fewer chords than that
	facetLong  = 0.2         // mm: largest sagitta of a circle's or a long arc's chord
	facetShort = 0.05        // mm: of a short arc's
	// arcOverChords is the most that an arc is longer than chords of mostChord:
	// (a/2)/sin(a/2) = 1.0114, with room for ends that miss the arc by onArc.
	arcOverChords = 1.02
	// onArc is how far the ends of chords may miss their arc, mm: what writing
	// three decimals does. More would turn other curves into arcs.
	onArc = geom.Join
)

// roundOff finds arcs and circles in the lines of a strand.
func (h *healer) roundOff(s *strand) {
	if s.closed && h.roundCircle(s) {
		return
	}
	n := len(s.v)
	if n < leastRun+1 {
		return
	}
	if s.closed {
		// Begin where no arc can run on: at an arc or at a turn too sharp.
		rotate(s.v, h.breakOf(s))
	}
	var out []geom.Vertex
	total := s.path().NumSegs()
	some := false
	for k := 0; k < total; {
		end, ok := h.longestArc(s, k, total)
		if !ok {
			if some {
				for i := k; i < end; i++ {
					out = append(out, s.v[i%n])
				}
			}
			k = end
			continue
		}
		if !some {
			out = append(make([]geom.Vertex, 0, n), s.v[:k]...)
			some = true
		}
		a, worst, _ := arcThrough(s, k, end)
		for _, seg := range a.Split() {
			out = append(out, geom.Vertex{P: seg.A, Bulge: seg.Bulge, Src: s.v[k].Src})
		}
		h.rep.add("round", worst, a.Mid(), func() finding {
			return finding{p: a.Mid(), entity: h.entity(s.v[k].Src),
				what: fmt.Sprintf("%d lines made an arc of radius %s again, change %s", end-k, unit.Number(a.Radius(), 3), length(worst))}
		})
		k = end
	}
	if !some {
		return
	}
	if !s.closed {
		out = append(out, s.v[n-1])
	}
	s.v = out
}

// breakOf returns a vertex at which an arc begins or ends or a line turns more
// than a chord of an arc may; the first if there is none.
func (h *healer) breakOf(s *strand) int {
	p, n := s.path(), len(s.v)
	for i := range n {
		a, b := p.Seg((i+n-1)%n), p.Seg(i)
		if a.IsArc() || b.IsArc() {
			return i
		}
		u, v := a.B.Sub(a.A), b.B.Sub(b.A)
		if math.Abs(math.Atan2(u.Cross(v), u.Dot(v))) > mostChord {
			return i
		}
	}
	// Or where the turn changes its side, or a chord is far longer than the next.
	for i := range n {
		a, b, c := p.Seg((i+n-1)%n), p.Seg(i), p.Seg((i+1)%n)
		u, v, w := a.B.Sub(a.A), b.B.Sub(b.A), c.B.Sub(c.A)
		if u.Cross(v)*v.Cross(w) <= 0 {
			return i
		}
		if u.Len() > 2*v.Len() {
			return i
		}
	}
	return 0
}

// longestArc returns the vertex up to which the lines from vertex k are one
// arc. The run grows by doubling, then the end is found by halving. If they
// are none, ok is false and the end is where to look on: past a run that would
// be too coarse as an arc, no part of which need be tried again.
func (h *healer) longestArc(s *strand, k, total int) (end int, ok bool) {
	if !h.isArc(s, k, k+leastRun, total) {
		return k + 1, false
	}
	good, step := k+leastRun, leastRun
	for h.isArc(s, k, good+step, total) {
		good += step
		step *= 2
	}
	for step > 1 {
		step /= 2
		if h.isArc(s, k, good+step, total) {
			good += step
		}
	}
	// A short arc must be plain: four chords of a smooth curve nearly always
	// lie near some circle.
	a, _, sagitta := arcThrough(s, k, good)
	sweep := math.Abs(a.Sweep())
	if !(sagitta <= allowedFacet(sweep, good-k)) || good-k < leastRound && sweep < leastSweep {
		return max(k+1, good-leastRun), false
	}
	return good, true
}

func allowedFacet(sweep float64, chords int) float64 {
	if chords >= leastRound && sweep >= math.Pi/2-geom.Angle {
		return facetLong
	}
	return facetShort
}

// isArc reports whether the lines from vertex k to vertex end are chords of
// one arc of at most a full turn.
func (h *healer) isArc(s *strand, k, end, total int) bool {
	if end > total || s.closed && end-k >= len(s.v) {
		return false
	}
	n := len(s.v)
	p := s.path()
	long, short := 0.0, math.Inf(1)
	side, run := 0.0, 0.0
	for i := k; i < end; i++ {
		a := p.Seg(i % n)
		if a.IsArc() {
			return false
		}
		l := a.A.Dist(a.B)
		run += l
		if i > k && i < end-1 {
			long, short = max(long, l), min(short, l)
		}
		if i > k {
			b := p.Seg((i - 1) % n)
			turn := b.B.Sub(b.A).Cross(a.B.Sub(a.A))
			if side == 0 {
				side = turn
			}
			if turn*side <= 0 {
				return false
			}
		}
	}
	first, last := p.Seg(k%n), p.Seg((end-1)%n)
	if long > 2*short || max(first.A.Dist(first.B), last.A.Dist(last.B)) > 2*long {
		return false
	}
	arc, worst, sagitta := arcThrough(s, k, end)
	if !(worst <= min(onArc, h.fit.tol)) || !arc.IsArc() || arc.Bulge*side < 0 {
		return false
	}
	// Points there and back on a line lie on a circle of any size, so the chords
	// must be as long together as the arc that would take their place.
	if l := arc.Length(); l > arcOverChords*run || run > arcOverChords*l {
		return false
	}
	r := arc.Radius()
	chord := 2 * math.Asin(min(1, max(long, first.A.Dist(first.B), last.A.Dist(last.B))/(2*r)))
	switch {
	case chord <= fineChord:
		return sagitta <= facetLong
	case chord < mostChord:
		return sagitta <= h.fit.tol
	}
	return false
}

// arcThrough returns the arc from vertex k to vertex end that lies nearest to
// the vertices between: in axes along the chord with the ends at (-h, 0) and
// (h, 0), the centre (0, c) makes the sum of (x^2+y^2-h^2-2yc)^2 least. worst
// is the largest distance of a vertex from it, sagitta that of a chord.
func arcThrough(s *strand, k, end int) (a geom.Seg, worst, sagitta float64) {
	n := len(s.v)
	p, q := s.v[k%n].P, s.v[end%n].P
	o := p.Lerp(q, 0.5)
	ex := q.Sub(p).Unit()
	ey := ex.Left()
	half := p.Dist(q) / 2
	if half == 0 {
		return geom.Line(p, q), math.Inf(1), math.Inf(1)
	}
	sum, weight, side := 0.0, 0.0, 0.0
	for i := k + 1; i < end; i++ {
		v := s.v[i%n].P.Sub(o)
		x, y := v.Dot(ex), v.Dot(ey)
		sum += y * (x*x + y*y - half*half)
		weight += y * y
		side += y
	}
	if weight == 0 {
		return geom.Line(p, q), math.Inf(1), math.Inf(1)
	}
	c := sum / (2 * weight)
	r := math.Hypot(half, c)
	// The sagitta of the whole arc, on the side where the vertices are; from it
	// the bulge, 2 sagitta over chord, to the right of the chord.
	var high float64
	if side > 0 {
		high = half * half / (r - c)
		if c > 0 {
			high = r + c
		}
	} else {
		high = -(half * half / (r + c))
		if c < 0 {
			high = c - r
		}
	}
	a = geom.Seg{A: p, B: q, Bulge: -high / half}
	centre := o.Add(ey.Mul(c))
	last := p
	for i := k + 1; i <= end; i++ {
		v := s.v[i%n].P
		worst = max(worst, math.Abs(v.Dist(centre)-r))
		l := v.Dist(last) / 2
		if l < r {
			sagitta = max(sagitta, l*l/(r+math.Sqrt((r-l)*(r+l))))
		} else {
			sagitta = math.Inf(1)
		}
		last = v
	}
	return a, worst, sagitta
}

// roundCircle makes a closed strand a circle if all of it lies on one: lines
// as chords, or arcs.
func (h *healer) roundCircle(s *strand) bool {
	p := s.path()
	straight := 0
	for _, v := range s.v {
		if v.Bulge == 0 {
			straight++
		}
	}
	if straight > 0 && straight < leastRound {
		return false
	}
	lines := 0
	longest := 0.0
	n := len(s.v)
	pts := make([]geom.Point, 0, 2*n)
	for i := range n {
		pts = append(pts, s.v[i].P)
		if g := p.Seg(i); g.IsArc() {
			pts = append(pts, g.Mid())
		} else {
			lines++
			longest = max(longest, g.A.Dist(g.B))
		}
	}
	if len(pts) < 4 || lines > 0 && lines < leastRound {
		return false
	}
	c, r, ok := circleOf(pts)
	if !ok {
		return false
	}
	// Every point on the circle, each further round than the last.
	worst := 0.0
	side := area(s.v)
	for i, q := range pts {
		worst = max(worst, math.Abs(q.Dist(c)-r))
		if q.Sub(c).Cross(pts[(i+1)%len(pts)].Sub(c))*side < 0 {
			return false
		}
	}
	// Once round: a regular polygon of 12 sides has 0.955 of its circle's area.
	if a := math.Abs(side) / (math.Pi * r * r); a < 0.95 || a > 1.05 {
		return false
	}
	// In a small circle a hundredth of a millimetre is a shape of its own.
	if !(worst <= min(h.fit.tol, 0.01*r)) {
		return false
	}
	if lines > 0 {
		if longest >= 2*r {
			return false
		}
		chord := 2 * math.Asin(longest/(2*r))
		sagitta := r * (1 - math.Cos(chord/2))
		looks := chord <= fineChord
		if !(looks && sagitta <= facetLong || chord < mostChord && sagitta <= h.fit.tol) {
			if looks {
				h.rep.add("facets", sagitta, c, func() finding {
					return finding{p: c, entity: h.entity(s.v[0].Src),
						what: fmt.Sprintf("%d lines look like a circle of diameter %s but would change by %s; left as they are", lines, unit.Number(2*r, 3), length(sagitta))}
				})
			}
			return false
		}
		h.rep.add("circle", sagitta, c, func() finding {
			return finding{p: c, entity: h.entity(s.v[0].Src),
				what: fmt.Sprintf("%d lines made a circle of diameter %s again, change %s", lines, unit.Number(2*r, 3), length(sagitta))}
		})
	}
	src := s.v[0].Src
	v := geom.Circle(c, r).V
	v[0].Src, v[1].Src = src, src
	s.v = v
	return true
}
