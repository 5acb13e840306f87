package lead_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/lead"
	"pgregory.net/rapid"
)

// slug is scrap inside or outside one edge.
type slug struct {
	edge    geom.Path
	outside bool
}

func (s slug) Dist(p geom.Point) float64 {
	_, _, _, d := s.edge.Nearest(p)
	return d
}
func (s slug) Scrap(p geom.Point) bool { return (s.edge.Winding(p) != 0) != s.outside }

func rect(w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h))
}

func inside(edge, path geom.Path, round bool, c geom.Point) lead.Spec {
	return lead.Spec{Path: path, Round: round, Center: c, Deep: func() geom.Point { return c }, Kerf: 1.6, Need: lead.Clearance(1.6, 6), Longest: 8, Ground: slug{edge, false}}
}

// outline of a rectangle, the torch 0.8 mm outside it, clockwise.
func outline(w, h float64) lead.Spec {
	k := 0.8
	b := geom.BulgeOf(math.Pi / 2)
	ccw := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(0, -k)}, {P: geom.Pt(w, -k), Bulge: b}, {P: geom.Pt(w+k, 0)}, {P: geom.Pt(w+k, h), Bulge: b},
		{P: geom.Pt(w, h+k)}, {P: geom.Pt(0, h+k), Bulge: b}, {P: geom.Pt(-k, h)}, {P: geom.Pt(-k, 0), Bulge: b}}}
	return lead.Spec{Path: ccw.Reverse(), Outline: true, Kerf: 1.6, Need: lead.Clearance(1.6, 6), Longest: 8, Ground: slug{rect(w, h), true}}
}

// max(1.5 kerf, 0.5 thickness + kerf/2), design.md section 5.
func TestClearanceTakesTheLarger(t *testing.T) {
	for _, c := range []struct{ k, t, want float64 }{{1.6, 6, 3.8}, {1.6, 1, 2.4}, {2, 20, 11}} {
		if got := lead.Clearance(c.k, c.t); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("kerf %g in %g: %g, want %g", c.k, c.t, got, c.want)
		}
	}
}

func TestSmallHoleIsPiercedInItsCentre(t *testing.T) {
	s := inside(geom.Circle(geom.Pt(5, 5), 5), geom.Circle(geom.Pt(5, 5), 4.2), true, geom.Pt(5, 5))
	s.Slow = true
	leads := lead.Find(s)
	if len(leads) == 0 || leads[0].Pierce.Dist(geom.Pt(5, 5)) > 1e-9 || len(leads[0].In) != 1 || leads[0].In[0].IsArc() {
		t.Fatalf("%+v", leads)
	}
	if leads[0].Short || math.Abs(leads[0].Clear-5) > 1e-6 {
		t.Errorf("clearance %g", leads[0].Clear)
	}
}

func TestTinyHoleSaysThatItsClearanceIsShort(t *testing.T) {
	s := inside(geom.Circle(geom.Pt(0, 0), 2), geom.Circle(geom.Pt(0, 0), 1.2), true, geom.Pt(0, 0))
	leads := lead.Find(s)
	if len(leads) == 0 || !leads[0].Short || math.Abs(leads[0].Clear-2) > 1e-6 {
		t.Errorf("%+v", leads)
	}
}

func TestOutlineStartsAtACornerAlongItsEdge(t *testing.T) {
	s := outline(100, 60)
	l := lead.Find(s)[0]
	start := s.Path.Seg(l.Seg).At(l.T)
	d := s.Path.Seg(l.Seg).Tangent(l.T)
	if s.Path.Seg(l.Seg).IsArc() || l.T != 0 {
		t.Fatalf("starts in segment %d at %g", l.Seg, l.T)
	}
	if back := start.Sub(l.Pierce).Unit(); back.Dist(d) > 1e-6 {
		t.Errorf("comes in along %v, cuts along %v", back, d)
	}
}

func TestLeadsAreLawful(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w, h := rapid.Float64Range(14, 200).Draw(rt, "w"), rapid.Float64Range(14, 200).Draw(rt, "h")
		var s lead.Spec
		if rapid.Bool().Draw(rt, "outline") {
			s = outline(w, h)
		} else {
			inner := geom.Polygon(geom.Pt(0.8, 0.8), geom.Pt(w-0.8, 0.8), geom.Pt(w-0.8, h-0.8), geom.Pt(0.8, h-0.8))
			s = inside(rect(w, h), inner, false, geom.Pt(w/2, h/2))
		}
		if rapid.Bool().Draw(rt, "wish") {
			q := geom.Pt(rapid.Float64Range(0, w).Draw(rt, "x"), 0)
			s.Wish = &q
		}
		leads := lead.Find(s)
		if len(leads) == 0 {
			rt.Fatal("no lead")
		}
		if s.Wish != nil {
			_, _, at, _ := s.Path.Nearest(*s.Wish)
			if start := s.Path.Seg(leads[0].Seg).At(leads[0].T); start.Dist(at) > 1e-6 {
				rt.Fatalf("wished to start at %v, starts at %v", at, start)
			}
		}
		for _, l := range leads {
			if l.Short || l.Clear < s.Need-geom.Join {
				rt.Fatalf("short: %+v", l)
			}
			if end := l.In[len(l.In)-1].B; end.Dist(s.Path.Seg(l.Seg).At(l.T)) > 1e-6 {
				rt.Fatalf("the lead ends at %v", end)
			}
			// Walked in small steps, apart from the search's own test.
			for _, sg := range l.In {
				for k := range 201 {
					q := sg.At(float64(k) / 200)
					if d := s.Ground.Dist(q); d < s.Kerf/2-0.01 || !s.Ground.Scrap(q) {
						rt.Fatalf("at %v the edge is %g away", q, d)
					}
				}
			}
		}
	})
}

