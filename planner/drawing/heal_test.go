package drawing_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// leaf is a hinge leaf for a farm gate: an outline with rounded corners and a
// tongue, bolt holes and adjusting slots.
func leaf() []geom.Path {
	q := geom.BulgeOf(math.Pi / 2)
	outline := geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(8, 0)}, {P: geom.Pt(172, 0), Bulge: q}, {P: geom.Pt(180, 8)}, {P: geom.Pt(180, 30)},
		{P: geom.Pt(220, 30), Bulge: 1}, {P: geom.Pt(220, 70)}, {P: geom.Pt(180, 70)}, {P: geom.Pt(180, 92), Bulge: q},
		{P: geom.Pt(172, 100)}, {P: geom.Pt(8, 100), Bulge: q}, {P: geom.Pt(0, 92)}, {P: geom.Pt(0, 8), Bulge: q},
	}}
	slot := func(x, y, l, w float64) geom.Path {
		return geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(x, y-w/2)}, {P: geom.Pt(x+l, y-w/2), Bulge: 1},
			{P: geom.Pt(x+l, y+w/2)}, {P: geom.Pt(x, y+w/2), Bulge: 1}}}
	}
	return []geom.Path{outline, geom.Circle(geom.Pt(220, 50), 8.5), geom.Circle(geom.Pt(25, 20), 6.5), geom.Circle(geom.Pt(25, 80), 6.5),
		slot(60, 20, 40, 13), slot(60, 80, 40, 13), geom.Polygon(geom.Pt(120, 40), geom.Pt(150, 40), geom.Pt(150, 60), geom.Pt(120, 60))}
}

// harm is what is done to clean loops.
type harm struct {
	split, reverse, shuffle, double bool
	jitter, nudge                   float64 // mm
}

// spoil writes loops as loose pieces, harmed.
func spoil(loops []geom.Path, h harm, r *rand.Rand) []byte {
	var segs []geom.Seg
	for _, p := range loops {
		for _, s := range p.Segs() {
			if h.split && r.IntN(3) == 0 {
				t := 0.2 + 0.6*r.Float64()
				segs = append(segs, s.Part(0, t), s.Part(t, 1))
				continue
			}
			segs = append(segs, s)
		}
	}
	near := func(p geom.Point, d float64) geom.Point { return geom.Polar(p, d*r.Float64(), 2*math.Pi*r.Float64()) }
	move := func(s geom.Seg, d float64) geom.Seg {
		return geom.Seg{A: near(s.A, d), B: near(s.B, d), Bulge: s.Bulge}
	}
	if h.jitter > 0 {
		for i := range segs {
			segs[i] = move(segs[i], h.jitter)
		}
	}
	if h.double {
		for _, s := range slices.Clone(segs) {
			if r.IntN(2) == 0 {
				v := geom.Polar(geom.Pt(0, 0), h.nudge, 2*math.Pi*r.Float64())
				segs = append(segs, geom.Seg{A: s.A.Add(v), B: s.B.Add(v), Bulge: s.Bulge})
			}
		}
	}
	if h.reverse {
		for i := range segs {
			if r.IntN(2) == 0 {
				segs[i] = segs[i].Reverse()
			}
		}
	}
	if h.shuffle {
		r.Shuffle(len(segs), func(i, j int) { segs[i], segs[j] = segs[j], segs[i] })
	}
	d := newDXF().mm()
	for _, s := range segs {
		d.seg(s, h.jitter > 0)
	}
	return d.bytes()
}

