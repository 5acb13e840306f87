package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// The routines of this file are held to points laid along the pieces by the
// plain circle formulas, never to the routines that the planner uses.

func anyPiece(rt *rapid.T, name string) piece {
	at := func(n string) geom.Point {
		return geom.Pt(rapid.Float64Range(-20, 20).Draw(rt, name+n+"x"), rapid.Float64Range(-20, 20).Draw(rt, name+n+"y"))
	}
	switch rapid.IntRange(0, 2).Draw(rt, name+"kind") {
	case 0:
		p := piece{a: at("a"), b: at("b")}
		if length(p.a.Sub(p.b)) < 0.01 {
			p.b = p.a.Add(geom.Pt(1, 0))
		}
		return p
	default:
		c := at("c")
		r := rapid.Float64Range(0.1, 20).Draw(rt, name+"r")
		start := rapid.Float64Range(-math.Pi, math.Pi).Draw(rt, name+"start")
		sweep := rapid.SampledFrom([]float64{-1, 1}).Draw(rt, name+"sense") * rapid.Float64Range(0.05, math.Pi).Draw(rt, name+"sweep")
		return piece{a: geom.Polar(c, r, start), b: geom.Polar(c, r, start+sweep), c: c, r: r, sweep: sweep}
	}
}

// points lays n+1 points along a piece.
func points(p piece, n int) []geom.Point {
	out := make([]geom.Point, n+1)
	for i := range out {
		t := float64(i) / float64(n)
		if p.sweep == 0 {
			out[i] = geom.Pt(p.a.X+t*(p.b.X-p.a.X), p.a.Y+t*(p.b.Y-p.a.Y))
			continue
		}
		a := math.Atan2(p.a.Y-p.c.Y, p.a.X-p.c.X) + t*p.sweep
		out[i] = geom.Pt(p.c.X+p.r*math.Cos(a), p.c.Y+p.r*math.Sin(a))
	}
	return out
}

func bruteDist(p piece, q geom.Point, n int) float64 {
	best := math.Inf(1)
	for _, x := range points(p, n) {
		best = min(best, math.Hypot(x.X-q.X, x.Y-q.Y))
	}
	return best
}

// steps is how many points are laid along a piece; step the way between two.
const steps = 400

func step(p piece) float64 { return p.length() / steps }

func TestDistanceToAPieceAgreesWithPointsAlongIt(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyPiece(rt, "p")
		q := geom.Pt(rapid.Float64Range(-30, 30).Draw(rt, "x"), rapid.Float64Range(-30, 30).Draw(rt, "y"))
		got, want := p.dist(q), bruteDist(p, q, steps)
		if got > want+1e-9 || got < want-step(p) {
			rt.Fatalf("distance %g, by points %g", got, want)
		}
		if d := p.nearest(q).Dist(q); math.Abs(d-got) > 1e-9 {
			rt.Fatalf("nearest point is %g away, the distance is %g", d, got)
		}
		if d := bruteDist(p, p.mid(), steps); d > 1e-9 {
			rt.Fatalf("middle lies %g beside the piece", d)
		}
		b := p.box().Grow(1e-9)
		for _, x := range points(p, steps) {
			if !b.Contains(x) {
				rt.Fatalf("%v is outside the box %v", x, b)
			}
		}
	})
}

func TestDistanceOfTwoPiecesAgreesWithPointsAlongThem(t *testing.T) {
	met, apartly := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		p, q := anyPiece(rt, "p"), anyPiece(rt, "q")
		got := apart(&p, &q)
		want := math.Inf(1)
		for _, x := range points(p, steps) {
			want = min(want, q.dist(x))
		}
		// Points along p miss the nearest one by half a step at most.
		if got > want+1e-9 || got < want-step(p)/2-1e-9 {
			rt.Fatalf("apart %g, by points %g (step %g)", got, want, step(p))
		}
		if again := apart(&q, &p); math.Abs(again-got) > 1e-9 {
			rt.Fatalf("apart %g one way, %g the other", got, again)
		}
		if got == 0 {
			met++
		} else {
			apartly++
		}
	})
	if met == 0 || apartly == 0 {
		t.Errorf("%d pairs met and %d did not: the test looks at too little", met, apartly)
	}
}

func TestBoundIsNeverUnderTheFurthestPlace(t *testing.T) {
	tight := 0
	rapid.Check(t, func(rt *rapid.T) {
		p, k := anyPiece(rt, "p"), anyPiece(rt, "k")
		if rapid.Bool().Draw(rt, "beside") { // as a cut lies beside its edge
			k = p
			d := rapid.Float64Range(0.01, 2).Draw(rt, "d")
			if k.arc() {
				k.r += d
				k.a, k.b = k.c.Add(k.a.Sub(k.c).Unit().Mul(k.r)), k.c.Add(k.b.Sub(k.c).Unit().Mul(k.r))
			} else {
				n := k.heading().Left().Mul(d)
				k.a, k.b = k.a.Add(n), k.b.Add(n)
			}
		}
		if rapid.Bool().Draw(rt, "within") { // a chord, or a bow, over part of it
			off := func(t float64, name string) geom.Point {
				q := k.at(t)
				return q.Add(k.headingAt(q).Left().Mul(rapid.Float64Range(-2, 2).Draw(rt, name)))
			}
			t := rapid.Float64Range(0, 0.9).Draw(rt, "from")
			a, b := off(t, "off a"), off(rapid.Float64Range(t+0.05, 1).Draw(rt, "to"), "off b")
			if a.Dist(b) < 0.01 {
				return
			}
			if rapid.Bool().Draw(rt, "turned") {
				a, b = b, a
			}
			sweep := rapid.Float64Range(-3, 3).Draw(rt, "sweep")
			if rapid.Bool().Draw(rt, "straight") || math.Abs(sweep) < 0.01 {
				sweep = 0
			}
			p = pieceOf(geom.Seg{A: a, B: b, Bulge: geom.BulgeOf(sweep)})
		}
		bound, worst := furthest(&p, &k), 0.0
		for _, x := range points(p, steps) {
			worst = max(worst, k.dist(x))
		}
		// What lies just past an end may be further by as much as it is beside.
		if bound < worst-beside-1e-9 {
			rt.Fatalf("bound %g, but a place is %g away", bound, worst)
		}
		if bound < worst+0.01 {
			tight++
		}
	})
	if tight < 20 && !testing.Short() { // which draws a fifth of them
		t.Errorf("the bound is tight in %d cases only", tight)
	}
}

