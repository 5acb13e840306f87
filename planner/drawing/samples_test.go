package drawing_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// The shared drawings of testdata: one hinge leaf for a farm gate drawn as
// shops get it, and hardware for a trailer. KERFWRIGHT_UPDATE=1 writes them
// anew; otherwise they are read and held to closed forms.

var sampleDir = filepath.Join("..", "..", "testdata")

// leafArea by closed forms: rectangle with four rounded corners, tongue with a
// half circle; holes; slots w(L-w)+pi w^2/4; square hole.
func leafArea() float64 {
	plate := 180*100 - (4-math.Pi)*8*8 + 40*40 + math.Pi*20*20/2
	holes := math.Pi * (8.5*8.5 + 2*6.5*6.5)
	slots := 2 * (13*40 + math.Pi*13*13/4)
	return plate - holes - slots - 30*20
}

// bracketArea: a trailer lamp bracket: ellipse 60 x 35 half axes, a round hole
// written as a rational spline, an elliptical hole, four holes from a block.
func bracketArea() float64 {
	return math.Pi * (60*35 - 12*12 - 9*6 - 4*2.75*2.75)
}

type sample struct {
	file  string
	make  func() []byte
	loops int
	area  float64 // mm2
	tol   float64 // of the area
	unit  drawing.UnitSource
	codes []string // that the report must hold
}

func samples() []sample {
	exact := 1e-6
	return []sample{
		{"gate-hinge-leaf.dxf", leafLoose, 7, leafArea(), exact, drawing.UnitInFile, []string{"text", "dimension", "layer"}},
		{"gate-hinge-leaf-polylines.dxf", leafPolylines, 7, leafArea(), exact, drawing.UnitInFile, nil},
		{"gate-hinge-leaf-r12.dxf", leafR12, 7, leafArea(), exact, drawing.UnitAsked, []string{"unit-missing"}},
		{"gate-hinge-leaf-inch.dxf", leafInch, 7, leafArea(), exact, drawing.UnitInFile, nil},
		{"gate-hinge-leaf-split.dxf", leafSplit, 7, leafArea(), 1e-4, drawing.UnitInFile, []string{"joined", "double", "overlap"}},
		{"gate-hinge-leaf-facets.dxf", leafFacets, 7, leafArea(), 1e-4, drawing.UnitInFile, []string{"circle", "round"}},
		{"trailer-lamp-bracket.dxf", bracket, 7, bracketArea(), 1e-4, drawing.UnitInFile, []string{"hatch"}},
	}
}

// r2000 wraps entities in what a reader of version AC1015 expects.
func r2000(d *dxfText, units int, layers ...[3]any) []byte {
	fmt.Fprintf(&d.header, "  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n%d\n  9\n$MEASUREMENT\n 70\n1\n", units)
	d.to = &d.tables
	d.put(0, "TABLE", 2, "LTYPE", 70, 2)
	d.put(0, "LTYPE", 100, "AcDbSymbolTableRecord", 100, "AcDbLinetypeTableRecord", 2, "CONTINUOUS", 70, 0, 3, "Solid line", 72, 65, 73, 0, 40, 0.0)
	d.put(0, "LTYPE", 100, "AcDbSymbolTableRecord", 100, "AcDbLinetypeTableRecord", 2, "CENTER", 70, 0, 3, "Center ____ _ ____", 72, 65, 73, 4, 40, 50.8,
		49, 31.75, 74, 0, 49, -6.35, 74, 0, 49, 6.35, 74, 0, 49, -6.35, 74, 0)
	d.put(0, "ENDTAB", 0, "TABLE", 2, "LAYER", 70, len(layers))
	for _, l := range layers {
		d.put(0, "LAYER", 100, "AcDbSymbolTableRecord", 100, "AcDbLayerTableRecord", 2, l[0], 70, 0, 62, l[1], 6, l[2])
	}
	d.put(0, "ENDTAB")
	d.to = &d.body
	return marked(d.bytes())
}

// marked gives every entity a handle and the subclass markers that strict
// readers of AC1015 ask for.
func marked(b []byte) []byte {
	sub := map[string][]string{"LINE": {"AcDbLine"}, "CIRCLE": {"AcDbCircle"}, "ARC": {"AcDbCircle"}, "LWPOLYLINE": {"AcDbPolyline"},
		"ELLIPSE": {"AcDbEllipse"}, "SPLINE": {"AcDbSpline"}, "INSERT": {"AcDbBlockReference"}, "TEXT": {"AcDbText"}, "POINT": {"AcDbPoint"},
		"HATCH": {"AcDbHatch"}, "DIMENSION": {"AcDbDimension"}}
	lines := strings.Split(string(b), "\n")
	var out strings.Builder
	handle := 0x100
	typ, open, arc := "", false, false
	for i := 0; i+1 < len(lines); i += 2 {
		code, value := strings.TrimSpace(lines[i]), lines[i+1]
		if code == "0" {
			typ = value
			open, arc = sub[typ] != nil, typ == "ARC"
			fmt.Fprintf(&out, "%s\n%s\n", lines[i], value)
			if open {
				handle++
				fmt.Fprintf(&out, "  5\n%X\n100\nAcDbEntity\n", handle)
			}
			continue
		}
		if open && code != "8" && code != "6" && code != "62" {
			open = false
			fmt.Fprintf(&out, "100\n%s\n", sub[typ][0])
		}
		if arc && code == "50" {
			arc = false
			out.WriteString("100\nAcDbArc\n")
		}
		fmt.Fprintf(&out, "%s\n%s\n", lines[i], value)
	}
	return []byte(out.String())
}

