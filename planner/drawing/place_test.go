package drawing_test

import (
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// placed holds a finding to the place of the first entity it speaks of.
func placed(t *testing.T, faults fault.List, code string, want geom.Point) {
	t.Helper()
	f := find(t, faults, code)
	if f.Frame != fault.InDrawing || geom.Pt(f.X, f.Y).Dist(want) > geom.Join {
		t.Errorf("%s: frame %v at (%g, %g), want (%g, %g): %s", code, f.Frame, f.X, f.Y, want.X, want.Y, f.Error())
	}
}

// Places by hand, from the arbitrary-axis algorithm of the DXF reference.
func TestFindingsOfADXFPointAtTheEntity(t *testing.T) {
	for name, c := range map[string]struct {
		code string
		want geom.Point
		draw func(d *dxfText)
	}{
		"elevation":           {"elevation", geom.Pt(3, 4), func(d *dxfText) { d.entity("CIRCLE", 10, 3.0, 20, 4.0, 30, 8.0, 40, 1.0) }},
		"elevation of a line": {"elevation", geom.Pt(1, 2), func(d *dxfText) { d.entity("LINE", 10, 1.0, 20, 2.0, 30, 5.0, 11, 9.0, 21, 2.0, 31, 5.0) }},
		"elevation, polyline": {"elevation", geom.Pt(6, 7), func(d *dxfText) { d.entity("LWPOLYLINE", 90, 2, 70, 0, 38, 4.0, 10, 6.0, 20, 7.0, 10, 9.0, 20, 9.0) }},
		// Seen from below: X runs the other way.
		"elevation, mirrored": {"elevation", geom.Pt(-3, 4), func(d *dxfText) { d.entity("CIRCLE", 10, 3.0, 20, 4.0, 30, 8.0, 40, 1.0, 230, -1.0) }},
		"elevation, old polyline": {"elevation", geom.Pt(11, 12), func(d *dxfText) {
			d.entity("POLYLINE", 70, 0, 30, 2.0).entity("VERTEX", 10, 11.0, 20, 12.0).entity("VERTEX", 10, 19.0, 20, 12.0).entity("SEQEND")
		}},
		// N = +Y, so Ax = Z x N = -X and Ay = N x Ax = +Z: (5, 6) at the height 7
		// is (-5, 7, 6), seen from above (-5, 7).
		"tilted circle":  {"tilted", geom.Pt(-5, 7), func(d *dxfText) { d.entity("CIRCLE", 10, 5.0, 20, 6.0, 30, 7.0, 40, 3.0, 220, 1.0, 230, 0.0) }},
		"tilted ellipse": {"tilted", geom.Pt(5, 6), func(d *dxfText) { d.entity("ELLIPSE", 10, 5.0, 20, 6.0, 11, 5.0, 21, 0.0, 40, 0.5, 220, 1.0, 230, 0.0) }},
		"no direction":   {"tilted", geom.Pt(5, 6), func(d *dxfText) { d.entity("CIRCLE", 10, 5.0, 20, 6.0, 40, 3.0, 210, 0.0, 220, 0.0, 230, 0.0) }},
		"mesh": {"solid", geom.Pt(1, 2), func(d *dxfText) {
			d.entity("POLYLINE", 70, 64).entity("VERTEX", 10, 1.0, 20, 2.0, 70, 192).entity("SEQEND")
		}},
		"without length":    {"zero-length", geom.Pt(8, 9), func(d *dxfText) { d.entity("LWPOLYLINE", 90, 1, 70, 0, 10, 8.0, 20, 9.0) }},
		"number too large":  {"bad-number", geom.Pt(8, 9), func(d *dxfText) { d.entity("LINE", 10, 8.0, 20, 9.0, 11, 1e300, 21, 0.0) }},
		"block on its side": {"tilted", geom.Pt(-4, 0), func(d *dxfText) { d.entity("INSERT", 2, "X", 10, 4.0, 20, 0.0, 220, 1.0, 230, 0.0) }},
	} {
		t.Run(name, func(t *testing.T) {
			d := plate("0", "0")
			c.draw(d)
			_, faults := read(t, d.bytes(), drawing.Options{})
			placed(t, faults, c.code, c.want)
		})
	}
}

// A point of a PDF is 1/72 inch (ISO 32000, 8.3.2.3).
func TestFindingsOfAPDFPointAtThePath(t *testing.T) {
	const mm = 25.4 / 72
	l := mustShow(t, onePage("", square+" 500 20 30 40 re S", nil).table())
	placed(t, l.Report, "off-page", geom.Pt(500*mm, 20*mm))
	l = mustShow(t, onePage("", square+" 1 0 0 1 7 3 cm 40 20 30 40 re n /G gs 40 20 30 40 re S",
		map[int]string{3: "<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 100]/Contents 4 0 R/Resources<</ExtGState<</G<</CA 0>>>>>>>>"}).table())
	placed(t, l.Report, "hidden", geom.Pt(47*mm, 23*mm))
}

// SVG counts 96 pixels to the inch, Y down (CSS Values, 5.2).
func TestWhatAnSVGHidesPointsAtTheShape(t *testing.T) {
	l := mustShow(t, page(`<rect width="5" height="5"/><g transform="translate(10 20)"><path visibility="hidden" d="M 1 2 h 10 v 10 z"/></g>`))
	f := find(t, l.Report, "hidden")
	p := mustShow(t, page(`<rect width="5" height="5"/><path d="M 11 22 h 10 v 10 z"/>`)).Closed[1].Path.V
	for _, v := range p {
		if f.Frame == fault.InDrawing && geom.Pt(f.X, f.Y).Dist(v.P) <= geom.Join {
			return
		}
	}
	t.Errorf("(%g, %g) is no corner of %v", f.X, f.Y, p)
}