// TestHealingBringsCleanLoopsBack: doubled, split, turned, shuffled, jittered
// by 0.3 of the tolerance, with copies nudged by 0.5 of it, the leaf comes back
// with its loops, area and perimeter. The bounds are those of the jitter: ends
// moved by e change a loop's area by at most its length times e.
func TestHealingBringsCleanLoopsBack(t *testing.T) {
	for name, h := range map[string]harm{
		"clean":                    {},
		"shuffled":                 {shuffle: true},
		"turned":                   {reverse: true, shuffle: true},
		"split":                    {split: true, shuffle: true},
		"doubled":                  {double: true, shuffle: true, reverse: true},
		"jittered":                 {jitter: 0.3 * geom.Gap, shuffle: true},
		"nudged copies":            {double: true, nudge: 0.5 * geom.Gap, shuffle: true, reverse: true},
		"all of it":                {split: true, double: true, jitter: 0.3 * geom.Gap, shuffle: true, reverse: true},
		"all of it, copies nudged": {split: true, double: true, jitter: 0.2 * geom.Gap, nudge: 0.3 * geom.Gap, shuffle: true, reverse: true},
	} {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(60) {
				data := spoil(leaf(), h, rand.New(rand.NewPCG(seed, 1)))
				l := mustRead(t, data, drawing.Options{})
				want := leaf()
				if len(l.Closed) != len(want) || len(l.Open) != 0 {
					t.Fatalf("seed %d: %d loops, %d open, want %d, 0\n%v", seed, len(l.Closed), len(l.Open), len(want), l.Report)
				}
				off := h.jitter + h.nudge/2 + geom.Join
				for _, w := range want {
					got := nearestLoop(l, w)
					if d := math.Abs(got.Area() - w.Area()); d > w.Length()*off {
						t.Errorf("seed %d: area %g, want %g", seed, got.Area(), w.Area())
					}
					if d := math.Abs(got.Length() - w.Length()); d > 2*off*float64(len(w.V)) {
						t.Errorf("seed %d: length %g, want %g", seed, got.Length(), w.Length())
					}
				}
			}
		})
	}
}

func nearestLoop(l *drawing.Loops, w geom.Path) geom.Path {
	best, at := math.Inf(1), geom.Path{}
	b := w.Box()
	for _, c := range l.Closed {
		d := c.Path.Box()
		if far := d.Min.Dist(b.Min) + d.Max.Dist(b.Max); far < best {
			best, at = far, c.Path
		}
	}
	return at
}

// TestNearFeaturesStayApart: what lies 1.5 times the tolerance apart is two
// things.
func TestNearFeaturesStayApart(t *testing.T) {
	const d = 1.5 * geom.Gap
	square := func(x float64) geom.Path {
		return geom.Polygon(geom.Pt(x, 0), geom.Pt(x+20, 0), geom.Pt(x+20, 20), geom.Pt(x, 20))
	}
	for name, loops := range map[string][]geom.Path{
		"squares side by side":  {square(0), square(20 + d)},
		"circles of one centre": {geom.Circle(geom.Pt(0, 0), 10), geom.Circle(geom.Pt(0, 0), 10+d)},
		"circles side by side":  {geom.Circle(geom.Pt(0, 0), 10), geom.Circle(geom.Pt(20+d, 0), 10)},
	} {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(20) {
				l := mustRead(t, spoil(loops, harm{shuffle: true, reverse: true, split: true}, rand.New(rand.NewPCG(seed, 2))), drawing.Options{})
				if len(l.Closed) != 2 || len(l.Open) != 0 {
					t.Fatalf("seed %d: %d loops, %d open\n%v", seed, len(l.Closed), len(l.Open), l.Report)
				}
			}
		})
	}
}

// TestPermutedDrawingIsTheSameDrawing: the order and direction of entities
// changes nothing at all, to the last bit, in loops and report.
func TestPermutedDrawingIsTheSameDrawing(t *testing.T) { rapid.Check(t, permuted) }

func FuzzPermutedDrawing(f *testing.F) { f.Fuzz(rapid.MakeFuzz(permuted)) }

