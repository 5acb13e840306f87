package shape

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// corner is a corner of a polygon: sharp, rounded by a radius, or cut off at
// the same distance from the corner along both sides.
type corner struct {
	p      geom.Point
	radius float64
	cut    float64
}

// outline draws a polygon run counter-clockwise. The caller has seen to it
// that radii and cuts fit; where two of them just meet, the side between has
// no length and is left out.
func outline(corners ...corner) geom.Path {
	p := geom.Path{Closed: true}
	n := len(corners)
	add := func(q geom.Point, bulge float64) {
		if k := len(p.V); k > 0 && p.V[k-1].P.Near(q) {
			p.V[k-1].Bulge = bulge
			return
		}
		p.V = append(p.V, geom.Vertex{P: q, Bulge: bulge})
	}
	for i, c := range corners {
		a, b := c.p.Sub(corners[(i+n-1)%n].p).Unit(), corners[(i+1)%n].p.Sub(c.p).Unit()
		turn := math.Atan2(a.Cross(b), a.Dot(b)) // positive at an outside corner
		switch {
		case c.radius > 0:
			// The arc begins r tan(turn/2) before the corner.
			back := c.radius * math.Abs(math.Tan(turn/2))
			add(c.p.Sub(a.Mul(back)), geom.BulgeOf(turn))
			add(c.p.Add(b.Mul(back)), 0)
		case c.cut > 0:
			add(c.p.Sub(a.Mul(c.cut)), 0)
			add(c.p.Add(b.Mul(c.cut)), 0)
		default:
			add(c.p, 0)
		}
	}
	if k := len(p.V); k > 1 && p.V[k-1].P.Near(p.V[0].P) {
		p.V = p.V[:k-1]
	}
	return p
}

// sharp is a corner without a radius.
func sharp(x, y float64) corner { return corner{p: geom.Pt(x, y)} }

// round is a corner with a radius, 0 for none.
func round(x, y, r float64) corner { return corner{p: geom.Pt(x, y), radius: r} }

// slotPath is a slot with round ends about its middle, turned by the angle in
// rad; as long as wide it is a circle.
func slotPath(c geom.Point, length, width, angle float64) geom.Path {
	r := width / 2
	half := (length - width) / 2
	if half <= geom.Same {
		return geom.Circle(c, r)
	}
	p := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(-half, -r)}, {P: geom.Pt(half, -r), Bulge: 1}, {P: geom.Pt(half, r)}, {P: geom.Pt(-half, r), Bulge: 1},
	}}
	return geom.Move{Angle: angle, Shift: c}.Path(p)
}
