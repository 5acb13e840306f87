package drawing_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// one reads a drawing of a few entities and returns its only loop.
func one(t *testing.T, d *dxfText) geom.Path {
	t.Helper()
	l := mustRead(t, d.mm().bytes(), drawing.Options{})
	if len(l.Closed) != 1 || len(l.Open) != 0 {
		t.Fatalf("%d loops, %d open\n%v", len(l.Closed), len(l.Open), l.Report)
	}
	return l.Closed[0].Path
}

func nearly(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s %.9g, want %.9g", what, got, want)
	}
}

// Figures of every row by closed form.
func TestEntitiesHaveTheirClosedForms(t *testing.T) {
	vertex := func(d *dxfText, flags int, x, y, bulge float64) {
		d.entity("VERTEX", 10, x, 20, y, 30, 0.0, 70, flags, 42, bulge)
	}
	for _, c := range []struct {
		name string
		draw func(d *dxfText)
		area float64
		tol  float64
	}{
		{"circle", func(d *dxfText) { d.circle(geom.Pt(10, 10), 4) }, 16 * math.Pi, 1e-9},
		{"arc of a full turn", func(d *dxfText) { d.entity("ARC", 10, 1.0, 20, 2.0, 40, 4.0, 50, 0.0, 51, 360.0) }, 16 * math.Pi, 1e-9},
		{"arc across zero and a chord", func(d *dxfText) {
			d.entity("ARC", 10, 0.0, 20, 0.0, 40, 5.0, 50, 270.0, 51, 90.0).line(geom.Pt(0, 5), geom.Pt(0, -5))
		}, 12.5 * math.Pi, 1e-9},
		{"arc over half a turn and a chord", func(d *dxfText) {
			d.entity("ARC", 10, 0.0, 20, 0.0, 40, 5.0, 50, 0.0, 51, 270.0).line(geom.Pt(0, -5), geom.Pt(5, 0))
		}, 0.75*25*math.Pi + 12.5, 1e-9},
		{"polyline with bulges, r 5 over a square of 10", func(d *dxfText) {
			d.entity("LWPOLYLINE", 90, 4, 70, 1, 43, 0.0)
			for _, p := range [][2]float64{{0, 0}, {10, 0}, {10, 10}, {0, 10}} {
				d.put(10, p[0], 20, p[1], 42, 1.0)
			}
		}, 100 + 4*12.5*math.Pi, 1e-9},
		{"old polyline, closed", func(d *dxfText) {
			d.entity("POLYLINE", 66, 1, 70, 1)
			vertex(d, 0, 0, 0, 0)
			vertex(d, 0, 10, 0, 1)
			vertex(d, 0, 10, 10, 0)
			d.entity("SEQEND")
		}, 50 + 12.5*math.Pi, 1e-9},
		{"old polyline without its end", func(d *dxfText) {
			d.entity("POLYLINE", 66, 1, 70, 1)
			vertex(d, 0, 0, 0, 0)
			vertex(d, 0, 10, 0, 0)
			vertex(d, 0, 10, 10, 0)
		}, 50, 1e-9},
		{"curve-fit: the extra vertices count", func(d *dxfText) {
			d.entity("POLYLINE", 66, 1, 70, 1|2)
			vertex(d, 0, 0, 0, 0)
			vertex(d, 1, 10, 0, 1)
			vertex(d, 0, 10, 10, 0)
			d.entity("SEQEND")
		}, 50 + 12.5*math.Pi, 1e-9},
		{"spline-fit: the frame does not count", func(d *dxfText) {
			d.entity("POLYLINE", 66, 1, 70, 1|4, 75, 6)
			for _, p := range [][2]float64{{-50, -50}, {80, -50}, {80, 90}} {
				vertex(d, 16, p[0], p[1], 0)
			}
			vertex(d, 8, 0, 0, 0)
			vertex(d, 8, 10, 0, 0)
			vertex(d, 8, 10, 10, 0)
			d.entity("SEQEND")
		}, 50, 1e-9},
		{"polyline in space at one height", func(d *dxfText) {
			d.entity("POLYLINE", 66, 1, 70, 1|8)
			for _, p := range [][2]float64{{0, 0}, {10, 0}, {10, 10}} {
				d.entity("VERTEX", 10, p[0], 20, p[1], 30, 7.0, 70, 32)
			}
			d.entity("SEQEND")
		}, 50, 1e-9},
		{"solid: third and fourth corner are swapped in the file", func(d *dxfText) {
			d.entity("SOLID", 10, 0.0, 20, 0.0, 11, 10.0, 21, 0.0, 12, 0.0, 22, 10.0, 13, 10.0, 23, 10.0)
		}, 100, 1e-9},
		{"trace", func(d *dxfText) {
			d.entity("TRACE", 10, 0.0, 20, 0.0, 11, 10.0, 21, 0.0, 12, 0.0, 22, 4.0, 13, 10.0, 23, 4.0)
		}, 40, 1e-9},
		{"solid of three corners", func(d *dxfText) {
			d.entity("SOLID", 10, 0.0, 20, 0.0, 11, 10.0, 21, 0.0, 12, 10.0, 22, 10.0, 13, 10.0, 23, 10.0)
		}, 50, 1e-9},
		{"ellipse 50 x 30", func(d *dxfText) {
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 30.0, 21, 40.0, 40, 0.6, 41, 0.0, 42, 2*math.Pi)
		}, 1500 * math.Pi, 0.5}, // half of length x tolerance
		{"ellipse of ratio 1 is a circle", func(d *dxfText) {
			d.entity("ELLIPSE", 10, 3.0, 20, 4.0, 11, 30.0, 21, 40.0, 40, 1.0, 41, 0.5, 42, 0.5+2*math.Pi)
		}, 2500 * math.Pi, 1e-6},
		{"half an ellipse and its axis", func(d *dxfText) {
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 50.0, 21, 0.0, 40, 0.6, 41, 0.0, 42, math.Pi).line(geom.Pt(-50, 0), geom.Pt(50, 0))
		}, 750 * math.Pi, 0.5},
		{"mirrored half ellipse: parameters run the other way", func(d *dxfText) {
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 50.0, 21, 0.0, 40, 0.6, 41, 0.0, 42, math.Pi, 210, 0.0, 220, 0.0, 230, -1.0)
			d.line(geom.Pt(-50, 0), geom.Pt(-60, -40)).line(geom.Pt(-60, -40), geom.Pt(60, -40)).line(geom.Pt(60, -40), geom.Pt(50, 0))
		}, 4400 - 750*math.Pi, 0.5}, // trapezium 100 to 120 wide, 40 high
		{"spline of degree 1 is a polygon", func(d *dxfText) {
			d.entity("SPLINE", 70, 1, 71, 1, 72, 6, 73, 4)
			for _, k := range []float64{0, 0, 1, 2, 3, 3} {
				d.put(40, k)
			}
			for _, p := range [][2]float64{{0, 0}, {10, 0}, {10, 10}, {0, 0}} {
				d.put(10, p[0], 20, p[1], 30, 0.0)
			}
		}, 50, 1e-9},
		{"multiline: two elements, closed", func(d *dxfText) {
			// The outer element on its square of 20, the inner 5 inside it.
			d.entity("MLINE", 2, "STANDARD", 40, 1.0, 70, 0, 71, 3, 72, 4, 73, 1, 10, 0.0, 20, 0.0)
			for _, v := range [4][4]float64{{0, 0, 1, 1}, {20, 0, -1, 1}, {20, 20, -1, -1}, {0, 20, 1, -1}} {
				d.put(11, v[0], 21, v[1], 31, 0.0, 12, 1.0, 22, 0.0, 32, 0.0, 13, v[2]/math.Sqrt2, 23, v[3]/math.Sqrt2, 33, 0.0, 74, 2, 41, 0.0, 41, 0.0, 75, 0)
			}
		}, 400, 1e-9},
		{"R10 line in space by its old name", func(d *dxfText) {
			for _, p := range [3][4]float64{{0, 0, 10, 0}, {10, 0, 10, 10}, {10, 10, 0, 0}} {
				d.entity("3DLINE", 10, p[0], 20, p[1], 11, p[2], 21, p[3])
			}
		}, 50, 1e-9},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF()
			c.draw(d)
			nearly(t, "area", one(t, d).Area(), c.area, c.tol)
		})
	}
}

