package drawing_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strconv"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// dxfText writes small drawings for tests: as little as a reader accepts.
type dxfText struct {
	header, tables, blocks, body bytes.Buffer
	layer                        string
	to                           *bytes.Buffer
}

func newDXF() *dxfText {
	d := &dxfText{layer: "0"}
	d.to = &d.body
	return d
}

// put writes groups: code, value, code, value, ...
func (d *dxfText) put(groups ...any) *dxfText {
	for i := 0; i+1 < len(groups); i += 2 {
		switch v := groups[i+1].(type) {
		case float64:
			fmt.Fprintf(d.to, "%3d\n%s\n", groups[i], strconv.FormatFloat(v, 'g', -1, 64))
		default:
			fmt.Fprintf(d.to, "%3d\n%v\n", groups[i], v)
		}
	}
	return d
}

func (d *dxfText) entity(typ string, groups ...any) *dxfText {
	return d.put(append([]any{0, typ, 8, d.layer}, groups...)...)
}

func (d *dxfText) line(a, b geom.Point) *dxfText {
	return d.entity("LINE", 10, a.X, 20, a.Y, 11, b.X, 21, b.Y)
}

func (d *dxfText) circle(c geom.Point, r float64) *dxfText {
	return d.entity("CIRCLE", 10, c.X, 20, c.Y, 40, r)
}

// path writes an LWPOLYLINE.
func (d *dxfText) path(p geom.Path) *dxfText {
	flag := 0
	if p.Closed {
		flag = 1
	}
	d.entity("LWPOLYLINE", 90, len(p.V), 70, flag)
	for _, v := range p.V {
		d.put(10, v.P.X, 20, v.P.Y)
		if v.Bulge != 0 {
			d.put(42, v.Bulge)
		}
	}
	return d
}

// seg writes a line as LINE and an arc as ARC or, if exact is asked for its
// ends, as a polyline of one segment.
func (d *dxfText) seg(s geom.Seg, exact bool) *dxfText {
	if !s.IsArc() {
		return d.line(s.A, s.B)
	}
	if exact {
		return d.path(geom.Path{V: []geom.Vertex{{P: s.A, Bulge: s.Bulge}, {P: s.B}}})
	}
	c := s.Center()
	a, b := s.A, s.B
	if s.Bulge < 0 {
		a, b = b, a
	}
	deg := func(p geom.Point) float64 { return p.Sub(c).Angle() * 180 / math.Pi }
	return d.entity("ARC", 10, c.X, 20, c.Y, 40, s.Radius(), 50, deg(a), 51, deg(b))
}

func (d *dxfText) bytes() []byte {
	var b bytes.Buffer
	section := func(name string, body []byte) {
		if len(body) > 0 {
			fmt.Fprintf(&b, "  0\nSECTION\n  2\n%s\n%s  0\nENDSEC\n", name, body)
		}
	}
	section("HEADER", d.header.Bytes())
	section("TABLES", d.tables.Bytes())
	section("BLOCKS", d.blocks.Bytes())
	section("ENTITIES", d.body.Bytes())
	b.WriteString("  0\nEOF\n")
	return b.Bytes()
}

// mm says in the header that the unit is mm.
func (d *dxfText) mm() *dxfText {
	d.header.WriteString("  9\n$INSUNITS\n 70\n4\n")
	return d
}

func read(t tester, data []byte, o drawing.Options) (*drawing.Loops, fault.List) {
	t.Helper()
	if o.Name.Empty() {
		o.Name = plain.Of("test.dxf")
	}
	return drawing.Read(context.Background(), data, o)
}

// mustRead fails on an Error.
func mustRead(t tester, data []byte, o drawing.Options) *drawing.Loops {
	t.Helper()
	l, faults := read(t, data, o)
	if l == nil || faults.Bad() {
		t.Fatalf("%v\n%s", faults.Err(), head(data))
	}
	return l
}

func head(b []byte) []byte { return b[:min(len(b), 2000)] }

// codes counts the faults of each code.
func codes(l fault.List) map[string]int {
	m := map[string]int{}
	for _, f := range l {
		m[f.Code]++
	}
	return m
}

// find returns the first fault with a code.
func find(t tester, l fault.List, code string) fault.Fault {
	t.Helper()
	for _, f := range l {
		if f.Code == code {
			return f
		}
	}
	t.Fatalf("no %q among %v", code, codes(l))
	return fault.Fault{}
}

// tester is what testing.TB and *rapid.T share.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
}
