package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/motion"
)

// Taking up a lost cut. All of it common practice, no source.
const (
	// backStep and backMost are how far, mm, and how often the start is taken
	// back along the old kerf until a lead fits.
	backStep  = 4.0
	backTimes = 6
	// keepOff is how far a pierce keeps from the middle of an old kerf, in
	// kerfs: half of one is void, and the nozzle wants metal under it.
	keepOff = 1.25
	// againMost is how much of its kerf a cut may have to be cut all round once
	// more rather than from where it was left, mm.
	againMost = 20.0
	// twiceMost is how much of the old kerf, mm, a start along it may go over
	// again to find metal.
	twiceMost = 35.0
	// touchWithin is how far from the start the plate may be touched, mm, if
	// the start lies over the old kerf.
	touchWithin = 60.0
)

// takeUp makes the cut that finishes a lost one: by a fresh lead from scrap
// that is still solid, else along the kerf already cut.
func (s shop) takeUp(p *Program, pl place, faults *fault.List) (Cut, bool) {
	c := p.Cuts[pl.cut]
	if c.marks() { // from its start: a groove may be marked twice
		return c, true
	}
	if c.trims() {
		return s.takeUpTrim(p, pl, c, faults)
	}
	region := c.round()
	c.region, c.along, c.Feeds = &region, nil, nil
	st := s.onStock(p, &c)
	st.f.ID = c.Label
	before := stretchOf(c.Path, 0, pl.at)
	cut := []geom.Path{before}
	if before.NumSegs() == 0 { // the hole of a pierce
		cut[0] = geom.Path{V: []geom.Vertex{{P: c.Pierce}, {P: c.Pierce.Add(geom.Pt(geom.Join, 0))}}}
	}
	reach := c.Path.Box().Grow(st.spec.Longest + 4*s.need)
	for _, o := range p.Cuts[:pl.cut] {
		if b := o.Path.Box(); o.Path.NumSegs() > 0 && b.Overlaps(reach) && p.Placed[o.Placed].Blank == p.Placed[c.Placed].Blank {
			cut = append(cut, o.Path)
		}
	}
	void := geom.IndexPaths(cut...)
	solid := fresh{Ground: st.ground, void: void, keep: keepOff * s.kerf}
	st.spec.Ground = solid
	st.spec.Most = 16
	looped := *st // with loops round its corners, if the job wants them
	st.spec.Loop, st.spec.LoopAt = 0, nil

	// Neither the lead nor a loop may take the metal from under a later pierce.
	under := func(path geom.Path) bool {
		way := geom.IndexPaths(path)
		for _, o := range p.Cuts[pl.cut+1:] {
			if _, near := way.NearestWithin(o.Pierce, keepOff*s.kerf); near && p.Placed[o.Placed].Blank == p.Placed[c.Placed].Blank {
				return true
			}
		}
		return false
	}
	spoils := func(l lead.Lead) bool { return under(geom.FromSegs(l.In, false)) }
	again := func(l lead.Lead) Cut {
		if looped.spec.Loop > 0 {
			if n := s.again(&looped, c, l, &fault.List{}); !under(n.Path) {
				return s.again(&looped, c, l, faults)
			}
		}
		return s.again(st, c, l, faults)
	}

	in := 0.0
	for i := range c.LeadIn {
		in += c.Path.Seg(i).Length()
	}
	overlap := max(s.rules.Overburn, 2*s.kerf)
	start := pl.at - overlap
	if start <= in { // next to nothing is cut: all round again, from elsewhere
		st.spec.Wish = nil
		if found := slices.DeleteFunc(lead.Find(st.spec), spoils); len(found) > 0 {
			return again(found[0]), true
		}
		start = in
	}
	st.spec.At = nil // of a stretch between tabs: it goes on anywhere
	var short *Cut
	for k := range backTimes {
		from := max(in, start-float64(k)*backStep)
		q := pointAt(c.Path, from)
		st.spec.Wish = &q
		for _, l := range lead.Find(st.spec) {
			if st.spec.Path.Seg(l.Seg).At(l.T).Dist(q) > geom.Join || spoils(l) {
				continue // it starts elsewhere, or must not
			}
			if n := s.goOn(st, c, l, from); !l.Short {
				return n, true
			} else if short == nil || n.Clear > short.Clear {
				short = &n
			}
		}
		if l, ok := s.straight(st, q, pointAt(c.Path, from+s.kerf), solid); ok && !spoils(l) {
			return s.goOn(st, c, l, from), true
		}
		if from == in {
			break
		}
	}
	if pl.at-in <= againMost { // little is lost if all of it is cut once more
		st.spec.Wish, st.spec.At = nil, c.task.setup.spec.At
		if found := slices.DeleteFunc(lead.Find(st.spec), func(l lead.Lead) bool { return l.Short || spoils(l) }); len(found) > 0 {
			return again(found[0]), true
		}
	}
	if short != nil {
		faults.Warnf(whereOf(c), "pierce-clearance", "Watch the start, and dress the edge there.",
			"taken up with a pierce %.2f mm from an edge that stays, %.2f mm wanted", short.Clear, s.need)
		return *short, true
	}
	// Along the kerf already cut: the arc catches on its end.
	from := max(0, min(start, pl.at)-3*s.kerf)
	if pl.at < in { // only the lead was cut: on the metal just before its end
		from = pl.at + 0.75*s.kerf
		if from > in-s.kerf/2 {
			from = pl.at
		}
	}
	// Its own kerf has an end to catch on; a neighbour's, where both run in one,
	// has not.
	if others := cut[1:]; len(others) > 0 {
		index := geom.IndexPaths(others...)
		for step := s.kerf; ; from -= step {
			if from < 0 || pl.at-from > twiceMost {
				faults.Errorf(whereOf(c), "resume-no-metal", "Take the cut up by hand, or cut the part anew.",
					"every place to take it up lies over the kerf of another cut")
				return c, false
			}
			if _, near := index.NearestWithin(pointAt(c.Path, from), leastOff*s.kerf); !near {
				break
			}
		}
	}
	n := c
	n.Path = stretchOf(c.Path, from, c.Path.Length())
	n.Pierce, n.LeadIn = n.Path.Start(), 0
	for left := in - from; n.LeadIn < n.Path.NumSegs()-1; n.LeadIn++ { // what it still has of its own lead
		if left -= n.Path.Seg(n.LeadIn).Length(); left < -geom.Join {
			break
		}
	}
	n.Clear = math.Min(n.Clear, st.ground.Dist(n.Pierce))
	n = s.timed(st, n)
	touch, ok := s.touchNear(p, pl.cut, n.Pierce, void)
	if !ok {
		faults.Errorf(whereOf(c), "resume-touch-off", "Take the cut up by hand, or cut the part anew.",
			"no solid metal within %.0f mm to find the plate on", touchWithin)
		return n, false
	}
	n.Touch = &touch
	faults.Warnf(whereOf(c), "resume-in-kerf", "Watch the start: the arc must catch on the end of the old kerf.",
		"no scrap is left to pierce: it starts over the kerf already cut")
	return n, true
}