var leafLayers = [][3]any{{"0", 7, "CONTINUOUS"}, {"OUTLINE", 7, "CONTINUOUS"}, {"HOLES", 1, "CONTINUOUS"}, {"CENTRELINES", 3, "CENTER"}, {"TEXT", 2, "CONTINUOUS"}}

// leafLoose: lines, arcs and circles in no order, slots as two lines and two
// arcs, with centre lines, a text and a dimension.
func leafLoose() []byte {
	r := rand.New(rand.NewPCG(11, 0))
	d := newDXF()
	type piece struct {
		s     geom.Seg
		layer string
	}
	var all []piece
	for i, p := range leaf() {
		layer := "HOLES"
		if i == 0 {
			layer = "OUTLINE"
		}
		if len(p.V) == 2 {
			d.layer = layer
			d.circle(p.Seg(0).Center(), p.Seg(0).Radius())
			continue
		}
		for _, s := range p.Segs() {
			all = append(all, piece{s, layer})
		}
	}
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	for _, p := range all {
		if d.layer = p.layer; r.IntN(2) == 0 {
			p.s = p.s.Reverse()
		}
		d.seg(p.s, false)
	}
	d.layer = "CENTRELINES"
	d.line(geom.Pt(15, 20), geom.Pt(35, 20)).line(geom.Pt(25, 10), geom.Pt(25, 30)).line(geom.Pt(-5, 50), geom.Pt(250, 50))
	d.layer = "TEXT"
	d.entity("TEXT", 10, 20.0, 20, -20.0, 40, 5.0, 1, "Hinge leaf, 6 mm, 4 off")
	d.entity("DIMENSION", 2, "*D1", 10, 180.0, 20, 120.0, 70, 0)
	return r2000(d, 4, leafLayers...)
}

// leafPolylines: every loop one polyline, and a centre mark.
func leafPolylines() []byte {
	d := newDXF()
	for _, p := range leaf() {
		d.path(p)
	}
	d.entity("POINT", 10, 90.0, 20, 50.0, 30, 0.0)
	return r2000(d, 4, leafLayers[0])
}

// leafR12: an R12 file without units, CR LF, POLYLINE with VERTEX, the two
// bolt holes as one block inserted as an array, mirrored by its extrusion.
func leafR12() []byte {
	d := newDXF()
	d.header.WriteString("  9\n$ACADVER\n  1\nAC1009\n")
	for i, p := range leaf() {
		if i == 2 || i == 3 {
			continue
		}
		d.entity("POLYLINE", 66, 1, 10, 0.0, 20, 0.0, 30, 0.0, 70, 1)
		for _, v := range p.V {
			d.entity("VERTEX", 10, v.P.X, 20, v.P.Y, 30, 0.0, 42, v.Bulge)
		}
		d.entity("SEQEND")
	}
	d.to = &d.blocks
	d.put(0, "BLOCK", 8, "0", 2, "BOLT", 70, 0, 10, 1.0, 20, 1.0, 30, 0.0)
	d.circle(geom.Pt(1, 1), 6.5)
	d.put(0, "ENDBLK", 8, "0")
	d.to = &d.body
	// The place is in axes whose x runs left.
	d.entity("INSERT", 2, "BOLT", 10, -25.0, 20, 20.0, 30, 0.0, 71, 2, 45, 60.0, 210, 0.0, 220, 0.0, 230, -1.0)
	return bytes.ReplaceAll(d.bytes(), []byte("\n"), []byte("\r\n"))
}

func leafInch() []byte {
	d := newDXF()
	k := 1 / unit.MMPerInch
	for _, p := range leaf() {
		for i := range p.V {
			p.V[i].P = p.V[i].P.Mul(k)
		}
		d.path(p)
	}
	return r2000(d, 1, leafLayers[0])
}

// leafSplit: pieces that are split, doubled, lie over one another, and whose
// ends miss by up to 0.03 mm.
func leafSplit() []byte {
	r := rand.New(rand.NewPCG(12, 0))
	d := newDXF()
	var all []geom.Seg
	for _, p := range leaf() {
		for i, s := range p.Segs() {
			switch {
			case i == 0 && !s.IsArc(): // two pieces that lie over one another
				all = append(all, s.Part(0, 0.6), s.Part(0.4, 1))
			case i == 0:
				all = append(all, s.Part(0, 0.5), s.Part(0.3, 1))
			case i == 1:
				all = append(all, s, s.Reverse())
			default:
				s.A, s.B = geom.Polar(s.A, 0.015*r.Float64(), 7*r.Float64()), geom.Polar(s.B, 0.015*r.Float64(), 7*r.Float64())
				all = append(all, s)
			}
		}
	}
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	for _, s := range all {
		d.seg(s, false)
	}
	return r2000(d, 4, leafLayers[0])
}

