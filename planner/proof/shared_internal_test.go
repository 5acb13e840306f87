package proof

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// metalOf makes features ready as one part each. Features that are cut have a
// kerf of 1.5 unless they say another.
func metalOf(t *testing.T, fs ...Feature) *metal {
	t.Helper()
	c := &check{in: &Input{}}
	for _, f := range fs {
		if f.Kerf == 0 {
			f.Kerf = 1.5
		}
		c.in.Parts = append(c.in.Parts, Part{Features: []Feature{f}})
	}
	c.metals()
	if len(c.found) > 0 || len(c.loads[0].loops) != len(fs) {
		t.Fatal(c.found)
	}
	return &c.loads[0]
}

func outline(id string, pts ...geom.Point) Feature {
	return Feature{ID: id, Rule: "outline", Loop: geom.Polygon(pts...)}
}

func box(id string, x1, y1, x2, y2 float64) Feature {
	return outline(id, geom.Pt(x1, y1), geom.Pt(x2, y1), geom.Pt(x2, y2), geom.Pt(x1, y2))
}

// straight is a run along lines, all of it lit.
func straight(pts ...geom.Point) *run {
	r := &run{pierce: pts[0]}
	for k := 1; k < len(pts); k++ {
		r.path = append(r.path, lit{piece: piece{a: pts[k-1], b: pts[k]}, along: r.length})
		r.length += pts[k].Dist(pts[k-1])
	}
	return r
}

const tol = geom.Proof

// Two outlines one kerf apart share the line X 120.75. Down it goes clockwise
// round the left one, up it clockwise round the right one.
func TestRunBetweenTwoEdgesIsGivenToTheOneItGoesRoundTheRightWay(t *testing.T) {
	left, right := box("left", 40, 40, 120, 100), box("right", 121.5, 40, 201.5, 100)
	jointed := outline("right", geom.Pt(121.5, 40), geom.Pt(201.5, 40), geom.Pt(201.5, 100), geom.Pt(121.5, 100),
		geom.Pt(121.5, 92.5), geom.Pt(121.5, 77.5), geom.Pt(121.5, 62.5), geom.Pt(121.5, 47.5))
	located := left
	located.Rule = "locate"
	taller := box("right", 121.5, 30, 201.5, 100)
	const x = 120.75
	for _, c := range []struct {
		name string
		a, b Feature
		pts  []geom.Point
		want string
	}{
		{"down", left, right, []geom.Point{{X: x, Y: 95}, {X: x, Y: 45}}, "left"},
		{"up", left, right, []geom.Point{{X: x, Y: 45}, {X: x, Y: 95}}, "right"},
		{"down, beside many short pieces of one edge", left, jointed, []geom.Point{{X: x, Y: 100}, {X: x, Y: 40}}, "left"},
		{"down, where one edge goes on for less than a kerf", left, taller, []geom.Point{{X: x, Y: 95}, {X: x, Y: 40}, {X: x, Y: 39}}, "left"},
		{"up, and the wrong way along the left one's top", left, right, []geom.Point{{X: x, Y: 45}, {X: x, Y: 100}, {X: 120, Y: 100.75}, {X: 40, Y: 100.75}}, "left"},
		{"down, where one is a blank's edge", located, right, []geom.Point{{X: x, Y: 95}, {X: x, Y: 45}}, "right"},
		{"half along each, right of way along the second", box("above", 0, 0.75, 50, 30), box("below", 50, -30, 100, -0.75), []geom.Point{{}, {X: 100}}, "below"},
		{"half along each, right of way along the first", box("above", 0, 0.75, 50, 30), box("below", 50, -30, 100, -0.75), []geom.Point{{X: 100}, {}}, "above"},
	} {
		for _, off := range []float64{-0.005, 0.005} { // nearer to the one or the other
			for _, fs := range [][]Feature{{c.a, c.b}, {c.b, c.a}} {
				m := metalOf(t, fs...)
				pts := slices.Clone(c.pts)
				for k := range pts {
					pts[k].X += off
				}
				if got := m.byLength(straight(pts...), nil, 0, tol); got == nil || got.ID != c.want {
					t.Errorf("%s, %g beside: %v", c.name, off, got)
				}
			}
		}
	}
}

