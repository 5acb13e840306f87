package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// roomBeside is how far a way round keeps from what is loose, mm, where it
// can: a piece that has tipped leans over its own place, and the torch is wider
// than its nozzle. Common practice, no source.
const roomBeside = 10.0

// mostRound is how many loose pieces one way may go round; beyond, raising is
// quicker in any case.
const mostRound = 6

// mostNear is how many pieces are looked at for one way.
const mostNear = 128

// floor knows what lies loose on the stock.
type floor struct {
	grid    *grid
	regions []geom.Path
	pts     [][]geom.Point // of each region, flattened when first needed
	hulls   []hull
	bounds  geom.Box // where a way round may go
}

func newFloor(bounds geom.Box) *floor { return &floor{grid: newGrid(100), bounds: bounds} }

// loosen notes a region that was cut all round.
func (f *floor) loosen(r geom.Path) {
	f.regions = append(f.regions, r)
	f.pts = append(f.pts, nil)
	f.hulls = append(f.hulls, hull{})
	f.grid.add(r.Box())
}

// flat is how far a flattened edge may lie from the true one, mm.
const flat = geom.Gap

// dip is how deep a way may pass into what is loose, mm: a cut ends on the
// middle of its kerf, and every kerf is wider than twice as much.
const dip = geom.Gap

func (f *floor) flatten(k int) []geom.Point {
	if f.pts[k] == nil {
		f.pts[k] = f.regions[k].Flatten(flat)
		f.hulls[k] = hullOf(f.pts[k])
	}
	return f.pts[k]
}

// crosses reports whether the straight way from a to b passes over region k,
// deeper than dip. It looks at the true edge and at every place of the way: by
// where the way meets a flattened edge, one that meets it in its corners or
// near its own ends could go a tenth of a millimetre deep.
func (f *floor) crosses(k int, a, b geom.Point) bool {
	f.flatten(k)
	return f.hulls[k].meets(a, b, 0) && dips(f.regions[k], a, b)
}

// dips reports whether a place of the way from a to b lies more than dip inside
// a region. No place is further from the middle than half the way, so a middle
// that is far enough out settles it; else both halves are asked.
func dips(region geom.Path, a, b geom.Point) bool {
	m, half := a.Lerp(b, 0.5), a.Dist(b)/2
	_, _, _, deep := region.Nearest(m)
	if region.Winding(m) == 0 {
		deep = -deep
	}
	switch {
	case deep > dip:
		return true
	case deep+half <= dip || half <= geom.Join:
		return false
	}
	return dips(region, a, m) || dips(region, m, b)
}

// over lists what the straight way from a to b passes over.
func (f *floor) over(a, b geom.Point) []int {
	var out []int
	for _, k := range f.grid.near(geom.EmptyBox().Add(a).Add(b)) {
		if f.crosses(k, a, b) {
			out = append(out, k)
		}
	}
	return out
}

// A hull is eight bounds round a region, one in each direction of eight: the
// greatest p.d over its points.
type hull [8]float64

var compass = func() (d [8]geom.Point) {
	for i := range d {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		d[i] = geom.Pt(cos, sin)
	}
	return
}()

func hullOf(pts []geom.Point) hull {
	var h hull
	for i, d := range compass {
		h[i] = math.Inf(-1)
		for _, p := range pts {
			h[i] = max(h[i], p.Dot(d))
		}
		h[i] += flat
	}
	return h
}

func (h hull) holds(p geom.Point, room float64) bool {
	for i, d := range compass {
		if p.Dot(d) >= h[i]+room {
			return false
		}
	}
	return true
}

// corners returns the corners of the hull grown by room.
func (h hull) corners(room float64) []geom.Point {
	var out []geom.Point
	for i, d := range compass {
		k := (i + 1) % len(compass)
		// Where two bounds 45 degrees apart meet.
		e := compass[k]
		det := d.Cross(e)
		a, b := h[i]+room, h[k]+room
		p := geom.Pt((a*e.Y-b*d.Y)/det, (b*d.X-a*e.X)/det)
		if h.holds(p, room+geom.Join) { // else another bound cuts it off
			out = append(out, p)
		}
	}
	return out
}

