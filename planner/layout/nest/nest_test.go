package nest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"example.org/kerfwright/planner/geom"
)

func rectangle(w, h float64) []geom.Point {
	return []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
}

func shifted(ring []geom.Point, d geom.Point) []geom.Point {
	var out []geom.Point
	for _, p := range ring {
		out = append(out, p.Add(d))
	}
	return out
}

func TestNestIsTheSameOnOneCoreAndTwo(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	p := Problem{Height: 300, Seed: 3, Rounds: 60}
	for range 4 {
		p.Kinds = append(p.Kinds, Kind{Rings: [][]geom.Point{star(r, 7, 60)}, Count: 4, Angles: spread(24), Flip: true})
	}
	was := runtime.GOMAXPROCS(1)
	one := Pack(context.Background(), p)
	runtime.GOMAXPROCS(2)
	two := Pack(context.Background(), p)
	runtime.GOMAXPROCS(was)
	if !reflect.DeepEqual(one, two) {
		t.Errorf("%v\n%v", one, two)
	}
	if p.Seed = 4; reflect.DeepEqual(one.Places, Pack(context.Background(), p).Places) {
		t.Error("another seed gives the same layout: the seed has no effect")
	}
}

func TestPartsGoIntoTheHolesOfOthers(t *testing.T) {
	frame := [][]geom.Point{rectangle(100, 100), shifted(rectangle(60, 60), geom.Pt(20, 20))}
	p := Problem{Height: 100, Seed: 1, Rounds: 200, Kinds: []Kind{{Rings: frame, Count: 2}, {Rings: [][]geom.Point{rectangle(55, 25)}, Count: 4, Angles: spread(4)}}}
	r := Pack(context.Background(), p)
	checkPlaces(t, p, r)
	// Two frames fill the strip to 200; two small ones fit each hole.
	if r.Length > 200.01 {
		t.Errorf("length %g", r.Length)
	}
}

func TestWhatIsFixedStaysFree(t *testing.T) {
	p := Problem{Height: 100, Seed: 1, Rounds: 100, Length: 200,
		Fixed: []Fixed{{Rings: [][]geom.Point{shifted(rectangle(60, 60), geom.Pt(20, 20))}}},
		Kinds: []Kind{{Rings: [][]geom.Point{rectangle(20, 20)}, Count: 30}}}
	r := Pack(context.Background(), p)
	if len(r.Places)+r.Left[0] != 30 || len(r.Places) < 20 {
		t.Fatalf("%d placed, %d left", len(r.Places), r.Left[0])
	}
	for _, pl := range r.Places {
		if pl.At.X < 80-1e-4 && pl.At.X > 1e-4 && pl.At.Y < 80-1e-4 && pl.At.Y > 1e-4 {
			t.Errorf("place %v lies on the fixed square", pl.At)
		}
	}
}

func TestWhatDoesNotFitIsCounted(t *testing.T) {
	p := Problem{Height: 100, Length: 100, Seed: 1, Rounds: 30, Kinds: []Kind{{Rings: [][]geom.Point{rectangle(60, 60)}, Count: 3}}}
	r := Pack(context.Background(), p)
	if len(r.Places) != 1 || r.Left[0] != 2 {
		t.Errorf("%d placed, %v left: one square of 60 fits a plate of 100", len(r.Places), r.Left)
	}
}

func TestCancelledNestKeepsALayout(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	p := Problem{Height: 100, Seed: 1, Rounds: 1 << 30, Kinds: []Kind{{Rings: [][]geom.Point{star(rand.New(rand.NewPCG(1, 1)), 6, 30)}, Count: 12, Angles: spread(8)}}}
	n := 0
	p.Better = func(Result) {
		if n++; n == 2 {
			stop()
		}
	}
	stop2 := context.AfterFunc(ctx, func() {})
	defer stop2()
	p.Rounds = 2000
	r := Pack(ctx, p)
	stop()
	checkPlaces(t, p, r)
	if len(r.Places) != 12 {
		t.Errorf("%d placed", len(r.Places))
	}
}

// Overlap and bounds of random nests, re-checked by an independent library
// (github.com/peterstace/simplefeatures).
func TestRandomNestsDoNotOverlap(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for trial := range 12 {
		p := Problem{Height: 150 + 200*r.Float64(), Seed: uint64(trial), Rounds: 20}
		for range 1 + r.IntN(4) {
			k := Kind{Rings: [][]geom.Point{star(r, 3+r.IntN(8), 20+50*r.Float64())}, Count: 1 + r.IntN(5), Angles: spread(1 << r.IntN(4)), Flip: r.IntN(2) == 0}
			p.Kinds = append(p.Kinds, k)
		}
		res := Pack(context.Background(), p)
		checkPlaces(t, p, res)
	}
}

