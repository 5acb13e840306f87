package drawing_test

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// A nib draws one worst case in whatever format its writer is: absolute points,
// integers where it can, so that as much as possible fits into a megabyte.
type nib interface {
	move(p geom.Point)
	line(p geom.Point)
	cubic(a, b, p geom.Point)
	close()
	full() bool
}

// worstShapes are drawings that cost the most for each byte: every step of
// reading has its own.
func worstShapes() map[string]func(n nib) {
	rnd := func() *rand.Rand { return rand.New(rand.NewPCG(11, 11)) }
	at := func(r *rand.Rand, size int) geom.Point { return geom.Pt(float64(r.IntN(size)), float64(r.IntN(size))) }
	wild := func(size int) func(n nib) {
		return func(n nib) {
			r := rnd()
			n.move(at(r, size))
			for !n.full() {
				n.cubic(at(r, size), at(r, size), at(r, size))
			}
		}
	}
	chords := func(size, run int) func(n nib) {
		return func(n nib) {
			r := rnd()
			for !n.full() {
				n.move(at(r, size))
				for i := 0; i < run && !n.full(); i++ {
					n.line(at(r, size))
				}
			}
		}
	}
	return map[string]func(n nib){
		"wild cubics":       wild(1000),
		"small wild cubics": wild(10),
		"huge wild cubics":  wild(1_000_000),
		"smooth cubics": func(n nib) { // one long curve without a corner
			r := rnd()
			p := at(r, 1000)
			n.move(p)
			a := at(r, 1000)
			for !n.full() {
				q, b := at(r, 1000), at(r, 1000)
				n.cubic(a, b, q)
				a = q.Add(q.Sub(b))
			}
		},
		"loops of cubics": func(n nib) {
			r := rnd()
			for !n.full() {
				p := at(r, 1000)
				n.move(p)
				n.cubic(p.Add(at(r, 99)), p.Sub(at(r, 99)), p)
				n.close()
			}
		},
		"kinked cubics": func(n nib) { // handles of no length, cusps
			r := rnd()
			p := at(r, 1000)
			n.move(p)
			for !n.full() {
				q := at(r, 1000)
				n.cubic(q, p, q)
				p = q
			}
		},
		"gentle cubics": func(n nib) { // many pieces, each all but straight
			n.move(geom.Pt(0, 0))
			for i := 0; !n.full(); i += 3 {
				x := float64(i)
				n.cubic(geom.Pt(x+1, float64(i%2)), geom.Pt(x+2, float64(i%5)), geom.Pt(x+3, 0))
			}
		},
		"chords":         chords(1000, 1),
		"chords of 10":   chords(1000, 10),
		"one long chord": chords(1000, 1<<30),
		"dense chords":   chords(10, 1),
		"dense run":      chords(10, 1<<30),
		"dense loops": func(n nib) {
			r := rnd()
			for !n.full() {
				p := at(r, 300)
				n.move(p)
				for range 3 {
					n.line(p.Add(at(r, 10)))
				}
				n.close()
			}
		},
		"big loops": func(n nib) {
			r := rnd()
			for !n.full() {
				n.move(at(r, 1000))
				for range 3 {
					n.line(at(r, 1000))
				}
				n.close()
			}
		},
		"hatch both ways": func(n nib) {
			for i := 0; !n.full(); i++ {
				k := float64(i / 2)
				if i%2 == 0 {
					n.move(geom.Pt(k, 0))
					n.line(geom.Pt(k, 99999))
				} else {
					n.move(geom.Pt(0, k))
					n.line(geom.Pt(99999, k))
				}
			}
		},
		"slanting hatch": func(n nib) {
			for i := 0; !n.full(); i++ {
				k := float64(i)
				n.move(geom.Pt(k, 0))
				n.line(geom.Pt(k+9e4, 99999))
			}
		},
		"lines on one line": func(n nib) {
			r := rnd()
			for !n.full() {
				n.move(geom.Pt(float64(r.IntN(100)), 0))
				n.line(geom.Pt(float64(r.IntN(100)), 0))
			}
		},
		"lines on some lines": func(n nib) {
			r := rnd()
			for !n.full() {
				y := float64(r.IntN(300))
				n.move(geom.Pt(float64(r.IntN(1000)), y))
				n.line(geom.Pt(float64(r.IntN(1000)), y))
			}
		},
		"lines all but on one line": func(n nib) {
			r := rnd()
			for !n.full() {
				n.move(geom.Pt(float64(r.IntN(99999)), float64(r.IntN(5))/100))
				n.line(geom.Pt(float64(r.IntN(99999)), float64(r.IntN(5))/100))
			}
		},
		"spokes": func(n nib) {
			r := rnd()
			for !n.full() {
				n.move(geom.Pt(500, 500))
				n.line(at(r, 1000))
			}
		},
		"stars": func(n nib) { // crowds just small enough to be sorted out
			r := rnd()
			for !n.full() {
				c := at(r, 9999)
				for range 39 {
					n.move(c)
					n.line(c.Add(at(r, 9)))
				}
			}
		},
		"dust": func(n nib) {
			for i := 0; !n.full(); i++ {
				n.move(geom.Pt(float64(i%7)/100, float64(i%5)/100))
				n.line(geom.Pt(float64(i%3)/100, float64(i%11)/100))
			}
		},
		"ends within the gap": func(n nib) {
			r := rnd()
			for !n.full() {
				p := geom.Pt(float64(r.IntN(300))/10, float64(r.IntN(300))/10)
				n.move(p.Add(geom.Pt(float64(r.IntN(5))/100, 0)))
				n.line(p.Add(geom.Pt(0, float64(r.IntN(90)))))
			}
		},
		"row of near ends": func(n nib) {
			for i := 0; !n.full(); i++ {
				n.move(geom.Pt(float64(i)/50, 0))
				n.line(geom.Pt(float64(i)/50, 9))
			}
		},
		"gentle polyline": func(n nib) { // tried as an arc at every vertex
			n.move(geom.Pt(0, 0))
			for i := 1; !n.full(); i++ {
				x := float64(i)
				n.line(geom.Pt(x, math.Round(x*x/1000)/100))
			}
		},
		"spiral": func(n nib) {
			n.move(geom.Pt(0, 0))
			for i := 1; !n.full(); i++ {
				p := geom.Polar(geom.Pt(0, 0), float64(i)/10, float64(i)/20)
				n.line(geom.Pt(math.Round(p.X*100)/100, math.Round(p.Y*100)/100))
			}
		},
		"polygons in one box": func(n nib) { // may be doubles of one another
			for k := 0; !n.full(); k++ {
				for i := range 2000 {
					p := geom.Polar(geom.Pt(0, 0), 400+float64(i%2)*5, 2*math.Pi*float64(i)/2000)
					p = geom.Pt(math.Round(p.X*100)/100, math.Round(p.Y*100+float64(k%9))/100)
					if i == 0 {
						n.move(p)
					} else {
						n.line(p)
					}
				}
				n.close()
			}
		},
		"one square": func(n nib) {
			for !n.full() {
				n.move(geom.Pt(0, 0))
				n.line(geom.Pt(9, 0))
				n.line(geom.Pt(9, 9))
				n.line(geom.Pt(0, 9))
				n.close()
			}
		},
		"squares in squares": func(n nib) {
			for i := 1; !n.full(); i++ {
				k := float64(i)
				n.move(geom.Pt(-k, -k))
				n.line(geom.Pt(k, -k))
				n.line(geom.Pt(k, k))
				n.line(geom.Pt(-k, k))
				n.close()
			}
		},
		"stairs": func(n nib) {
			n.move(geom.Pt(0, 0))
			for i := 0; !n.full(); i++ {
				n.line(geom.Pt(float64(i+1), float64(i)))
				n.line(geom.Pt(float64(i+1), float64(i+1)))
			}
		},
		"comb": func(n nib) { // long thin teeth, all boxes along one edge
			n.move(geom.Pt(0, 0))
			for i := 0; !n.full(); i++ {
				n.line(geom.Pt(float64(i), 99999))
				n.line(geom.Pt(float64(i+1), 0))
			}
		},
		"back and forth": func(n nib) {
			r := rnd()
			n.move(geom.Pt(0, 0))
			for !n.full() {
				n.line(geom.Pt(float64(r.IntN(999)), 0))
			}
		},
	}
}

