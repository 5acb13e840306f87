package lead

import "example.org/kerfwright/planner/geom"

// Cut is a lead, the path and what follows it, as one open path.
type Cut struct {
	Path   geom.Path
	LeadIn int // segments of lead-in at its start
	Tail   int // segments of overburn and lead-out at its end
}

// Assemble runs in on the lead, once round the path from the lead's start,
// on over the start by overburn mm, and out towards the pierce by out mm.
// Overburn is at most half the way round; out stops half-way to the pierce.
// A lead-out that would not keep the kerf off the edges is left out.
func Assemble(s Spec, l Lead, overburn, out float64) Cut {
	loop := s.Path.StartAt(l.Seg, l.T)
	segs := append([]geom.Seg{}, l.In...)
	n := loop.NumSegs()
	for i := range n {
		segs = append(segs, loop.Seg(i))
	}
	c := Cut{LeadIn: len(l.In)}
	rest := min(overburn, loop.Length()/2)
	for i := 0; rest > geom.Join && i < n; i++ {
		sg := loop.Seg(i)
		if length := sg.Length(); length > rest {
			sg = sg.Part(0, rest/length)
			rest = 0
		} else {
			rest -= length
		}
		segs = append(segs, sg)
		c.Tail++
	}
	if out > geom.Join {
		end := segs[len(segs)-1].B
		to := end.Lerp(l.Pierce, min(0.5, out/max(end.Dist(l.Pierce), geom.Same)))
		if away := geom.Line(end, to); away.Length() > geom.Join && s.clear([]geom.Seg{away}) {
			segs = append(segs, away)
			c.Tail++
		}
	}
	c.Path = geom.FromSegs(segs, false)
	return c
}
