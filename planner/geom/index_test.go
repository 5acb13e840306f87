package geom_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

func anyBoxes(rt *rapid.T, name string) []geom.Box {
	n := rapid.IntRange(0, 90).Draw(rt, name+" count")
	out := make([]geom.Box, n)
	for i := range out {
		p := geom.Pt(rapid.Float64Range(0, 100).Draw(rt, "x"), rapid.Float64Range(0, 100).Draw(rt, "y"))
		out[i] = geom.Box{Min: p, Max: p.Add(geom.Pt(rapid.Float64Range(0, 20).Draw(rt, "w"), rapid.Float64Range(0, 20).Draw(rt, "h")))}
	}
	return out
}

func TestIndexFindsWhatALookAtEveryBoxFinds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := anyBoxes(rt, "a"), anyBoxes(rt, "b")
		x, y := geom.NewIndex(a), geom.NewIndex(b)
		grow := rapid.Float64Range(0, 5).Draw(rt, "grow")
		var want, got, wantSelf, gotSelf [][2]int
		for i := range a {
			for j := range b {
				if a[i].Grow(grow).Overlaps(b[j]) {
					want = append(want, [2]int{i, j})
				}
			}
			for j := i + 1; j < len(a); j++ {
				if a[i].Grow(grow).Overlaps(a[j]) {
					wantSelf = append(wantSelf, [2]int{i, j})
				}
			}
			var hits []int
			x.Search(a[i], func(k int) bool { hits = append(hits, k); return true })
			slices.Sort(hits)
			var all []int
			for k := range a {
				if a[k].Overlaps(a[i]) {
					all = append(all, k)
				}
			}
			if !slices.Equal(hits, all) {
				rt.Fatalf("search found %v, there are %v", hits, all)
			}
		}
		x.Pairs(y, grow, func(i, j int) bool { got = append(got, [2]int{i, j}); return true })
		x.SelfPairs(grow, func(i, j int) bool { gotSelf = append(gotSelf, [2]int{i, j}); return true })
		for _, c := range [][2][][2]int{{want, got}, {wantSelf, gotSelf}} {
			slices.SortFunc(c[1], func(p, q [2]int) int { return slices.Compare(p[:], q[:]) })
			if !slices.Equal(c[0], c[1]) {
				rt.Fatalf("pairs %v, there are %v", c[1], c[0])
			}
		}
	})
}

func TestEarlyEndOfASearch(t *testing.T) {
	boxes := make([]geom.Box, 50)
	x, n := geom.NewIndex(boxes), 0
	if x.Search(geom.Box{}, func(int) bool { n++; return n < 3 }) || n != 3 {
		t.Errorf("search went on to %d", n)
	}
	n = 0
	if x.SelfPairs(0, func(int, int) bool { n++; return n < 4 }) || n != 4 {
		t.Errorf("pairs went on to %d", n)
	}
}

func anyPaths(rt *rapid.T) []geom.Path {
	var out []geom.Path
	for range rapid.IntRange(1, 5).Draw(rt, "paths") {
		p := anyLoop(rt)
		m := geom.Move{Shift: geom.Pt(rapid.Float64Range(-100, 100).Draw(rt, "dx"), rapid.Float64Range(-100, 100).Draw(rt, "dy"))}
		out = append(out, m.Path(p))
	}
	return out
}

func TestSegmentIndexAgreesWithPaths(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		paths := anyPaths(rt)
		x := geom.IndexPaths(paths...)
		for range 5 {
			q := geom.Pt(rapid.Float64Range(-150, 150).Draw(rt, "x"), rapid.Float64Range(-150, 150).Draw(rt, "y"))
			best, w := math.Inf(1), 0
			for _, p := range paths {
				_, _, _, d := p.Nearest(q)
				best = min(best, d)
				w += p.Winding(q)
			}
			at, ok := x.Nearest(q)
			if !ok || math.Abs(at.Dist-best) > 1e-12 || paths[at.Path].Seg(at.Seg).At(at.T).Dist(at.P) > 1e-9 || math.Abs(at.P.Dist(q)-best) > 1e-9 {
				rt.Fatalf("nearest %+v, want %g", at, best)
			}
			if x.Winding(q) != w {
				rt.Fatalf("winding %d, want %d", x.Winding(q), w)
			}
		}
	})
}

func TestPlaceOnAnArcOverHalfACircleIsThatArcs(t *testing.T) {
	big := geom.Path{V: []geom.Vertex{{P: geom.Pt(0, 10), Bulge: -3}, {P: geom.Pt(10, 0)}}}
	x := geom.IndexPaths(big)
	for i := range 20 {
		u := float64(i) / 19
		want := big.Seg(0).At(u)
		at, _ := x.Nearest(want.Add(want.Sub(big.Seg(0).Center()).Mul(0.3)))
		near(t, "part", at.T, u, 1e-9)
	}
}

// Brute force: flattened paths, every chord against every chord. It is never
// under the true distance and at most both sagittas over it.
func TestLeastDistanceAgreesWithFlattenedPaths(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := anyPaths(rt)[:1], anyPaths(rt)
		x, y := geom.IndexPaths(a...), geom.IndexPaths(b...)
		pa, pb, ok := geom.MinDist(x, y)
		const sag = 0.05
		best := math.Inf(1)
		for _, p := range b {
			fp := p.Flatten(sag)
			fa := a[0].Flatten(sag)
			for i := range fa {
				for j := range fp {
					d, _, _ := geom.SegDist(geom.Line(fa[i], fa[(i+1)%len(fa)]), geom.Line(fp[j], fp[(j+1)%len(fp)]))
					best = min(best, d)
				}
			}
		}
		if !ok || math.Abs(pa.Dist-best) > 2*sag {
			rt.Fatalf("distance %g, flattened %g", pa.Dist, best)
		}
		if pa.P.Dist(pb.P) > pa.Dist+1e-6 || a[0].Seg(pa.Seg).At(pa.T).Dist(pa.P) > 1e-6 || b[pb.Path].Seg(pb.Seg).At(pb.T).Dist(pb.P) > 1e-6 {
			rt.Fatalf("places %+v %+v are not %g apart", pa, pb, pa.Dist)
		}
	})
}

