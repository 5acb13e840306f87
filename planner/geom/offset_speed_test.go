package geom_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	sf "github.com/peterstace/simplefeatures/geom"
)

// xorshift, so that the job is the same everywhere.
type xorshift uint64

func (x *xorshift) float(lo, hi float64) float64 {
	*x ^= *x << 13
	*x ^= *x >> 7
	*x ^= *x << 17
	return lo + (hi-lo)*float64(*x>>11)/(1<<53)
}

func roundedRect(c geom.Point, w, h, r, turn float64) geom.Path {
	x, y, b := w/2, h/2, geom.BulgeOf(math.Pi/2)
	p := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(-x+r, -y)}, {P: geom.Pt(x-r, -y), Bulge: b}, {P: geom.Pt(x, -y+r)}, {P: geom.Pt(x, y-r), Bulge: b},
		{P: geom.Pt(x-r, y)}, {P: geom.Pt(-x+r, y), Bulge: b}, {P: geom.Pt(-x, y-r)}, {P: geom.Pt(-x, -y+r), Bulge: b}}}
	return geom.Move{Angle: turn, Shift: c}.Path(p)
}

func slotPath(c geom.Point, l, w, turn float64) geom.Path {
	x, y := (l-w)/2, w/2
	return geom.Move{Angle: turn, Shift: c}.Path(geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(-x, -y)}, {P: geom.Pt(x, -y), Bulge: 1}, {P: geom.Pt(x, y)}, {P: geom.Pt(-x, y), Bulge: 1}}})
}

// plates makes n plates of 200 x 150 mm, corner radius 10, each with 19 inside
// features on a 5 x 4 grid.
func plates(n int) (outlines, inside []geom.Path) {
	x := xorshift(20251125)
	for k := range n {
		at := geom.Pt(float64(k%40)*210, float64(k/40)*160)
		outlines = append(outlines, roundedRect(at, 200, 150, 10, 0))
		for f := range 19 {
			c := at.Add(geom.Pt(float64(f%5)*38-76, float64(f/5)*35-52))
			turn := x.float(0, math.Pi)
			switch f % 4 {
			case 0:
				inside = append(inside, geom.Circle(c, x.float(3, 12)))
			case 1:
				inside = append(inside, slotPath(c, x.float(16, 28), x.float(6, 12), turn))
			case 2:
				inside = append(inside, roundedRect(c, x.float(14, 22), x.float(10, 18), 3, turn))
			case 3:
				inside = append(inside, roundedRect(c, 14, 14, 3, turn))
				s := x.float(8, 18) / 2
				inside[len(inside)-1] = geom.Move{Angle: turn, Shift: c}.Path(geom.Polygon(geom.Pt(-s, -s), geom.Pt(s, -s), geom.Pt(s, s), geom.Pt(-s, s)))
			}
		}
	}
	return outlines, inside
}

// The yardstick is GEOS from C at 0.005 mm on one core of the like machine:
// 0.293 s for 20,000 contours, 14.6 us each.
func BenchmarkOffsetOfPlates(b *testing.B) {
	for _, n := range []int{100, 1000, 4000} {
		outlines, inside := plates(n)
		b.Run(fmt.Sprintf("%d contours", 20*n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				for _, p := range outlines {
					if r, err := geom.Offset(p, 0.75); err != nil || len(r) != 1 {
						b.Fatal(r, err)
					}
				}
				for _, p := range inside {
					if r, err := geom.Offset(p, -0.75); err != nil || len(r) != 1 {
						b.Fatal(r, err)
					}
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(b.N*20*n), "us/contour")
		})
	}
}

// The independent buffer on the same job, flattened at 0.005 mm as the
// yardstick was: a port of that library to Go.
func BenchmarkBufferOfPlates(b *testing.B) {
	outlines, inside := plates(100)
	flat := func(p geom.Path) sf.Geometry {
		var xy []float64
		pts := p.Flatten(0.005)
		for _, q := range append(pts, pts[0]) {
			xy = append(xy, q.X, q.Y)
		}
		return sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))}).AsGeometry()
	}
	for range b.N {
		for _, p := range outlines {
			if _, err := sf.Buffer(flat(p), 0.75, sf.BufferQuadSegments(7)); err != nil {
				b.Fatal(err)
			}
		}
		for _, p := range inside {
			if _, err := sf.Buffer(flat(p), -0.75, sf.BufferQuadSegments(7)); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(b.N*2000), "us/contour")
}

// Wide arcs round many tips, all crossing: what is left of most is nothing.
func BenchmarkOffsetOfStarByFarMoreThanItself(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		p := geom.Path{Closed: true}
		for i := range n {
			r := 10.0
			if i%2 == 1 {
				r = 9
			}
			p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(0, 0), r+math.Sin(float64(i)), 2*math.Pi*float64(i)/float64(n))})
		}
		for _, d := range []float64{5, 100} {
			b.Run(fmt.Sprintf("%d segments by %g", n, d), func(b *testing.B) {
				for range b.N {
					if _, err := geom.Offset(p, d); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(b.N*n), "us/segment")
			})
		}
	}
}

// wave is a closed path of n segments whose offset meets itself in every
// trough: growth of the work with the size of one path.
func wave(n int) geom.Path {
	p := geom.Path{Closed: true}
	for i := range n {
		r := float64(n) / 4
		if i%2 == 0 {
			r += 1
		}
		p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Point{}, r, 2*math.Pi*float64(i)/float64(n)), Bulge: 0.1})
	}
	return p
}

func BenchmarkOffsetOfOnePath(b *testing.B) {
	for _, n := range []int{16, 32, 64, 100, 1000, 10000, 100000} {
		p := wave(n)
		for _, d := range []float64{1.5, -1.5} {
			b.Run(fmt.Sprintf("%d segments by %g", n, d), func(b *testing.B) {
				for range b.N {
					if _, err := geom.Offset(p, d); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(b.N*n), "us/segment")
			})
		}
	}
}
