package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// Reshape maps a path whose arcs are at most half a circle. Where circles stay
// circles it is exact; else arcs become parts of ellipses, which are fitted by
// arcs within tol (mm) as those of a drawing are.
func Reshape(p geom.Path, m geom.Affine, tol float64) geom.Path {
	out := geom.Path{Closed: p.Closed, V: make([]geom.Vertex, 0, len(p.V))}
	similar := m.Similar()
	f := fitter{tol: tol, budget: math.MaxInt}
	for i, v := range p.V {
		last := !p.Closed && i == len(p.V)-1
		var s geom.Seg
		if !similar && !last {
			s = p.Seg(i)
		}
		if similar || last || !s.IsArc() {
			b := v.Bulge
			if m.Det() < 0 {
				b = -b
			}
			out.V = append(out.V, geom.Vertex{P: m.Apply(v.P), Bulge: b, Src: v.Src})
			continue
		}
		c, r := s.Center(), s.Radius()
		t := s.A.Sub(c).Angle()
		out.V = f.oval(out.V, smooth{kind: curveEllipse, c: m.Apply(c), maj: m.Vector(geom.Pt(r, 0)), min: m.Vector(geom.Pt(0, r)), t0: t, t1: t + s.Sweep()}, v.Src)
	}
	return out
}
