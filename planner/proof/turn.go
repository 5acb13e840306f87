package proof

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
)

// Lie is how the stock lies on the table, by what the operator typed. The
// proof turns the drawing by it, with its own reckoning: the planner's is not
// asked. nil is a stock that lies as drawn.
type Lie struct {
	// Edge is "bottom", "left", "top" or "right" of the stock as drawn, or of the
	// first blank; Points were read along it. Next is the edge beside it.
	Edge, Next         string
	Points, NextPoints []geom.Point
	// Located are features that were found on the table, if Points is empty.
	Located []Located
}

// Located is a feature's centre as read.
type Located struct {
	ID string
	At geom.Point
}

// turning is a turn about zero and then a shift.
type turning struct {
	angle float64
	shift geom.Point
}

func (t turning) to(p geom.Point) geom.Point { return turned(p, t.angle).Add(t.shift) }

func (t turning) back(p geom.Point) geom.Point { return turned(p.Sub(t.shift), -t.angle) }

func (t turning) path(p geom.Path) geom.Path {
	out := geom.Path{Closed: p.Closed, V: make([]geom.Vertex, len(p.V))}
	for i, v := range p.V {
		out.V[i] = geom.Vertex{P: t.to(v.P), Bulge: v.Bulge}
	}
	return out
}

// lay turns parts and stock to where they lie. What cannot be reckoned is an
// Error, and all stays as drawn.
func (c *check) lay() {
	lie := c.in.Lie
	if lie == nil {
		return
	}
	t, err := c.reckon(lie)
	if err != nil {
		c.find(0, "", "lie", "Read the points again, and type them.", "how the stock lies cannot be reckoned: %s", err)
		return
	}
	c.lies = &t
	in := *c.in
	in.Parts = make([]Part, len(c.in.Parts))
	for i, p := range c.in.Parts {
		p.Features = append([]Feature(nil), p.Features...)
		for k := range p.Features {
			f := &p.Features[k]
			f.Loop = t.path(f.Loop)
			f.Tabs = append([]Tab(nil), f.Tabs...)
			for n := range f.Tabs {
				f.Tabs[n].At = t.to(f.Tabs[n].At)
			}
		}
		in.Parts[i] = p
	}
	in.Stock.Shapes = make([]geom.Path, len(c.in.Stock.Shapes))
	for i, s := range c.in.Stock.Shapes {
		in.Stock.Shapes[i] = t.path(s)
	}
	in.Stock.Voids = append([]Void(nil), c.in.Stock.Voids...)
	for i := range in.Stock.Voids {
		in.Stock.Voids[i].Path = t.path(in.Stock.Voids[i].Path)
	}
	c.in = &in
}

// reckon finds the turn and the shift of the typed points.
func (c *check) reckon(lie *Lie) (turning, error) {
	if len(lie.Points) == 0 {
		return c.byFeatures(lie.Located)
	}
	box := geom.EmptyBox()
	for i, s := range c.in.Stock.Shapes {
		if !c.in.Stock.Blank || i == 0 {
			box = box.Union(s.Box())
		}
	}
	if box.Empty() {
		return turning{}, fmt.Errorf("the stock has no edges")
	}
	heading, at, ok := along(lie.Edge, box)
	nextHeading, nextAt, nextOK := along(lie.Next, box)
	if !ok || !nextOK || heading.Dot(nextHeading) != 0 {
		return turning{}, fmt.Errorf("no edges %q and %q side by side", lie.Edge, lie.Next)
	}
	if len(lie.Points) < 2 {
		return turning{}, fmt.Errorf("one point tells no turn")
	}
	// Newton's way to the turn with the least squares of what lies off the
	// lines: r = left(u).(q - mean) for either line, u its heading.
	angle := math.Atan2(heading.Cross(far(lie.Points)), heading.Dot(far(lie.Points)))
	if math.Abs(angle) > math.Pi/2 { // read from the other end
		angle -= math.Copysign(math.Pi, angle)
	}
	first, next := about(lie.Points), about(lie.NextPoints)
	const steps = 60 // from within a reading's error a handful does
	for range steps {
		slope, bend := 0.0, 0.0
		for _, line := range []struct {
			off  []geom.Point
			head geom.Point
		}{{first.off, heading}, {next.off, nextHeading}} {
			u := turned(line.head, angle)
			for _, q := range line.off {
				r, s := u.Cross(q), u.Dot(q)
				slope -= r * s
				bend += s*s - r*r
			}
		}
		if bend <= 0 {
			return turning{}, fmt.Errorf("the points tell no turn")
		}
		angle -= slope / bend
	}
	u, v := turned(heading, angle), turned(nextHeading, angle)
	t := turning{angle: angle}
	t.shift = left(u).Mul(u.Cross(first.mean) - heading.Cross(at))
	if len(lie.NextPoints) > 0 {
		t.shift = t.shift.Add(left(v).Mul(v.Cross(next.mean) - nextHeading.Cross(nextAt)))
	}
	return t, nil
}

