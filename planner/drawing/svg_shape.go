package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// shape draws one of the basic shapes, a path, or notes what is not cut.
func (s *svgReader) shape(n *svgNode, st svgState) {
	b := s.b
	x := func(k svgAttr) float64 { return s.length(n.value(k), st.vw, st, 0) }
	y := func(k svgAttr) float64 { return s.length(n.value(k), st.vh, st, 0) }
	s.at(n, st)
	broken := func(what string, at int) {
		b.note(fault.Error, "broken-path", fmt.Sprintf("the %s break off at character %d", what, at+1), "Save the drawing again, or delete it", geom.Point{}, false)
	}
	// Filled and not stroked, an open path is closed by what is seen. Not if
	// some style rule was not understood: it may have stroked it.
	fill := st.stroke.none && !st.fill.none && s.sheet.missed == 0
	switch n.name {
	case "path":
		d := n.value(attrD)
		if at, ok := b.svgPath(d, fill); !ok {
			broken("path data", at)
		}
	case "polyline", "polygon":
		if at, ok := b.svgPoints(n.value(attrPoints), n.name == "polygon" || fill); !ok {
			broken("points", at)
		}
	case "line":
		b.addLine(geom.Pt(x(attrX1), y(attrY1)), geom.Pt(x(attrX2), y(attrY2)))
	case "rect":
		w, h := x(attrWidth), y(attrHeight)
		if !(w > 0) || !(h > 0) {
			b.note(fault.Note, "zero-length", "a shape without size dropped", "", geom.Pt(x(attrX), y(attrY)), true)
			return
		}
		rx := s.length(n.value(attrRX), st.vw, st, math.NaN())
		ry := s.length(n.value(attrRY), st.vh, st, math.NaN())
		if math.IsNaN(rx) || rx < 0 { // one radius stands for both
			rx = ry
		}
		if math.IsNaN(ry) || ry < 0 {
			ry = rx
		}
		b.svgRect(x(attrX), y(attrY), w, h, rx, ry)
	case "circle", "ellipse":
		c := geom.Pt(x(attrCX), y(attrCY))
		rx, ry := s.radii(n, st)
		switch {
		case !(rx > 0) || !(ry > 0):
			b.note(fault.Note, "zero-length", "a shape without size dropped", "", c, true)
		case rx == ry:
			b.addCircle(c, rx)
		default:
			b.addEllipse(c, geom.Pt(rx, 0), geom.Pt(0, ry), 0, 2*math.Pi)
		}
	case "text", "flowRoot":
		b.note(fault.Note, "text", "text is not cut", "Convert it to outlines in the drawing program if it is meant to be cut", geom.Pt(x(attrX), y(attrY)), true)
	case "image":
		b.note(fault.Note, "picture", "a picture is not cut", "Trace it in the drawing program if it is meant to be cut", geom.Pt(x(attrX), y(attrY)), true)
	case "foreignObject":
		b.note(fault.Note, "foreign", "content of another kind is not cut", "", geom.Point{}, false)
	}
}

func (s *svgReader) radii(n *svgNode, st svgState) (rx, ry float64) {
	if n.name == "circle" {
		r := s.length(n.value(attrR), st.diagonal(), st, 0)
		return r, r
	}
	rx = s.length(n.value(attrRX), st.vw, st, math.NaN())
	ry = s.length(n.value(attrRY), st.vh, st, math.NaN())
	if math.IsNaN(rx) { // auto: as the other
		rx = ry
	}
	if math.IsNaN(ry) {
		ry = rx
	}
	return rx, ry
}
