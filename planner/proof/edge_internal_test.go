package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// A stretch is out of reach as a whole only if a torch against any place of it
// would cut the edge elsewhere or stand beyond it: asked here of places along it.
func TestStretchOutOfReachHasNoPlaceInReach(t *testing.T) {
	found := 0
	rapid.Check(t, func(rt *rapid.T) {
		f := outline("a")
		n := rapid.IntRange(4, 9).Draw(rt, "corners")
		f.Loop.V, f.Loop.Closed = nil, true
		for i := range n {
			q := geom.Polar(geom.Pt(50, 50), rapid.Float64Range(0.8, 5).Draw(rt, "r"), 2*math.Pi*float64(i)/float64(n))
			bulge := 0.0
			if rapid.Bool().Draw(rt, "arc") {
				bulge = rapid.Float64Range(-0.9, 0.9).Draw(rt, "bulge")
			}
			f.Loop.V = append(f.Loop.V, geom.Vertex{P: q, Bulge: bulge})
		}
		if f.Loop.Area() < 1 {
			return
		}
		l := metalOf(t, f).loops[0]
		l.outer = rapid.Bool().Draw(rt, "outer")
		half := rapid.Float64Range(0.4, 1.5).Draw(rt, "half")
		p := l.edge.all[rapid.IntRange(0, len(l.edge.all)-1).Draw(rt, "piece")]
		for range rapid.IntRange(0, 5).Draw(rt, "cut") {
			first, second := p.halves()
			if p = first; rapid.Bool().Draw(rt, "second") {
				p = second
			}
		}
		away := func(q geom.Point) float64 { // over 0: no torch can stand against q
			n := p.headingAt(q).Left()
			if l.outer {
				n = n.Mul(-1)
			}
			torch := q.Add(n.Mul(half))
			d := math.Inf(1)
			for i := range l.edge.all {
				d = min(d, l.edge.all[i].dist(torch))
			}
			if l.holds(torch) == l.outer {
				d = -d
			}
			return half - d
		}
		all, middle := l.outOfReach(&p, p.mid(), half)
		if a := away(p.mid()); middle != (a > certain) && math.Abs(a-certain) > 1e-9 {
			rt.Fatalf("middle %v, but %g", middle, a)
		}
		if all {
			found++
			for k := range 41 {
				if a := away(p.at(float64(k) / 40)); a < 0 {
					rt.Fatalf("all of it is said to be out of reach, place %d of 40 is in reach by %g", k, -a)
				}
			}
		}
	})
	if found < 4 { // 6 of 20 in a short run
		t.Errorf("only %d stretches out of reach", found)
	}
}

// Between two walls 1 mm apart a kerf of 1.5 mm is blocked by 0.5 mm: a stretch
// of the wall under 1 mm is wholly out of reach, without being cut in two.
func TestStretchOfASlotIsOutOfReachAtOnce(t *testing.T) {
	slot := box("a", 0, 0, 40, 1)
	l := metalOf(t, slot).loops[0]
	l.outer = false
	for length, want := range map[float64]bool{0.4: true, 0.95: true, 1.05: false, 3: false} {
		p := piece{a: geom.Pt(20, 0), b: geom.Pt(20+length, 0)}
		if all, middle := l.outOfReach(&p, p.mid(), 0.75); all != want || !middle {
			t.Errorf("%g mm: all %v, middle %v", length, all, middle)
		}
	}
}

// Round a tip of 0.4 mm a torch of 1.5 mm goes 4.75 times as far as the point
// on the edge. With its middle blocked by 0.3 mm, one end of the tip is in reach.
func TestTorchRoundATipMovesFurtherThanTheEdge(t *testing.T) {
	const r, half, turn = 0.4, 1.5, 0.3
	tip := piece{r: r, a: geom.Polar(geom.Pt(0, 0), r, math.Pi/4-turn), b: geom.Polar(geom.Pt(0, 0), r, math.Pi/4+turn), sweep: 2 * turn}
	x := (r+half)*math.Cos(math.Pi/4) + half - 0.3
	l := &loop{Feature: &Feature{}, closed: true, outer: true, edge: newPieces([]piece{tip, {a: geom.Pt(x, -50), b: geom.Pt(x, 50)}})}
	all, middle := l.outOfReach(&tip, tip.mid(), half)
	if end := x - (r+half)*math.Cos(math.Pi/4+turn); all || !middle || end < half {
		t.Errorf("all %v, middle %v; the torch at one end is %g from the wall", all, middle, end)
	}
}
