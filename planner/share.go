package planner

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/report"
)

// # Shared edges
//
// Two parts whose straight edges lie side by side, one kerf apart, are parted
// by one cut, if the job asks for it. Of every such pair one part is cut first.
// The other, later, is cut only where nothing has been cut yet: its outline
// becomes one open chain, or several.
//
//   - A chain begins at the part's own corner, from a pierce in scrap: an arc
//     that starts over an open kerf has nothing to stand on. So the first part's
//     edge must reach that corner or past it.
//   - It ends by running straight on into the open kerf, at a corner or in the
//     middle of an edge.
//   - Height is held near the open kerf, as near any other (crossing.go).
//   - The first part keeps the square side of the shared cut, the later one has
//     the other. Where either edge must be clean, where its feed or its start
//     is its own, or where a part has tabs, nothing is shared.
//   - Every part needs scrap beside it for its pierce while it is cut, so that
//     in a block of more than two rows the inner parts cannot share. The order
//     within a block is looked for in shareorder.go; what is not shared then is
//     cut over the open kerf, as without sharing, and told.
//
// No pierce is saved: a pierce in scrap for every part is what makes it safe.
// Length, time and plate are. The proof asks by itself whether all edges are
// cut and every part falls free (package proof, shared.go).

// Corners of parts that share edges: how far from square, rad. Further from it
// the ends of two kerfs part company. Derived: round a corner that turns by t
// the ends lie kerf*sin(t/2) from one another; up to 100 degrees that is under
// 0.77 kerf, and both kerfs overlap well.
const fromSquare = 10 * math.Pi / 180

// sharing says which outlines of a plate are cut in chains, and after which.
type sharing struct {
	chains map[int][]*setup // placed -> what is cut of its outline, on the stock
	after  map[int][]int    // placed -> the placed parts that are cut before it

	paths []geom.Path // the stretches that one cut parts, on the stock
	edges int
	saved float64 // mm that are not cut
	more  int     // chains beyond one for each part
}

// of returns the chains of a placed part's outline, nil if it is cut whole.
func (x *sharing) of(p *Program, placed, f int) []*setup {
	if x == nil || p.Tree.Features[f].Kind != feature.Outline {
		return nil
	}
	return x.chains[placed]
}

// before puts a task of an outline behind those in whose kerf it ends.
func (x *sharing) before(p *Program, w *task) {
	if x != nil && p.Tree.Features[w.feature].Kind == feature.Outline {
		w.after = x.after[w.placed]
	}
}

// tell fills the plan's report.
func (x *sharing) tell(p *Program, feed float64) {
	if x != nil && x.edges > 0 {
		p.Shared = x.paths
		p.Plan.Shared = &report.SharedEdges{Edges: x.edges, Length: x.saved, Time: x.saved / feed * 60, Pierces: x.more}
	}
}

// common is a stretch of an outline's torch path that another part's path shares.
type common struct {
	other    int     // into candidates
	seg      int     // of the path
	from, to float64 // mm along that segment
}

// sharer is an outline that may share.
type sharer struct {
	placed int
	st     *setup // on the stock, with its neighbours round it
	sides  []common
	no     string // why it cannot be cut in chains, if that is sure
}

// share looks for edges that one cut can part, and for an order in which that
// is lawful. work are the cuts of the plate, not yet looked at beside others.
func (s shop) share(p *Program, a *around, work []task, faults *fault.List) *sharing {
	if !s.job.Layout.Share || a == nil {
		return nil
	}
	var all []*sharer
	g := newGrid(100)
	for _, w := range work {
		f := p.Tree.Features[w.feature]
		if f.Kind != feature.Outline || f.Rule != feature.RuleOutline || p.Tree.Parts[f.Part].In >= 0 || p.Placed[w.placed].Inside != nil || w.setup.sort != cutWhole {
			continue
		}
		st, _ := s.besides(p, &w, a)
		if st == nil {
			continue
		}
		c := &sharer{placed: w.placed, st: st}
		if f.Start != nil {
			c.no = "its start is set by hand"
		}
		all = append(all, c)
		g.add(c.st.spec.Path.Box())
	}
	b := &block{shop: s, all: all, tried: map[string]attempt{}}
	for k, c := range all {
		for _, o := range g.near(c.st.spec.Path.Box().Grow(geom.Join)) {
			if o != k {
				c.sides = append(c.sides, s.sidesOf(c, all[o], o)...)
			}
		}
	}
	out := &sharing{chains: map[int][]*setup{}, after: map[int][]int{}}
	b.solve(p, out, faults)
	a.leads = map[int][]geom.Seg{}
	for k, chains := range out.chains {
		for _, st := range chains {
			a.leads[k] = append(a.leads[k], st.ways[0].lead.In...)
		}
	}
	return out
}

