package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func TestFirstPartOfAPieceEndsOnIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := lineOrArc(t, "piece")
		part := rapid.Float64Range(0.01, 0.99).Draw(t, "part")
		q := p.start(part)
		if q.a != p.a || q.b.Dist(p.at(part)) > 1e-9 || math.Abs(q.length()-part*p.length()) > 1e-9 || q.mid().Dist(p.at(part/2)) > 1e-9 {
			t.Errorf("%g of %+v: %+v", part, p, q)
		}
	})
}

// The lost line is a circle in two pieces, behind a lead of 10 mm.
func TestLostRunIsCutOffWhereItWasLeft(t *testing.T) {
	const half = 10 * math.Pi
	c, a, b := geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(-10, 0)
	for _, v := range []struct {
		along  float64
		pieces int
		end    geom.Point
		box    geom.Box
	}{
		{0, 1, a, geom.Box{Min: a, Max: geom.Pt(20, 0)}},
		{half / 2, 2, geom.Pt(0, 10), geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(20, 10)}},
		{half * 1.5, 3, geom.Pt(0, -10), geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(20, 10)}},
		{half * 2, 3, a, geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(20, 10)}},
		{half * 5, 3, a, geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(20, 10)}},
	} {
		r := straight(geom.Pt(20, 0), a)
		r.path[0].line = 1
		for _, p := range []piece{{a: a, b: b, c: c, r: 10, sweep: math.Pi}, {a: b, b: a, c: c, r: 10, sweep: math.Pi}} {
			r.path = append(r.path, lit{piece: p, line: 2, along: r.length})
			r.length += p.length()
		}
		r.path = append(r.path, lit{piece: piece{a: a, b: geom.Pt(50, 0)}, line: 3, along: r.length})
		r.length, r.box = r.length+40, geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(50, 10)}
		r.cutOff(2, v.along)
		if want := 10 + min(v.along, 2*half); len(r.path) != v.pieces || math.Abs(r.length-want) > 1e-9 {
			t.Errorf("%g mm along: %d pieces, %g mm, must be %d and %g", v.along, len(r.path), r.length, v.pieces, want)
		}
		if end := r.path[len(r.path)-1].b; end.Dist(v.end) > 1e-9 || r.box.Min.Dist(v.box.Min) > 1e-9 || r.box.Max.Dist(v.box.Max) > 1e-9 {
			t.Errorf("%g mm along: ends at %v in %v", v.along, end, r.box)
		}
	}
}

// 200 samples tell to a quarter of their distance how much is cut again,
// wherever that lies.
func TestSecondCutOfALostOneIsMeasured(t *testing.T) {
	for _, v := range []struct {
		from, to float64
		ok       bool
	}{{0, 39.7, true}, {0, 40.3, false}, {60.3, 100, true}, {59.7, 100, false}, {30, 69.7, true}, {30, 70.3, false}} {
		c := &check{tol: 1e-6}
		r := straight(geom.Pt(0, 0), geom.Pt(100, 0))
		c.recut(r, straight(geom.Pt(v.from, 0), geom.Pt(v.to, 0)))
		if ok := len(c.found) == 0; ok != v.ok {
			t.Errorf("from %g to %g: %v", v.from, v.to, c.found)
		}
	}
}

// A finding of an earlier program has no line in this one.
func TestRunOfAnEarlierProgramHasNoLine(t *testing.T) {
	if was, is := (&run{earlier: true}), (&run{}); was.now(7) != 0 || is.now(7) != 7 {
		t.Error(was.now(7), is.now(7))
	}
}
