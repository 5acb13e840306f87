package geom_test

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// anyShape draws one of the shapes of the oracle run.
func anyShape(rt *rapid.T) geom.Path {
	return randomShape(rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 7)))
}

func anyDistance(rt *rapid.T) float64 {
	return rapid.Float64Range(-4, 4).Filter(func(d float64) bool { return math.Abs(d) > 0.01 }).Draw(rt, "d")
}

func offsetOrSkip(rt *rapid.T, p geom.Path, d float64) []geom.Path {
	out, err := geom.Offset(p, d)
	var tangle *geom.TangleError
	if errors.As(err, &tangle) {
		rt.Skip("tangled")
	}
	if err != nil {
		rt.Fatalf("by %g: %v", d, err)
	}
	return out
}

func areaOf(paths []geom.Path) (sum float64) {
	for _, p := range paths {
		sum += p.Area()
	}
	return sum
}

// Every point of the result is d from the source, on its side; every segment
// is that far from the one its Src names.
func TestOffsetKeepsItsDistance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, d := anyShape(rt), anyDistance(rt)
		x := geom.IndexPaths(p)
		for _, q := range offsetOrSkip(rt, p, d) {
			for i := range q.NumSegs() {
				s := q.Seg(i)
				for _, u := range []float64{0, 0.1, 0.31, 0.5, 0.77} {
					at := s.At(u)
					if off := x.Dist(at) - math.Abs(d); math.Abs(off) > 2*geom.Same {
						rt.Fatalf("by %g: segment %d at %g is off by %g", d, i, u, off)
					}
					if in := x.Winding(at) != 0; in != (d < 0) {
						rt.Fatalf("by %g: segment %d at %g is on the wrong side", d, i, u)
					}
				}
				if from := p.Seg(int(q.V[i].Src)); math.Abs(from.Dist(s.Mid())-math.Abs(d)) > 2*geom.Same {
					rt.Fatalf("by %g: segment %d is %g from its source %d", d, i, from.Dist(s.Mid()), q.V[i].Src)
				}
			}
		}
	})
}

// Nothing is missing: a point r from the source on the side of the move, clear
// by a little, lies on the free side of the result.
func TestOffsetLeavesNothingOut(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, d := anyShape(rt), anyDistance(rt)
		out := offsetOrSkip(rt, p, d)
		x := geom.IndexPaths(p)
		b := p.Box().Grow(5)
		for range 40 {
			q := geom.Pt(rapid.Float64Range(b.Min.X, b.Max.X).Draw(rt, "x"), rapid.Float64Range(b.Min.Y, b.Max.Y).Draw(rt, "y"))
			inside, dist := x.Winding(q) != 0, x.Dist(q)
			if math.Abs(dist-math.Abs(d)) < 1e-4 {
				continue
			}
			want := 0
			if inside && (d > 0 || dist > -d) || !inside && d > 0 && dist < d {
				want = 1
			}
			w := 0
			for _, r := range out {
				w += r.Winding(q)
			}
			if w != want {
				rt.Fatalf("by %g: winding %d round %v, want %d", d, w, q, want)
			}
		}
	})
}

// The region grows with d: dA/dd is the length of the boundary between the
// distances at which it changes shape, and never less than 0.
func TestAreaGrowsWithDistance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, d := anyShape(rt), anyDistance(rt)
		step := rapid.Float64Range(1e-3, 1).Draw(rt, "step")
		a, b := areaOf(offsetOrSkip(rt, p, d)), areaOf(offsetOrSkip(rt, p, d+step))
		if b < a-1e-6 {
			rt.Fatalf("area %g by %g, %g by %g", a, d, b, d+step)
		}
	})
}

func TestOffsetOutAndInAgainGivesAConvexPart(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(3, 20).Draw(rt, "n")
		var p geom.Path
		p.Closed = true
		for i := range n { // on a circle, so convex
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(-0.3, 0.3).Draw(rt, "a")) / float64(n)
			p.V = append(p.V, geom.Vertex{P: geom.Polar(geom.Pt(50, -20), 30, a), Bulge: rapid.SampledFrom([]float64{0, math.Tan(math.Pi / float64(4*n))}).Draw(rt, "bulge")})
		}
		d := rapid.Float64Range(0.01, 20).Draw(rt, "d")
		out := offsetOrSkip(rt, p, d)
		if len(out) != 1 {
			rt.Fatalf("%d rings", len(out))
		}
		near(t, "grown", out[0].Area(), p.CCW().Area()+p.Length()*d+math.Pi*d*d, 1e-5)
		back := offsetOrSkip(rt, out[0], -d)
		if _, off := geom.Hausdorff(back, []geom.Path{p}, 1e-5); len(back) != 1 || off > 1e-4 {
			rt.Fatalf("%d rings, %g off", len(back), off)
		}
	})
}