// BenchmarkGrowth packs 10 to 1,000 copies of ten shapes with a budget of 100
// places looked at for each copy.
func BenchmarkGrowth(b *testing.B) {
	for _, n := range []int{10, 30, 100, 300, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				r := rand.New(rand.NewPCG(11, 12))
				p := Problem{Height: 30 * math.Sqrt(float64(n)*10), Seed: 1, Rounds: max(1, n/10)}
				for range 10 {
					p.Kinds = append(p.Kinds, Kind{Rings: [][]geom.Point{star(r, 8, 60)}, Count: n / 10, Angles: spread(4)})
				}
				res := Pack(context.Background(), p)
				b.ReportMetric(res.Length, "mm")
			}
		})
	}
}

// A strip so high that all shapes stand over one another is as short as the
// widest of them. Once it is, nothing is left to look at, and the search ends
// however large its budget. A regular shape is as wide at every turn but for
// rounding, which must not pass for something left.
func TestSearchEndsWhereNothingIsLeftToFind(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for trial := range 20 {
		p := Problem{Height: 1000, Seed: uint64(trial), Rounds: 1 << 20}
		widest := 0.0
		for range 1 + r.IntN(2) {
			w := 20 + 80*r.Float64()
			widest = max(widest, w)
			p.Kinds = append(p.Kinds, Kind{Rings: [][]geom.Point{shifted(regular(48, w/2), geom.Pt(17.3, -4.1))}, Count: 1 + r.IntN(2), Angles: spread(24)})
		}
		res := Pack(context.Background(), p)
		checkPlaces(t, p, res)
		if res.Length > widest*(1+1e-6) || res.Rounds >= p.Rounds {
			t.Errorf("trial %d: %g mm after %d rounds, the widest is %g", trial, res.Length, res.Rounds, widest)
		}
	}
}

func regular(n int, r float64) (ring []geom.Point) {
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		ring = append(ring, geom.Pt(r*cos, r*sin))
	}
	return
}

// Rings that cross are no shape, and still no reason to search for ever.
func TestSearchOfCrossingRingsEnds(t *testing.T) {
	for _, inner := range []float64{30, 38, 40, 41, 44} {
		crossing := [][]geom.Point{regular(24, 60), regular(24, 40), shifted(regular(24, inner), geom.Pt(3, 1))}
		for _, high := range []float64{130, 150, 400} {
			p := Problem{Height: high, Seed: 1, Rounds: 20, Kinds: []Kind{{Rings: crossing, Count: 2, Angles: spread(4)}, {Rings: [][]geom.Point{rectangle(80, 50)}, Count: 1, Angles: spread(4)}}}
			if r := Pack(context.Background(), p); len(r.Places) != 3 {
				t.Errorf("%g in %g: %d places", inner, high, len(r.Places))
			}
		}
	}
}

// What is fixed and like a kind takes the room that its own rings would take,
// turned over and turned.
func TestFixedCopiesOfAKindStayFree(t *testing.T) {
	shape := []geom.Point{{}, {X: 60}, {X: 60, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 90}, {Y: 90}}
	lies := []Place{{At: geom.Pt(5, 5)}, {Flip: true, Angle: math.Pi / 2, At: geom.Pt(170, 90)}, {Angle: math.Pi / 6, At: geom.Pt(240, 20)}}
	p := Problem{Height: 160, Seed: 1, Rounds: 40, Length: 400, Kinds: []Kind{{Rings: [][]geom.Point{shape}}, {Rings: [][]geom.Point{rectangle(25, 15)}, Count: 40, Angles: spread(4)}}}
	own := p
	for _, l := range lies {
		m := geom.Move{Mirror: l.Flip, Angle: l.Angle, Shift: l.At}
		var ring []geom.Point
		for _, q := range shape {
			ring = append(ring, m.Apply(q))
		}
		p.Fixed = append(p.Fixed, Fixed{Like: 1, Place: l})
		own.Fixed = append(own.Fixed, Fixed{Rings: [][]geom.Point{ring}})
	}
	r := Pack(context.Background(), p)
	if len(r.Places) != 40 {
		t.Errorf("%d of 40 placed", len(r.Places))
	}
	m := newModel(own)
	for _, pl := range r.Places {
		for i, f := range m.forms {
			if f.kind != 1 || f.angle != pl.Angle {
				continue
			}
			for _, k := range m.fixed {
				if overlap(m.forms[i].region, m.forms[k].region, geom.Point{}.Sub(pl.At), 10*m.tol) {
					t.Errorf("%v lies on what is fixed", pl)
				}
			}
		}
	}
}