func whereOf(c Cut) fault.Where {
	return fault.Where{Feature: c.Label, Frame: fault.OnStock, X: c.Pierce.X, Y: c.Pierce.Y}
}

// straight looks for a straight way to a place on the old kerf from any
// direction, out of scrap that is still solid almost all the way. From where
// the cut goes on to, ahead, it does not come: it would cut there the wrong way.
func (s shop) straight(st *setup, q, ahead geom.Point, solid fresh) (lead.Lead, bool) {
	seg, t, _, _ := st.spec.Path.Nearest(q)
	const turns, leastTurn = 32, 0.35 // rad: 0.06 mm on, such a lead is 0.02 mm off the way
	on := ahead.Sub(q).Unit()
	for r := keepOff * s.kerf; r <= 2*st.spec.Longest; r += s.kerf / 2 {
		for i := range turns {
			from := geom.Polar(q, r, 2*math.Pi*float64(i)/turns)
			l := lead.Lead{Seg: seg, T: t, In: []geom.Seg{geom.Line(from, q)}, Pierce: from, Clear: solid.Dist(from)}
			if l.Clear < s.need || !solid.Scrap(from) || from.Sub(q).Unit().Dot(on) > math.Cos(leastTurn) {
				continue
			}
			whole := true
			for d := 1.5 * s.kerf; d < r && whole; d += s.kerf / 2 {
				_, near := solid.void.NearestWithin(q.Lerp(from, d/r), 0.75*s.kerf)
				whole = !near
			}
			if whole && lead.Lawful(st.spec, l, geom.Move{}) {
				return l, true
			}
		}
	}
	return lead.Lead{}, false
}

