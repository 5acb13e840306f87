package drawing_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

func rect(x, y, w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

// TestOverlapsMerge: what is drawn with pieces over one another comes to the
// clean figure.
func TestOverlapsMerge(t *testing.T) {
	u := func(d *dxfText) { // a rectangle 100 x 50 without its lower side
		d.line(geom.Pt(100, 0), geom.Pt(100, 50)).line(geom.Pt(100, 50), geom.Pt(0, 50)).line(geom.Pt(0, 50), geom.Pt(0, 0))
	}
	arc := func(d *dxfText, a, b float64) { d.entity("ARC", 10, 0.0, 20, 0.0, 40, 20.0, 50, a, 51, b) }
	for _, c := range []struct {
		name  string
		draw  func(d *dxfText)
		loops int
		area  float64
		code  string
	}{
		{"two lines over part of one another", func(d *dxfText) {
			u(d)
			d.line(geom.Pt(0, 0), geom.Pt(60, 0)).line(geom.Pt(40, 0), geom.Pt(100, 0))
		}, 1, 5000, "overlap"},
		{"one line within another", func(d *dxfText) {
			u(d)
			d.line(geom.Pt(0, 0), geom.Pt(100, 0)).line(geom.Pt(70, 0), geom.Pt(20, 0))
		}, 1, 5000, "overlap"},
		{"three in a row", func(d *dxfText) {
			u(d)
			d.line(geom.Pt(0, 0), geom.Pt(40, 0)).line(geom.Pt(80, 0), geom.Pt(30, 0)).line(geom.Pt(70, 0), geom.Pt(100, 0))
		}, 1, 5000, "overlap"},
		{"beside one another by 0.01", func(d *dxfText) {
			u(d)
			d.line(geom.Pt(0, 0), geom.Pt(60, 0)).line(geom.Pt(40, 0.01), geom.Pt(100, 0.01))
		}, 1, 5000, "overlap"},
		{"a side twice, and once the other way", func(d *dxfText) {
			u(d)
			for range 2 {
				d.line(geom.Pt(0, 0), geom.Pt(100, 0))
			}
			d.line(geom.Pt(100, 0), geom.Pt(0, 0))
		}, 1, 5000, "double"},
		{"a line on an edge of a polyline", func(d *dxfText) {
			d.path(rect(0, 0, 100, 50)).line(geom.Pt(20, 0), geom.Pt(80, 0))
		}, 1, 5000, "overlap"},
		{"arcs of one circle", func(d *dxfText) { arc(d, 0, 200); arc(d, 150, 300); arc(d, 280, 30) }, 1, 400 * math.Pi, "overlap"},
		{"an arc on a circle", func(d *dxfText) { d.circle(geom.Pt(0, 0), 20); arc(d, 100, 170) }, 1, 400 * math.Pi, "overlap"},
		{"arcs over part of one another", func(d *dxfText) {
			arc(d, 0, 120)
			arc(d, 60, 180)
			d.line(geom.Pt(-20, 0), geom.Pt(20, 0))
		}, 1, 200 * math.Pi, "overlap"},
		{"a circle three times", func(d *dxfText) {
			for range 3 {
				d.circle(geom.Pt(3, 4), 20)
			}
		}, 1, 400 * math.Pi, "double"},
		{"a circle as circle, polyline and arcs", func(d *dxfText) {
			d.circle(geom.Pt(0, 0), 20)
			d.path(geom.Circle(geom.Pt(0, 0), 20))
			arc(d, 10, 190)
			arc(d, 190, 370)
		}, 1, 400 * math.Pi, ""},
		{"a polyline twice, once from another corner and the other way", func(d *dxfText) {
			d.path(rect(0, 0, 100, 50))
			d.path(geom.Polygon(geom.Pt(100, 50), geom.Pt(100, 0), geom.Pt(0, 0), geom.Pt(0, 50)))
		}, 1, 5000, "double"},
		{"an open polyline twice", func(d *dxfText) {
			p := geom.Path{V: []geom.Vertex{{P: geom.Pt(0, 0)}, {P: geom.Pt(0, 50)}, {P: geom.Pt(100, 50)}, {P: geom.Pt(100, 0)}}}
			d.path(p).path(p).line(geom.Pt(0, 0), geom.Pt(100, 0))
		}, 1, 5000, "double"},
		{"two closed figures with a common edge stay two", func(d *dxfText) {
			d.path(rect(0, 0, 100, 50)).path(rect(100, 0, 100, 50))
		}, 2, 10000, "overlap-left"},
		{"a full turn over a circle, in a spline", func(d *dxfText) {
			d.circle(geom.Pt(0, 0), 20)
			d.entity("ELLIPSE", 10, 0.0, 20, 0.0, 11, 20.0, 21, 0.0, 40, 1.0, 41, 0.0, 42, 2*math.Pi)
		}, 1, 400 * math.Pi, "double"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF().mm()
			c.draw(d)
			l := mustRead(t, d.bytes(), drawing.Options{})
			if len(l.Closed) != c.loops || len(l.Open) != 0 {
				t.Fatalf("%d loops, %d open\n%v", len(l.Closed), len(l.Open), l.Report)
			}
			sum := 0.0
			for _, p := range l.Closed {
				sum += p.Path.Area()
			}
			nearly(t, "area", sum, c.area, 0.02*200)
			if c.code != "" {
				if f := find(t, l.Report, c.code); f.Frame != fault.InDrawing {
					t.Errorf("without a place: %v", f.Error())
				}
			}
		})
	}
}