// meets reports whether the way from a to b enters the hull grown by room:
// clipped by each bound in turn (Cyrus and Beck 1978), something is left.
func (h hull) meets(a, b geom.Point, room float64) bool {
	from, to := 0.0, 1.0
	way := b.Sub(a)
	for i, d := range compass {
		out := a.Dot(d) - h[i] - room // over 0: outside this bound
		fall := way.Dot(d)
		switch {
		case fall == 0:
			if out >= 0 {
				return false
			}
		case fall > 0:
			to = min(to, -out/fall)
		default:
			from = max(from, -out/fall)
		}
		if from >= to {
			return false
		}
	}
	return true
}

// route looks for a way from a to b at travel height that passes over nothing
// loose and is no longer than most mm. ok is false if it finds none. It takes
// in the pieces that it meets one after the other (a visibility graph made as
// it is needed), so that the way is the shortest round those.
func (f *floor) route(a, b geom.Point, most float64) (way geom.Path, ok bool) {
	straight := a.Dist(b)
	if most <= straight {
		return way, false
	}
	hit := f.over(a, b)
	if len(hit) == 0 || len(hit) > mostRound {
		return way, false
	}
	near := f.grid.near(geom.EmptyBox().Add(a).Add(b).Grow((most-straight)/2 + roomBeside))
	if len(near) > mostNear {
		return way, false
	}
	blocked := func(k int, p, q geom.Point) bool {
		f.flatten(k)
		h := &f.hulls[k]
		if h.holds(a, roomBeside) || h.holds(b, roomBeside) {
			// The way begins or ends beside it: its own edge counts.
			return f.crosses(k, p, q)
		}
		return h.meets(p, q, roomBeside-geom.Join)
	}
	for round := 0; round <= mostRound; round++ {
		nodes := []geom.Point{a, b}
		for _, k := range hit {
			for _, p := range f.hulls[k].corners(roomBeside) {
				if f.bounds.Contains(p) && !slices.ContainsFunc(hit, func(o int) bool { return f.hulls[o].holds(p, roomBeside-2*geom.Join) }) {
					nodes = append(nodes, p)
				}
			}
		}
		path := shortest(nodes, most, func(p, q geom.Point) bool {
			return !slices.ContainsFunc(hit, func(k int) bool { return blocked(k, p, q) })
		})
		if path == nil {
			return way, false
		}
		more := false
		for i := 1; i < len(path); i++ {
			for _, k := range near {
				if !slices.Contains(hit, k) && blocked(k, path[i-1], path[i]) {
					hit, more = append(hit, k), true
				}
			}
		}
		if !more {
			for _, p := range path {
				way.V = append(way.V, geom.Vertex{P: p})
			}
			return way, true
		}
		if len(hit) > mostRound {
			return way, false
		}
	}
	return way, false
}

// shortest returns the shortest path from the first node to the second over
// ways that are free, nil if none is within most mm (Dijkstra, with the
// straight way that is left as a bound; free is asked only where it matters).
func shortest(nodes []geom.Point, most float64, free func(p, q geom.Point) bool) []geom.Point {
	dist := make([]float64, len(nodes))
	from := make([]int, len(nodes))
	done := make([]bool, len(nodes))
	for i := range dist {
		dist[i] = math.Inf(1)
	}
	dist[0] = 0
	for {
		at := -1
		for i := range nodes {
			if !done[i] && !math.IsInf(dist[i], 1) && (at < 0 || dist[i]+nodes[i].Dist(nodes[1]) < dist[at]+nodes[at].Dist(nodes[1])) {
				at = i
			}
		}
		if at < 0 {
			return nil
		}
		if at == 1 {
			break
		}
		done[at] = true
		for i := range nodes {
			d := dist[at] + nodes[at].Dist(nodes[i])
			if !done[i] && d < dist[i] && d+nodes[i].Dist(nodes[1]) <= most && free(nodes[at], nodes[i]) {
				dist[i], from[i] = d, at
			}
		}
	}
	var path []geom.Point
	for at := 1; ; at = from[at] {
		path = append(path, nodes[at])
		if at == 0 {
			break
		}
	}
	slices.Reverse(path)
	return path
}