func short(b *bytes.Buffer, v float64) {
	b.Write(strconv.AppendFloat(b.AvailableBuffer(), v, 'f', -1, 64))
}

// svgNib writes path data, relative to the last point.
type svgNib struct {
	b    bytes.Buffer
	p, s geom.Point
	size int
}

func (n *svgNib) to(op byte, q ...geom.Point) {
	n.b.WriteByte(op)
	for _, p := range q {
		for _, v := range [2]float64{p.X - n.p.X, p.Y - n.p.Y} {
			v = math.Round(v*1000) / 1000
			if v >= 0 && n.b.Bytes()[n.b.Len()-1] != op {
				n.b.WriteByte(' ')
			}
			short(&n.b, v)
		}
	}
	n.p = q[len(q)-1]
}
func (n *svgNib) move(p geom.Point)        { n.to('m', p); n.s = p }
func (n *svgNib) line(p geom.Point)        { n.to('l', p) }
func (n *svgNib) cubic(a, b, p geom.Point) { n.to('c', a, b, p) }
func (n *svgNib) close()                   { n.b.WriteByte('z'); n.p = n.s }
func (n *svgNib) full() bool               { return n.b.Len() >= n.size }

func worstSVG(size int, draw func(n nib)) []byte {
	n := &svgNib{size: size}
	draw(n)
	return []byte(page(`<path d="` + n.b.String() + `"/>`))
}