func permuted(rt *rapid.T) {
	r := draws{rt}
	// Pieces on a coarse grid, with gaps, doubles, overlaps, branches and crossings.
	var segs []geom.Seg
	pt := func() geom.Point { return geom.Pt(float64(r.IntN(6))*10, float64(r.IntN(6))*10) }
	for range rapid.IntRange(1, 30).Draw(rt, "n") {
		s := geom.Seg{A: pt(), B: pt()}
		if r.IntN(3) == 0 {
			s.Bulge = r.Float64()*2 - 1
		}
		if r.IntN(4) == 0 {
			s.A = s.A.Add(geom.Pt(r.Float64()*0.04, 0))
		}
		if r.IntN(3) == 0 && len(segs) > 0 {
			s = segs[r.IntN(len(segs))]
		}
		if !s.A.Near(s.B) {
			segs = append(segs, s)
		}
	}
	if len(segs) == 0 {
		rt.Skip("nothing drawn")
	}
	write := func() []byte {
		d := newDXF().mm()
		for _, s := range segs {
			if r.IntN(2) == 0 {
				s = s.Reverse()
			}
			d.seg(s, true)
		}
		return d.bytes()
	}
	a := mustRead(rt, write(), drawing.Options{})
	r.Shuffle(len(segs), func(i, j int) { segs[i], segs[j] = segs[j], segs[i] })
	b := mustRead(rt, write(), drawing.Options{})
	if len(a.Closed) != len(b.Closed) || len(a.Open) != len(b.Open) {
		rt.Fatalf("%d and %d loops, %d and %d open", len(a.Closed), len(b.Closed), len(a.Open), len(b.Open))
	}
	same := func(what string, p, q geom.Path) {
		if len(p.V) != len(q.V) {
			rt.Fatalf("%s: %d and %d vertices", what, len(p.V), len(q.V))
		}
		for i := range p.V {
			if p.V[i].P != q.V[i].P || p.V[i].Bulge != q.V[i].Bulge {
				rt.Fatalf("%s: vertex %d: %v and %v", what, i, p.V[i], q.V[i])
			}
		}
	}
	for _, c := range a.Closed {
		for i := range c.Path.NumSegs() {
			if g := c.Path.Seg(i); g.A.Near(g.B) || math.Abs(g.Bulge) > 1 {
				rt.Fatalf("segment %d: %v", i, g)
			}
		}
		if c.Path.Area() < 0 {
			rt.Fatalf("a loop of area %g", c.Path.Area())
		}
	}
	for i := range a.Closed {
		same("loop", a.Closed[i].Path, b.Closed[i].Path)
	}
	for i := range a.Open {
		same("open line", a.Open[i].Path, b.Open[i].Path)
	}
	if len(a.Report) != len(b.Report) {
		rt.Fatalf("reports differ:\n%v\n%v", a.Report, b.Report)
	}
	for i := range a.Report {
		if x, y := a.Report[i], b.Report[i]; x.What != y.What || x.X != y.X || x.Y != y.Y {
			rt.Fatalf("reports differ:\n%v\n%v", x, y)
		}
	}
}

// draws has rapid make the choices, so that it can shrink them.
type draws struct{ rt *rapid.T }

func (d draws) IntN(n int) int   { return rapid.IntRange(0, n-1).Draw(d.rt, "n") }
func (d draws) Float64() float64 { return rapid.Float64Range(0, 1).Draw(d.rt, "f") }
func (d draws) Shuffle(n int, swap func(i, j int)) {
	for i := n - 1; i > 0; i-- {
		swap(i, d.IntN(i+1))
	}
}

// TestArcsThereAndBackAreNoLoop: they enclose nothing, and are told as open;
// two eyes that meet in a point have no area either, but are there.
func TestArcsThereAndBackAreNoLoop(t *testing.T) {
	back := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 0), Bulge: 0.5}, {P: geom.Pt(40, 0), Bulge: 0.3}, {P: geom.Pt(70, 20), Bulge: -0.3}, {P: geom.Pt(40, 0), Bulge: -0.5}}}
	eyes := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 0), Bulge: 0.5}, {P: geom.Pt(40, 0), Bulge: -0.5}, {P: geom.Pt(80, 0), Bulge: -0.5}, {P: geom.Pt(40, 0), Bulge: 0.5}}}
	for _, c := range []struct {
		name         string
		path         geom.Path
		closed, open int
	}{{"there and back", back, 0, 1}, {"two eyes", eyes, 1, 0}} {
		d := newDXF()
		d.path(c.path)
		l := mustRead(t, d.bytes(), drawing.Options{})
		if len(l.Closed) != c.closed || len(l.Open) != c.open {
			t.Errorf("%s: %d loops and %d open lines, want %d and %d", c.name, len(l.Closed), len(l.Open), c.closed, c.open)
		}
	}
}
