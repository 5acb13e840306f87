package drawing_test

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// hostileFiles are of about the size, made to take as long as possible.
func hostileFiles(size int) map[string][]byte {
	r := rand.New(rand.NewPCG(9, 9))
	body := func(write func(d *dxfText, i int)) []byte {
		d := newDXF()
		for i := 0; d.body.Len()+d.blocks.Len() < size; i++ {
			write(d, i)
		}
		return d.bytes()
	}
	pt := func(size float64) geom.Point { return geom.Pt(size*r.Float64(), size*r.Float64()) }
	bomb := func(levels, fan int) []byte {
		d := newDXF()
		d.to = &d.blocks
		for l := range levels {
			d.put(0, "BLOCK", 2, fmt.Sprintf("B%d", l), 70, 0, 10, 0.0, 20, 0.0)
			for range fan {
				if l == 0 {
					d.circle(pt(100), 3)
				} else {
					d.entity("INSERT", 2, fmt.Sprintf("B%d", l-1), 10, 1.0, 20, 1.0)
				}
			}
			d.put(0, "ENDBLK")
		}
		d.to = &d.body
		return d.entity("INSERT", 2, fmt.Sprintf("B%d", levels-1), 10, 0.0, 20, 0.0).bytes()
	}
	out := map[string][]byte{
		"block bomb":         bomb(20, 10),
		"deep blocks":        bomb(2000, 1),
		"empty array":        newDXF().entity("INSERT", 2, "NONE", 70, 32767, 71, 32767).bytes(),
		"random lines":       body(func(d *dxfText, _ int) { d.line(pt(1000), pt(1000)) }),
		"random arcs":        body(func(d *dxfText, _ int) { d.seg(geom.Seg{A: pt(1000), B: pt(1000), Bulge: r.Float64()*2 - 1}, true) }),
		"one line":           body(func(d *dxfText, _ int) { d.line(geom.Pt(0, 0), geom.Pt(100, 0)) }),
		"lines on one line":  body(func(d *dxfText, _ int) { d.line(geom.Pt(1e4*r.Float64(), 0), geom.Pt(1e4*r.Float64(), 0)) }),
		"star":               body(func(d *dxfText, _ int) { p := geom.Polar(geom.Pt(0, 0), 100, 7*r.Float64()); d.line(p, p.Mul(-1)) }),
		"spokes":             body(func(d *dxfText, _ int) { d.line(geom.Pt(0, 0), geom.Polar(geom.Pt(0, 0), 100, 7*r.Float64())) }),
		"many crowds":        body(func(d *dxfText, i int) { d.line(geom.Pt(float64(i/40)*9, 0), geom.Pt(float64(i/40)*9, 5+r.Float64())) }),
		"hatch of lines":     body(func(d *dxfText, i int) { d.line(geom.Pt(float64(i)/10, 0), geom.Pt(float64(i)/10+1000, 1000)) }),
		"one circle":         body(func(d *dxfText, _ int) { d.circle(geom.Pt(5, 5), 4) }),
		"circles of one box": body(func(d *dxfText, i int) { d.circle(geom.Pt(5+float64(i)/1000, 5+float64(i)/1000), 4+float64(i)/1000) }),
		"arcs of one circle": body(func(d *dxfText, _ int) {
			d.entity("ARC", 10, 0.0, 20, 0.0, 40, 50.0, 50, 360*r.Float64(), 51, 360*r.Float64())
		}),
		"one point": body(func(d *dxfText, i int) { d.line(geom.Pt(5, 5), geom.Pt(5+1e-5*r.Float64(), 5+1e-5*r.Float64())) }),
		"zigzag": func() []byte {
			p := geom.Path{}
			for range size / 45 {
				p.V = append(p.V, geom.Vertex{P: pt(1000)})
			}
			return newDXF().path(p).bytes()
		}(),
		"gentle curve": func() []byte {
			p := geom.Path{}
			for i := range size / 45 {
				p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(0, 0), 400_000, 1e-3*float64(i))})
			}
			return newDXF().path(p).bytes()
		}(),
		"wild splines": body(func(d *dxfText, _ int) {
			d.entity("SPLINE", 70, 8, 71, 3)
			for range 20 {
				d.put(10, 1e6*(r.Float64()-0.5), 20, 1e6*(r.Float64()-0.5), 30, 0.0)
			}
		}),
		"high splines": body(func(d *dxfText, _ int) {
			d.entity("SPLINE", 70, 8, 71, 25)
			for range 60 {
				d.put(10, 1e6*(r.Float64()-0.5), 20, 1e6*(r.Float64()-0.5), 30, 0.0)
			}
		}),
		"flat ellipses": body(func(d *dxfText, _ int) {
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 4e5*r.Float64(), 21, 1.0, 40, 1e-4*r.Float64(), 41, 0.0, 42, 6.0)
		}),
		"ellipses in an array": func() []byte {
			d := newDXF()
			d.to = &d.blocks
			d.put(0, "BLOCK", 2, "A", 10, 0.0, 20, 0.0)
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 4e3, 21, 1.0, 40, 0.3, 41, 0.0, 42, 6.0)
			d.put(0, "ENDBLK")
			d.to = &d.body
			return d.entity("INSERT", 2, "A", 10, 0.0, 20, 0.0, 70, 300, 71, 300, 44, 1.0, 45, 1.0).bytes()
		}(),
		"blank lines": bytes.Repeat([]byte("\n"), size),
		"layers": body(func(d *dxfText, i int) {
			d.layer = fmt.Sprint(i)
			d.line(geom.Pt(float64(i), 0), geom.Pt(float64(i), 1))
		}),
		"kinds":         body(func(d *dxfText, i int) { d.entity(fmt.Sprint("THING", i), 10, 1.0) }),
		"texts":         body(func(d *dxfText, i int) { d.entity("TEXT", 10, 1.0, 20, 2.0, 1, "x") }),
		"no number":     body(func(d *dxfText, i int) { d.entity("LINE", 10, "a", 20, "b") }),
		"words":         []byte("0\nSECTION\n2\nENTITIES\n" + strings.Repeat("word\n", size/5)),
		"nan":           body(func(d *dxfText, i int) { d.line(geom.Pt(math.NaN(), 0), geom.Pt(math.Inf(1), 0)) }),
		"open vertices": []byte("0\nSECTION\n2\nENTITIES\n0\nPOLYLINE\n8\n0\n" + strings.Repeat("0\nVERTEX\n10\n1\n20\n2\n", size/21)),
	}
	return out
}