// pdfNib writes page content.
type pdfNib struct {
	b    bytes.Buffer
	size int
}

func (n *pdfNib) to(op string, q ...geom.Point) {
	for _, p := range q {
		short(&n.b, p.X)
		n.b.WriteByte(' ')
		short(&n.b, p.Y)
		n.b.WriteByte(' ')
	}
	n.b.WriteString(op)
	n.b.WriteByte('\n')
}
func (n *pdfNib) move(p geom.Point)        { n.to("m", p) }
func (n *pdfNib) line(p geom.Point)        { n.to("l", p) }
func (n *pdfNib) cubic(a, b, p geom.Point) { n.to("c", a, b, p) }
func (n *pdfNib) close()                   { n.b.WriteString("h\n") }
func (n *pdfNib) full() bool               { return n.b.Len() >= n.size }

// worstPDF presses the content: a file of a size may hold many times that.
func worstPDF(size int, draw func(n nib)) []byte {
	n := &pdfNib{size: size * 3 / 2}
	for {
		n.b.Reset()
		draw(n)
		data := []byte(onePage("/MediaBox[-1000000 -1000000 1000000 1000000]", "", map[int]string{4: stream("/Filter/FlateDecode", deflate(n.b.String()+"S"))}).table())
		if len(data) > size*9/10 || n.size >= 16*size {
			return data
		}
		n.size = min(16*size, int(1.05*float64(n.size)*float64(size)/float64(len(data))))
	}
}

// dxfNib writes polylines, and splines for cubics.
type dxfNib struct {
	b    bytes.Buffer
	p    geom.Point
	in   bool
	size int
}

func (n *dxfNib) pt(code int, p geom.Point) {
	for k, v := range [2]float64{p.X, p.Y} {
		fmt.Fprintf(&n.b, "%d\n", code+10*k)
		short(&n.b, v)
		n.b.WriteByte('\n')
	}
}
func (n *dxfNib) move(p geom.Point) { n.p, n.in = p, false }
func (n *dxfNib) line(p geom.Point) {
	if !n.in {
		n.b.WriteString("0\nLWPOLYLINE\n")
		n.pt(10, n.p)
		n.in = true
	}
	n.pt(10, p)
	n.p = p
}
func (n *dxfNib) cubic(a, b, p geom.Point) {
	n.b.WriteString("0\nSPLINE\n71\n3\n")
	for _, q := range [4]geom.Point{n.p, a, b, p} {
		n.pt(10, q)
	}
	n.p, n.in = p, false
}
func (n *dxfNib) close() {
	if n.in {
		n.b.WriteString("70\n1\n")
	}
}
func (n *dxfNib) full() bool { return n.b.Len() >= n.size }

func worstDXF(size int, draw func(n nib)) []byte {
	n := &dxfNib{size: size}
	n.b.WriteString("0\nSECTION\n2\nENTITIES\n")
	draw(n)
	n.b.WriteString("0\nENDSEC\n0\nEOF\n")
	return n.b.Bytes()
}

var worstWriters = map[string]func(size int, draw func(n nib)) []byte{"SVG": worstSVG, "PDF": worstPDF, "DXF": worstDXF}

// BenchmarkWorst reads a megabyte of each worst case in each format.
func BenchmarkWorst(b *testing.B) {
	shapes := worstShapes()
	for _, format := range slices.Sorted(maps.Keys(worstWriters)) {
		for _, name := range slices.Sorted(maps.Keys(shapes)) {
			b.Run(format+"/"+strings.ReplaceAll(name, " ", "-"), func(b *testing.B) {
				data := worstWriters[format](1<<20, shapes[name])
				b.SetBytes(int64(len(data)))
				b.ReportAllocs()
				var l *drawing.Loops
				var faults fault.List
				for b.Loop() {
					l, faults = drawing.Read(context.Background(), data, drawing.Options{Name: plain.Of("worst")})
				}
				if l != nil {
					b.ReportMetric(float64(len(l.Closed)), "closed")
					b.ReportMetric(float64(len(l.Open)), "open")
				}
				for _, f := range faults {
					if f.Code == "limit" || f.Code == "too-many" {
						b.Log(f.Error())
					}
				}
			})
		}
	}
}