// Where the way is right for both, the run serves the one that lacks more: the
// one that was lost, then the one that has no cut.
func TestRunBetweenTwoEdgesIsGivenToTheOneThatLacksIt(t *testing.T) {
	runs := []run{{}, {lost: true}}
	lacks := [][]int{{0}, nil, {0, 1}} // more and more
	for i := range lacks {
		for k := range lacks {
			if i == k {
				continue
			}
			for _, low := range []float64{40, 39} { // the right edge goes on for 1 mm more
				for _, off := range []float64{-0.005, 0.005} {
					right := box("right", 121.5, low-1, 201.5, 100)
					right.Against = true
					m := metalOf(t, box("left", 40, 40, 120, 100), right)
					m.loops[0].runs, m.loops[1].runs = lacks[i], lacks[k]
					want := m.loops[0]
					if k > i {
						want = m.loops[1]
					}
					r := straight(geom.Pt(120.75+off, 95), geom.Pt(120.75+off, 40), geom.Pt(120.75+off, low-0.001))
					if got := m.byLength(r, runs, 0, tol); got != want {
						t.Errorf("runs %v and %v, down to %g, %g beside: %s", lacks[i], lacks[k], low, off, got.ID)
					}
				}
			}
		}
	}
}

func TestPlaceBetweenTwoEdgesIsKnown(t *testing.T) {
	wide := box("wide", 100, 102.76, 140, 120)
	wide.Kerf = 4
	blank := box("blank", 119, 20, 160, 38.5)
	blank.Rule = "locate"
	m := metalOf(t, box("left", 40, 40, 120, 100), box("right", 121.5, 40, 201.5, 100), wide, blank, box("far", 300, 0, 310, 10))
	seen := [3]int{}
	for _, x := range []float64{110, 119.3, 119.5, 120, 120.7, 120.72, 120.728, 120.732, 120.75, 120.768, 120.772, 120.8, 121, 122, 122.3, 130} {
		for y := 38.0; y < 106; y += 0.25 {
			q := geom.Pt(x, y)
			n := 0
			for _, l := range m.loops {
				if d := slices.MinFunc(l.edge.all, func(a, b piece) int {
					if a.dist(q) < b.dist(q) {
						return -1
					}
					return 1
				}); l.wanted && d.dist(q) <= l.Kerf/2+tol {
					n++
				}
			}
			seen[min(n, 2)]++
			if got := m.between(q, tol); got != (n > 1) {
				t.Errorf("%v: %v, %d edges lie half a kerf away", q, got, n)
			}
		}
	}
	if slices.Min(seen[:]) < 50 {
		t.Errorf("places beside none, one and two: %v", seen)
	}
}

func TestPieceIsCarriedByAnEdgeUpToTheLimit(t *testing.T) {
	l := metalOf(t, box("a", 0, 0, 100, 50)).loops[0]
	for _, c := range []struct {
		off  float64
		good bool
	}{{0.75, true}, {0.77 - 1.5*certain, true}, {0.77 + 0.5*certain, false}, {0.8, false}} {
		p := piece{a: geom.Pt(10, -0.75), b: geom.Pt(90, -c.off)}
		if d, good := l.carries(&p, 0.75+tol); good != c.good || !good && (d > c.off+certain || d < c.off-certain) {
			t.Errorf("%g off: %v, %g", c.off, good, d)
		}
	}
}

// A run that was lost between two edges, or on its lead, belongs to the
// feature that the program goes on with.
func TestLostRunIsGivenToWhatTheProgramGoesOnWith(t *testing.T) {
	const x = 120.75
	lead, top, low, left := geom.Pt(115, 110), geom.Pt(x, 100), geom.Pt(x, 45), geom.Pt(100, 100.75)
	for _, c := range []struct {
		name       string
		pts        []geom.Point
		lost, owns bool // owns: it was held to be the left one's
		split      bool
		moves      bool
	}{
		{"between the two", []geom.Point{top, low}, true, true, false, true},
		{"on the lead and between the two", []geom.Point{lead, top, low}, true, true, false, true},
		{"on the lead", []geom.Point{lead, top.Add(geom.Pt(0, 5))}, true, false, false, true},
		{"along the left one only", []geom.Point{left, geom.Pt(119, 100.75)}, true, true, false, false},
		{"along the left one, then between the two", []geom.Point{left, geom.Pt(120, 100.75), top, low}, true, true, false, false},
		{"whole", []geom.Point{top, low}, false, true, false, false},
		{"across a slug", []geom.Point{top, low}, true, false, true, false},
	} {
		m := metalOf(t, box("left", 40, 40, 120, 100), box("right", 121.5, 40, 201.5, 100))
		a, b := m.loops[0], m.loops[1]
		r := straight(c.pts...)
		r.lost = c.lost
		a.runs = []int{3, 5}
		if c.owns {
			r.loop, a.runs = a, []int{3, 7, 5}
		}
		if c.split {
			r.split = a
		}
		was := r.loop
		r.regain(b, 7, tol)
		wantA, wantB, want := []int{3, 5}, []int{7}, b
		if !c.moves {
			wantB, want = nil, was
			if c.owns {
				wantA = []int{3, 7, 5}
			}
		}
		if r.loop != want || !slices.Equal(a.runs, wantA) || !slices.Equal(b.runs, wantB) {
			t.Errorf("%s: runs %v and %v, its loop %v", c.name, a.runs, b.runs, r.loop)
		}
	}
}