func TestMarkOverACutIsNoOverlap(t *testing.T) {
	d := newDXF().mm()
	d.path(rect(0, 0, 100, 50))
	d.layer = "ETCH"
	d.line(geom.Pt(20, 0), geom.Pt(80, 0)).circle(geom.Pt(50, 25), 5)
	l := mustRead(t, d.bytes(), drawing.Options{})
	if len(l.Closed) != 2 || len(l.Open) != 1 || l.Open[0].Use != job.LayerMark {
		t.Fatalf("%d loops, %d open\n%v", len(l.Closed), len(l.Open), l.Report)
	}
	if n := codes(l.Report); n["open"]+n["overlap"]+n["double"]+n["crossing"] > 0 {
		t.Errorf("%v", l.Report)
	}
}

func TestOpenLinesSayWhatWouldCloseThem(t *testing.T) {
	d := newDXF().mm()
	d.line(geom.Pt(0, 0), geom.Pt(100, 0)).line(geom.Pt(100, 0), geom.Pt(100, 50)).line(geom.Pt(100, 50), geom.Pt(0, 50)).line(geom.Pt(0, 50), geom.Pt(0, 0.4))
	data := d.bytes()
	l := mustRead(t, data, drawing.Options{})
	f := find(t, l.Report, "open")
	if len(l.Open) != 1 || f.Severity != fault.Warning || !strings.Contains(f.What, "from (0.000, 0.000) to (0.000, 0.400)") || !strings.Contains(f.What, "is 0.4 mm") || f.Do == "" {
		t.Errorf("%d open: %v", len(l.Open), f.Error())
	}
	// Allowed by the operator, it is closed: the two lines run on to their corner.
	l = mustRead(t, data, drawing.Options{Gap: 0.5})
	if len(l.Closed) != 1 || math.Abs(l.Closed[0].Path.Area()-5000) > 1e-9 {
		t.Fatalf("%d loops\n%v", len(l.Closed), l.Report)
	}
	if f := find(t, l.Report, "joined-wide"); f.Severity != fault.Warning || !strings.Contains(f.What, "0.4 mm") {
		t.Errorf("%v", f.Error())
	}
}

func TestGapSliderHealsTheSameRawAgain(t *testing.T) {
	d := newDXF().mm()
	d.line(geom.Pt(0, 0), geom.Pt(50, 0)).line(geom.Pt(50, 0.3), geom.Pt(50, 40)).line(geom.Pt(50, 40), geom.Pt(0, 0.02))
	raw, faults := drawing.Parse(t.Context(), d.bytes(), drawing.Options{}.Name, 0)
	if raw == nil {
		t.Fatal(faults.Err())
	}
	for range 2 { // the second round finds the Raw unchanged
		for gap, closed := range map[float64]int{0.01: 0, 0.05: 0, 0.5: 1} {
			l, _ := raw.Loops(drawing.Options{Gap: gap})
			if len(l.Closed) != closed {
				t.Errorf("gap %g: %d loops", gap, len(l.Closed))
			}
		}
	}
}

// Gaps as sizes: closed by themselves up to 0.05, told from 1e-6 on.
func TestGapsAreToldWithTheirSize(t *testing.T) {
	for gap, code := range map[float64]string{0: "", 1e-9: "", 1e-4: "joined", 0.005: "joined", 0.049: "joined", 0.06: "open"} {
		d := newDXF().mm()
		d.line(geom.Pt(0, 0), geom.Pt(50, 0)).line(geom.Pt(50, 0), geom.Pt(50, 40)).line(geom.Pt(50, 40), geom.Pt(0, gap))
		l := mustRead(t, d.bytes(), drawing.Options{})
		n := codes(l.Report)
		if code == "" && len(l.Report) > 0 || code != "" && n[code] != 1 || (len(l.Closed) == 1) != (gap <= geom.Gap) {
			t.Errorf("gap %g: %d loops, %v", gap, len(l.Closed), l.Report)
		}
	}
}

