package planner

import (
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/lead"
)

// leastTab is the narrowest tab, mm: a narrower one melts. Common practice,
// no source.
const leastTab = 1.0

// tabWidth is how wide a tab is along the edge, mm.
func (s shop) tabWidth() float64 {
	return max(leastTab, s.rules.TabWidth*s.job.Stock.Thickness)
}

// tabAt says where an outline's tabs lie: their middles on the edge, in the
// drawing's own axes, whichever way the copy lies.
func (s shop) tabAt(f feature.Feature) []geom.Point {
	if f.Kind != feature.Outline || f.Rule != feature.RuleOutline || f.Tabs == 0 {
		return nil
	}
	paths, err := geom.Offset(f.Loop, s.kerf/2)
	if err != nil || len(paths) != 1 { // a fault that setting up names
		return nil
	}
	return s.tabs(paths[0].CCW(), f)
}

// tabs spreads an outline's tabs evenly along the torch's path, each moved to
// the nearest place that is straight for the tab and a kerf to either side,
// and on no face that is to be kept clean: a tab in a corner or on an arc is
// hard to dress. Tabs that would come too near to one another are left out.
// Where nothing is straight enough, tabs lie on arcs.
func (s shop) tabs(path geom.Path, f feature.Feature) []geom.Point {
	width := s.tabWidth()
	gap := width + s.kerf // between the torch's end and its next start
	lap := path.Length()
	n := f.Tabs
	if n == 0 || lap < float64(n)*4*gap {
		return nil
	}
	avoid := map[int]bool{}
	for _, q := range f.Critical {
		seg, _, _, _ := path.Nearest(q)
		avoid[seg] = true
	}
	type spot struct{ from, to float64 }
	find := func(arcs bool) (spots []spot) {
		at := 0.0
		for i := range path.NumSegs() {
			sg := path.Seg(i)
			l := sg.Length()
			if room := gap/2 + s.kerf; sg.IsArc() == arcs && (!arcs || sg.Radius() >= 2*gap) && !avoid[i] && l >= 2*room && !s.joins(sg) {
				spots = append(spots, spot{at + room, at + l - room})
			}
			at += l
		}
		return spots
	}
	spots := find(false)
	if len(spots) == 0 {
		spots = find(true)
	}
	if len(spots) == 0 {
		return nil
	}
	// Begin in the middle of the longest.
	first := spots[0]
	for _, p := range spots {
		if p.to-p.from > first.to-first.from+geom.Join {
			first = p
		}
	}
	var out []float64
	for k := range n {
		want := math.Mod((first.from+first.to)/2+lap*float64(k)/float64(n), lap)
		best, off := 0.0, math.Inf(1)
		for _, p := range spots {
			for _, turn := range [3]float64{-lap, 0, lap} {
				at := min(max(want+turn, p.from), p.to)
				if d := math.Abs(at - want - turn); d < off {
					best, off = at, d
				}
			}
		}
		clash := false
		for _, o := range out {
			d := math.Abs(best - o)
			clash = clash || min(d, lap-d) < 3*gap
		}
		if clash {
			continue
		}
		out = append(out, best)
	}
	pts := make([]geom.Point, len(out))
	for i, along := range out {
		seg, t := placeAlong(path, along)
		_, _, pts[i], _ = f.Loop.Nearest(path.Seg(seg).At(t))
	}
	return pts
}

// stretches cuts an outline into one cut for each stretch between two tabs.
func (s shop) stretches(st *setup, faults *fault.List) []*setup {
	path := st.spec.Path
	var tabs []float64 // mm along the path
	for _, q := range st.f.TabAt {
		tabs = append(tabs, alongOf(path, q))
	}
	slices.Sort(tabs)
	if len(tabs) < st.f.Tabs {
		faults.Warnf(fault.Where{Feature: st.f.ID}, "tabs-few", "Ask for fewer or narrower tabs, or weight the part down.",
			"there is room for %d of %d tabs of %.1f mm", len(tabs), st.f.Tabs, s.tabWidth())
	}
	lap, gap := path.Length(), s.tabWidth()+s.kerf
	// On a bend, a tab is as wide as the way straight across.
	half := func(along float64) float64 {
		seg, _ := placeAlong(path, math.Mod(along, lap))
		if r := path.Seg(seg).Radius(); !math.IsInf(r, 1) {
			return r * math.Asin(min(1, gap/2/r))
		}
		return gap / 2
	}
	var out []*setup
	for i, t := range tabs {
		next := tabs[(i+1)%len(tabs)]
		if i == len(tabs)-1 {
			next += lap
		}
		from := math.Mod(t+half(t), lap)
		x := *st
		x.sort, x.frees = cutStretch, i == len(tabs)-1
		seg, part := placeAlong(path, from)
		x.spec.At, x.spec.Span = &lead.Place{Seg: seg, T: part}, next-half(next)-(t+half(t))
		x.spec.Keep, x.spec.KeepOff = s.bridges(st.f), gap/2
		x.spec.Loop, x.spec.LoopAt, x.spec.Wish = 0, nil, nil
		out = append(out, &x)
	}
	return out
}

// bridges returns the middles of an outline's tabs, from its edge across the
// kerf into the skeleton, as it lies.
func (s shop) bridges(f feature.Feature) []geom.Seg {
	var out []geom.Seg
	for _, q := range f.TabAt {
		seg, t, at, _ := f.Loop.Nearest(q)
		away := f.Loop.Seg(seg).Tangent(t).Left().Mul(-1) // the loop runs counter-clockwise
		out = append(out, geom.Line(at, at.Add(away.Mul(1.5*s.kerf))))
	}
	return out
}

// placeAlong returns the segment and the part of its length at a distance
// along a path.
func placeAlong(p geom.Path, along float64) (seg int, t float64) {
	n := p.NumSegs()
	for i := range n {
		l := p.Seg(i).Length()
		if along <= l || i == n-1 {
			return i, min(1, max(0, along/max(l, geom.Same)))
		}
		along -= l
	}
	return 0, 0
}

// alongOf returns how far along a path its place nearest to q lies, mm.
func alongOf(p geom.Path, q geom.Point) float64 {
	seg, t, _, _ := p.Nearest(q)
	along := t * p.Seg(seg).Length()
	for i := range seg {
		along += p.Seg(i).Length()
	}
	return along
}

// tabRoom says when a neighbour's kerf would cut through the metal that a tab
// hangs on: the skeleton beside it, over half a kerf more than the cut's own
// (common practice, no source), and then the neighbour's kerf.
func (s shop) tabRoom(p *Program, w *task, neighbours []geom.Path, faults *fault.List) {
	const room = 2.6 // kerfs
	f := movedFeature(w.setup.f, w.move)
	for _, at := range f.TabAt {
		for _, e := range neighbours {
			_, _, _, d := e.Nearest(at)
			if d >= room*s.kerf {
				continue
			}
			where := fault.Where{Feature: s.label(p, w.placed, w.feature), Frame: fault.OnStock, X: at.X, Y: at.Y}
			if !slices.ContainsFunc(*faults, func(o fault.Fault) bool { return o.Code == "tab-room" && o.Where == where }) { // by another stretch
				faults.Errorf(where, "tab-room", fmt.Sprintf("Lay the parts at least %.1f mm apart there, or leave the tabs out.", room*s.kerf),
					"a tab lies %.2f mm from the next part: the kerf there would cut it off", d)
			}
		}
	}
}
