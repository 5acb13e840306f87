package drawing

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"pgregory.net/rapid"
)

// usualK is 4/3 (sqrt 2 - 1); bestK has the least greatest error (digits read
// in a public article on approximating a circle by cubics).
const (
	usualK = 0.552284749831
	bestK  = 0.551915024494
)

// Errors over the quarter, radius 1, computed apart by 200001 samples; the
// article prints 0.027253 %.
func TestQuarterCirclesAsBeziersLieWhereTheirConstantsSay(t *testing.T) {
	for _, c := range []struct{ k, out, in float64 }{
		{usualK, 0.000272530007428, 0},
		{bestK, 0.000196076469914, 0.000196076469617},
	} {
		s := smooth{kind: curveBezier, h: []hpoint{{1, 0, 1}, {1, c.k, 1}, {c.k, 1, 1}, {0, 1, 1}}}
		out, in := 0.0, 0.0
		for i := range 200001 {
			p, _ := s.at(float64(i) / 200000)
			out, in = max(out, p.Len()-1), max(in, 1-p.Len())
		}
		if math.Abs(out-c.out) > 1e-12 || math.Abs(in-c.in) > 1e-12 {
			t.Errorf("k %g: %g outside, %g inside", c.k, out, in)
		}
	}
}

// bezierCircle draws a circle of n cubics with handles of k times the radius.
func bezierCircle(b *builder, c geom.Point, r, a0, k float64, n int, round func(float64) float64) {
	at := func(p geom.Point) geom.Point { return geom.Pt(round(p.X), round(p.Y)) }
	b.moveTo(at(geom.Polar(c, r, a0)))
	for i := range n {
		a, e := a0+2*math.Pi*float64(i)/float64(n), a0+2*math.Pi*float64(i+1)/float64(n)
		p, q := geom.Polar(c, r, a), geom.Polar(c, r, e)
		h := geom.Polar(geom.Point{}, r*k, a+math.Pi/2)
		g := geom.Polar(geom.Point{}, r*k, e+math.Pi/2)
		b.cubicTo(at(p.Add(h)), at(q.Sub(g)), at(q))
	}
	b.dropLast()
	b.closePath()
}

func exactly(v float64) float64 { return v }

func TestHolesDrawnAsBeziersGetTheirTrueDiameter(t *testing.T) {
	hundredths := func(v float64) float64 { return math.Round(v*100) / 100 }
	for _, c := range []struct {
		name  string
		n     int
		k     float64
		round func(float64) float64
		tol   float64
	}{
		{"four, usual constant", 4, usualK, exactly, geom.Same},
		{"four, best constant", 4, bestK, exactly, geom.Same},
		{"eight", 8, 4.0 / 3 * math.Tan(math.Pi/16), exactly, geom.Same},
		{"three", 3, 4.0 / 3 * math.Tan(math.Pi/6), exactly, geom.Same},
		{"two half turns", 2, 4.0 / 3, exactly, geom.Same},
		{"four, rounded to 0.01", 4, usualK, hundredths, geom.Fit},
	} {
		for _, r := range []float64{1.5, 10, 250} {
			for _, a0 := range []float64{0, 0.3} {
				b := newBuilder(FormatPDF, plain.Text{})
				b.raw.Unit.MM = 1
				b.begin("path", 0, 0, 0, false)
				bezierCircle(b, geom.Pt(31, -7), r, a0, c.k, c.n, c.round)
				b.roundBeziers()
				raw, l := b.done()
				if l.Bad() || len(raw.items) != 1 {
					t.Fatal(c.name, l)
				}
				it := raw.items[0]
				v := raw.verts[it.first : it.first+it.n]
				if len(v) != 2 || math.Abs(v[0].Bulge) != 1 || v[0].Src != 0 {
					t.Errorf("%s, radius %g: no circle: %v", c.name, r, v)
					continue
				}
				if d := v[0].P.Dist(v[1].P); math.Abs(d-2*r) > c.tol {
					t.Errorf("%s, radius %g: diameter %.6f", c.name, r, d)
				}
			}
		}
	}
}