func TestCirclesInOtherDressAreCircles(t *testing.T) {
	w := math.Sqrt2 / 2
	for name, draw := range map[string]func(d *dxfText){
		"rational spline": func(d *dxfText) {
			d.entity("SPLINE", 70, 12, 71, 2, 72, 12, 73, 9)
			for _, k := range []float64{0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4} {
				d.put(40, k)
			}
			for i := range 9 {
				d.put(41, []float64{1, w}[i%2])
			}
			for _, p := range [][2]float64{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}, {1, 0}} {
				d.put(10, 30+12*p[0], 20, 40+12*p[1], 30, 0.0)
			}
		},
		"ellipse": func(d *dxfText) {
			d.entity("ELLIPSE", 10, 30.0, 20, 40.0, 11, 0.0, 21, 12.0, 40, 1.0, 41, 0.0, 42, 2*math.Pi)
		},
		"two half arcs": func(d *dxfText) {
			d.entity("ARC", 10, 30.0, 20, 40.0, 40, 12.0, 50, 10.0, 51, 190.0).entity("ARC", 10, 30.0, 20, 40.0, 40, 12.0, 50, 190.0, 51, 10.0)
		},
		"six arcs": func(d *dxfText) {
			for i := range 6 {
				d.entity("ARC", 10, 30.0, 20, 40.0, 40, 12.0, 50, float64(60*i+7), 51, float64(60*i+67))
			}
		},
		"two vertices": func(d *dxfText) {
			d.path(geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(30, 28), Bulge: -1}, {P: geom.Pt(30, 52), Bulge: -1}}})
		},
	} {
		t.Run(name, func(t *testing.T) {
			d := newDXF()
			draw(d)
			p := one(t, d)
			if len(p.V) != 2 {
				t.Fatalf("%d segments", len(p.V))
			}
			nearly(t, "radius", p.Seg(0).Radius(), 12, 1e-6)
			nearly(t, "centre", p.Seg(0).Center().Dist(geom.Pt(30, 40)), 0, 1e-6)
			nearly(t, "start", p.Start().Dist(geom.Pt(42, 40)), 0, 1e-6)
		})
	}
}

