package planner

import (
	"math"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
)

// ground is the metal round one feature: the edges that stay, and where metal
// may be lost. It answers package lead.
type ground struct {
	own     geom.Path   // the feature's own edge
	outside bool        // scrap lies outside own (an outline) instead of inside
	within  []geom.Path // scrap lies inside each of these: a parent's cut-out
	others  []geom.Path // parts that stay: scrap lies outside each
	boxes   []geom.Box  // of others
	plate   geom.Box    // a pierce lies in it; empty: not looked at
}

func (g *ground) Dist(p geom.Point) float64 {
	_, _, _, d := g.own.Nearest(p)
	for _, w := range g.within {
		_, _, _, e := w.Nearest(p)
		d = min(d, e)
	}
	for i, o := range g.others {
		if g.boxes[i].Dist(p) < d {
			_, _, _, e := o.Nearest(p)
			d = min(d, e)
		}
	}
	return d
}

func (g *ground) Scrap(p geom.Point) bool {
	if (g.own.Winding(p) != 0) == g.outside {
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
	g := &ground{own: f.Loop, outside: f.Kind == feature.Outline, plate: geom.EmptyBox()}
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
	return g
}

// crosses reports whether the straight way from a to b passes over the region
// of a closed path. Arcs count as chords within half a millimetre: the answer
// only chooses a height.
func crosses(region geom.Path, a, b geom.Point) bool {
	if region.Winding(a.Lerp(b, 0.5)) != 0 || region.Winding(b) != 0 {
		return true
	}
	pts := region.Flatten(0.5)
	way := b.Sub(a)
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		e := q.Sub(p)
		den := way.Cross(e)
		if den == 0 {
			continue
		}
		t, u := p.Sub(a).Cross(e)/den, p.Sub(a).Cross(way)/den
		if t > 0 && t < 1 && u >= 0 && u <= 1 && t*way.Len() > geom.Gap {
			return true
		}
	}
	return false
}

// sampled returns the stretches of a path that lie within the distance of any
// of the edges, looked at every step mm.
func sampled(path geom.Path, edges []geom.Path, within, step float64) []Hold {
	var out []Hold
	at := 0.0
	for i := range path.NumSegs() {
		s := path.Seg(i)
		l := s.Length()
		n := max(1, int(math.Ceil(l/step)))
		for k := range n {
			from, to := l*float64(k)/float64(n), l*float64(k+1)/float64(n)
			p := s.At((from + to) / 2 / l)
			for _, e := range edges {
				if _, _, _, d := e.Nearest(p); d < within {
					if m := len(out); m > 0 && at+from-out[m-1].To < geom.Join {
						out[m-1].To = at + to
					} else {
						out = append(out, Hold{From: at + from, To: at + to})
					}
					break
				}
			}
		}
		at += l
	}
	return out
}
