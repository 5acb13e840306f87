package geom_test

import (
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func TestCleanLeavesOutRepeatedCorners(t *testing.T) {
	p := vertices(0, 0, 0, 0, 0, 0, 20, 0, 0, 20, 20, 0.3, 0, 20, 0, 0, 5e-7, 0)
	for i := range p.V {
		p.V[i].Src = int32(i)
	}
	q := p.Clean(geom.Same)
	if len(q.V) != 4 {
		t.Fatalf("%d corners: %v", len(q.V), q.V)
	}
	near(t, "area", q.Area(), p.Area(), 1e-4)
	if q.V[0].Src != 1 || q.V[2].Bulge != 0.3 {
		t.Errorf("corners %+v", q.V)
	}
	open := geom.Path{V: vertices(0, 0, 0, 0, 0, 0, 5, 0, 0, 5, 0, 0).V}
	if q := open.Clean(geom.Same); len(q.V) != 2 || q.Closed {
		t.Errorf("open path %+v", q)
	}
	if q := vertices(1, 1, 0, 1, 1, 0).Clean(geom.Same); len(q.V) != 1 {
		t.Errorf("a point %+v", q)
	}
	if q := vertices(0, 0, 1e7, 1e-7, 0, 0).Clean(geom.Same); len(q.V) != 2 {
		t.Errorf("an arc all but once round is gone: %+v", q)
	}
}

// Closed forms: a square of 4 lines, a circle of 2 half circles, a slot of 4.
func TestMergeJoinsWhatIsOneLineOrArc(t *testing.T) {
	for _, c := range []struct {
		name string
		path geom.Path
		n    int
	}{
		{"square with extra corners", vertices(0, 0, 0, 5, 0, 0, 20, 0, 0, 20, 20, 0, 11, 20, 0, 4, 20, 0, 0, 20, 0, 0, 7, 0), 4},
		{"circle in six pieces", hexArcs(9), 2},
		{"slot with its ends in halves", vertices(0, 0, 0, 20, 0, quarter, 24, 4, quarter, 20, 8, 0, 9, 8, 0, 0, 8, quarter, -4, 4, quarter), 4},
		{"triangle", vertices(0, 0, 0, 5, 0, 0, 0, 5, 0), 3},
		{"waves stay", vertices(0, 0, 0.2, 5, 0, -0.2, 10, 0, 0.2, 15, 0, 0, 7, 20, 0), 5},
		{"bend of a hundredth stays", vertices(0, 0, 0, 5, -0.01, 0, 10, 0, 0, 5, 5, 0), 4},
		{"spike stays", vertices(0, 0, 0, 9, 0, 0, 5, 0, 0, 10, 0, 0, 5, 5, 0), 5},
	} {
		sweep(c.path, func(name string, _ geom.Move, p geom.Path) {
			q := p.Merge(geom.Same)
			if len(q.V) != c.n {
				t.Fatalf("%s, %s: %d segments, want %d", c.name, name, len(q.V), c.n)
			}
			near(t, c.name+" area", q.Area(), p.Area(), 1e-4)
			near(t, c.name+" length", q.Length(), p.Length(), 1e-5)
		})
	}
	open := geom.Path{V: vertices(0, 0, 0, 1, 0, 0, 2, 0, 0, 2, 5, 0).V}
	if q := open.Merge(geom.Same); len(q.V) != 3 || q.V[2].P != geom.Pt(2, 5) {
		t.Errorf("open path %+v", q)
	}
}

func TestMergeStaysWithin(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyShape(rt)
		within := rapid.SampledFrom([]float64{1e-6, 1e-3, 0.05}).Draw(rt, "within")
		q := p.Merge(within)
		if _, off := geom.Hausdorff([]geom.Path{q}, []geom.Path{p}, within/10); off > 2*within {
			rt.Fatalf("%d segments of %d, %g off", len(q.V), len(p.V), off)
		}
	})
}