func TestBranchesKeepTheirLoops(t *testing.T) {
	for _, c := range []struct {
		name        string
		draw        func(d *dxfText)
		loops, open int
		area        float64
	}{
		{"two squares that touch at a corner", func(d *dxfText) {
			for _, p := range []geom.Path{rect(0, 0, 50, 50), rect(50, 50, 50, 50)} {
				for _, s := range p.Segs() {
					d.line(s.A, s.B)
				}
			}
		}, 2, 0, 5000},
		{"a rectangle with a line across", func(d *dxfText) {
			for _, s := range rect(0, 0, 100, 50).Segs() {
				d.line(s.A, s.B)
			}
			d.line(geom.Pt(0, 0), geom.Pt(100, 50))
		}, 1, 1, 5000},
		{"two rectangles with one line between them", func(d *dxfText) {
			for _, p := range [][4]float64{{0, 0, 50, 0}, {50, 0, 100, 0}, {100, 0, 100, 50}, {100, 50, 50, 50}, {50, 50, 0, 50}, {0, 50, 0, 0}, {50, 0, 50, 50}} {
				d.line(geom.Pt(p[0], p[1]), geom.Pt(p[2], p[3]))
			}
		}, 1, 1, 5000},
		{"a loop with a tail", func(d *dxfText) {
			for _, s := range rect(0, 0, 50, 50).Segs() {
				d.line(s.A, s.B)
			}
			d.line(geom.Pt(0, 0), geom.Pt(-40, 0))
		}, 1, 1, 2500},
		{"three triangles that share a corner", func(d *dxfText) {
			for k := range 3 {
				a := float64(k) * 2
				p := geom.Polygon(geom.Pt(0, 0), geom.Polar(geom.Pt(0, 0), 50, a), geom.Polar(geom.Pt(0, 0), 50, a+1))
				for _, s := range p.Segs() {
					d.line(s.A, s.B)
				}
			}
		}, 3, 0, 3 * 1250 * math.Sin(1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF().mm()
			c.draw(d)
			l := mustRead(t, d.bytes(), drawing.Options{})
			sum := 0.0
			for _, p := range l.Closed {
				sum += p.Path.Area()
			}
			if len(l.Closed) != c.loops || len(l.Open) != c.open || math.Abs(sum-c.area) > 1e-6 {
				t.Fatalf("%d loops, %d open, area %g\n%v", len(l.Closed), len(l.Open), sum, l.Report)
			}
			if f := find(t, l.Report, "branch"); f.Severity != fault.Warning || f.Frame != fault.InDrawing {
				t.Errorf("%v", f.Error())
			}
		})
	}
}

func TestCrossingsAreLocated(t *testing.T) {
	for _, c := range []struct {
		name, code string
		draw       func(d *dxfText)
		at         geom.Point
	}{
		{"bow tie", "self-crossing", func(d *dxfText) {
			d.path(geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 60), geom.Pt(100, 0), geom.Pt(0, 60)))
		}, geom.Pt(50, 30)},
		{"crossing at a corner of itself", "self-crossing", func(d *dxfText) {
			d.path(geom.Polygon(geom.Pt(0, 0), geom.Pt(50, 30), geom.Pt(100, 60), geom.Pt(100, 0), geom.Pt(50, 30), geom.Pt(0, 60)))
		}, geom.Pt(50, 30)},
		{"arc through a line", "self-crossing", func(d *dxfText) {
			d.path(geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 0)}, {P: geom.Pt(100, 0)}, {P: geom.Pt(100, 40)}, {P: geom.Pt(60, 20), Bulge: -1}, {P: geom.Pt(60, -30)}, {P: geom.Pt(0, -30)}}})
		}, geom.Pt(60+5*math.Sqrt(25-1), 0)}, // circle about (60,-5), r 25, at y 0: x = 60 + sqrt(625-25)
		{"two rectangles", "crossing", func(d *dxfText) { d.path(rect(0, 0, 50, 50)).path(rect(25, -10, 10, 30)) }, geom.Pt(25, 0)},
		{"a line across a loop", "crossing", func(d *dxfText) { d.path(rect(0, 0, 50, 50)).line(geom.Pt(-10, 20), geom.Pt(20, 20)) }, geom.Pt(0, 20)},
		{"two circles", "crossing", func(d *dxfText) { d.circle(geom.Pt(0, 0), 10).circle(geom.Pt(12, 0), 10) }, geom.Pt(6, -8)},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF().mm()
			c.draw(d)
			l := mustRead(t, d.bytes(), drawing.Options{})
			f := find(t, l.Report, c.code)
			if f.Severity != fault.Warning || math.Hypot(f.X-c.at.X, f.Y-c.at.Y) > 1e-6 || f.Do == "" {
				t.Errorf("%v, want at %v", f.Error(), c.at)
			}
		})
	}
}