func TestAssembledCutGoesOnceRoundAndOverItsStart(t *testing.T) {
	for name, s := range map[string]lead.Spec{
		"hole":    inside(geom.Circle(geom.Pt(0, 0), 20), geom.Circle(geom.Pt(0, 0), 19.2), true, geom.Pt(0, 0)),
		"outline": outline(80, 30),
	} {
		l := lead.Find(s)[0]
		c := lead.Assemble(s, l, 4, 0)
		in := 0.0
		for _, sg := range l.In {
			in += sg.Length()
		}
		if want := in + s.Path.Length() + 4; math.Abs(c.Path.Length()-want) > 1e-6 {
			t.Errorf("%s: length %g, want %g", name, c.Path.Length(), want)
		}
		if c.Path.Start() != l.Pierce {
			t.Errorf("%s: starts at %v, not at the pierce", name, c.Path.Start())
		}
		for i := 1; i < c.Path.NumSegs(); i++ {
			if c.Path.Seg(i).A.Dist(c.Path.Seg(i-1).B) > 1e-9 {
				t.Errorf("%s: a gap before segment %d", name, i)
			}
		}
		out := lead.Assemble(s, l, 4, 3)
		if out.Path.NumSegs() != c.Path.NumSegs()+1 || out.Path.End().Dist(l.Pierce) >= c.Path.End().Dist(l.Pierce) {
			t.Errorf("%s: the lead-out does not go towards the pierce", name)
		}
	}
}

// Half a turn whose diameter is the radius: from the middle, along the edge's
// tangent at the start, pi/2 times the radius long.
func TestSpiralMeetsTheCircleAlongIt(t *testing.T) {
	s := inside(geom.Circle(geom.Pt(5, 5), 8), geom.Circle(geom.Pt(5, 5), 7.2), true, geom.Pt(5, 5))
	s.Spiral = true
	for _, right := range []bool{false, true} {
		if s.Right = right; right {
			s.Path = s.Path.Reverse()
		}
		l := lead.Find(s)[0]
		in := l.In[0]
		d := s.Path.Seg(l.Seg).Tangent(l.T)
		if len(l.In) != 1 || l.Pierce.Dist(geom.Pt(5, 5)) > 1e-9 || math.Abs(in.Length()-math.Pi*3.6) > 1e-9 || in.Tangent(1).Dist(d) > 1e-6 {
			t.Errorf("right %v: %+v", right, l)
		}
	}
}

// A window of 13.5 mm has no room for a quarter turn of the depth that the
// clearance of 3.8 mm asks for: its pierce would be 3.6 mm from the side. It is
// entered straight and then round a smaller turn.
func TestNarrowRoomIsEnteredStraightThenRound(t *testing.T) {
	w := 13.5
	s := inside(rect(w, w), geom.Polygon(geom.Pt(0.8, 0.8), geom.Pt(w-0.8, 0.8), geom.Pt(w-0.8, w-0.8), geom.Pt(0.8, w-0.8)), false, geom.Pt(w/2, w/2))
	l := lead.Find(s)[0]
	if l.Short || len(l.In) != 2 || l.In[0].IsArc() || !l.In[1].IsArc() {
		t.Fatalf("%+v", l)
	}
	if meet := l.In[1].Tangent(1).Dist(s.Path.Seg(l.Seg).Tangent(l.T)); meet > 1e-6 || l.In[0].Tangent(1).Dist(l.In[1].Tangent(0)) > 1e-6 {
		t.Errorf("a corner in the way in: %+v", l)
	}
}

func TestBridgesAndRoomAreKept(t *testing.T) {
	s := outline(100, 60)
	free := lead.Find(s)[0]
	s.Keep, s.KeepOff = []geom.Seg{geom.Line(free.Pierce, free.In[len(free.In)-1].B)}, 3
	for _, l := range lead.Find(s) {
		for _, in := range l.In {
			if d, _, _ := geom.SegDist(in, s.Keep[0]); d < 3-geom.Join {
				t.Errorf("%g mm from a bridge", d)
			}
		}
	}
	s.Keep = nil
	s.Room = geom.Box{Min: geom.Pt(-5, -3), Max: geom.Pt(105, 90)}
	for _, l := range lead.Find(s) {
		for _, in := range l.In {
			if !s.Room.Encloses(in.Box()) {
				t.Errorf("leaves its room: %v", in)
			}
		}
	}
}
