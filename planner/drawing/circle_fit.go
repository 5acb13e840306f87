package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// circleOf fits a circle to points all round it by least squares of |p-c|^2 -
// r^2 (Kasa), which is without bias on a whole turn.
func circleOf(pts []geom.Point) (c geom.Point, r float64, ok bool) {
	var o geom.Point
	for _, p := range pts {
		o = o.Add(p)
	}
	o = o.Mul(1 / float64(len(pts)))
	var xx, yy, xy, xz, yz, zz float64
	for _, p := range pts {
		v := p.Sub(o)
		z := v.Dot(v)
		xx += v.X * v.X
		yy += v.Y * v.Y
		xy += v.X * v.Y
		xz += v.X * z
		yz += v.Y * z
		zz += z
	}
	det := xx*yy - xy*xy
	if !(det > 1e-6*xx*yy) { // points on a line
		return c, 0, false
	}
	d := geom.Pt((xz*yy-yz*xy)/(2*det), (yz*xx-xz*xy)/(2*det))
	n := float64(len(pts))
	return o.Add(d), math.Sqrt(zz/n + d.Dot(d)), true
}
