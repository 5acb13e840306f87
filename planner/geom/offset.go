package geom

import (
	"errors"
	"fmt"
	"math"
)

// The offset of a region, in named stages (after Liu, Yong, Zheng and Sun, An
// offset algorithm for polyline curves, Computers in Industry 58, 2007, with
// the clipping turned into a graph):
//
//	source   clean corners, free side on the right, crossings refused
//	raw      every segment moved, arcs round the corners that stick out
//	contact  where moved pieces meet; pieces cut there; what is nearer than d
//	         to the source is drowned
//	stitch   what is left joined to rings along the recorded contacts
//	check    each result is proved against the source, see check
//
// A result that fails the check is made again for a distance a hair off d,
// which undoes exact coincidences, then with corners merged that lie within a
// few roundings. If all fail, there is an error and no result.
//
// Promise, for paths that pass checkSimple, of up to 1 km: every point of the
// result is |d| from the source within 2 Same, or within Same and the nudge;
// results are simple and do not cross one another; stretches of the free side
// narrower than Same may be missing.

// Offset returns the boundary of the region enclosed by loop moved outwards
// by d mm (inwards if d < 0). loop is closed, any direction; results are
// closed; counter-clockwise loops bound the region, clockwise ones are holes
// in it and come last. Empty result = swallowed.
//
// Corners that stick out to the side of the move become arcs of radius |d|
// about the corner; arcs stay arcs. A result vertex's Src is the segment of
// loop (numbered by its first vertex) that the segment leaving it was moved
// from; round a corner it is the corner's vertex.
//
// The error is a *TangleError if loop crosses or runs along itself.
func Offset(loop Path, d float64) ([]Path, error) { return OffsetRegion(loop, nil, d) }

// OffsetRegion does the same for an outer loop with holes. Src counts the
// segments of outer first, then those of each hole.
func OffsetRegion(outer Path, holes []Path, d float64) ([]Path, error) {
	r, _, err := offsetRegion(outer, holes, d)
	return r, err
}

// ErrUnproved is wrapped by the error for an offset of which no result passed
// its check.
var ErrUnproved = errors.New("no result passed its check")

// nudges are the changes of |d|, mm, that are tried in turn. The last is a
// tenth of Join, the least that a program with three decimals can say.
var nudges = [...]float64{0, 4 * Meet, -4 * Meet, 4 * Same, -4 * Same, Join / 50, -Join / 50, Join / 10, -Join / 10}

// merges are the distances, mm, under which neighbouring corners are made one,
// tried in turn: paths may be tangled on the scale of rounding only.
var merges = [...]float64{Same, Join / 100, Join / 10}

// offsetter makes one offset. Its slices serve again for a nudged distance.
type offsetter struct {
	*source
	r     float64 // |d|, nudged
	nudge float64 // by how much |d| and the source were changed
	noise float64 // what rounding leaves of a distance of r
	met   bool    // pieces met elsewhere than where they follow on

	bridged bool // a ring needed a doubted edge

	pieces  []piece
	movedTo []int32 // the piece of each form, or -1
	parent  []int32 // of corners; a corner is its own parent unless merged
	pos     []Point // of corners
	events  []event
	edges   []edge

	outStart, out []int32 // edges by the corner they leave
	rings         []ring
	paths         []Path // of the rings, about the origin
}

func offsetRegion(outer Path, holes []Path, d float64) ([]Path, *offsetter, error) {
	if !finite(d) {
		return nil, nil, fmt.Errorf("offset: a distance of %g", d)
	}
	var first error
	for _, merge := range merges {
		src, err := newSource(outer, holes, d >= 0, merge)
		if err == nil {
			err = src.checkSimple()
		}
		if err == nil {
			o := &offsetter{source: src}
			for _, nudge := range nudges {
				if o.r = math.Abs(d) + nudge; o.r < 0 {
					continue
				}
				var out []Path
				if out, err = o.run(); err == nil {
					o.nudge = max(math.Abs(nudge), merge-Same)
					return out, o, nil
				}
			}
		}
		if first == nil {
			first = err
		}
	}
	return nil, nil, first
}

// run makes the offset for o.r. An error names the place that fails.
func (o *offsetter) run() ([]Path, error) {
	// A distance is a few sums and products of coordinates and one root.
	o.noise = 32 * Eps * (o.size + o.r)
	o.raw()
	if !o.contacts() {
		return nil, fmt.Errorf("offset: over %d places where moved segments meet: the path is too fine for an offset of %g mm: %w", maxEvents, o.r, ErrUnproved)
	}
	o.cut()
	at, ok := o.stitch()
	if ok {
		o.paths = o.paths[:0]
		kept := o.rings[:0]
		for _, r := range o.rings {
			p := o.path(r)
			if sliver(p) {
				continue
			}
			kept = append(kept, r)
			o.paths = append(o.paths, p)
		}
		o.rings = kept
		at, ok = o.check()
	}
	if !ok {
		at = at.Add(o.origin)
		return nil, fmt.Errorf("offset by %g mm, near (%.4f, %.4f): %w", o.r, at.X, at.Y, ErrUnproved)
	}
	out := make([]Path, 0, len(o.paths))
	var inner []Path
	for _, p := range o.paths {
		for k := range p.V {
			p.V[k].P = p.V[k].P.Add(o.origin)
		}
		if !o.outwards {
			p = p.Reverse()
		}
		if len(o.paths) > 1 && p.Area() < 0 {
			inner = append(inner, p)
			continue
		}
		out = append(out, p)
	}
	return append(out, inner...), nil
}

// path returns a ring as a path about the origin.
func (o *offsetter) path(r ring) Path {
	p := Path{V: make([]Vertex, len(r)), Closed: true}
	for i, k := range r {
		e := &o.edges[k]
		c := &o.pieces[e.piece]
		v := &p.V[i]
		v.P = o.pos[e.from]
		v.Bulge = c.Bulge
		if c.half != 0 && !e.whole() {
			v.Bulge = BulgeOf(2 * c.half * c.length * (e.t1 - e.t0))
		}
		v.Src = o.srcOf(c)
	}
	return p
}

func (o *offsetter) srcOf(c *piece) int32 {
	i := c.src
	if l := o.loop[i]; c.join && o.turned[l] {
		// Against the path the corner is where the arriving segment begins.
		if i == o.first[l] {
			i = o.first[l+1]
		}
		i--
	}
	return o.orig[i]
}

// sliver reports whether a ring is narrower than Same: twice the area over the
// length is the width of a strip.
func sliver(p Path) bool { return 2*math.Abs(p.Area()) < Same*p.Length() }