// TestHostileFilesAreRefusedOrRead: no panic, no hang. How long 1 MB of each
// takes is BenchmarkHostile's.
func TestHostileFilesAreRefusedOrRead(t *testing.T) {
	files := hostileFiles(1 << 18)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		data := files[name]
		start := time.Now()
		hold(t, data)
		t.Logf("%-22s %v", name, time.Since(start).Round(time.Millisecond))
	}
}

func BenchmarkHostile(b *testing.B) {
	files := hostileFiles(1 << 20)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		data := files[name]
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				drawing.Read(context.Background(), data, drawing.Options{})
			}
		})
	}
}

// TestLimitsAreNamed: what was passed, and by what.
func TestLimitsAreNamed(t *testing.T) {
	files := hostileFiles(1 << 20)
	for name, want := range map[string]string{
		"block bomb":           "vertices made by blocks",
		"ellipses in an array": "vertices made by blocks",
		"deep blocks":          "blocks nested deeper than 32",
		"layers":               "more than 10000 layers",
	} {
		_, faults := read(t, files[name], drawing.Options{})
		f := find(t, faults, "limit")
		if f.Severity != fault.Error || !strings.Contains(f.What, want) {
			t.Errorf("%s: %v, want %q", name, f.Error(), want)
		}
	}
}

// TestManyDoublesAreOneLine: 50,000 lines of which 50 differ, one of them on an
// edge of a closed figure, are one line of the report, with the number and the
// first places.
func TestManyDoublesAreOneLine(t *testing.T) {
	d := newDXF().mm()
	d.path(geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 50), geom.Pt(0, 50)))
	for i := range 50_000 {
		d.line(geom.Pt(0, float64(i%50)), geom.Pt(100, float64(i%50)))
	}
	_, faults := read(t, d.bytes(), drawing.Options{})
	if len(faults) > 60 {
		t.Fatalf("%d lines", len(faults))
	}
	f := find(t, faults, "double")
	if !strings.Contains(f.What, "49951 doubles removed") || strings.Count(f.What, "(") < 3 {
		t.Errorf("%v", f.Error())
	}
}