func TestOffsetDoesNotDependOnStartOrDirection(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, d := anyShape(rt), anyDistance(rt)
		a := offsetOrSkip(rt, p, d)
		q := p
		k := rapid.IntRange(0, len(p.V)-1).Draw(rt, "k")
		q.V = slices.Concat(p.V[k:], p.V[:k])
		if rapid.Bool().Draw(rt, "reversed") {
			q = q.Reverse()
		}
		b := offsetOrSkip(rt, q, d)
		if len(a) != len(b) || math.Abs(areaOf(a)-areaOf(b)) > 1e-5 {
			rt.Fatalf("%d rings, area %g; %d rings, area %g", len(a), areaOf(a), len(b), areaOf(b))
		}
	})
}

// anyTangle turns numbers into a closed path, most of them crossing.
func anyTangle(rt *rapid.T) geom.Path {
	p := geom.Path{Closed: true}
	grid := rapid.SampledFrom([]float64{0, 1, 0.25}).Draw(rt, "grid")
	for range rapid.IntRange(0, 14).Draw(rt, "n") {
		co := rapid.Float64Range(-8, 8)
		q := geom.Pt(co.Draw(rt, "x"), co.Draw(rt, "y"))
		if grid > 0 { // many coincidences
			q = geom.Pt(math.Round(q.X/grid)*grid, math.Round(q.Y/grid)*grid)
		}
		p.V = append(p.V, geom.Vertex{P: q, Bulge: rapid.SampledFrom([]float64{0, 0, 0, 1, -1, quarter, -quarter, 0.1, -3}).Draw(rt, "bulge")})
	}
	return p
}

// Whatever comes in, an answer comes out: results that keep the distance, or
// a refusal; never a panic, and never long.
func answersAnyway(p geom.Path, d float64) error {
	start := time.Now()
	out, err := geom.OffsetDetail(p, nil, d)
	if took := time.Since(start); took > time.Second {
		return fmt.Errorf("took %v", took)
	}
	if err != nil {
		if errors.Is(err, geom.ErrUnproved) {
			return err
		}
		return nil
	}
	x := geom.IndexPaths(p)
	for _, q := range out.Loops {
		for i := range q.NumSegs() {
			if off := x.Dist(q.Seg(i).Mid()) - math.Abs(d); math.Abs(off) > 2*geom.Same+2*out.Nudge {
				return fmt.Errorf("segment %d is off by %g", i, off)
			}
		}
	}
	return nil
}

func TestTangledInputGivesAnAnswer(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := anyTangle(rt)
		d := rapid.SampledFrom([]float64{0.5, -0.5, 1, -1, 0.25, -0.25, 3, 1e-7, 0, 50, -0.1234567}).Draw(rt, "d")
		if err := answersAnyway(p, d); err != nil {
			rt.Fatalf("by %g: %v", d, err)
		}
	})
}

// A corner takes five bytes: x and y in 1/256 mm, bulge in 1/64.
func pathOfBytes(data []byte) geom.Path {
	p := geom.Path{Closed: true}
	for ; len(data) >= 5 && len(p.V) < 60; data = data[5:] {
		x, y := int16(binary.BigEndian.Uint16(data)), int16(binary.BigEndian.Uint16(data[2:]))
		p.V = append(p.V, geom.Vertex{P: geom.Pt(float64(x)/256, float64(y)/256), Bulge: float64(int8(data[4])) / 64})
	}
	return p
}

func bytesOfPath(p geom.Path) (out []byte) {
	for _, v := range p.V {
		out = binary.BigEndian.AppendUint16(out, uint16(int16(math.Round(v.P.X*256))))
		out = binary.BigEndian.AppendUint16(out, uint16(int16(math.Round(v.P.Y*256))))
		out = append(out, byte(int8(math.Round(v.Bulge*64))))
	}
	return out
}

// Seeds are in testdata/fuzz/FuzzOffset: a gate hinge's leaf, a slot, a comb, a
// bow tie, a spike and a circle twice round; and the shapes of the tables.
func FuzzOffset(f *testing.F) {
	for _, p := range []geom.Path{rectangle(0, 0, 20, 20), dumbbell(1.8), dumbbell(2), hexArcs(5), geom.Circle(geom.Pt(0, 0), 1), slotPath(geom.Pt(0, 0), 30, 8, 0.3)} {
		f.Add(bytesOfPath(p), 1.0)
		f.Add(bytesOfPath(p), -1.0)
	}
	f.Fuzz(func(t *testing.T, data []byte, d float64) {
		if math.Abs(d) > 1e6 {
			t.Skip("beyond any plate")
		}
		if err := answersAnyway(pathOfBytes(data), d); err != nil {
			t.Fatalf("by %g: %v\n%v", d, err, pathOfBytes(data))
		}
	})
}
