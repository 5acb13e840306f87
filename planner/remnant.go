package planner

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	sf "github.com/peterstace/simplefeatures/geom"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// Remnant is a piece of the plate that is left whole.
type Remnant struct {
	Edges []geom.Path // mm from XY zero: outside counter-clockwise, holes clockwise
	Area  float64     // mm2
}

// EdgesOf lists the edges of pieces.
func EdgesOf(pieces []Remnant) [][]geom.Path {
	out := make([][]geom.Path, len(pieces))
	for i, p := range pieces {
		out[i] = p.Edges
	}
	return out
}

// Webs and pieces that are not worth keeping. Common practice, no source.
const (
	leastWeb   = 20.0    // mm: a narrower strip of skeleton counts as scrap
	leastPiece = 10000.0 // mm2
)

// Remnants works out what is left of the plate once the program has run: the
// metal less every kerf, every part and what falls out of it, and every bad
// spot; strips narrower than leastWeb are scrap. The largest piece comes first.
func Remnants(j job.Job, p *Program) ([]Remnant, error) {
	if j.Stock.Hold == job.Blank {
		return nil, nil
	}
	metal, _ := layout.MetalOf(j.Stock, max(1, j.Layout.Plate))
	left := sf.Geometry{}
	var err error
	join := func(into sf.Geometry, path geom.Path) sf.Geometry {
		if err != nil {
			return into
		}
		var g, u sf.Geometry
		if g, err = polygonOf(path); err != nil {
			return into
		}
		if into.IsEmpty() {
			return g
		}
		u, err = sf.Union(into, g)
		return u
	}
	var holes, gone sf.Geometry
	for _, e := range metal.Edges {
		if e.Area() > 0 {
			left = join(left, e)
		} else {
			holes = join(holes, e)
		}
	}
	if p.trim != nil {
		gone = join(gone, boxPath(p.trim.used.Grow(j.Process.Kerf/2)))
	}
	for _, k := range metal.Keep {
		if !k.Clamp {
			gone = join(gone, k.Path)
		}
	}
	for _, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		if part.Outline < 0 || part.In >= 0 || pl.Inside != nil {
			continue
		}
		edge := pl.Move.Path(p.Tree.Features[part.Outline].Loop)
		out, e := geom.Offset(edge, j.Process.Kerf)
		if e != nil || len(out) == 0 {
			return nil, fmt.Errorf("work out what is left: %w", e)
		}
		gone = join(gone, out[0])
	}
	for _, c := range p.Cuts { // leads and trims bite into the skeleton
		if path := c.Path; path.NumSegs() > 0 && p.Tree.Features[c.Feature].Kind == "outline" {
			for i := range c.LeadIn {
				gone = join(gone, capsule(path.Seg(i), c.Kerf/2))
			}
		}
	}
	for _, cut := range []sf.Geometry{holes, gone} {
		if err == nil && !cut.IsEmpty() {
			left, err = sf.Difference(left, cut)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("work out what is left: %w", err)
	}
	var out []Remnant
	for _, rings := range ringsIn(left) {
		if p.trim != nil { // its edges are straight already
			r := Remnant{}
			for i, e := range rings {
				if e = e.CCW(); i > 0 {
					e = e.Reverse()
				}
				r.Edges, r.Area = append(r.Edges, e), r.Area+e.Area()
			}
			if r.Area >= leastPiece {
				out = append(out, r)
			}
			continue
		}
		out = append(out, opened(rings)...)
	}
	slices.SortStableFunc(out, func(a, b Remnant) int { return cmp.Compare(b.Area, a.Area) })
	return out, nil
}

// opened narrows a piece by half a web all round and widens it again: what is
// narrower than a web is gone.
func opened(rings []geom.Path) []Remnant {
	narrow, err := geom.OffsetRegion(rings[0].CCW(), holesOf(rings), -leastWeb/2)
	if err != nil {
		return nil
	}
	var out []Remnant
	for _, outer := range narrow {
		if outer.Area() <= 0 {
			continue
		}
		var holes []geom.Path
		for _, h := range narrow {
			if h.Area() < 0 && outer.Winding(h.Start()) != 0 {
				holes = append(holes, h.Reverse())
			}
		}
		wide, err := geom.OffsetRegion(outer, holes, leastWeb/2)
		if err != nil {
			continue
		}
		r := Remnant{Edges: wide}
		for _, e := range wide {
			r.Area += e.Area()
		}
		if r.Area >= leastPiece {
			out = append(out, r)
		}
	}
	return out
}

func holesOf(rings []geom.Path) []geom.Path {
	var out []geom.Path
	for _, h := range rings[1:] {
		out = append(out, h.CCW())
	}
	return out
}

// capsule is what the kerf takes along a segment, from end to end.
func capsule(s geom.Seg, r float64) geom.Path {
	a, b := s.A, s.B // a bent lead lies in the capsule of its chord, grown by its rise
	d := b.Sub(a)
	if s.IsArc() {
		r += math.Abs(s.Bulge) * d.Len() / 2
	}
	n := d.Unit().Left().Mul(r)
	e := d.Unit().Mul(r)
	return geom.Polygon(a.Sub(n).Sub(e), b.Sub(n).Add(e), b.Add(n).Add(e), a.Add(n).Sub(e))
}

// polygonOf flattens a closed path for the library.
func polygonOf(p geom.Path) (sf.Geometry, error) {
	pts := p.Flatten(geom.Gap)
	xy := make([]float64, 0, 2*len(pts)+2)
	for i := range len(pts) + 1 {
		q := pts[i%len(pts)]
		xy = append(xy, q.X, q.Y)
	}
	poly := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))})
	if err := poly.Validate(); err != nil {
		return sf.Geometry{}, err
	}
	return poly.AsGeometry(), nil
}

// ringsIn returns every polygon's rings, the outside first.
func ringsIn(g sf.Geometry) [][]geom.Path {
	var out [][]geom.Path
	add := func(p sf.Polygon) {
		var rings []geom.Path
		for _, s := range append([]sf.LineString{p.ExteriorRing()}, interior(p)...) {
			c := s.Coordinates()
			var pts []geom.Point
			for i := range c.Length() - 1 {
				xy := c.GetXY(i)
				pts = append(pts, geom.Pt(xy.X, xy.Y))
			}
			rings = append(rings, geom.Polygon(pts...))
		}
		out = append(out, rings)
	}
	switch {
	case g.IsPolygon():
		if p := g.MustAsPolygon(); !p.IsEmpty() {
			add(p)
		}
	case g.IsMultiPolygon():
		m := g.MustAsMultiPolygon()
		for i := range m.NumPolygons() {
			add(m.PolygonN(i))
		}
	case g.IsGeometryCollection():
		c := g.MustAsGeometryCollection()
		for i := range c.NumGeometries() {
			out = append(out, ringsIn(c.GeometryN(i))...)
		}
	}
	return out
}

func interior(p sf.Polygon) []sf.LineString {
	var out []sf.LineString
	for i := range p.NumInteriorRings() {
		out = append(out, p.InteriorRingN(i))
	}
	return out
}