// TestWorstCasesAreReadOrRefusedWithTheirLimit: some of each, each in another
// format (KERFWRIGHT_LONG: much of each in every format), gives sound loops, or
// a fault that says which limit it passed, and no more faults than a person can
// read. How long a megabyte takes is BenchmarkWorst's.
func TestWorstCasesAreReadOrRefusedWithTheirLimit(t *testing.T) {
	shapes := worstShapes()
	formats := slices.Sorted(maps.Keys(worstWriters))
	size, every := 30_000, len(formats)
	if os.Getenv("KERFWRIGHT_LONG") != "" {
		size, every = 1<<20, 1
	}
	limited := 0
	for i, name := range slices.Sorted(maps.Keys(shapes)) {
		for k := 0; k < len(formats); k += every {
			format := formats[(i+k)%len(formats)]
			l, faults := hold(t, worstWriters[format](size, shapes[name]))
			if len(faults) > 200 {
				t.Errorf("%s, %s: %d lines of report", format, name, len(faults))
			}
			for _, f := range faults {
				switch {
				case f.Code == "limit" || f.Code == "too-many":
					limited++
					if !strings.ContainsAny(f.What, "0123456789") {
						t.Errorf("%s, %s: the limit is not named: %s", format, name, f.Error())
					}
				case l == nil && f.Severity == fault.Error:
					t.Errorf("%s, %s: %s", format, name, f.Error())
				}
			}
		}
	}
	t.Logf("%d limits passed", limited)
	if limited < 8 {
		t.Errorf("only %d limits passed: the cases are no longer the worst", limited)
	}
}

// TestLimitsGrowWithTheFile: twice the drawing is read where a small file that
// claims as much is refused.
func TestLimitsGrowWithTheFile(t *testing.T) {
	gentle := worstShapes()["gentle cubics"]
	for _, size := range []int{1 << 14, 1 << 16} {
		if l, faults := drawing.Read(context.Background(), worstDXF(size, gentle), drawing.Options{}); l == nil {
			t.Errorf("%d bytes: %v", size, faults)
		}
	}
	// Gentle curves a hundred times over by an array, in a file of 20 kB.
	d := newDXF()
	d.to = &d.blocks
	d.put(0, "BLOCK", 2, "A", 10, 0.0, 20, 0.0)
	n := &dxfNib{size: 16_000}
	gentle(n)
	d.blocks.Write(n.b.Bytes())
	d.put(0, "ENDBLK")
	d.to = &d.body
	data := d.entity("INSERT", 2, "A", 10, 0.0, 20, 0.0, 70, 10, 71, 10, 44, 1000.0, 45, 1000.0).bytes()
	_, faults := read(t, data, drawing.Options{})
	if f := find(t, faults, "limit"); f.Severity != fault.Error || !strings.Contains(f.What, "steps of work") && !strings.Contains(f.What, "made by blocks") {
		t.Error(f.Error())
	}
}

// TestACurveBackToItsStartIsADrop: it has no chord, and is no line.
func TestACurveBackToItsStartIsADrop(t *testing.T) {
	// Area under B(t) by Green's theorem: 3/20 of the cross product of the two
	// handles for a cubic from a point back to itself (expansion by hand).
	const want = 3.0 / 20 * 80 * 50
	svg := mustShow(t, page(`<path d="M50 50C90 0 10 0 50 50"/><path d="M150 50C190 0 110 0 150 50Z"/>`))
	pdf := mustShow(t, onePage("/UserUnit 2.8346456692913", "50 50 m 90 0 10 0 50 50 c h S 150 50 m 190 0 110 0 150 50 c s", nil).table())
	for name, l := range map[string]*drawing.Loops{"SVG": svg, "PDF": pdf} {
		if len(l.Closed) != 2 || len(l.Open) != 0 {
			t.Fatalf("%s: %d closed, %d open", name, len(l.Closed), len(l.Open))
		}
		for _, c := range l.Closed {
			if got := c.Path.Area(); math.Abs(got-want) > geom.Fit*c.Path.Length() {
				t.Errorf("%s: area %g, want %g", name, got, want)
			}
		}
	}
}