// leafFacets: arcs as short lines, 64 to a turn, three decimals.
func leafFacets() []byte {
	d := newDXF()
	for _, p := range leaf() {
		flat := geom.Path{Closed: true}
		for _, s := range p.Segs() {
			n := max(1, int(math.Round(math.Abs(s.Sweep())/(2*math.Pi)*64)))
			for k := range n {
				q := s.At(float64(k) / float64(n))
				flat.V = append(flat.V, geom.Vertex{P: geom.Pt(math.Round(q.X*1000)/1000, math.Round(q.Y*1000)/1000)})
			}
		}
		d.path(flat)
	}
	return r2000(d, 4, leafLayers[0])
}

// bracket: an ellipse, a circle as a rational quadratic spline of nine points,
// an ellipse turned, four holes by an INSERT of a block, a hatch.
func bracket() []byte {
	d := newDXF()
	d.entity("ELLIPSE", 10, 100.0, 20, 50.0, 30, 0.0, 11, 60.0, 21, 0.0, 31, 0.0, 40, 35.0/60, 41, 0.0, 42, 2*math.Pi)
	d.entity("ELLIPSE", 10, 130.0, 20, 50.0, 30, 0.0, 11, 0.0, 21, 9.0, 31, 0.0, 40, 6.0/9, 41, 0.0, 42, 2*math.Pi)
	w := math.Sqrt2 / 2
	d.entity("SPLINE", 210, 0.0, 220, 0.0, 230, 1.0, 70, 12, 71, 2, 72, 12, 73, 9, 74, 0)
	for _, k := range []float64{0, 0, 0, 0.25, 0.25, 0.5, 0.5, 0.75, 0.75, 1, 1, 1} {
		d.put(40, k)
	}
	for i := range 9 {
		d.put(41, []float64{1, w}[i%2])
	}
	for _, p := range [][2]float64{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}, {1, 0}} {
		d.put(10, 80+12*p[0], 20, 50+12*p[1], 30, 0.0)
	}
	d.entity("HATCH", 10, 0.0, 20, 0.0, 30, 0.0, 210, 0.0, 220, 0.0, 230, 1.0, 2, "SOLID", 70, 1, 71, 0, 91, 0, 75, 0, 76, 1, 98, 0)
	d.to = &d.blocks
	d.put(0, "BLOCK", 5, "20", 100, "AcDbEntity", 8, "0", 100, "AcDbBlockBegin", 2, "SCREWS", 70, 0, 10, 0.0, 20, 0.0, 30, 0.0, 3, "SCREWS", 1, "")
	for _, x := range []float64{-1, 1} {
		for _, y := range []float64{-1, 1} {
			d.circle(geom.Pt(20*x, 12.5*y), 2.75)
		}
	}
	d.put(0, "ENDBLK", 5, "21", 100, "AcDbEntity", 8, "0", 100, "AcDbBlockEnd")
	d.to = &d.body
	d.entity("INSERT", 2, "SCREWS", 10, 105.0, 20, 50.0, 30, 0.0, 41, 1.0, 42, -1.0, 43, 0.0)
	return r2000(d, 4, leafLayers[0])
}

func TestSampleDrawingsHaveTheirClosedForms(t *testing.T) {
	for _, s := range samples() {
		t.Run(s.file, func(t *testing.T) {
			name := filepath.Join(sampleDir, s.file)
			if os.Getenv("KERFWRIGHT_UPDATE") != "" {
				if err := os.WriteFile(name, s.make(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			l := mustRead(t, data, drawing.Options{})
			if len(l.Closed) != s.loops || len(l.Open) != 0 {
				t.Errorf("%d loops, %d open\n%v", len(l.Closed), len(l.Open), l.Report)
			}
			if got := evenOdd(l.Closed); math.Abs(got-s.area) > s.tol*s.area {
				t.Errorf("area %.6f, want %.6f", got, s.area)
			}
			if l.UnitFrom != s.unit {
				t.Errorf("unit from %d, want %d", l.UnitFrom, s.unit)
			}
			have := codes(l.Report)
			for _, c := range s.codes {
				if have[c] == 0 {
					t.Errorf("no %q in the report: %v", c, have)
				}
			}
			round := 0
			for _, c := range l.Closed {
				if len(c.Path.V) == 2 {
					round++
				}
			}
			if want := map[bool]int{true: 5, false: 3}[s.file == "trailer-lamp-bracket.dxf"]; round != want {
				t.Errorf("%d circles, want %d", round, want)
			}
		})
	}
}

// TestSampleDrawingsAreSound has ezdxf read and audit them.
func TestSampleDrawingsAreSound(t *testing.T) {
	oracle(t, `
import sys, glob
from ezdxf import recover
bad = 0
for f in sorted(glob.glob(sys.argv[1] + "/*.dxf")):
    doc, audit = recover.readfile(f)
    if audit.has_errors:
        bad += 1
        print(f, [e.message for e in audit.errors])
sys.exit(bad)
`, sampleDir)
}
