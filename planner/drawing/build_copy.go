package drawing

import "example.org/kerfwright/planner/geom"

// copyItem draws a finished item of another drawing, such as a block, under
// the transform; begin has said whose it is.
func (b *builder) copyItem(src *Raw, it item) {
	v := src.verts[it.first : it.first+it.n]
	if len(v) == 1 && v[0].Src == 0 {
		b.addPoint(v[0].P)
		return
	}
	b.moveTo(v[0].P)
	for i := range v {
		next := i + 1
		if next == len(v) {
			if !it.closed {
				break
			}
			next = 0
		}
		if v[i].Src != 0 {
			b.copyCurve(src, src.curves[v[i].Src-1])
			b.push(b.m.apply(v[next].P), 0, 0)
		} else {
			b.bulgeTo(v[next].P, v[i].Bulge)
		}
	}
	if it.closed {
		b.dropLast()
		b.closePath()
	}
	b.endPath()
}

func (b *builder) copyCurve(src *Raw, c rawCurve) {
	v := src.nums[c.first : int(c.first)+c.length()]
	first := int32(len(b.raw.nums))
	if c.kind == curveEllipse {
		p, x, y := b.m.apply(geom.Pt(v[0], v[1])), b.m.vector(geom.Pt(v[2], v[3])), b.m.vector(geom.Pt(v[4], v[5]))
		b.addNums(p.X, p.Y, x.X, x.Y, y.X, y.Y, v[6], v[7])
	} else {
		for i := range int(c.n) {
			p := b.m.apply(geom.Pt(v[2*i], v[2*i+1]))
			b.addNums(p.X, p.Y)
		}
		b.addNums(v[2*c.n:]...)
	}
	c.first = first
	b.curve(c)
}
