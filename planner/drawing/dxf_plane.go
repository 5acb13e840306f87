package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// flatLimit is how far from parallel to the drawing's plane, in rad, an entity
// may lie and still be flat: its shape is then true to 5e-9 of its size, and
// far more than the rounding of any program.
const flatLimit = 1e-4

// plane returns the map from the entity's own axes to the drawing's, where p
// is its first point in its own axes. ok is false for a tilted entity, which
// is noted.
func (d *dxf) plane(e *entity, p point3) (m affine, ok bool) {
	z := p[2]
	if e.n == (point3{0, 0, 1}) {
		d.raised(e, z, p.flat())
		return identity, true
	}
	ax, ay, n, lies := flat(e)
	m = affine{ax[0], ax[1], ay[0], ay[1], n[0] * z, n[1] * z}
	if !lies {
		// Seen from above, a point of a tilted entity lies there all the same.
		d.tilted(e, m.apply(p.flat()))
		return identity, false
	}
	d.raised(e, z, m.apply(p.flat()))
	return m, true
}

// flat returns the axes of an entity, and whether it lies in the drawing's
// plane. Without a direction it has none of its own.
func flat(e *entity) (ax, ay, n point3, lies bool) {
	ax, ay, n, ok := arbitraryAxis(e.n)
	if !ok {
		return point3{1, 0, 0}, point3{0, 1, 0}, point3{0, 0, 1}, false
	}
	return ax, ay, n, math.Abs(ax[2]) <= flatLimit && math.Abs(ay[2]) <= flatLimit
}

// raised notes an entity drawn at the height z, rounding left aside; p is a
// point of it.
func (d *dxf) raised(e *entity, z float64, p geom.Point) {
	if !e.counted && math.Abs(z) > geom.Same {
		e.counted = true
		d.to.note(fault.Note, "elevation", "drawn at a height, which is ignored", "", p, true)
	}
}

// tilted notes an entity that does not lie in the drawing's plane, at p.
func (d *dxf) tilted(e *entity, p geom.Point) {
	d.to.note(fault.Error, "tilted", fmt.Sprintf("tilted out of the drawing's plane (extrusion %.4g, %.4g, %.4g)", e.n[0], e.n[1], e.n[2]),
		"Flatten it in the CAD, or set its layer to ignore", p, true)
}

// steep notes an entity whose points are not at one height.
func (d *dxf) steep(p geom.Point) {
	d.to.note(fault.Error, "tilted", "not flat: its points lie at different heights", "Flatten it in the CAD, or set its layer to ignore", p, true)
}

// level reports whether a rise of dz over a length is within flatLimit, or no
// more than rounding in any unit.
func level(dz, length float64) bool {
	return math.Abs(dz) <= flatLimit*length+geom.Same
}

// arbitraryAxis returns the axes of an entity with extrusion n (DXF
// reference, arbitrary axis algorithm: near the pole, where |Nx| and |Ny| are
// under 1/64, the X axis is the world's Y x N, elsewhere the world's Z x N).
// ok is false for a zero or endless vector.
func arbitraryAxis(n point3) (ax, ay, unit point3, ok bool) {
	l := math.Hypot(math.Hypot(n[0], n[1]), n[2])
	if !(l > 0) || math.IsInf(l, 0) {
		return
	}
	n = point3{n[0] / l, n[1] / l, n[2] / l}
	if math.Abs(n[0]) < 1.0/64 && math.Abs(n[1]) < 1.0/64 {
		ax = cross3(point3{0, 1, 0}, n)
	} else {
		ax = cross3(point3{0, 0, 1}, n)
	}
	k := math.Hypot(math.Hypot(ax[0], ax[1]), ax[2])
	ax = point3{ax[0] / k, ax[1] / k, ax[2] / k}
	return ax, cross3(n, ax), n, true
}

func cross3(a, b point3) point3 {
	return point3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