// TestExtrusionMirrorsArcsButNotLines. Figures: N = (0,0,-1) has Ax = (-1,0,0)
// and Ay = (0,1,0): the centre (10,5) goes to (-10,5) and a counter-clockwise
// arc from 0 to 90 degrees runs clockwise from (-13,5) to (-10,8).
func TestExtrusionMirrorsArcsButNotLines(t *testing.T) {
	d := newDXF()
	d.entity("ARC", 10, 10.0, 20, 5.0, 40, 3.0, 50, 0.0, 51, 90.0, 210, 0.0, 220, 0.0, 230, -1.0)
	d.entity("LINE", 10, -13.0, 20, 5.0, 11, -10.0, 21, 8.0, 210, 0.0, 220, 0.0, 230, -1.0)
	p := one(t, d)
	nearly(t, "area of the segment, r 3, 90 degrees", p.Area(), 9.0/2*(math.Pi/2-1), 1e-9)
	nearly(t, "left", p.Box().Min.X, -13, 1e-9)
	for i := range p.NumSegs() {
		if s := p.Seg(i); s.IsArc() {
			nearly(t, "centre", s.Center().Dist(geom.Pt(-10, 5)), 0, 1e-9)
		}
	}
}

func TestTiltedEntitiesAreRefused(t *testing.T) {
	for name, draw := range map[string]func(d *dxfText){
		"circle": func(d *dxfText) { d.entity("CIRCLE", 10, 5.0, 20, 5.0, 40, 3.0, 210, 0.6, 220, 0.0, 230, 0.8) },
		"polyline": func(d *dxfText) {
			d.entity("LWPOLYLINE", 90, 2, 70, 1, 10, 0.0, 20, 0.0, 42, 1.0, 10, 5.0, 20, 0.0, 210, 0.0, 220, 1.0, 230, 0.0)
		},
		"steep line": func(d *dxfText) { d.entity("LINE", 10, 0.0, 20, 0.0, 30, 0.0, 11, 5.0, 21, 0.0, 31, 5.0) },
		"ellipse":    func(d *dxfText) { d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 5.0, 21, 0.0, 31, 3.0, 40, 0.5) },
		"polyline in space": func(d *dxfText) {
			d.entity("POLYLINE", 70, 9).entity("VERTEX", 10, 0.0, 20, 0.0, 30, 0.0).entity("VERTEX", 10, 9.0, 20, 0.0, 30, 4.0)
		},
		"block":               func(d *dxfText) { d.entity("INSERT", 2, "X", 10, 0.0, 20, 0.0, 210, 1.0, 220, 0.0, 230, 0.0) },
		"no direction at all": func(d *dxfText) { d.entity("CIRCLE", 10, 5.0, 20, 5.0, 40, 3.0, 210, 0.0, 220, 0.0, 230, 0.0) },
	} {
		t.Run(name, func(t *testing.T) {
			d := plate("0", "0")
			d.layer = "TILT"
			draw(d)
			l, faults := read(t, d.bytes(), drawing.Options{})
			f := find(t, faults, "tilted")
			if f.Severity != fault.Error || f.Line == 0 || !strings.Contains(f.Entity, "TILT") || len(l.Closed) != 2 {
				t.Errorf("%v: %v", f.Severity, f.Error())
			}
			// On a layer that is left out it is no more than a note.
			_, faults = read(t, d.bytes(), drawing.Options{Layers: []job.Layer{{Name: plain.Of("TILT"), Use: job.LayerIgnore}}})
			if find(t, faults, "tilted").Severity != fault.Note || faults.Bad() {
				t.Errorf("left out, and yet %v", faults.Err())
			}
		})
	}
}