func TestWhatIsNoCircleStaysABezier(t *testing.T) {
	for name, draw := range map[string]func(b *builder){
		"an ellipse 2 % longer than wide": func(b *builder) {
			b.setTransform(scaling(1.02, 1))
			bezierCircle(b, geom.Pt(0, 0), 20, 0, usualK, 4, exactly)
		},
		"a square with full corners": func(b *builder) { bezierCircle(b, geom.Pt(0, 0), 20, 0, 0.7, 4, exactly) },
		"an S": func(b *builder) {
			b.moveTo(geom.Pt(0, 0))
			b.cubicTo(geom.Pt(10, 20), geom.Pt(20, -20), geom.Pt(30, 0))
			b.endPath()
		},
		"a wide arch, handles 1 % long": func(b *builder) {
			b.moveTo(geom.Pt(-10, 0))
			b.cubicTo(geom.Pt(-10, 40/3.0*1.01), geom.Pt(10, 40/3.0*1.01), geom.Pt(10, 0))
			b.endPath()
		},
	} {
		b := newBuilder(FormatPDF, plain.Text{})
		b.raw.Unit.MM = 1
		b.begin("path", 0, 0, 0, false)
		draw(b)
		b.roundBeziers()
		raw, _ := b.done()
		it := raw.items[0]
		curves := 0
		for _, v := range raw.verts[it.first : it.first+it.n] {
			if v.Src != 0 {
				curves++
			}
		}
		if curves == 0 {
			t.Errorf("%s: became arcs", name)
		}
	}
}

func TestSlotEndsDrawnAsTwoBeziersBecomeOneHalfTurn(t *testing.T) {
	b := newBuilder(FormatPDF, plain.Text{})
	b.raw.Unit.MM = 1
	b.begin("path", 0, 0, 0, false)
	const k = usualK * 6
	b.moveTo(geom.Pt(0, 0))
	b.lineTo(geom.Pt(28, 0))
	b.cubicTo(geom.Pt(28+k, 0), geom.Pt(34, 6-k), geom.Pt(34, 6))
	b.cubicTo(geom.Pt(34, 6+k), geom.Pt(28+k, 12), geom.Pt(28, 12))
	b.lineTo(geom.Pt(0, 12))
	b.cubicTo(geom.Pt(-k, 12), geom.Pt(-6, 6+k), geom.Pt(-6, 6))
	b.cubicTo(geom.Pt(-6, 6-k), geom.Pt(-k, 0), geom.Pt(0, 0))
	b.dropLast()
	b.closePath()
	b.roundBeziers()
	raw, _ := b.done()
	it := raw.items[0]
	if it.n != 4 {
		t.Fatalf("%d segments: %v", it.n, raw.verts[:it.n])
	}
	p := geom.Path{Closed: true}
	for _, v := range raw.verts[it.first : it.first+it.n] {
		p.V = append(p.V, geom.Vertex{P: v.P, Bulge: v.Bulge})
	}
	// Slot 40 x 12 overall: w(L-w) + pi w^2/4.
	if want := 12*28 + math.Pi*36; math.Abs(p.Area()-want) > 1e-6 {
		t.Errorf("area %.6f, want %.6f", p.Area(), want)
	}
}

func TestArcsOfAnySweepComeBackFromTheirBezier(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := rapid.Float64Range(1, 500).Draw(rt, "r")
		a := rapid.Float64Range(-4, 4).Draw(rt, "a")
		sweep := rapid.Float64Range(0.4, math.Pi).Draw(rt, "sweep")
		if rapid.Bool().Draw(rt, "back") {
			sweep = -sweep
		}
		h := r * 4 / 3 * math.Tan(sweep/4)
		p, q := geom.Polar(geom.Pt(3, 4), r, a), geom.Polar(geom.Pt(3, 4), r, a+sweep)
		b, ok := arcOfCubic(p, p.Add(geom.Polar(geom.Point{}, h, a+math.Pi/2)), q.Sub(geom.Polar(geom.Point{}, h, a+sweep+math.Pi/2)), q, 1e-6)
		if !ok || math.Abs(4*math.Atan(b)-sweep) > 1e-9 {
			rt.Fatalf("%v %v", b, ok)
		}
	})
}