func left(p geom.Point) geom.Point { return geom.Pt(-p.Y, p.X) }

// along returns the heading of an edge of a box, and a point on it.
func along(name string, b geom.Box) (heading, at geom.Point, ok bool) {
	switch name {
	case "bottom":
		return geom.Pt(1, 0), b.Min, true
	case "top":
		return geom.Pt(1, 0), b.Max, true
	case "left":
		return geom.Pt(0, 1), b.Min, true
	case "right":
		return geom.Pt(0, 1), b.Max, true
	}
	return geom.Point{}, geom.Point{}, false
}

// cloud is points about their mean.
type cloud struct {
	mean geom.Point
	off  []geom.Point
}

func about(pts []geom.Point) (c cloud) {
	for _, p := range pts {
		c.mean.X += p.X / float64(len(pts))
		c.mean.Y += p.Y / float64(len(pts))
	}
	for _, p := range pts {
		c.off = append(c.off, p.Sub(c.mean))
	}
	return c
}

// far is the longest way from the first point to another.
func far(pts []geom.Point) geom.Point {
	best := geom.Point{}
	for _, p := range pts[1:] {
		if d := p.Sub(pts[0]); square(d) > square(best) {
			best = d
		}
	}
	return best
}

// byFeatures takes the mean of the turns of all pairs, each weighted by the
// square of its length, as directions.
func (c *check) byFeatures(located []Located) (turning, error) {
	var drawn, found []geom.Point
	for _, l := range located {
		at, ok := c.middleOf(l.ID)
		if !ok {
			return turning{}, fmt.Errorf("no feature %s", l.ID)
		}
		drawn, found = append(drawn, at), append(found, l.At)
	}
	var sin, cos float64
	for i := range drawn {
		for k := range i {
			a, b := drawn[i].Sub(drawn[k]), found[i].Sub(found[k])
			sin, cos = sin+a.Cross(b), cos+a.Dot(b)
		}
	}
	if sin == 0 && cos == 0 {
		return turning{}, fmt.Errorf("the located features tell no turn")
	}
	t := turning{angle: math.Atan2(sin, cos)}
	t.shift = about(found).mean.Sub(turned(about(drawn).mean, t.angle))
	return t, nil
}

// middleOf is the middle of a feature's box as drawn; of a circle or a slot it
// is its centre.
func (c *check) middleOf(id string) (geom.Point, bool) {
	for i := range c.in.Parts {
		for k := range c.in.Parts[i].Features {
			if f := &c.in.Parts[i].Features[k]; f.ID == id && len(f.Loop.V) > 0 {
				return f.Loop.Box().Center(), true
			}
		}
	}
	return geom.Point{}, false
}

// drawnAt brings the places of a result back to the stock as drawn.
func (c *check) drawnAt(r *Result) {
	if c.lies == nil {
		return
	}
	for i := range r.Findings {
		if at := r.Findings[i].At; at != nil {
			back := c.lies.back(*at)
			r.Findings[i].At = &back
		}
	}
	for i := range r.Cuts {
		r.Cuts[i].Pierce = c.lies.back(r.Cuts[i].Pierce)
	}
}