func TestWhatIsNotCutIsListed(t *testing.T) {
	for _, c := range []struct {
		typ, code string
		sev       fault.Severity
	}{
		{"TEXT", "text", fault.Note}, {"MTEXT", "text", fault.Note}, {"ATTDEF", "text", fault.Note}, {"DIMENSION", "dimension", fault.Note},
		{"LEADER", "dimension", fault.Note}, {"MULTILEADER", "dimension", fault.Note}, {"HATCH", "hatch", fault.Note}, {"XLINE", "endless", fault.Note},
		{"3DFACE", "solid", fault.Error}, {"MESH", "solid", fault.Error}, {"3DSOLID", "solid", fault.Error}, {"REGION", "solid", fault.Error},
		{"IMAGE", "picture", fault.Note}, {"ACAD_PROXY_ENTITY", "proxy", fault.Warning}, {"WHATEVER", "unknown-entity", fault.Warning},
	} {
		t.Run(c.typ, func(t *testing.T) {
			d := plate("0", "0")
			for i := range 5 {
				d.entity(c.typ, 10, 7.0, 20, float64(i))
			}
			l, faults := read(t, d.bytes(), drawing.Options{})
			f := find(t, faults, c.code)
			if f.Severity != c.sev || !strings.Contains(f.Entity, c.typ) || !strings.Contains(f.What, "5 times") || f.Line == 0 || f.X != 7 {
				t.Errorf("%v: %v", f.Severity, f.Error())
			}
			if len(l.Closed) != 2 {
				t.Errorf("%d loops", len(l.Closed))
			}
			if c.sev == fault.Error && f.Do == "" {
				t.Error("refused without advice")
			}
		})
	}
}

func TestMeshOfFacesIsRefused(t *testing.T) {
	d := plate("0", "0")
	d.entity("POLYLINE", 70, 64)
	for range 4 {
		d.entity("VERTEX", 10, 1.0, 20, 2.0, 70, 64|128)
	}
	d.entity("SEQEND")
	l, faults := read(t, d.bytes(), drawing.Options{})
	if f := find(t, faults, "solid"); f.Severity != fault.Error || len(l.Closed) != 2 {
		t.Errorf("%v", f.Error())
	}
}

func TestHeightsAreIgnoredWithANote(t *testing.T) {
	d := newDXF()
	d.entity("LWPOLYLINE", 90, 3, 70, 1, 38, 4.0, 10, 0.0, 20, 0.0, 10, 9.0, 20, 0.0, 10, 9.0, 20, 9.0)
	_, faults := read(t, d.bytes(), drawing.Options{})
	if f := find(t, faults, "elevation"); f.Severity != fault.Note {
		t.Errorf("%v", f.Error())
	}
	one(t, d)
}

func TestLayoutsAreLeftOut(t *testing.T) {
	d := plate("0", "0")
	d.entity("LINE", 67, 1, 10, 0.0, 20, 0.0, 11, 500.0, 21, 0.0).entity("VIEWPORT", 67, 1, 10, 0.0, 20, 0.0)
	d.entity("LWPOLYLINE", 67, 1, 90, 3, 70, 1, 10, 0.0, 20, 0.0, 10, 9.0, 20, 0.0, 10, 9.0, 20, 9.0)
	d.entity("POLYLINE", 67, 1, 70, 1).entity("VERTEX", 10, 3.0, 20, 3.0).entity("VERTEX", 10, 5.0, 20, 3.0).entity("SEQEND")
	l := wantPlate(t, d.bytes())
	if f := find(t, l.Report, "paper-space"); !strings.Contains(f.What, "3 entities") {
		t.Errorf("%v", f.Error())
	}
}

