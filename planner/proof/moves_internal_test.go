package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
)

// The two radii of an arc may differ by what the standard lets pass: between
// them the radius grows evenly.
func TestArcOfTwoRadiiGrowsEvenly(t *testing.T) {
	w := &walker{c: &check{}}
	const r0, r1 = 20.0, 20.1
	for _, sweep := range []float64{1.5 * math.Pi, -1.5 * math.Pi, 2 * math.Pi, 1} {
		c := geom.Pt(30, 40)
		from, to := geom.Polar(c, r0, 0.3), geom.Polar(c, r1, 0.3+sweep)
		m := &rs274.Move{Kind: rs274.Arc, Center: rs274.Vec{X: c.X, Y: c.Y}, Sweep: sweep, Modal: &rs274.Modal{Plane: rs274.XY}}
		segs := w.segments(m, from, to)
		n := 1
		if math.Abs(sweep) > math.Pi+0.001 {
			n = 2
		}
		if len(segs) != n || segs[0].a != from || segs[n-1].b.Dist(to) > 1e-9 {
			t.Fatalf("%g rad: %v", sweep, segs)
		}
		if n == 2 && (segs[0].b != segs[1].a || segs[0].b.Dist(geom.Polar(c, (r0+r1)/2, 0.3+sweep/2)) > 1e-9) {
			t.Errorf("%g rad: the middle lies at %v", sweep, segs[0].b)
		}
	}
}

// The torch stops exactly before a move, not in the middle of an arc that is
// two pieces here.
func TestExactStopIsBeforeAMoveOnly(t *testing.T) {
	w := &walker{c: &check{}}
	w.runs = []run{{box: geom.EmptyBox()}}
	a, b, d := geom.Pt(10, 0), geom.Pt(-10, 0), geom.Pt(20, 0)
	circle := []piece{{a: a, b: b, r: 10, sweep: math.Pi}, {a: b, b: a, r: 10, sweep: math.Pi}}
	m := &rs274.Move{Modal: &rs274.Modal{Path: exactStop}}
	w.extend(&w.runs[0], m, circle, 1.5, 1.5)
	m.Modal.Path = goodPath
	w.extend(&w.runs[0], m, circle, 1.5, 1.5)
	w.still = true
	w.extend(&w.runs[0], m, circle, 1.5, 1.5)
	w.extend(&w.runs[0], m, []piece{{a: a, b: a}, {a: a, b: d}}, 1.5, 1.5)
	r := &w.runs[0]
	want := []bool{true, false, false, false, true, false, false}
	if len(r.path) != len(want) || math.Abs(r.length-60*math.Pi-10) > 1e-9 || (r.box != geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(20, 10)}) {
		t.Fatal(len(r.path), r.length, r.box)
	}
	for k, p := range r.path {
		if p.rest != want[k] {
			t.Errorf("piece %d: at rest before it: %v", k, p.rest)
		}
	}
}

func TestMoveOverThePlate(t *testing.T) {
	plates := []*loop{nil, {box: geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(100, 50)}}, {box: geom.Box{Min: geom.Pt(200, 0), Max: geom.Pt(300, 50)}}}
	line := func(x1, y1, x2, y2 float64) []piece { return []piece{{a: geom.Pt(x1, y1), b: geom.Pt(x2, y2)}} }
	for _, v := range []struct {
		name  string
		stock []*loop
		segs  []piece
		clear bool
		want  bool
	}{
		{"onto the first plate", plates, line(-50, 20, 20, 20), true, true},
		{"across the second", plates, line(150, 20, 350, 20), true, true},
		{"off it", plates, line(20, 20, -50, 20), true, true},
		{"between them", plates, line(110, 20, 190, 20), true, false},
		{"beside all", plates, line(-50, 80, 350, 80), true, false},
		{"from a place that is not known, to the plate", plates, line(-5000, -5000, 20, 20), false, true},
		{"from a place that is not known, beside it", plates, line(-5000, -5000, 150, 20), false, false},
		{"a stock that nobody knows", nil, line(0, 0, 5, 5), true, true},
		{"a stock that cannot be read, and another", plates[:2], line(150, 20, 350, 20), true, false},
	} {
		w := &walker{c: &check{stock: v.stock}}
		if got := w.overPlate(v.segs, v.clear); got != v.want {
			t.Errorf("%s: %v", v.name, got)
		}
	}
}

func TestSideThatSticksOutFurther(t *testing.T) {
	for _, v := range []struct{ low, high, least, most, want float64 }{
		{-5, 50, 0, 100, -5}, {50, 107, 0, 100, 107}, {-5, 107, 0, 100, 107}, {-8, 107, 0, 100, -8}, {20, 107, 10, 100, 107}, {2, 105, 10, 100, 2},
	} {
		if got := farther(v.low, v.high, v.least, v.most); got != v.want {
			t.Errorf("%+v: %g", v, got)
		}
	}
}

// However runs come to share their room, each has its own path.
func TestPathsOfRunsAreTheirOwn(t *testing.T) {
	w := &walker{c: &check{}}
	for i, n := range []int{3, 70, 1, 200, 40, 5000, 2} {
		w.runs = append(w.runs, run{})
		for k := range n {
			w.add(&w.runs[i], lit{line: 10000*i + k})
		}
	}
	for i, n := range []int{3, 70, 1, 200, 40, 5000, 2} {
		if len(w.runs[i].path) != n {
			t.Errorf("run %d: %d pieces", i, len(w.runs[i].path))
		}
		for k, p := range w.runs[i].path {
			if p.line != 10000*i+k {
				t.Fatalf("run %d, piece %d: line %d", i, k, p.line)
			}
		}
	}
}
