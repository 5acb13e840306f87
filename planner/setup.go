package planner

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/motion"
	"example.org/kerfwright/planner/progress"
)

// setup is one cut of a feature ready to be made, in its drawing's own axes:
// worked out once and copied for every copy of the part. Most features are
// one cut; an outline kept in by tabs is one for each stretch between them,
// and a slug that is cut across first is one more.
type setup struct {
	sort   cutSort
	f      feature.Feature // as this setup lies
	spec   lead.Spec
	ground *ground
	feed   float64
	ways   []way       // best first
	near   []geom.Path // edges of the same drawing close enough to be held for
	frees  bool        // what lies inside is loose once this is cut
	shared bool        // a stretch that begins and ends at an open kerf
}

// cutSort says what a cut does.
type cutSort int

const (
	cutWhole   cutSort = iota // once round the edge
	cutStretch                // of an outline, from tab to tab
	cutAcross                 // a slug, so that it falls in two
	cutPop                    // a pulse that marks a centre
	cutMark                   // along a line that is marked
	cutTrim                   // along the line that parts the skeleton from what is kept
)

// way is one lead with the whole cut that follows from it.
type way struct {
	lead  lead.Lead
	cut   lead.Cut
	feeds []float64 // mm/min of each segment; nil is the setup's feed
	holds []Hold
	time  float64 // s along the path
}

// shop is what every setup needs of a job, in the planner's own terms.
type shop struct {
	job   job.Job
	rules job.Rules
	kerf  float64
	need  float64 // mm, clearance of a pierce
	lim   motion.Limits
	plate int          // from 1
	metal layout.Metal // of that plate
	trim  *trim        // how it is trimmed; nil: not
}

func newShop(j job.Job) shop {
	p := j.Process
	plate := max(1, j.Layout.Plate)
	metal, _ := layout.MetalOf(j.Stock, plate) // Ready tells what is wrong with it
	return shop{
		plate: plate, metal: metal,
		job: j, rules: j.Rules.WithDefaults(), kerf: p.Kerf, need: lead.Clearance(p.Kerf, j.Stock.Thickness),
		lim: motion.Limits{Accel: j.Machine.AccelXY, Deviation: j.Machine.CornerDeviation},
	}
}

// delay is how long the arc of a feature pierces, s.
func (s shop) delay(f feature.Feature) float64 {
	if f.Delay.Known {
		return f.Delay.Value
	}
	return s.job.Process.PierceDelay.Value
}

// most is how many leads of one feature the order search may choose from.
const most = 4

// setUp offsets every feature that is cut and finds its leads. A feature that
// cannot be cut has a nil entry and an Error.
func (s shop) setUp(ctx context.Context, t *feature.Tree) ([][]*setup, fault.List) {
	out := make([][]*setup, len(t.Features))
	lying := map[int][]int{}
	for k, p := range t.Parts {
		if p.In >= 0 {
			lying[p.In] = append(lying[p.In], k)
		}
	}
	// Parts do not depend on one another here: share them out, and put their
	// faults together in the order of the parts.
	faults := make([]fault.List, len(t.Parts))
	var next, ready atomic.Int64
	var done sync.WaitGroup
	var broken atomic.Pointer[any]
	for range min(runtime.GOMAXPROCS(0), len(t.Parts)) {
		done.Go(func() {
			defer func() { // so that whoever guards the caller sees it
				if why := recover(); why != nil {
					broken.Store(&why)
				}
			}()
			for {
				k := int(next.Add(1)) - 1
				if k >= len(t.Parts) || ctx.Err() != nil {
					return
				}
				s.part(t, lying, k, out, &faults[k])
				progress.Tell(ctx, int(ready.Add(1)), len(t.Parts))
			}
		})
	}
	done.Wait()
	if why := broken.Load(); why != nil {
		panic(*why)
	}
	return out, slices.Concat(faults...)
}