// Closed forms: distance of centres less or plus radii; Pythagoras.
func TestLeastDistanceOfHandbookPairs(t *testing.T) {
	c := func(x, y, r float64) *geom.SegIndex { return geom.IndexPaths(geom.Circle(geom.Pt(x, y), r)) }
	for _, k := range []struct {
		name string
		a, b *geom.SegIndex
		want float64
	}{
		{"circles side by side", c(0, 0, 5), c(30, 40, 8), 37},
		{"circle in circle", c(0, 0, 50), c(3, 4, 8), 37},
		{"circles that cross", c(0, 0, 5), c(6, 0, 5), 0},
		{"circle and line abreast", c(0, 0, 5), geom.IndexPaths(geom.FromSegs([]geom.Seg{seg(-3, 9, 20, 9, 0)}, false)), 4},
		{"circle and line past its end", c(0, 0, 5), geom.IndexPaths(geom.FromSegs([]geom.Seg{seg(6, 8, 20, 9, 0)}, false)), 5},
		{"line through the circle's inside", c(0, 0, 5), geom.IndexPaths(geom.FromSegs([]geom.Seg{seg(0, 0, 3, 0, 0)}, false)), 2},
	} {
		a, b, _ := geom.MinDist(k.a, k.b)
		near(t, k.name, a.Dist, k.want, 1e-9)
		near(t, k.name, a.P.Dist(b.P), k.want, 1e-9)
	}
}

// Closed forms of the circle and its n-gon: sagitta r(1-cos(pi/n)).
func TestGreatestDistanceIsCertified(t *testing.T) {
	ring := func(r float64) []geom.Path { return []geom.Path{geom.Circle(geom.Pt(0, 0), r)} }
	gon := func(r float64, n int) []geom.Path {
		p := geom.Path{Closed: true}
		for i := range n {
			p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(0, 0), r, 2*math.Pi*float64(i)/float64(n))})
		}
		return []geom.Path{p}
	}
	square := []geom.Path{geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10))}
	shifted := []geom.Path{geom.Move{Shift: geom.Pt(3, 4)}.Path(square[0])}
	for _, c := range []struct {
		name string
		a, b []geom.Path
		want float64
	}{
		{"rings about one centre", ring(50), ring(47), 3},
		{"circle and hexagon", ring(50), gon(50, 6), 50 * (1 - math.Cos(math.Pi/6))},
		{"circle and 40-gon", ring(50), gon(50, 40), 50 * (1 - math.Cos(math.Pi/40))},
		{"square moved", square, shifted, 5},
		{"twice the same", square, square, 0},
	} {
		for _, within := range []float64{0.1, 1e-3, 1e-6} {
			low, high := geom.Hausdorff(c.a, c.b, within)
			if low > c.want+1e-9 || high < c.want-1e-9 || high-low > within+1e-12 {
				t.Errorf("%s: %g to %g, want %g within %g", c.name, low, high, c.want, within)
			}
		}
	}
}

func TestGreatestDistanceBoundsEverySample(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := anyPaths(rt), anyPaths(rt)
		x := geom.IndexPaths(b...)
		low, high, at := geom.MaxDist(a, x, 0.01)
		if high-low > 0.01+1e-12 || math.Abs(x.Dist(at)-low) > 1e-9 {
			rt.Fatalf("%g to %g, at the point %g", low, high, x.Dist(at))
		}
		for _, p := range a {
			for i := range p.NumSegs() {
				for k := range 30 {
					if d := x.Dist(p.Seg(i).At(float64(k) / 30)); d > high+1e-9 {
						rt.Fatalf("a point is %g away, bound %g", d, high)
					}
				}
			}
		}
	})
}

func TestGreatestDistanceWithoutPaths(t *testing.T) {
	one := []geom.Path{geom.Circle(geom.Pt(0, 0), 1)}
	if l, h, _ := geom.MaxDist(nil, geom.IndexPaths(one...), 1); l != 0 || h != 0 {
		t.Errorf("nothing strays %g to %g", l, h)
	}
	if l, _, _ := geom.MaxDist(one, geom.IndexPaths(), 1); !math.IsInf(l, 1) {
		t.Errorf("distance from nothing %g", l)
	}
}

func manyCircles(n int) []geom.Path {
	r := rand.New(rand.NewPCG(1, 2))
	out := make([]geom.Path, n)
	side := math.Sqrt(float64(n)) * 20
	for i := range out {
		out[i] = geom.Circle(geom.Pt(r.Float64()*side, r.Float64()*side), 1+r.Float64()*8)
	}
	return out
}

func BenchmarkIndex(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		paths := manyCircles(n)
		x := geom.IndexPaths(paths...)
		b.Run(fmt.Sprintf("build/%d", 2*n), func(b *testing.B) {
			for range b.N {
				geom.IndexPaths(paths...)
			}
		})
		b.Run(fmt.Sprintf("nearest/%d", 2*n), func(b *testing.B) {
			box := x.Box()
			for i := range b.N {
				x.Nearest(box.Min.Lerp(box.Max, float64(i%997)/997))
			}
		})
	}
}