// again cuts all of it from another start.
func (s shop) again(st *setup, c Cut, l lead.Lead, faults *fault.List) Cut {
	if l.Short {
		faults.Warnf(whereOf(c), "pierce-clearance", "Watch the start, and dress the edge there.",
			"cut again with a pierce %.2f mm from an edge that stays, %.2f mm wanted", l.Clear, s.need)
	}
	w := s.way(st, l)
	c.Path, c.LeadIn, c.Tail = w.cut.Path, w.cut.LeadIn, w.cut.Tail
	c.Pierce, c.Clear, c.Holds, c.Time, c.Feeds = l.Pierce, l.Clear, w.holds, w.time, w.feeds
	return c
}

// goOn comes in by a lead and follows what is left of the path.
func (s shop) goOn(st *setup, c Cut, l lead.Lead, from float64) Cut {
	rest := stretchOf(c.Path, from, c.Path.Length())
	c.Path = geom.FromSegs(append(append([]geom.Seg{}, l.In...), rest.Segs()...), false)
	c.LeadIn, c.Pierce, c.Clear = len(l.In), l.Pierce, l.Clear
	return s.timed(st, c)
}

// timed works out holds and time of a cut anew.
func (s shop) timed(st *setup, c Cut) Cut {
	c.Tail = min(c.Tail, c.Path.NumSegs()-1-c.LeadIn)
	w := way{cut: lead.Cut{Path: c.Path, LeadIn: c.LeadIn, Tail: c.Tail}}
	if st.sort != cutAcross {
		s.slowed(st, &w)
	}
	c.Path, c.Tail, c.Feeds = w.cut.Path, w.cut.Tail, w.feeds
	m := motion.PlanFeeds(c.Path, st.feed, c.Feeds, s.lim)
	c.Time = m.Time
	in := c.LeadIn
	for in < c.Path.NumSegs()-c.Tail { // a loop round a corner that comes first is like a lead
		if _, _, _, d := st.spec.Path.Nearest(c.Path.Seg(in).Mid()); d < geom.Join {
			break
		}
		in++
	}
	c.Holds = s.holds(st, lead.Cut{Path: c.Path, LeadIn: in, Tail: c.Tail}, m)
	return c
}

// fresh is ground on which some metal is gone.
type fresh struct {
	lead.Ground
	void *geom.SegIndex
	keep float64 // mm from the middle of a kerf
}

func (g fresh) Scrap(p geom.Point) bool {
	if _, near := g.void.NearestWithin(p, g.keep); near {
		return false
	}
	return g.Ground.Scrap(p)
}

// onStock is a cut's setup where the cut lies, with its neighbours round it.
func (s shop) onStock(p *Program, c *Cut) *setup {
	m := c.task.move
	old := c.task.setup
	out := &setup{sort: old.sort, f: movedFeature(old.f, m), spec: old.spec, feed: old.feed, frees: old.frees}
	out.spec.Avoid = out.f.Critical
	if len(out.spec.Keep) > 0 {
		out.spec.Keep = s.bridges(out.f)
	}
	out.spec.Path = m.Path(old.spec.Path)
	out.spec.Center = m.Apply(old.spec.Center)
	if deep := old.spec.Deep; deep != nil {
		out.spec.Deep = func() geom.Point { return m.Apply(deep()) }
	}
	for _, e := range old.near {
		out.near = append(out.near, m.Path(e))
	}
	g := *old.ground
	g.own = m.Path(g.own)
	g.within, g.others, g.boxes = nil, nil, nil
	for _, w := range old.ground.within {
		g.within = append(g.within, m.Path(w))
	}
	for _, o := range old.ground.others {
		g.stays(m.Path(o))
	}
	if p.outlineOf(c) && p.Tree.Parts[p.Placed[c.Placed].Part].In < 0 && s.job.Stock.Hold != job.Blank {
		g.plate, g.metal, g.edge = s.metal.Box.Grow(-s.kerf), &s.metal, s.kerf
		out.spec.Room = s.torchRoom()
		reach := out.spec.Path.Box().Grow(out.spec.Longest + 2*s.need)
		for k, pl := range p.Placed {
			part := p.Tree.Parts[pl.Part]
			if k == c.Placed || part.Outline < 0 || part.In >= 0 {
				continue
			}
			f := p.Tree.Features[part.Outline]
			if e := pl.Move.Path(f.Loop); e.Box().Overlaps(reach) {
				g.stays(e)
				if len(f.TabAt) > 0 { // nor may a lead cut off what it hangs on
					out.spec.Keep = append(out.spec.Keep, s.bridges(movedFeature(f, pl.Move))...)
					out.spec.KeepOff = (s.tabWidth() + s.kerf) / 2
				}
			}
		}
	}
	out.ground = g.ready()
	out.spec.Ground = out.ground
	return out
}

