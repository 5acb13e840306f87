package layout

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/shape"
)

// Metal is one plate as it lies, measured from XY zero: where metal is, and
// where none may be used.
type Metal struct {
	Box   geom.Box
	Edges []geom.Path // closed: outside counter-clockwise, holes clockwise
	Keep  []Kept
	Plain bool // a rectangle without anything to keep out
}

// Kept is a place that no part, lead, pierce or touch-off may meet.
type Kept struct {
	Path  geom.Path // counter-clockwise
	Clamp bool      // it stands over the plate
	Name  string
}

// MetalOf returns plate n of the stock, counted from 1. What is wrong with
// an offcut's edge is an Error.
func MetalOf(s job.Stock, n int) (Metal, fault.List) {
	var faults fault.List
	m := Metal{Plain: true}
	rings := ringsOf(s, &faults)
	if len(rings) == 0 {
		m.Box = sheetBox(s)
		b := m.Box
		m.Edges = []geom.Path{geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))}
	} else {
		m.Plain = false
		b := geom.EmptyBox()
		for _, r := range rings {
			b = b.Union(r.Box())
		}
		m.Box = zeroed(b.Width(), b.Height(), s.Zero)
		d := geom.Move{Shift: m.Box.Min.Sub(b.Min)}
		for _, r := range rings {
			m.Edges = append(m.Edges, d.Path(r))
		}
		turnEdges(m.Edges, &faults)
	}
	for i, k := range s.KeepOuts {
		if k.Plate != 0 && k.Plate != n {
			continue
		}
		path, ok := keepPath(k)
		if !ok {
			faults.Errorf(fault.Where{Entity: fmt.Sprintf("stock.keep_outs[%d]", i+1)}, "keep-out-size", "Give it a width and a height, or a diameter.", "it has no size")
			continue
		}
		m.Plain = false
		name := k.Name.String()
		if name == "" {
			name = string(k.Kind)
		}
		if name == "" {
			name = string(job.BadSpot)
		}
		m.Keep = append(m.Keep, Kept{Path: path, Clamp: k.Kind == job.Clamp, Name: name})
	}
	return m, faults
}

// StockBox returns the stock's rectangle, or the box of an offcut, measured
// from XY zero.
func StockBox(s job.Stock) geom.Box {
	if s.Shape == nil && len(s.Outline) == 0 {
		return sheetBox(s)
	}
	m, _ := MetalOf(s, 1)
	return m.Box
}

func sheetBox(s job.Stock) geom.Box { return zeroed(s.Width, s.Height, s.Zero) }

func zeroed(w, h float64, zero job.Corner) geom.Box {
	b := geom.Box{Max: geom.Pt(w, h)}
	switch zero {
	case job.LowerRight:
		b = shift(b, -w, 0)
	case job.UpperLeft:
		b = shift(b, 0, -h)
	case job.UpperRight:
		b = shift(b, -w, -h)
	}
	return b
}

// ringsOf returns the rings of an offcut in its own axes, none for a sheet.
func ringsOf(s job.Stock, faults *fault.List) []geom.Path {
	var out []geom.Path
	if s.Shape != nil {
		loops, more := shape.Loops(*s.Shape)
		*faults = append(*faults, more...)
		if loops == nil {
			return nil
		}
		for _, l := range loops.Closed {
			out = append(out, l.Path)
		}
		return out
	}
	for _, r := range s.Outline {
		p := geom.Path{Closed: true}
		for _, q := range r {
			p.V = append(p.V, geom.Vertex{P: geom.Pt(q.X, q.Y), Bulge: q.Bulge})
		}
		out = append(out, p.SplitArcs())
	}
	return out
}

// RingsOf turns closed paths into an offcut's rings.
func RingsOf(paths []geom.Path) [][]job.OutlinePoint {
	var out [][]job.OutlinePoint
	for _, p := range paths {
		var r []job.OutlinePoint
		for _, v := range p.V {
			r = append(r, job.OutlinePoint{X: v.P.X, Y: v.P.Y, Bulge: v.Bulge})
		}
		out = append(out, r)
	}
	return out
}

// turnEdges turns outside edges counter-clockwise and holes clockwise, by how
// many rings each lies in. Rings that cross or enclose nothing are an Error.
func turnEdges(edges []geom.Path, faults *fault.List) {
	bad := false
	say := func(i int, code, do, format string, args ...any) {
		bad = true
		faults.Errorf(fault.Where{Entity: fmt.Sprintf("stock.outline[%d]", i+1)}, code, do, format, args...)
	}
	for i, e := range edges {
		if math.Abs(e.Area()) < geom.Same {
			say(i, "outline-empty", "Draw it as a closed line.", "the ring encloses no metal")
		}
	}
	if bad {
		return
	}
	index := geom.IndexPaths(edges...)
	at, crossed := selfCrossing(edges, index)
	if crossed {
		say(0, "outline-crosses", "Mend the drawing of the offcut.", "its edges cross or touch near (%.1f, %.1f) mm", at.X, at.Y)
		return
	}
	for i, e := range edges {
		depth := 0
		for k, o := range edges {
			if k != i && o.Box().Overlaps(e.Box()) && o.Winding(e.Start()) != 0 {
				depth++
			}
		}
		if (depth%2 == 0) != (e.Area() > 0) {
			edges[i] = e.Reverse()
		}
	}
}