// part sets up the features of one part.
func (s shop) part(t *feature.Tree, lying map[int][]int, k int, out [][]*setup, faults *fault.List) {
	near := beside(t, t.Parts[k], nearCut*s.kerf, s.kerf, faults)
	for _, i := range t.Parts[k].Features {
		t.Features[i].TabAt = s.tabAt(t.Features[i])
		switch f := t.Features[i]; {
		case f.Rule == feature.RuleRefuse:
			faults.Errorf(fault.Where{Feature: f.ID}, "hole-too-small", "Drill it (rule drill), cut it all the same (rule slow-hole), or use thinner plate.", "%s", f.Why)
		case f.Rule == feature.RuleDrill && f.Pop:
			out[i] = s.pop(f)
		case f.Rule == feature.RuleMark && s.marking():
			out[i] = s.trace(f)
		case f.Rule.Cuts():
			out[i] = s.feature(f, groundOf(t, lying, i), near[i], faults)
		}
	}
}

// pop sets up the pulse that marks a hole's centre.
func (s shop) pop(f feature.Feature) []*setup {
	at := geom.Path{V: []geom.Vertex{{P: f.Center}}}
	w := way{lead: lead.Lead{Pierce: f.Center, Clear: f.Diameter / 2}, cut: lead.Cut{Path: at}}
	return []*setup{{sort: cutPop, f: f, feed: s.job.Process.Feed, ways: []way{w}}}
}

// feature offsets one feature's edge to the torch's path and finds leads. A
// feature that cannot be cut gives nil and an Error.
func (s shop) feature(f feature.Feature, g *ground, near []geom.Path, faults *fault.List) []*setup {
	at := fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
	outline := f.Kind == feature.Outline
	path, ok := s.path(f, faults)
	if !ok {
		return nil
	}
	if (outline == (s.rules.Clockwise == job.OutlineClockwise)) != f.Against {
		path = path.Reverse()
	}
	spec := lead.Spec{
		Path: path, Right: (s.rules.Clockwise != job.OutlineClockwise) != f.Against,
		Round: f.Kind == feature.Hole, Center: f.Center, Outline: outline,
		Slow: f.Rule == feature.RuleSlow, Spiral: f.Spiral, Kerf: s.kerf, Need: s.need, Longest: s.rules.MaxLead,
		Wish: f.Start, Avoid: f.Critical, Ground: g, Most: most,
	}
	if !outline && !spec.Round {
		spec.Deep = sync.OnceValue(func() geom.Point {
			p, _ := geom.Inscribed(f.Loop, g.others, geom.Gap)
			return p
		})
	}
	st := &setup{f: f, spec: spec, ground: g, near: near, feed: s.job.Process.Feed * f.Feed, frees: true}
	if outline && s.rules.CornerLoop > 0 {
		st.spec.LoopAt, st.spec.Loop = s.sharp(path, f.Loop), s.rules.CornerLoop
	}
	all := []*setup{st}
	switch {
	case outline && f.Tabs > 0:
		if all = s.stretches(st, faults); len(all) == 0 {
			all = []*setup{st}
		}
	case !outline && s.rules.SplitSlugs > 0:
		if across, pierce := s.across(st); across != nil {
			st.near = append(slices.Clone(st.near), across.ways[0].cut.Path)
			if !s.leadFrom(st, *pierce) {
				st.near = near
				break
			}
			return []*setup{across, st}
		} else if min(f.Width, f.Height) > s.rules.SplitSlugs {
			faults.Add(fault.Fault{Severity: fault.Note, Where: at, Code: "slug-whole", What: "the slug is not cut across: there is no room in it for two pierces"})
		}
	}
	for _, x := range all {
		if !s.lead(x, faults) {
			return nil
		}
	}
	return all
}