func TestFurthestPlaceIsFoundWithinWhatIsPromised(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var set []piece
		for range rapid.IntRange(1, 40).Draw(rt, "n") {
			set = append(set, anyPiece(rt, "k"))
		}
		p := anyPiece(rt, "p")
		s := span{to: newPieces(set), from: -1}
		s.look(&p, 7)
		worst := 0.0
		for _, x := range points(p, steps) {
			d := math.Inf(1)
			for i := range set {
				d = min(d, set[i].dist(x))
			}
			worst = max(worst, d)
		}
		if s.worst < worst-certain-beside || s.worst > worst+step(p)/2+1e-9 {
			rt.Fatalf("furthest %g, by points %g", s.worst, worst)
		}
		if s.worst > 0 && s.from != 7 {
			rt.Fatalf("from piece %d", s.from)
		}
	})
}

func TestHoldsAgreesWithTheAngleSum(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(rt, "n")
		path := geom.Path{Closed: true}
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			path.V = append(path.V, geom.Vertex{P: geom.Polar(geom.Pt(3, -2), rapid.Float64Range(5, 15).Draw(rt, "r"), a), Bulge: rapid.Float64Range(-1, 1).Draw(rt, "b")})
		}
		ps := piecesOf(path)
		l := &loop{edge: newPieces(ps), box: path.Box(), closed: true}
		q := geom.Pt(rapid.Float64Range(-15, 20).Draw(rt, "x"), rapid.Float64Range(-20, 15).Draw(rt, "y"))
		sum, near := 0.0, math.Inf(1)
		for _, p := range ps {
			xs := points(p, steps)
			for i := range steps {
				a, b := xs[i].Sub(q), xs[i+1].Sub(q)
				sum += math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
			}
			near = min(near, p.dist(q))
		}
		if near < 0.05 {
			return // between a chord and its arc
		}
		if want := math.Round(sum/(2*math.Pi)) != 0; l.holds(q) != want {
			rt.Fatalf("holds %v, turns %g", l.holds(q), sum/(2*math.Pi))
		}
	})
}

func TestTreeFindsWhatALookAtAllFinds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var x pieceIndex
		n := rapid.IntRange(0, 200).Draw(rt, "n")
		for i := range n {
			x.add([]piece{anyPiece(rt, "p")}, i)
		}
		x.build()
		q := geom.Pt(rapid.Float64Range(-30, 30).Draw(rt, "x"), rapid.Float64Range(-30, 30).Draw(rt, "y"))
		best := math.Inf(1)
		for i := range x.all {
			best = min(best, x.all[i].dist(q))
		}
		if _, d := x.nearest(q, math.Inf(1)); math.Abs(d-best) > 1e-12 { // squares under 1e-300 are 0
			rt.Fatalf("nearest %g, by looking at all %g", d, best)
		}
		if i, _ := x.nearest(q, best); i >= 0 {
			rt.Fatal("found one under the least")
		}
		box := geom.Box{Min: q, Max: q}.Grow(rapid.Float64Range(0, 10).Draw(rt, "grow"))
		seen := map[int]bool{}
		x.tree.each(box, func(i int) bool { seen[i] = true; return true })
		for i := range x.all {
			if want := x.all[i].box().Overlaps(box); seen[i] != want {
				rt.Fatalf("item %d: seen %v, overlaps %v", i, seen[i], want)
			}
		}
	})
}

func TestTemplatesMatchWhateverTheBlanksAndFields(t *testing.T) {
	for _, c := range []struct {
		template, line string
		want           bool
	}{
		{"M64 P{output}", "n10 m64  p 3", true},
		{"M64 P{output}", "M64 P-0.5", true},
		{"M64 P{output}", "M64 P3 Q1", false},
		{"M64 P0", "M64 P00", false},
		{"(hold on: {why})", "( HOLD  on: corner 3 )", true},
		{"(hold on)", "(hold off)", false},
		{"(hold on)", "(hold on) G0 X1", false},
		{"G4 P{s} (wait {s} s)", "G4P0.5(WAIT 0.5 S)", true},
		{"M3", "M30", false},
	} {
		if got := compile(c.template).matches(plainLine([]byte(c.line))); got != c.want {
			t.Errorf("%q against %q: %v", c.template, c.line, got)
		}
	}
	hold := newTemplate([]string{"(hold)", "M66 P{p}", ""})
	text := splitLines([]byte("G0 X1\n(Hold)\n\nm66 p2\n(hold)\nM67\n"))
	for n, want := range []bool{false, true, false, false, false, false} {
		if hold.at(text, n) != want {
			t.Errorf("line %d: %v", n+1, !want)
		}
	}
}

// heading returns the unit direction of travel in the middle.
func (p *piece) heading() geom.Point {
	// An arc's middle runs along its chord.
	return p.b.Sub(p.a).Unit()
}
