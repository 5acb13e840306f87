package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/motion"
)

// Care in corners, at the entry, with slugs and with small parts. Each is off
// until the job asks for it.

// sharp lists the joins of an outline's path that go round a sharp corner of
// its edge: those that turn as much as the rules say.
func (s shop) sharp(path, edge geom.Path) []int {
	var out []int
	n := path.NumSegs()
	for i := range n {
		if sg := path.Seg(i); s.roundsCorner(sg, sg.Sweep(), edge) {
			out = append(out, i)
		}
	}
	return out
}

// roundsCorner reports whether a segment, with those that go on with it a turn
// of sweep, goes round a sharp corner of an edge. What turns by the limit in the drawing may be a hair under it here.
func (s shop) roundsCorner(sg geom.Seg, sweep float64, edge geom.Path) bool {
	if !s.joins(sg) || math.Abs(sweep) < s.rules.CornerTurn-geom.Angle {
		return false
	}
	c := sg.Center()
	return slices.ContainsFunc(edge.V, func(v geom.Vertex) bool { return v.P.Dist(c) < geom.Join })
}

// joins reports whether a segment can be the round join of a corner.
func (s shop) joins(sg geom.Seg) bool {
	return sg.IsArc() && math.Abs(sg.Radius()-s.kerf/2) < geom.Join
}

// slowed gives the segments of a cut their own feeds: creep on the lead-in,
// and slower beside the sharp corners of an outline that it goes round: one
// with a loop has no join left.
func (s shop) slowed(st *setup, w *way) {
	entry, corner := s.rules.EntryFeed, s.rules.CornerFeed
	if !st.spec.Outline {
		corner = 0
	}
	if entry == 0 && corner == 0 {
		return
	}
	n := w.cut.Path.NumSegs()
	var slow []Hold
	at := 0.0
	for i := 0; i < n; {
		sg := w.cut.Path.Seg(i)
		l, sweep, next := sg.Length(), sg.Sweep(), i+1
		// A cut that is taken up again has joins in two parts.
		for ; s.joins(sg) && next < n; next++ {
			more := w.cut.Path.Seg(next)
			if !s.joins(more) || more.Center().Dist(sg.Center()) > geom.Join {
				break
			}
			l, sweep = l+more.Length(), sweep+more.Sweep()
		}
		if corner > 0 && i >= w.cut.LeadIn && s.roundsCorner(sg, sweep, st.f.Loop) {
			slow = append(slow, Hold{From: at - s.rules.CornerReach, To: at + l + s.rules.CornerReach})
		}
		at, i = at+l, next
	}
	var segs []geom.Seg
	var feeds []float64
	tail := 0
	at = 0
	for i := range n {
		sg := w.cut.Path.Seg(i)
		l := sg.Length()
		if i < w.cut.LeadIn {
			feed := st.feed
			if entry > 0 {
				feed *= entry
			}
			segs, feeds = append(segs, sg), append(feeds, feed)
			at += l
			continue
		}
		from := 0.0
		for from < l-geom.Join {
			to, feed := l, st.feed
			for _, h := range slow {
				switch a, b := h.From-at, h.To-at; {
				case b <= from+geom.Join || a >= l-geom.Join:
				case a <= from+geom.Join:
					feed = st.feed * corner
					if to = min(to, b); l-to < geom.Join {
						to = l
					}
				default:
					to = min(to, a)
				}
			}
			part := sg
			if from > 0 || to < l {
				part = sg.Part(from/l, to/l)
			}
			segs, feeds = append(segs, part), append(feeds, feed)
			if i >= n-w.cut.Tail {
				tail++
			}
			from = to
		}
		at += l
	}
	w.cut.Path, w.cut.Tail, w.feeds = geom.FromSegs(segs, false), tail, feeds
}

// across sets up a cut through the middle of a slug that is wider than the
// rules say, so that it falls in two between the slats instead of standing on
// them. It runs from the slug's middle to the path; the cut round the edge
// then begins beside that pierce, crosses it and goes to the other side. It
// returns nil if the slug is small or has no room for two pierces.
func (s shop) across(st *setup) (*setup, *geom.Point) {
	f := st.f
	if min(f.Width, f.Height) <= s.rules.SplitSlugs || len(st.ground.others) > 0 {
		return nil, nil
	}
	middle := f.Center
	if st.spec.Deep != nil {
		middle = st.spec.Deep()
	}
	apart := 1.5 * s.kerf
	if st.ground.Dist(middle) < s.need+apart || !st.ground.Scrap(middle) {
		return nil, nil
	}
	seg, t, to, _ := st.spec.Path.Nearest(middle)
	if to.Near(middle) {
		return nil, nil
	}
	in := geom.Line(middle, to)
	l := lead.Lead{Seg: seg, T: t, In: []geom.Seg{in}, Pierce: middle, Clear: st.ground.Dist(middle)}
	out := &setup{sort: cutAcross, f: f, spec: st.spec, ground: st.ground, feed: st.feed}
	w := way{lead: l, cut: lead.Cut{Path: geom.FromSegs(l.In, false)}}
	w.holds = []Hold{{0, in.Length(), "through a slug"}}
	w.time = s.timeOf(w.cut.Path, st.feed)
	out.ways = []way{w}
	// Beside the pierce, away from the cut.
	d := to.Sub(middle).Unit()
	beside := middle.Add(d.Left().Mul(apart))
	return out, &beside
}

// leadFrom gives a setup whose slug was cut across its one way: from beside
// that cut's pierce over it and on to the far side of the path.
func (s shop) leadFrom(st *setup, from geom.Point) bool {
	across := st.spec
	middle := st.f.Center
	if across.Deep != nil {
		middle = across.Deep()
	}
	_, _, near, _ := across.Path.Nearest(middle)
	away := middle.Sub(near).Unit()
	// The far side: where the line goes on to meets the path.
	far := geom.Line(middle, middle.Add(away.Mul(across.Path.Box().Width()+across.Path.Box().Height())))
	best, bestT, bestSeg := math.Inf(1), 0.0, -1
	for i := range across.Path.NumSegs() {
		sg := across.Path.Seg(i)
		for _, half := range sg.Split() {
			m := geom.Intersect(far, half, geom.Same)
			for _, c := range m.At[:m.N] {
				if d := c.P.Dist(middle); d < best {
					_, t, _ := sg.Nearest(c.P)
					best, bestT, bestSeg = d, t, i
				}
			}
		}
	}
	if bestSeg < 0 {
		return false
	}
	at := across.Path.Seg(bestSeg).At(bestT)
	l := lead.Lead{Seg: bestSeg, T: bestT, Pierce: from, Clear: st.ground.Dist(from), In: []geom.Seg{geom.Line(from, middle), geom.Line(middle, at)}}
	if l.Clear < s.need-geom.Join || !st.ground.Scrap(from) || !lead.Lawful(across, l, geom.Move{}) {
		return false
	}
	st.ways = []way{s.way(st, l)}
	return true
}

// timeOf is how long a path takes at a feed, s.
func (s shop) timeOf(path geom.Path, feed float64) float64 {
	return motion.Plan(path, feed, s.lim).Time
}