// path offsets the feature's edge to where the torch runs, counter-clockwise.
func (s shop) path(f feature.Feature, faults *fault.List) (geom.Path, bool) {
	at := fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
	d := -s.kerf / 2
	if f.Kind == feature.Outline {
		d = s.kerf / 2
	}
	paths, err := geom.Offset(f.Wanted(), d)
	switch {
	case err != nil:
		faults.Errorf(at, "offset", "Mend the drawing there: the line crosses or touches itself.", "no kerf path: %v", err)
		return geom.Path{}, false
	case len(paths) == 0:
		_, r := geom.Inscribed(f.Wanted(), nil, geom.Fit)
		faults.Errorf(at, "swallowed", fmt.Sprintf("Use a process with a kerf under %.2f mm, drill it, or leave it out.", 2*r),
			"%.2f mm wide at its widest, kerf %.2f mm: swallowed by %.2f mm", 2*r, s.kerf, s.kerf-2*r)
		return geom.Path{}, false
	case len(paths) > 1:
		place, width := paths[1].Box().Center(), ""
		if d, err := geom.OffsetDetail(f.Wanted(), nil, d); err == nil && len(d.Necks) > 0 {
			n := slices.MinFunc(d.Necks, func(a, b geom.Neck) int { return cmp.Compare(a.Width, b.Width) })
			place, width = n.P.Lerp(n.Q, 0.5), fmt.Sprintf(" %.2f mm wide,", n.Width)
		}
		at.X, at.Y = place.X, place.Y
		faults.Errorf(at, "narrow", "Widen it in the drawing, use a narrower kerf, or leave the feature out.",
			"a neck or gap%s narrower than the kerf of %.2f mm cuts the path into %d pieces", width, s.kerf, len(paths))
		return geom.Path{}, false
	}
	return paths[0].CCW(), true
}

// lead fills the ways of a setup. Short clearance is a Warning, no lead at
// all an Error; both name the nearest cure that can be computed.
func (s shop) lead(st *setup, faults *fault.List) bool {
	f := st.f
	at := fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
	leads := lead.Find(st.spec)
	if len(leads) == 0 {
		faults.Errorf(at, "no-lead", s.cure(st, false), "no place to pierce that leaves the part's edges whole")
		return false
	}
	if leads[0].Short {
		left := fmt.Sprintf("%.2f mm short", s.need-leads[0].Clear)
		if f.Diameter > 0 {
			if slug := f.Diameter - 2*s.kerf; slug > 0 {
				left += fmt.Sprintf("; the slug is %.2f mm wide", slug)
			} else {
				left += "; no slug is left"
			}
		}
		faults.Warnf(at, "pierce-clearance", s.cure(st, true), "pierce %.2f mm from an edge that stays, %.2f mm wanted: %s", leads[0].Clear, s.need, left)
		leads = leads[:1]
	}
	st.ways = st.ways[:0]
	for _, l := range leads {
		st.ways = append(st.ways, s.way(st, l))
	}
	return true
}

// way assembles the whole cut of a lead, its feeds, its holds and its time.
func (s shop) way(st *setup, l lead.Lead) way {
	f := st.f
	overburn, out := f.Overburn, 0.0
	if f.Kind == feature.Outline {
		overburn = 0
	}
	if f.Kind == feature.Slot || f.Kind == feature.CutOut {
		out = s.rules.LeadOut
	}
	w := way{lead: l, cut: lead.Assemble(st.spec, l, overburn, out)}
	// Round a circle that nothing lies beside, every start is like the first.
	if s.rules.EntryFeed == 0 && len(st.ways) > 0 && st.spec.Round && !f.Oval && len(st.near) == 0 && st.ways[0].feeds == nil && alike(st.ways[0].cut, w.cut) {
		first := &st.ways[0]
		w.holds, w.time = first.holds, first.time
		return w
	}
	s.slowed(st, &w)
	p := motion.PlanFeeds(w.cut.Path, st.feed, w.feeds, s.lim)
	w.time = p.Time
	w.holds = s.holds(st, w.cut, p)
	return w
}

// alike reports whether two cuts, each once round the same circle, differ only
// by where on it they start: their leads are of one shape. Where the circle is
// cut into segments does not matter to the motion.
func alike(a, b lead.Cut) bool {
	if a.LeadIn != b.LeadIn || math.Abs(a.Path.Length()-b.Path.Length()) > geom.Join {
		return false
	}
	for i := range a.LeadIn {
		if x, y := a.Path.Seg(i), b.Path.Seg(i); x.Bulge != y.Bulge || math.Abs(x.Length()-y.Length()) > geom.Same {
			return false
		}
	}
	return true
}