// sidesOf lists where the straight runs of c's path lie on those of o's.
func (s shop) sidesOf(c, o *sharer, other int) (out []common) {
	if c.st.feed != o.st.feed {
		return nil
	}
	least := s.shareFrom()
	p, q := c.st.spec.Path, o.st.spec.Path
	box := q.Box().Grow(geom.Join)
	clean := func(x *sharer, i int) bool {
		for _, at := range x.st.f.Critical {
			if seg, _, _, _ := x.st.spec.Path.Nearest(at); seg == i {
				return true
			}
		}
		return false
	}
	for i := range p.NumSegs() {
		e := p.Seg(i)
		l := e.Length()
		if e.IsArc() || l < least || !e.Box().Overlaps(box) {
			continue
		}
		d := e.Tangent(0)
		for k := range q.NumSegs() {
			h := q.Seg(k)
			if h.IsArc() || h.Length() < least || math.Abs(d.Cross(h.A.Sub(e.A))) > geom.Join || math.Abs(d.Cross(h.B.Sub(e.A))) > geom.Join {
				continue
			}
			from, to := d.Dot(h.A.Sub(e.A)), d.Dot(h.B.Sub(e.A))
			from, to = max(0, min(from, to)), min(l, max(from, to))
			if to-from >= least-geom.Join && !clean(c, i) && !clean(o, k) {
				out = append(out, common{other, i, from, to})
			}
		}
	}
	return out
}

// attempt is what cutting a part after some of its neighbours comes to.
type attempt struct {
	chains []*setup
	edges  int
	saved  float64 // mm
	no     string  // why it is not lawful
}

// chainsOf cuts an outline where the sides that are given leave it. no says
// why that cannot be.
func (s shop) chainsOf(c *sharer, sides []common, first *geom.SegIndex) (out attempt) {
	refuse := func(format string, args ...any) attempt { return attempt{no: fmt.Sprintf(format, args...)} }
	if c.no != "" {
		return refuse("%s", c.no)
	}
	path := c.st.spec.Path
	n := path.NumSegs()
	begin := make([]float64, n+1) // mm to the start of each segment
	for i := range n {
		begin[i+1] = begin[i] + path.Seg(i).Length()
	}
	lap := begin[n]
	corner := func(i int) (behind int, turn float64, square bool) { // round the end of segment i
		join, behind := path.Seg((i+1)%n), (i+2)%n
		d, e := path.Seg(i).Tangent(1), path.Seg(behind).Tangent(0)
		if turn = math.Atan2(d.Cross(e), d.Dot(e)); !c.st.spec.Right {
			turn = -turn // the part lies right of its path and turns right round its corners
		}
		return behind, turn, join.IsArc() && math.Abs(join.Radius()-s.kerf/2) <= geom.Join && math.Abs(turn-math.Pi/2) <= fromSquare
	}
	reaches := func(x common) bool { return path.Seg(x.seg).Length()-x.to <= geom.Join }
	leaves := func(x common) bool { return x.from <= geom.Join }
	for i := range sides {
		for k := range i {
			if sides[i].seg == sides[k].seg && min(sides[i].to, sides[k].to)-max(sides[i].from, sides[k].from) > geom.Join {
				return refuse("two parts lie over its edge")
			}
		}
	}
	// Sorted round the path, so that what follows a side is the next one.
	at := func(x common) float64 { return begin[x.seg] + x.from }
	sorted := slices.Clone(sides)
	slices.SortStableFunc(sorted, func(a, b common) int { return cmp.Compare(at(a), at(b)) })
	cut := 0.0
	for i, x := range sorted {
		y := sorted[(i+1)%len(sorted)]
		behind, _, square := corner(x.seg)
		if len(sorted) > 1 {
			if y.seg == x.seg && y.from >= x.to && y.from-x.to <= geom.Join {
				continue // the neighbour's neighbour goes on
			}
			if square && reaches(x) && y.seg == behind && leaves(y) {
				continue // round its corner lies another open kerf
			}
		}
		if !reaches(x) {
			return refuse("its cut would have to begin in the middle of an edge, where there is no scrap to pierce")
		}
		if !square {
			return refuse("the corner where its cut would begin is not near square")
		}
		from := begin[behind]
		// Where it ends: at the corner before the next side, or on that edge.
		to := at(y)
		on := s.kerf / 2
		if leaves(y) {
			before := (y.seg + n - 2) % n
			_, turn, square := corner(before)
			if !square {
				return refuse("the corner where its cut would end is not near square")
			}
			to, on = begin[before]+path.Seg(before).Length(), s.kerf/2*math.Tan(turn/2)
		}
		span := math.Mod(to-from+2*lap, lap)
		if span < s.kerf {
			return refuse("nothing of it is left to cut")
		}
		st := *c.st
		st.sort, st.shared, st.ways = cutStretch, true, nil
		st.spec.Wish, st.spec.Loop, st.spec.LoopAt = nil, 0, nil
		st.spec.At, st.spec.Span, st.spec.On = &lead.Place{Seg: behind}, span, on
		for _, l := range s.leadsOf(&st, first) {
			st.ways = append(st.ways, s.way(&st, l))
		}
		if len(st.ways) == 0 {
			return refuse("there is no scrap to pierce beside the corner where its cut would begin")
		}
		out.chains = append(out.chains, &st)
		cut += span + on
	}
	if len(out.chains) == 0 {
		return refuse("nothing of it is left to cut")
	}
	for i := range out.chains {
		out.chains[i].frees = i == len(out.chains)-1
	}
	out.edges, out.saved = len(sides), lap-cut
	return out
}

