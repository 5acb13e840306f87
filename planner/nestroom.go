package planner

import (
	"math"
	"slices"

	sf "github.com/peterstace/simplefeatures/geom"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/layout/nest"
)

// shape returns the rings of a drawing's parts, grown by half the gap and
// flattened outwards. Cut-outs in which nothing could lie are closed. Parts
// that are drawn nearer to each other than the gap grow together.
func (n *nester) shape(d int, grow, least float64) [][]geom.Point {
	key := shapeKey{d, grow, least}
	if done, ok := n.shapes[key]; ok {
		return done
	}
	if n.shapes == nil {
		n.shapes = map[shapeKey][][]geom.Point{}
	}
	n.shapes[key] = n.grown(d, grow+nestFlat, least)
	return n.shapes[key]
}

type shapeKey struct {
	drawing     int
	grow, least float64
}

// grown is shape at its true distance.
func (n *nester) grown(d int, grow, least float64) [][]geom.Point {
	roomy := func(i int) bool {
		f := n.tree.Features[i]
		return f.Kind != feature.Outline && f.Rule.Cuts() && min(f.Width, f.Height) > least+2*grow
	}
	var parts [][]geom.Path
	for _, part := range n.tree.Parts {
		if part.Drawing != d || part.Outline < 0 {
			continue
		}
		var holes []geom.Path
		for _, i := range part.Features {
			if roomy(i) {
				holes = append(holes, n.tree.Features[i].Loop)
			}
		}
		if n.hidden(part, roomy) {
			continue
		}
		paths, err := geom.OffsetRegion(n.tree.Features[part.Outline].Loop, holes, grow)
		if err != nil { // an edge that cannot be offset takes up its box
			paths = []geom.Path{boxPath(n.tree.Features[part.Outline].Loop.Box().Grow(grow))}
		}
		parts = append(parts, paths)
	}
	if len(parts) > 1 {
		parts = together(parts)
	}
	var rings [][]geom.Point
	for _, paths := range parts {
		for _, p := range paths {
			rings = append(rings, p.Flatten(nestFlat))
		}
	}
	return rings
}

// hidden reports whether a part lies in a cut-out that is closed, or whose own
// part does.
func (n *nester) hidden(part feature.Part, roomy func(int) bool) bool {
	for part.In >= 0 {
		if !roomy(part.In) {
			return true
		}
		part = n.tree.Parts[n.tree.Features[part.In].Part]
	}
	return false
}

// together unites what several parts cover; what the library cannot unite
// takes up its box.
func together(parts [][]geom.Path) [][]geom.Path {
	all := make([]sf.Geometry, len(parts))
	box := geom.EmptyBox()
	var err error
	for i, paths := range parts {
		for _, outside := range []bool{true, false} { // outsides before holes
			op := sf.Difference
			if outside {
				op = sf.Union
			}
			for _, p := range paths {
				box = box.Union(p.Box())
				if (p.Area() > 0) == outside && err == nil {
					all[i], err = with(op, all[i], p)
				}
			}
		}
	}
	if err == nil {
		var one sf.Geometry
		if one, err = sf.UnionMany(all); err == nil {
			return ringsIn(one)
		}
	}
	return [][]geom.Path{{boxPath(box)}}
}

// with joins a path to what there is by an operation of the library.
func with(op func(a, b sf.Geometry) (sf.Geometry, error), have sf.Geometry, p geom.Path) (sf.Geometry, error) {
	g, err := polygonOf(p)
	if err != nil || have.IsEmpty() {
		return g, err
	}
	return op(have, g)
}

// freeRoom is what a plate offers: where its strip begins, how long and high it
// is, and what stands in it. Everything is in the strip's axes.
type freeRoom struct {
	min            geom.Point
	length, height float64
	fixed          []nest.Fixed
	area           float64
}

func (n *nester) room(plate int) freeRoom {
	metal, _ := layout.MetalOf(n.job.Stock, plate)
	edge := n.margin - slices.Min(n.grow) // parts are grown by half the gap
	box := metal.Box.Grow(-edge)
	r := freeRoom{min: box.Min, length: max(0, box.Max.X-box.Min.X), height: max(0, box.Max.Y-box.Min.Y)}
	r.area = r.length * r.height
	local := func(p geom.Path) []geom.Point {
		pts := p.Flatten(nestFlat)
		for i := range pts {
			pts[i] = pts[i].Sub(r.min)
		}
		return pts
	}
	if !metal.Plain {
		plain := len(metal.Edges) == 1 && metal.Edges[0].NumSegs() == 4 && math.Abs(metal.Edges[0].Area()-metal.Box.Width()*metal.Box.Height()) < geom.Same
		if !plain {
			r.fixed = append(r.fixed, nest.Fixed{Rings: n.outside(metal, edge, local)})
			r.area = metal.Area()
		}
		for _, k := range metal.Keep {
			if paths, err := geom.Offset(k.Path, max(edge, n.kerf)+nestFlat); err == nil {
				for _, p := range paths {
					r.fixed = append(r.fixed, nest.Fixed{Rings: [][]geom.Point{local(p)}})
				}
			}
		}
	}
	for _, p := range n.locked {
		if max(1, p.Plate) != plate {
			continue
		}
		move := geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y).Sub(r.min)}
		var rings [][]geom.Point
		for _, ring := range n.shape(p.Drawing, n.grow[p.Drawing], 0) {
			out := make([]geom.Point, len(ring))
			for i, q := range ring {
				out[i] = move.Apply(q)
			}
			rings = append(rings, out)
		}
		r.fixed = append(r.fixed, nest.Fixed{Rings: rings})
		r.area -= n.area(p.Drawing)
	}
	return r
}

// outside returns what lies round an offcut, and in its holes: a frame wider
// than the plate, from which the metal moved in by the edge is missing.
func (n *nester) outside(m layout.Metal, edge float64, local func(geom.Path) []geom.Point) [][]geom.Point {
	rings := [][]geom.Point{local(boxPath(m.Box.Grow(m.Box.Width() + m.Box.Height())))}
	for i, outer := range m.Edges {
		if outer.Area() < 0 {
			continue
		}
		var holes []geom.Path
		for k, h := range m.Edges {
			if k != i && h.Area() < 0 && outer.Winding(h.Start()) != 0 {
				holes = append(holes, h)
			}
		}
		paths, err := geom.OffsetRegion(outer, holes, -(edge + nestFlat))
		if err != nil {
			continue // no metal there
		}
		for _, p := range paths {
			rings = append(rings, local(p))
		}
	}
	return rings
}

// area is the metal of one copy of a drawing, mm2.
func (n *nester) area(d int) float64 {
	sum := 0.0
	for _, part := range n.tree.Parts {
		if part.Drawing != d || part.Outline < 0 {
			continue
		}
		sum += n.tree.Features[part.Outline].Area
		for _, i := range part.Features {
			if f := n.tree.Features[i]; f.Kind != feature.Outline && f.Rule.Cuts() {
				sum -= f.Area
			}
		}
	}
	return sum
}