func TestPointsAreCentreMarks(t *testing.T) {
	d := plate("0", "0")
	d.entity("POINT", 10, 30.0, 20, 20.0).entity("POINT", 10, 5.0, 20, 5.0).entity("POINT", 10, 30.0, 20, 20.0)
	l := wantPlate(t, d.bytes())
	if len(l.Points) != 2 || l.Points[0] != geom.Pt(5, 5) || l.Points[1] != geom.Pt(30, 20) {
		t.Errorf("%v", l.Points)
	}
}

func TestSplinesThatCannotBeReadSayWhy(t *testing.T) {
	spline := func(degree int, knots, weights []float64, n int) *dxfText {
		d := plate("0", "HINGE")
		d.entity("SPLINE", 70, 8, 71, degree)
		for _, k := range knots {
			d.put(40, k)
		}
		for _, w := range weights {
			d.put(41, w)
		}
		for i := range n {
			d.put(10, float64(i), 20, float64(i*i), 30, 0.0)
		}
		return d
	}
	for _, c := range []struct {
		name string
		d    *dxfText
		want string
	}{
		{"too few points", spline(3, nil, nil, 2), "2 control points; degree 3 needs 4"},
		{"no points", spline(3, nil, nil, 0), "without points"},
		{"degree 0", spline(0, nil, nil, 4), "degree 0"},
		{"degree 99", spline(99, nil, nil, 100), "degree 99"},
		{"too few knots", spline(3, []float64{0, 0, 0}, nil, 4), "3 knots; 4 control points of degree 3 need 8"},
		{"falling knots", spline(3, []float64{0, 0, 0, 0, 1, 1, 0.5, 1}, nil, 4), "fall from 1 to 0.5"},
		{"knots all one", spline(3, []float64{1, 1, 1, 1, 1, 1, 1, 1}, nil, 4), "span nothing"},
		{"breaks apart", spline(2, []float64{0, 0, 0, 1, 1, 1, 2, 2, 2}, nil, 6), "breaks apart at knot 1"},
		{"weight 0", spline(3, nil, []float64{1, 0, 1, 1}, 4), "weight 0"},
		{"too few weights", spline(3, nil, []float64{1, 2}, 4), "2 weights for 4"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, faults := read(t, c.d.bytes(), drawing.Options{})
			f := find(t, faults, "bad-spline")
			if f.Severity != fault.Error || !strings.Contains(f.What, c.want) || !strings.Contains(f.Error(), `"HINGE"`) || len(l.Closed) != 2 {
				t.Errorf("%v", f.Error())
			}
		})
	}
}

func TestKnotsWithoutTheOuterTwoAreRead(t *testing.T) {
	full, short := newDXF(), newDXF()
	for d, knots := range map[*dxfText][]float64{full: {0, 0, 0, 0, 1, 2, 2, 2, 2}, short: {0, 0, 0, 1, 2, 2, 2}} {
		d.entity("SPLINE", 70, 8, 71, 3)
		for _, k := range knots {
			d.put(40, k)
		}
		for _, p := range [][2]float64{{0, 0}, {10, 30}, {20, -20}, {30, 20}, {40, 0}} {
			d.put(10, p[0], 20, p[1], 30, 0.0)
		}
		d.line(geom.Pt(40, 0), geom.Pt(20, -60)).line(geom.Pt(20, -60), geom.Pt(0, 0))
	}
	if !samePath(one(t, full), one(t, short)) {
		t.Error("they differ")
	}
}

func TestCurveThroughPointsPassesThem(t *testing.T) {
	pts := []geom.Point{geom.Pt(0, 0), geom.Pt(30, 20), geom.Pt(60, -10), geom.Pt(100, 40)}
	for _, closed := range []int{0, 1} {
		d := newDXF().mm()
		d.entity("SPLINE", 70, 8|closed, 71, 3, 74, 4)
		for _, p := range pts {
			d.put(11, p.X, 21, p.Y, 31, 0.0)
		}
		l := mustRead(t, d.bytes(), drawing.Options{})
		if len(l.Closed) != closed {
			t.Fatalf("%d loops", len(l.Closed))
		}
		x := geom.IndexPaths(allPaths(l)...)
		for _, p := range pts {
			if x.Dist(p) > geom.Fit {
				t.Errorf("%v is %g away", p, x.Dist(p))
			}
		}
		if f := find(t, l.Report, "fit-points"); f.Severity != fault.Warning {
			t.Errorf("%v", f.Error())
		}
	}
}