// leadsOf returns the leads of a chain that pierce solid metal, with their
// clearance, and come to the open kerf no nearer than the cut itself.
func (s shop) leadsOf(st *setup, first *geom.SegIndex) []lead.Lead {
	return slices.DeleteFunc(lead.Find(st.spec), func(l lead.Lead) bool {
		if _, near := first.NearestWithin(l.Pierce, soundOff*s.kerf); near || l.Short {
			return true
		}
		return slices.ContainsFunc(l.In, func(sg geom.Seg) bool { return first.Within(sg, s.kerf/2-geom.Join) })
	})
}

// straightSides answers layout.Input.Straight; it is nil if the job does not share.
func (s shop) straightSides(t feature.Tree) func(d int, angle float64) (x, y bool) {
	if !s.job.Layout.Share {
		return nil
	}
	return func(d int, angle float64) (x, y bool) {
		outline := -1
		for _, part := range t.Parts {
			if part.Drawing != d || part.In >= 0 || part.Outline < 0 {
				continue
			}
			if outline >= 0 { // several parts that keep their places
				return false, false
			}
			outline = part.Outline
		}
		if outline < 0 {
			return false, false
		}
		f := t.Features[outline]
		if f.Rule != feature.RuleOutline || f.Tabs > 0 || f.Start != nil || len(f.Critical) > 0 {
			return false, false
		}
		loop := geom.Move{Angle: angle}.Path(f.Loop)
		b := loop.Box()
		has := func(p, q geom.Point) bool {
			for i := range loop.NumSegs() {
				if e := loop.Seg(i); !e.IsArc() && (e.A.Dist(p) <= geom.Join && e.B.Dist(q) <= geom.Join || e.A.Dist(q) <= geom.Join && e.B.Dist(p) <= geom.Join) {
					return true
				}
			}
			return false
		}
		right, left := geom.Pt(b.Max.X, b.Min.Y), geom.Pt(b.Min.X, b.Max.Y)
		x = b.Height() >= s.shareFrom() && has(b.Min, left) && has(right, b.Max)
		y = b.Width() >= s.shareFrom() && has(b.Min, right) && has(left, b.Max)
		return x, y
	}
}

// shareFrom is the least length, mm, over which edges are shared.
func (s shop) shareFrom() float64 { return cmp.Or(s.job.Layout.ShareFrom, job.ShareFromRule) }

// shared tells what a person should see to where edges are shared.
func (c checker) shared() Check {
	k := Check{ID: "shared", Title: "edges that one cut parts", Limit: fmt.Sprintf("straight, over %s", c.j.Units.Length(newShop(c.j).shareFrom())),
		Why: "A part that is loose lies a kerf from the next cut, and of a shared cut one side alone is square", Figure: "none"}
	x := c.p.Plan.Shared
	if x != nil {
		k.Figure = x.In(c.j.Units)
		k.Verdict, k.Do = Warn, "Watch the part beside the cut: stop if it tips or lifts. Heat gathers in the row. Where both faces matter, lay the parts apart."
	}
	if f, ok := c.found("not-shared"); ok {
		k.Verdict, k.Feature, k.Do = Warn, f.Where.Feature, f.What+". "+f.Do
	}
	return k
}
