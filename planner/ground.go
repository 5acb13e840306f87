package planner

import (
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/layout"
)

// ground is the metal round one feature: the edges that stay, and where metal
// may be lost. It answers package lead.
type ground struct {
	own     geom.Path     // the feature's own edge
	outside bool          // scrap lies outside own (an outline) instead of inside
	within  []geom.Path   // scrap lies inside each of these: a parent's cut-out
	others  []geom.Path   // parts that stay: scrap lies outside each
	boxes   []geom.Box    // of others
	plate   geom.Box      // a pierce lies in it; empty: not looked at
	metal   *layout.Metal // that the torch stays on; nil: not looked at
	edge    float64       // mm that a pierce keeps from the metal's edge

	index  *geom.SegIndex // of own and within
	round  bool           // own is a circle, and nothing is within
	center geom.Point     // of it
	radius float64
}

// ready prepares for questions. Edges added by stays are apart.
func (g *ground) ready() *ground {
	g.index, g.round = nil, false
	if len(g.within) == 0 {
		g.center, g.radius, g.round = circleOf(g.own)
	}
	if !g.round {
		g.index = geom.IndexPaths(append([]geom.Path{g.own}, g.within...)...)
	}
	return g
}

// circleOf tells a full circle, however many arcs it has.
func circleOf(p geom.Path) (c geom.Point, r float64, ok bool) {
	for i := range p.NumSegs() {
		sg := p.Seg(i)
		if !sg.IsArc() || sg.Bulge < 0 {
			return c, r, false
		}
		if i == 0 {
			c, r = sg.Center(), sg.Radius()
		} else if !sg.Center().Near(c) || math.Abs(sg.Radius()-r) > geom.Same {
			return c, r, false
		}
	}
	return c, r, p.Closed && p.NumSegs() > 0
}

func (g *ground) Dist(p geom.Point) float64 {
	d := 0.0
	if g.round {
		d = math.Abs(g.radius - p.Dist(g.center))
	} else {
		d = g.index.Dist(p)
	}
	for i, o := range g.others {
		if g.boxes[i].Dist(p) < d {
			_, _, _, e := o.Nearest(p)
			d = min(d, e)
		}
	}
	return d
}

// Within reports whether a segment comes nearer than d to an edge that stays.
func (g *ground) Within(sg geom.Seg, d float64) bool {
	for _, s := range sg.Split() {
		if g.metal != nil && !g.metal.Plain && g.metal.Meets(s, d) {
			return true
		}
		if g.round {
			if g.toCircle(s) < d {
				return true
			}
		} else if g.index.Within(s, d) {
			return true
		}
		box := s.Box().Grow(d)
		for i, o := range g.others {
			if !g.boxes[i].Overlaps(box) {
				continue
			}
			for k := range o.NumSegs() {
				for _, e := range o.Seg(k).Split() {
					if e.Box().Overlaps(box) {
						if far, _, _ := geom.SegDist(s, e); far < d {
							return true
						}
					}
				}
			}
		}
	}
	return false
}

// toCircle returns how near a segment comes to own, which is a circle: by its
// places nearest to the centre and furthest from it.
func (g *ground) toCircle(s geom.Seg) float64 {
	near := s.Dist(g.center)
	far := max(s.A.Dist(g.center), s.B.Dist(g.center))
	if s.IsArc() {
		c := s.Center()
		if v := c.Sub(g.center); v.Len() > 0 {
			// On the line of the centres, beyond the arc's own.
			if q := c.Add(v.Unit().Mul(s.Radius())); s.Dist(q) <= geom.Same {
				far = max(far, q.Dist(g.center))
			}
		} else {
			far = s.Radius()
		}
	}
	if near <= g.radius && far >= g.radius {
		return 0
	}
	return min(math.Abs(near-g.radius), math.Abs(far-g.radius))
}

