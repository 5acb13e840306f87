package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func cornersAt(pts ...geom.Point) (out []corner) {
	for i, p := range pts {
		out = append(out, corner{10 + i, p})
	}
	return
}

func TestTraceGoesRoundARectangle(t *testing.T) {
	const within = 0.02
	for _, v := range []struct {
		name string
		pts  []geom.Point
		want bool
	}{
		{"clockwise", []geom.Point{{}, {Y: 20}, {X: 30, Y: 20}, {X: 30}, {}}, true},
		{"counter-clockwise", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {Y: 20}, {}}, true},
		{"and more moves", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {Y: 20}, {}, {X: 7, Y: 9}}, true},
		{"off by less than the tolerance", []geom.Point{{}, {X: 30, Y: 0.01}, {X: 30.01, Y: 20}, {Y: 20.01}, {X: 0.01}}, true},
		{"not closed", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {Y: 20}, {Y: 0.03}}, false},
		{"three sides", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {Y: 20}}, false},
		{"a slant side", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {X: 1, Y: 20}, {}}, false},
		{"the first side slant", []geom.Point{{}, {X: 30, Y: 1}, {X: 30, Y: 20}, {Y: 20}, {}}, false},
		{"askew", []geom.Point{{}, {X: 30, Y: 5}, {X: 26, Y: 25}, {X: -4, Y: 20}, {}}, false},
		{"without height", []geom.Point{{}, {X: 30}, {X: 30}, {}, {}}, false},
		{"without width", []geom.Point{{}, {}, {Y: 20}, {Y: 20}, {}}, false},
		{"two sides, there and back", []geom.Point{{}, {X: 30}, {X: 30, Y: 20}, {X: 30}, {}}, false},
		{"two sides, from where they meet", []geom.Point{{X: 30}, {}, {X: 30}, {X: 30, Y: 20}, {X: 30}}, false},
	} {
		got, ok := traced(cornersAt(v.pts...), within)
		if ok != v.want {
			t.Errorf("%s: %v", v.name, ok)
		}
		if want := (geom.Box{Max: geom.Pt(30, 20)}); ok && (got.Min.Dist(want.Min) > within || got.Max.Dist(want.Max) > within) {
			t.Errorf("%s: %v", v.name, got)
		}
	}
	if _, ok := traced(cornersAt(geom.Pt(-15, -10), geom.Pt(15, -10), geom.Pt(15, 10), geom.Pt(-15, 10), geom.Pt(-15, -10)), within); !ok {
		t.Error("round the zero: not a rectangle")
	}
	// A rectangle stays one from whichever corner and either way round.
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(0.1, 100).Draw(t, "width"), rapid.Float64Range(0.1, 100).Draw(t, "height")
		pts := []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
		n, step := rapid.IntRange(0, 3).Draw(t, "corner"), rapid.SampledFrom([]int{1, 3}).Draw(t, "way")
		var way []geom.Point
		for range 5 {
			way, n = append(way, pts[n]), (n+step)%4
		}
		if got, ok := traced(cornersAt(way...), within); !ok || math.Abs(got.Width()-w) > 1e-9 || math.Abs(got.Height()-h) > 1e-9 {
			t.Errorf("%v: %v %v", way, got, ok)
		}
	})
}

// The rectangle is no cut: it goes, and what came behind it comes earlier.
func TestTraceIsTakenOutOfTheRuns(t *testing.T) {
	square := cornersAt(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 20), geom.Pt(0, 20), geom.Pt(0, 0)) // lines 10 to 14
	for _, v := range []struct {
		name  string
		lasts []int // of the runs
		drop  int
	}{
		{"one run and cuts", []int{14, 30, 40}, 1},
		{"in two runs", []int{12, 14, 30}, 2},
		{"nothing else", []int{14}, 1},
		{"no run", nil, 0},
	} {
		w := &walker{corners: square}
		for _, l := range v.lasts {
			w.runs = append(w.runs, run{last: l})
		}
		for after := range len(v.lasts) + 1 {
			w.hops, w.touches = append(w.hops, hop{after: after}), append(w.touches, touch{after: after})
		}
		w.dropTrace(0.02)
		if len(w.runs) != len(v.lasts)-v.drop || len(w.runs) > 0 && w.runs[0].last != v.lasts[v.drop] {
			t.Errorf("%s: %d runs", v.name, len(w.runs))
		}
		for after := range w.hops {
			if want := max(0, after-v.drop); w.hops[after].after != want || w.touches[after].after != want {
				t.Errorf("%s: behind run %d, is behind %d and %d", v.name, after, w.hops[after].after, w.touches[after].after)
			}
		}
	}
	w := &walker{corners: square[:4], runs: []run{{last: 14}}, hops: []hop{{after: 1}}}
	if w.dropTrace(0.02); len(w.runs) != 1 || w.hops[0].after != 1 {
		t.Error("three sides are dropped")
	}
}