func TestTouchingIsNoCrossing(t *testing.T) {
	for name, draw := range map[string]func(d *dxfText){
		"corner on an edge": func(d *dxfText) {
			d.path(rect(0, 0, 50, 50)).path(geom.Polygon(geom.Pt(50, 20), geom.Pt(80, 10), geom.Pt(80, 30)))
		},
		"corner on a corner":                   func(d *dxfText) { d.path(rect(0, 0, 50, 50)).path(rect(50, 50, 50, 50)) },
		"circles inside one another, touching": func(d *dxfText) { d.circle(geom.Pt(0, 0), 20).circle(geom.Pt(5, 0), 15) },
		"itself at a corner": func(d *dxfText) {
			d.path(geom.Polygon(geom.Pt(0, 0), geom.Pt(50, 30), geom.Pt(100, 0), geom.Pt(100, 60), geom.Pt(50, 30), geom.Pt(0, 60)))
		},
		"a fillet and its lines": func(d *dxfText) { d.path(leaf()[0]) },
	} {
		t.Run(name, func(t *testing.T) {
			d := newDXF().mm()
			draw(d)
			l := mustRead(t, d.bytes(), drawing.Options{})
			if n := codes(l.Report); n["crossing"]+n["self-crossing"] > 0 {
				t.Errorf("%v", l.Report)
			}
		})
	}
}

func TestSmallStuffIsMended(t *testing.T) {
	d := newDXF().mm()
	p := rect(0, 0, 100, 50)
	p.V = append(p.V[:1], append([]geom.Vertex{{P: geom.Pt(0.004, 0)}, {P: geom.Pt(40, 0)}, {P: geom.Pt(70, 0)}}, p.V[1:]...)...)
	d.path(p)
	d.line(geom.Pt(30, 30), geom.Pt(30, 30)).circle(geom.Pt(50, 25), 0)
	d.entity("ARC", 10, 10.0, 20, 10.0, 40, 5.0, 50, 30.0, 51, 30.0)
	d.circle(geom.Pt(80, 25), 0.03)
	l := mustRead(t, d.bytes(), drawing.Options{})
	if len(l.Closed) != 2 || len(l.Closed[0].Path.V) != 4 {
		t.Errorf("%d loops, the first of %d segments", len(l.Closed), len(l.Closed[0].Path.V))
	}
	n := codes(l.Report)
	if n["tiny"] != 1 || n["zero-length"] < 2 || n["speck"] != 1 {
		t.Errorf("%v", l.Report)
	}
}

func TestFarAwayDrawingsAreRefused(t *testing.T) {
	_, faults := read(t, newDXF().mm().circle(geom.Pt(5e6, 0), 20).bytes(), drawing.Options{})
	if f := find(t, faults, "far-away"); f.Severity != fault.Error || !strings.Contains(f.What, "limit is 1 km") {
		t.Errorf("%v", f.Error())
	}
}

// TestMovedDrawingIsTheSameMoved: far from zero, to the limit.
func TestMovedDrawingIsTheSameMoved(t *testing.T) {
	for _, by := range []geom.Point{geom.Pt(0, 0), geom.Pt(1e4, -3e4), geom.Pt(-9e5, 9e5)} {
		d := newDXF().mm()
		for _, p := range leaf() {
			for _, s := range p.Segs() {
				d.seg(geom.Seg{A: s.A.Add(by), B: s.B.Add(by), Bulge: s.Bulge}, false)
			}
		}
		l := mustRead(t, d.bytes(), drawing.Options{})
		if len(l.Closed) != len(leaf()) || len(l.Open) != 0 || math.Abs(evenOdd(l.Closed)-leafArea()) > 1e-3 {
			t.Errorf("by %v: %d loops, %d open, area %.6f, want %.6f", by, len(l.Closed), len(l.Open), evenOdd(l.Closed), leafArea())
		}
	}
}

// TestALineThereAndBackIsNoLoop, drawn as a closed polyline or as a curve that
// returns along itself: it encloses nothing, and is told of.
func TestALineThereAndBackIsNoLoop(t *testing.T) {
	poly := newDXF().mm().path(geom.Polygon(geom.Pt(0, 0), geom.Pt(7, 7), geom.Pt(20, 20), geom.Pt(11, 11))).bytes()
	for name, data := range map[string][]byte{"polyline": poly, "curve": []byte(onePage("", "5 6 m 2 1 5 6 y b", nil).table())} {
		l, faults := read(t, data, drawing.Options{})
		if len(l.Closed) != 0 || len(l.Open) != 1 {
			t.Errorf("%s: %d closed, %d open", name, len(l.Closed), len(l.Open))
		}
		find(t, faults, "open")
	}
}