func (g *ground) Scrap(p geom.Point) bool {
	in := false
	if g.round {
		in = p.Dist(g.center) < g.radius
	} else {
		in = g.own.Winding(p) != 0
	}
	if in == g.outside {
		return false
	}
	for _, w := range g.within {
		if w.Winding(p) == 0 {
			return false
		}
	}
	for i, o := range g.others {
		if g.boxes[i].Contains(p) && o.Winding(p) != 0 {
			return false
		}
	}
	if g.metal != nil && !g.metal.Plain && !g.metal.Free(p, g.edge) {
		return false
	}
	return g.plate.Empty() || g.plate.Contains(p)
}

func (g *ground) stays(paths ...geom.Path) {
	for _, p := range paths {
		g.others = append(g.others, p)
		g.boxes = append(g.boxes, p.Box())
	}
}

// groundOf returns the metal round a feature as its own drawing shows it.
// lying lists by feature the parts that lie in it. What lies beside an outline
// on the stock is added when it is placed.
func groundOf(t *feature.Tree, lying map[int][]int, i int) *ground {
	f := t.Features[i]
	g := &ground{own: f.Wanted(), outside: f.Kind == feature.Outline, plate: geom.EmptyBox()}
	inside := func(of, but int) {
		for _, k := range lying[of] {
			if p := t.Parts[k]; k != but && p.Outline >= 0 {
				g.stays(t.Features[p.Outline].Loop)
			}
		}
	}
	if !g.outside {
		inside(i, -1)
	} else if in := t.Parts[f.Part].In; in >= 0 {
		g.within = append(g.within, t.Features[in].Loop)
		inside(in, f.Part)
	}
	return g.ready()
}

// sampled returns the stretches of a path that lie within the distance of any
// of the edges, looked at every step mm: no place is missed, and none is further
// away than half a step more.
func sampled(path geom.Path, edges *geom.SegIndex, within, step float64) []Hold {
	var out []Hold
	at := 0.0
	for i := range path.NumSegs() {
		s := path.Seg(i)
		l := s.Length()
		n := max(1, int(math.Ceil(l/step)))
		for k := range n {
			from, to := l*float64(k)/float64(n), l*float64(k+1)/float64(n)
			if _, ok := edges.NearestWithin(s.At((from+to)/2/l), within+(to-from)/2); !ok {
				continue
			}
			if m := len(out); m > 0 && at+from-out[m-1].To < geom.Join {
				out[m-1].To = at + to
			} else {
				out = append(out, Hold{From: at + from, To: at + to})
			}
		}
		at += l
	}
	return out
}

// beside lists for every feature of a part that is cut the edges of the
// part's other features that lie nearer than the distance, nil where none do.
// Features that cross are an Error, a web thinner than the kerf a Warning.
func beside(t *feature.Tree, part feature.Part, within, kerf float64, faults *fault.List) map[int][]geom.Path {
	out := map[int][]geom.Path{}
	index := map[int]*geom.SegIndex{}
	of := func(i int) *geom.SegIndex {
		if index[i] == nil {
			index[i] = geom.IndexPaths(t.Features[i].Loop)
		}
		return index[i]
	}
	for n, i := range part.Features {
		if !t.Features[i].Rule.Cuts() {
			continue
		}
		for _, k := range part.Features[:n] {
			if !t.Features[k].Rule.Cuts() || !of(i).Box().Grow(within).Overlaps(of(k).Box()) {
				continue
			}
			a, _, ok := geom.MinDist(of(i), of(k))
			if !ok || a.Dist >= within {
				continue
			}
			out[i] = append(out[i], t.Features[k].Loop)
			out[k] = append(out[k], t.Features[i].Loop)
			at := fault.Where{Feature: t.Features[k].ID, Frame: fault.InDrawing, X: a.P.X, Y: a.P.Y}
			switch {
			case a.Dist <= geom.Same:
				faults.Errorf(at, "features-cross", "Trim them in the CAD, or leave one of them out.", "its line crosses or touches that of %s", t.Features[i].ID)
			case a.Dist < kerf:
				faults.Warnf(at, "thin-web", "Expect it to burn away; move them apart in the drawing if it is to stay.",
					"%.2f mm of metal is left beside %s, less than the kerf of %.2f mm", a.Dist, t.Features[i].ID, kerf)
			}
		}
	}
	return out
}