// selfCrossing finds two segments of the edges that meet where they do not
// follow on from one another.
func selfCrossing(edges []geom.Path, index *geom.SegIndex) (geom.Point, bool) {
	for i, e := range edges {
		n := e.NumSegs()
		for k := range n {
			s := e.Seg(k)
			var at geom.Point
			found := false
			index.Search(s.Box().Grow(geom.Same), func(p, g int) bool {
				if p < i || p == i && g <= k {
					return true
				}
				o := edges[p].Seg(g)
				met := geom.Intersect(s, o, geom.Same)
				for _, c := range met.At[:met.N] {
					joint := p == i && (g == k+1 && c.P.Near(s.B) || k == 0 && g == n-1 && c.P.Near(s.A))
					if !joint {
						at, found = c.P, true
						return false
					}
				}
				return true
			})
			if found {
				return at, true
			}
		}
	}
	return geom.Point{}, false
}

// keepPath returns the edge of a keep-out.
func keepPath(k job.KeepOut) (geom.Path, bool) {
	c := geom.Pt(k.X, k.Y)
	if k.Diameter > 0 {
		return geom.Circle(c, k.Diameter/2), true
	}
	if k.Width <= 0 || k.Height <= 0 {
		return geom.Path{}, false
	}
	w, h := k.Width/2, k.Height/2
	m := geom.Move{Angle: k.Angle, Shift: c}
	return m.Path(geom.Polygon(geom.Pt(-w, -h), geom.Pt(w, -h), geom.Pt(w, h), geom.Pt(-w, h))), true
}

// Area returns the metal of the plate, mm2, keep-outs included.
func (m Metal) Area() float64 {
	sum := 0.0
	for _, e := range m.Edges {
		sum += e.Area()
	}
	return sum
}

// On reports whether p lies on metal.
func (m Metal) On(p geom.Point) bool {
	if !m.Box.Contains(p) {
		return false
	}
	w := 0
	for _, e := range m.Edges {
		w += e.Winding(p)
	}
	return w != 0
}

// Free reports whether p lies on metal, at least d mm from its edges and from
// everything that is kept out.
func (m Metal) Free(p geom.Point, d float64) bool {
	if m.Plain {
		return m.Box.Grow(-d).Contains(p)
	}
	if !m.On(p) {
		return false
	}
	for _, e := range m.Edges {
		if _, _, _, far := e.Nearest(p); far < d {
			return false
		}
	}
	for _, k := range m.Keep {
		if k.Path.Winding(p) != 0 {
			return false
		}
		if _, _, _, far := k.Path.Nearest(p); far < d {
			return false
		}
	}
	return true
}

// Meets reports whether a segment that begins on free metal comes nearer than
// d to an edge or to what is kept out.
func (m Metal) Meets(s geom.Seg, d float64) bool {
	box := s.Box().Grow(d)
	if m.Plain {
		return !m.Box.Encloses(box)
	}
	if !m.Box.Encloses(s.Box()) {
		return true
	}
	near := func(p geom.Path) bool {
		for i := range p.NumSegs() {
			if e := p.Seg(i); e.Box().Overlaps(box) {
				if far, _, _ := geom.SegDist(s, e); far < d {
					return true
				}
			}
		}
		return false
	}
	for _, e := range m.Edges {
		if near(e) {
			return true
		}
	}
	for _, k := range m.Keep {
		if near(k.Path) {
			return true
		}
	}
	return false
}

// Room returns how far a closed path stays within the metal and away from
// what is kept out: the least distance between the edges, negative where it
// lies over one, with the place and what is nearest.
func (m Metal) Room(loop geom.Path) (mm float64, at geom.Point, what string) {
	mm = math.Inf(1)
	start := loop.Start()
	if m.Plain {
		b := loop.Box()
		mm = min(b.Min.X-m.Box.Min.X, b.Min.Y-m.Box.Min.Y, m.Box.Max.X-b.Max.X, m.Box.Max.Y-b.Max.Y)
		return mm, b.Center(), "the edge of the plate"
	}
	x := geom.IndexPaths(loop)
	look := func(p geom.Path, name string, inside bool) {
		a, _, ok := geom.MinDist(x, geom.IndexPaths(p))
		if !ok {
			return
		}
		d := a.Dist
		if inside || d <= geom.Same {
			// How deep it goes is told by the corner furthest on the wrong side.
			d = -deepest(loop, p, name == OnEdge)
		}
		if d < mm {
			mm, at, what = d, a.P, name
		}
	}
	off := !m.On(start)
	for _, e := range m.Edges {
		// A hole of the offcut must not lie inside the part either.
		look(e, OnEdge, off || e.Area() < 0 && loop.Winding(e.Start()) != 0)
	}
	for _, k := range m.Keep {
		look(k.Path, k.Name, k.Path.Winding(start) != 0 || loop.Winding(k.Path.Start()) != 0)
	}
	return mm, at, what
}

// OnEdge is what Room calls the edge of the metal.
const OnEdge = "the edge of the plate"

// deepest returns how far the corners of loop lie beyond an edge: outside a
// ring of metal, inside a hole or a keep-out.
func deepest(loop, edge geom.Path, metal bool) float64 {
	deep := 0.0
	for _, v := range loop.V {
		in := edge.Winding(v.P) != 0
		wrong := in
		if metal && edge.Area() > 0 {
			wrong = !in
		}
		if wrong {
			_, _, _, d := edge.Nearest(v.P)
			deep = max(deep, d)
		}
	}
	if metal && edge.Area() > 0 {
		return deep
	}
	for _, v := range edge.V { // a hole that lies in the part
		if loop.Winding(v.P) != 0 {
			_, _, _, d := loop.Nearest(v.P)
			deep = max(deep, d)
		}
	}
	return deep
}
