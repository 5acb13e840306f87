package planner

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/motion"
)

// setup is a feature ready to be cut, in its drawing's own axes: worked out
// once and copied for every copy of the part.
type setup struct {
	spec   lead.Spec
	ground *ground
	feed   float64
	ways   []way       // best first
	near   []geom.Path // edges of the same drawing close enough to be held for
}

// way is one lead with the whole cut that follows from it.
type way struct {
	lead  lead.Lead
	cut   lead.Cut
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
}

func newShop(j job.Job) shop {
	p := j.Process
	return shop{
		job: j, rules: j.Rules.WithDefaults(), kerf: p.Kerf, need: lead.Clearance(p.Kerf, j.Stock.Thickness),
		lim: motion.Limits{Accel: j.Machine.AccelXY, Deviation: j.Machine.CornerDeviation},
	}
}

// most is how many leads of one feature the order search may choose from.
const most = 4

// setUp offsets every feature that is cut and finds its leads. A feature that
// cannot be cut has a nil entry and an Error.
func (s shop) setUp(ctx context.Context, t *feature.Tree) ([]*setup, fault.List) {
	out := make([]*setup, len(t.Features))
	lying := map[int][]int{}
	for k, p := range t.Parts {
		if p.In >= 0 {
			lying[p.In] = append(lying[p.In], k)
		}
	}
	// Parts do not depend on one another here: share them out, and put their
	// faults together in the order of the parts.
	faults := make([]fault.List, len(t.Parts))
	var next atomic.Int64
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
func (s shop) part(t *feature.Tree, lying map[int][]int, k int, out []*setup, faults *fault.List) {
	near := beside(t, t.Parts[k], nearCut*s.kerf, s.kerf, faults)
	for _, i := range t.Parts[k].Features {
		switch f := t.Features[i]; {
		case f.Rule == feature.RuleRefuse:
			faults.Errorf(fault.Where{Feature: f.ID}, "hole-too-small", "Drill it (rule drill), cut it all the same (rule slow-hole), or use thinner plate.", "%s", f.Why)
		case f.Rule.Cuts():
			out[i] = s.feature(t, lying, i, near[i], faults)
		}
	}
}

// feature offsets one feature's edge to the torch's path and finds leads.
func (s shop) feature(t *feature.Tree, lying map[int][]int, i int, near []geom.Path, faults *fault.List) *setup {
	f := t.Features[i]
	at := fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
	outline := f.Kind == feature.Outline
	d := -s.kerf / 2
	if outline {
		d = s.kerf / 2
	}
	paths, err := geom.Offset(f.Loop, d)
	switch {
	case err != nil:
		faults.Errorf(at, "offset", "Mend the drawing there: the line crosses or touches itself.", "no kerf path: %v", err)
		return nil
	case len(paths) == 0:
		_, r := geom.Inscribed(f.Loop, nil, geom.Fit)
		faults.Errorf(at, "swallowed", fmt.Sprintf("Use a process with a kerf under %.2f mm, drill it, or leave it out.", 2*r),
			"%.2f mm wide at its widest, kerf %.2f mm: swallowed by %.2f mm", 2*r, s.kerf, s.kerf-2*r)
		return nil
	case len(paths) > 1:
		where := paths[1].Box().Center()
		at.X, at.Y = where.X, where.Y
		faults.Errorf(at, "narrow", "Widen it in the drawing, use a narrower kerf, or leave the feature out.",
			"a neck or gap narrower than the kerf of %.2f mm cuts the path into %d pieces", s.kerf, len(paths))
		return nil
	}
	clockwise := outline == (s.rules.Clockwise == job.OutlineClockwise)
	path := paths[0].CCW()
	if clockwise {
		path = path.Reverse()
	}
	g := groundOf(t, lying, i)
	spec := lead.Spec{
		Path: path, Right: s.rules.Clockwise != job.OutlineClockwise,
		Round: f.Kind == feature.Hole, Center: f.Center, Outline: outline,
		Slow: f.Rule == feature.RuleSlow, Kerf: s.kerf, Need: s.need, Longest: s.rules.MaxLead,
		Wish: f.Start, Ground: g, Most: most,
	}
	if !outline && !spec.Round {
		spec.Deep = sync.OnceValue(func() geom.Point {
			p, _ := geom.Inscribed(f.Loop, g.others, geom.Gap)
			return p
		})
	}
	st := &setup{spec: spec, ground: g, near: near, feed: s.job.Process.Feed}
	if spec.Slow {
		st.feed *= s.rules.SlowFeed
	}
	if !s.lead(st, f, faults) {
		return nil
	}
	return st
}

// lead fills the ways of a setup. Short clearance is a Warning, no lead at
// all an Error.
func (s shop) lead(st *setup, f feature.Feature, faults *fault.List) bool {
	at := fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
	leads := lead.Find(st.spec)
	if len(leads) == 0 {
		faults.Errorf(at, "no-lead", "Use a narrower kerf (less amperage), drill it, or leave it out.",
			"no place to pierce that leaves the part's edges whole")
		return false
	}
	if leads[0].Short {
		faults.Warnf(at, "pierce-clearance", "Try the pierce on scrap, use less amperage, or drill it.",
			"pierce %.2f mm from an edge that stays, %.2f mm wanted", leads[0].Clear, s.need)
		leads = leads[:1]
	}
	st.ways = st.ways[:0]
	for _, l := range leads {
		st.ways = append(st.ways, s.way(st, f, l))
	}
	return true
}

// way assembles the whole cut of a lead, its holds and its time.
func (s shop) way(st *setup, f feature.Feature, l lead.Lead) way {
	overburn, out := 0.0, 0.0
	if f.Kind != feature.Outline {
		overburn = s.rules.Overburn
	}
	if f.Kind == feature.Slot || f.Kind == feature.CutOut {
		out = s.rules.LeadOut
	}
	w := way{lead: l, cut: lead.Assemble(st.spec, l, overburn, out)}
	p := motion.Plan(w.cut.Path, st.feed, s.lim)
	w.time = p.Time
	w.holds = s.holds(st, w.cut, p)
	return w
}