func TestAngdirDoesNotTurnArcs(t *testing.T) {
	draw := func(header string) geom.Path {
		d := newDXF()
		d.header.WriteString(header)
		d.entity("ARC", 10, 0.0, 20, 0.0, 40, 5.0, 50, 0.0, 51, 90.0).line(geom.Pt(5, 0), geom.Pt(0, 5))
		return one(t, d)
	}
	if !samePath(draw(""), draw("  9\n$ANGBASE\n 50\n90.0\n  9\n$ANGDIR\n 70\n1\n")) {
		t.Error("it does")
	}
}

// Colours by layer, by block, by index and true; line weights and types.
func TestStylesComeFromLayersAndBlocks(t *testing.T) {
	d := plate("0", "0")
	d.to = &d.tables
	d.put(0, "TABLE", 2, "LTYPE", 0, "LTYPE", 2, "AXIS", 73, 4, 0, "LTYPE", 2, "DASHED_NOT", 73, 0, 0, "ENDTAB")
	d.put(0, "TABLE", 2, "LAYER", 0, "LAYER", 2, "RED", 70, 0, 62, 1, 6, "AXIS", 370, 50, 0, "ENDTAB")
	d.to = &d.blocks
	d.put(0, "BLOCK", 2, "B", 10, 0.0, 20, 0.0)
	d.layer = "0"
	d.entity("LINE", 62, 0, 6, "BYBLOCK", 10, 0.0, 20, 0.0, 11, 1.0, 21, 0.0)
	d.line(geom.Pt(0, 2), geom.Pt(1, 2))
	d.put(0, "ENDBLK")
	d.to = &d.body
	d.layer = "RED"
	d.line(geom.Pt(100, 0), geom.Pt(110, 0))
	d.entity("LINE", 420, 0x123456, 6, "DASHED_NOT", 10, 100.0, 20, 5.0, 11, 110.0, 21, 5.0)
	d.entity("INSERT", 2, "B", 10, 100.0, 20, 10.0, 62, 5)
	l := mustRead(t, d.bytes(), drawing.Options{Layers: []job.Layer{{Name: plain.Of("RED"), Use: job.LayerCut}}})
	got := map[string]drawing.Style{}
	for _, o := range l.Open {
		got[fmt.Sprint(o.Path.Start())] = l.Styles[o.Style]
	}
	for at, want := range map[string]drawing.Style{
		"{100 0}":  {Color: 0xff0000, Weight: 0.5, Dash: true},
		"{100 5}":  {Color: 0x123456, Weight: 0.5},
		"{100 10}": {Color: 0x0000ff, Weight: 0.5, Dash: true}, // colour and line type of the INSERT, which has its layer's
		"{100 12}": {Color: 0xff0000, Weight: 0.5, Dash: true}, // on layer 0: the INSERT's layer
	} {
		if got[at] != want {
			t.Errorf("%s: %+v, want %+v", at, got[at], want)
		}
	}
}

// An open multiline is closed by the caps that its style, which stands at the
// end of the file, asks for.
func TestMultilineCapsComeFromItsStyle(t *testing.T) {
	for flags, loops := range map[int]int{0: 0, 16: 0, 16 | 256: 1} {
		d := newDXF().mm()
		d.entity("MLINE", 2, "RAIL", 40, 1.0, 70, 0, 71, 1, 72, 2, 73, 2)
		for _, x := range []float64{0, 60} {
			d.put(11, x, 21, 0.0, 31, 0.0, 12, 1.0, 22, 0.0, 32, 0.0, 13, 0.0, 23, 1.0, 33, 0.0)
			d.put(74, 2, 41, 5.0, 41, 0.0, 75, 0, 74, 2, 41, -5.0, 41, 0.0, 75, 0)
		}
		text := strings.TrimSuffix(string(d.bytes()), "  0\nEOF\n") +
			fmt.Sprintf("  0\nSECTION\n  2\nOBJECTS\n  0\nMLINESTYLE\n  2\nRail\n 70\n%d\n  0\nENDSEC\n  0\nEOF\n", flags)
		l := mustRead(t, []byte(text), drawing.Options{})
		if len(l.Closed) != loops {
			t.Errorf("flags %d: %d loops, %d open", flags, len(l.Closed), len(l.Open))
		}
		if loops == 1 {
			nearly(t, "area", l.Closed[0].Path.Area(), 600, 1e-9)
		}
	}
}

func TestReadingStopsWhenTold(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	l, faults := drawing.Read(ctx, bigDXF(1<<20), drawing.Options{})
	if l != nil || find(t, faults, "stopped").Severity != fault.Error {
		t.Errorf("%v", faults)
	}
}
