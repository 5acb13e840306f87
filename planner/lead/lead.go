// Package lead finds for each feature where to pierce and how to come to the
// cut and leave it. It takes the torch's closed path, the edges that stay and
// the process's sizes, and gives ranked leads with the clearance that each
// obtains. It never moves the cut itself and never reads a preset.
package lead

import (
	"cmp"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// Clearance returns the least distance, mm, that a pierce should keep from an
// edge that stays: max(1.5 kerf, 0.5 thickness + kerf/2). Common practice, no
// source.
func Clearance(kerf, thickness float64) float64 {
	return max(1.5*kerf, 0.5*thickness+kerf/2)
}

// Ground measures the distance in mm from a point to the nearest edge that
// stays, and says whether the point lies in metal that may be lost.
type Ground interface {
	Dist(p geom.Point) float64
	Scrap(p geom.Point) bool
}

// Edges is a Ground that can tell whether a segment comes nearer than d (mm)
// to an edge that stays. It is asked instead of many points, where there is
// one.
type Edges interface {
	Within(s geom.Seg, d float64) bool
}

// Spec is one feature to find leads for.
type Spec struct {
	Path    geom.Path         // torch centre, closed, in the direction of travel; scrap on its Scrap side
	Right   bool              // scrap lies right of travel instead of left
	Round   bool              // the path is a circle about Center
	Center  geom.Point        // of a circle
	Deep    func() geom.Point // the point furthest from any edge, asked for only if nothing simpler will do; nil: none
	Outline bool              // the scrap is the skeleton, not a slug
	Slow    bool              // small hole: straight in from the centre
	Spiral  bool              // of a circle: in from the centre by half a turn that meets the path along it
	Avoid   []geom.Point      // faces on which no cut should start, one point on each
	At      *Place            // start here and nowhere else, straight from the scrap
	Span    float64           // mm of the path to cut; 0 is once round
	On      float64           // mm to go straight on behind a Span, into an open kerf
	LoopAt  []int             // segments of Path, joins round corners, to go round outside
	Loop    float64           // mm, radius of such a loop
	Kerf    float64           // mm
	Need    float64           // mm, clearance wanted for the pierce
	Longest float64           // mm, longest lead wanted
	Wish    *geom.Point       // start near here
	Ground  Ground
	Keep    []geom.Seg // bridges, along their middles, that the torch keeps KeepOff from
	KeepOff float64    // mm
	Room    geom.Box   // the torch stays in it; the zero Box is not looked at
	Most    int        // leads wanted; 0 is 8
}

// Place is a place on a path: the part T of the length of segment Seg.
type Place struct {
	Seg int
	T   float64
}

// Lead is one way in.
type Lead struct {
	Seg    int        // of Spec.Path in which the cut starts
	T      float64    // part of that segment's length
	In     []geom.Seg // from the pierce to the start
	Pierce geom.Point
	Clear  float64 // mm from the pierce to the nearest edge that stays
	Short  bool    // Clear is under Spec.Need
	Score  float64 // lower is better
}

// tooLong is what a lead costs for each length of Longest that it is longer.
const tooLong = 3

// wished is the score of the operator's own start: before all others.
const wished = -1000

// start is a place on the path where a cut may begin.
type start struct {
	seg    int
	t      float64
	corner bool
	score  float64
}

// Find returns leads, best first: all with the clearance wanted if there are
// such, else those that come nearest to it, else none. Every lead keeps the
// kerf off the edges that stay over its whole length.
func Find(s Spec) []Lead {
	most := s.Most
	if most == 0 {
		most = 8
	}
	starts := s.starts(most)
	var good []Lead
	for _, st := range starts {
		if len(good) == most { // starts come best first
			break
		}
		if l, ok := s.best(st, false); ok {
			good = append(good, l)
		}
	}
	if len(good) == 0 {
		for _, st := range starts {
			if l, ok := s.best(st, true); ok {
				good = append(good, l)
			}
		}
		// What is left unkept comes first, then the place.
		slices.SortStableFunc(good, func(a, b Lead) int { return cmp.Compare(b.Clear, a.Clear) })
	} else {
		slices.SortStableFunc(good, func(a, b Lead) int { return cmp.Compare(a.Score, b.Score) })
	}
	if len(good) > most {
		good = good[:most]
	}
	return good
}

// scrapward returns the unit normal on the scrap's side for a direction of travel.
func (s Spec) scrapward(d geom.Point) geom.Point {
	if s.Right {
		return d.Left().Mul(-1)
	}
	return d.Left()
}

// tightArc is the radius, mm, under which no cut starts on an arc if there is
// anything else. Common practice, no source: the nick that a start leaves is
// dressed easily on a straight or a corner.
const tightArc = 15.0

// starts lists places to begin, best first: for holes eight bearings; else
// corners and the middles of straights, long ones first, then wide arcs.
func (s Spec) starts(most int) []start {
	if s.At != nil {
		return []start{{seg: s.At.Seg, t: s.At.T}}
	}
	var out []start
	if s.Round {
		n := s.Path.NumSegs()
		for k := range 8 {
			at := float64(k) / 8 * float64(n)
			seg := min(n-1, int(at))
			st := start{seg: seg, t: at - float64(seg)}
			for _, q := range s.Avoid {
				if q.Sub(s.Center).Dot(s.Path.Seg(seg).At(st.t).Sub(s.Center)) > 0 {
					st.score += onFace
				}
			}
			out = append(out, st)
		}
	} else {
		faces := s.faces()
		longest := 0.0
		for i := range s.Path.NumSegs() {
			if sg := s.Path.Seg(i); !sg.IsArc() {
				longest = max(longest, sg.Length())
			}
		}
		n := s.Path.NumSegs()
		for i := range n {
			sg := s.Path.Seg(i)
			l := sg.Length()
			from := len(out)
			switch {
			case sg.IsArc() && sg.Radius() < tightArc:
				switch {
				case l > s.Kerf && longest == 0:
					out = append(out, start{i, 0.5, false, 30 - l/100})
				case l > 4*s.Kerf && sg.Radius() > 2*s.Kerf: // rather than a lead through a neck
					out = append(out, start{i, 0.5, false, 16 - min(l, 50)/50})
				}
			case sg.IsArc():
				out = append(out, start{i, 0.5, false, 12 - min(l, 50)/50})
			case l > 2*geom.Join:
				out = append(out, start{i, 0.5, false, 4 - 3*l/longest})
				if s.corner(i) {
					out = append(out, start{i, 0, true, 1 - l/longest})
				}
			}
			for k := range out[from:] {
				st := &out[from+k]
				if faces[i] || st.t == 0 && faces[s.before(i)] { // the cut ends there
					st.score += onFace
				}
			}
		}
	}
	if s.Wish != nil {
		seg, t, _, _ := s.Path.Nearest(*s.Wish)
		// A wish comes first by far; the search stays as a way out.
		out = append([]start{{seg, t, s.corner(seg) && t == 0, wished}}, out...)
	}
	slices.SortStableFunc(out, func(a, b start) int { return cmp.Compare(a.score, b.score) })
	return out[:min(len(out), 4*most)]
}

// onFace is what it costs to start on a face that is to be kept clean: more
// than any other start on the feature.
const onFace = 100

// faces tells the segments on which a point to avoid lies.
func (s Spec) faces() map[int]bool {
	if len(s.Avoid) == 0 {
		return nil
	}
	out := map[int]bool{}
	for _, q := range s.Avoid {
		seg, _, _, _ := s.Path.Nearest(q)
		out[seg] = true
	}
	return out
}

// before returns the segment before i, passing over the round join of a corner.
func (s Spec) before(i int) int {
	n := s.Path.NumSegs()
	k := (i + n - 1) % n
	if sg := s.Path.Seg(k); sg.IsArc() && sg.Radius() < s.Kerf {
		k = (k + n - 1) % n
	}
	return k
}

// corner reports whether the path turns towards the part just before segment
// i, so that a lead straight along it comes from beyond the corner. The round
// join of an offset counts as the corner that it stands for.
func (s Spec) corner(i int) bool {
	if !s.Outline {
		return false
	}
	d, e := s.Path.Seg(s.before(i)).Tangent(1), s.Path.Seg(i).Tangent(0)
	turn := math.Atan2(d.Cross(e), d.Dot(e))
	if !s.Right {
		turn = -turn // scrap left: the part is right, a corner turns right
	}
	return turn > math.Pi/6
}

// best tries the shapes of lead that suit a start, the preferred first. With
// short set, it gives up clearance for a lead that is clear all along.
func (s Spec) best(st start, short bool) (Lead, bool) {
	sg := s.Path.Seg(st.seg)
	p, d := sg.At(st.t), sg.Tangent(st.t)
	n := s.scrapward(d)
	off := s.Need - s.Kerf/2 // depth into the scrap that the clearance asks for
	var found Lead
	ok := false
	try := func(in []geom.Seg, extra float64) bool {
		pierce := in[0].A
		l := Lead{Seg: st.seg, T: st.t, In: in, Pierce: pierce}
		for _, seg := range in {
			l.Score += seg.Length() / max(s.Longest, 1)
		}
		l.Score += st.score + extra
		if !s.Ground.Scrap(pierce) {
			return false
		}
		l.Clear = s.Ground.Dist(pierce)
		l.Short = l.Clear < s.Need-geom.Join
		if l.Short && (!short || ok && l.Clear <= found.Clear) || !s.clear(in) {
			return false
		}
		found, ok = l, true
		return !short
	}
	line := func(from geom.Point) []geom.Seg { return []geom.Seg{geom.Line(from, p)} }
	if s.Round && (s.Slow || p.Dist(s.Center) <= s.Longest) {
		if s.Spiral {
			// Half a turn whose diameter runs from the centre to the start.
			b := 1.0
			if d.Cross(n) < 0 {
				b = -1
			}
			if try([]geom.Seg{{A: s.Center, B: p, Bulge: b}}, 0) {
				return found, ok
			}
		}
		if try(line(s.Center), 0.2) {
			return found, ok
		}
	}
	lengths := []float64{1.05, 1.4, 1.9}
	if short {
		lengths = []float64{1, 0.8, 0.6, 0.45, 0.3, 0.2}
	}
	// The shapes in the order in which they mark the edge least: along a corner's
	// edge, round into it, straight and then round into it where there is less
	// room, slantwise, straight at it.
	shapes := []struct {
		fits  bool
		extra float64
		in    func(k, depth float64) []geom.Seg
	}{
		{st.corner && s.At == nil, 0, func(k, _ float64) []geom.Seg { return line(p.Sub(d.Mul(k * max(s.Need, s.Kerf)))) }},
		{!s.Slow && s.At == nil, 0.3, func(_, depth float64) []geom.Seg { return quarter(p, d, n, depth) }},
		{!s.Slow && s.At == nil, 0.4, func(_, depth float64) []geom.Seg {
			r := max(depth/2, min(s.Kerf, depth))
			arc := quarter(p, d, n, r)
			if depth-r < geom.Join {
				return arc
			}
			return append([]geom.Seg{geom.Line(arc[0].A.Add(n.Mul(depth-r)), arc[0].A)}, arc...)
		}},
		{s.At == nil, 0.5, func(_, depth float64) []geom.Seg { return line(p.Add(n.Sub(d).Unit().Mul(depth * math.Sqrt2))) }},
		{true, 0.7, func(_, depth float64) []geom.Seg { return line(p.Add(n.Mul(depth))) }},
		{s.On > 0, 0.8, func(_, depth float64) []geom.Seg { return line(p.Add(n.Add(d).Unit().Mul(depth * math.Sqrt2))) }}, // away from the open kerf
	}
	for _, shape := range shapes {
		if !shape.fits {
			continue
		}
		for i, k := range lengths {
			depth := max(k*off, s.Kerf/4)
			if !short && i > 0 && depth > s.Longest {
				break
			}
			if try(shape.in(k, depth), shape.extra) {
				return found, ok
			}
		}
	}
	from := s.Center
	if !s.Round {
		if s.Deep == nil {
			return found, ok
		}
		from = s.Deep()
	}
	if s.At == nil && (short || st.score == wished || p.Dist(from) <= 1.5*s.Longest) {
		try(line(from), 1+tooLong*max(0, p.Dist(from)/max(s.Longest, 1)-1))
	}
	return found, ok
}

// Lawful reports whether a lead, moved to where s says that its feature lies,
// keeps the clearance wanted and the kerf off the edges there.
func Lawful(s Spec, l Lead, m geom.Move) bool {
	pierce := m.Apply(l.Pierce)
	if !s.Ground.Scrap(pierce) || s.Ground.Dist(pierce) < min(s.Need, l.Clear)-geom.Join {
		return false
	}
	in := make([]geom.Seg, len(l.In))
	for i, sg := range l.In {
		in[i] = geom.Seg{A: m.Apply(sg.A), B: m.Apply(sg.B), Bulge: sg.Bulge}
	}
	return s.clear(in)
}

// quarter returns a quarter turn of radius r that ends at p along d, coming
// from the side n.
func quarter(p, d, n geom.Point, r float64) []geom.Seg {
	from := p.Add(n.Mul(r)).Sub(d.Mul(r))
	b := geom.BulgeOf(math.Pi / 2)
	if d.Cross(n) < 0 { // scrap right: the way in turns right... to d
		b = -b
	}
	return []geom.Seg{{A: from, B: p, Bulge: b}}
}

// clear reports whether the torch keeps half a kerf from every edge that
// stays all along the lead, within geom.Join, and geom.Fit between the places
// looked at. Distance changes no faster than
// the torch moves, so a stretch whose middle is far enough away is clear.
func (s Spec) clear(in []geom.Seg) bool {
	r := s.Kerf / 2
	exact, _ := s.Ground.(Edges)
	for _, sg := range in {
		for _, k := range s.Keep {
			for _, part := range sg.Split() {
				if d, _, _ := geom.SegDist(part, k); d < s.KeepOff-geom.Join {
					return false
				}
			}
		}
		if s.Room != (geom.Box{}) && !s.Room.Encloses(sg.Box()) {
			return false
		}
		if exact != nil {
			if exact.Within(sg, r-geom.Join) {
				return false
			}
		} else if !s.clearPart(sg, 0, 1, r) {
			return false
		}
	}
	return true
}

func (s Spec) clearPart(sg geom.Seg, a, b, r float64) bool {
	m := (a + b) / 2
	half := sg.Length() * (b - a) / 2
	d := s.Ground.Dist(sg.At(m))
	switch {
	case d < r-geom.Join:
		return false
	case d-half >= r-geom.Join:
		return true
	case half < geom.Fit: // not decided, and at most so much nearer
		return true
	}
	return s.clearPart(sg, a, m, r) && s.clearPart(sg, m, b, r)
}