// touchNear finds solid metal near a place: off every kerf, in nothing loose,
// on the stock.
func (s shop) touchNear(p *Program, k int, q geom.Point, void *geom.SegIndex) (geom.Point, bool) {
	var stock geom.Path
	c := &p.Cuts[k]
	if pl := p.Placed[c.Placed]; s.job.Stock.Hold == job.Blank {
		part := p.Tree.Parts[pl.Part]
		if part.Outline < 0 {
			return q, false
		}
		stock = pl.Move.Path(p.Tree.Features[part.Outline].Loop)
	} else {
		stock = boxPath(s.metal.Box)
	}
	ground := newFloor(stock.Box())
	for i := range p.Cuts[:k] {
		if p.Placed[p.Cuts[i].Placed].Blank == p.Placed[c.Placed].Blank {
			ground.loosen(p.Cuts[i].round())
		}
	}
	own := c.round()
	room := s.kerf + 2*geom.Gap + 3 // the nozzle must not dip into the kerf; common practice, no source
	for r := room; r < touchWithin-geom.Gap; r += 2 {
		for i := range 16 {
			at := geom.Polar(q, r, float64(i)*math.Pi/8)
			if stock.Winding(at) == 0 {
				continue
			}
			if _, _, _, d := stock.Nearest(at); d < room {
				continue
			}
			if s.job.Stock.Hold != job.Blank && !s.metal.Free(at, room) {
				continue
			}
			if _, near := void.NearestWithin(at, room); near {
				continue
			}
			if _, _, _, d := own.Nearest(at); d < room {
				continue
			}
			if len(ground.over(at, q)) > 0 || !ground.solid(at, room) {
				continue
			}
			return at, true
		}
	}
	return q, false
}

// solid reports whether nothing within room of a place is loose.
func (f *floor) solid(p geom.Point, room float64) bool {
	for _, k := range f.grid.near(geom.Box{Min: p, Max: p}.Grow(room)) {
		r := f.regions[k]
		if r.Winding(p) != 0 {
			return false
		}
		if _, _, _, d := r.Nearest(p); d < room {
			return false
		}
	}
	return true
}

// stretchOf returns the part of an open path from one length to another, mm;
// a path without segments if there is none.
func stretchOf(p geom.Path, from, to float64) geom.Path {
	var segs []geom.Seg
	at := 0.0
	for i := range p.NumSegs() {
		sg := p.Seg(i)
		l := sg.Length()
		a, b := max(0, from-at), min(l, to-at)
		switch {
		case b-a < geom.Join:
		case a < geom.Join && b > l-geom.Join:
			segs = append(segs, sg)
		default:
			segs = append(segs, sg.Part(a/l, b/l))
		}
		at += l
	}
	if len(segs) == 0 {
		return geom.Path{}
	}
	return geom.FromSegs(segs, false)
}

// pointAt returns the place on an open path at a length, mm.
func pointAt(p geom.Path, mm float64) geom.Point {
	for i := range p.NumSegs() {
		sg := p.Seg(i)
		l := sg.Length()
		if mm <= l && l > 0 {
			return sg.At(max(0, mm/l))
		}
		mm -= l
	}
	return p.End()
}
