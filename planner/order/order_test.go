package order_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/order"
	"pgregory.net/rapid"
)

func at(x, y float64) []geom.Point { return []geom.Point{geom.Pt(x, y)} }

// hinge is an outline with two holes.
func hinge() order.Problem {
	return order.Problem{Nodes: []order.Node{
		{Starts: at(0, 0), After: []int{1, 2}, Name: "p1.o1"},
		{Starts: at(10, 0), Name: "p1.h1"},
		{Starts: at(20, 0), Name: "p1.h2"},
	}, Start: &geom.Point{}}
}

func solve(t testing.TB, p order.Problem, o order.Options) order.Result {
	t.Helper()
	r, err := order.Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestOutlineIsCutLast(t *testing.T) {
	r := solve(t, hinge(), order.Options{})
	if r.Order[2] != 0 {
		t.Error("order", r.Order)
	}
	// Out to 20 by way of 10 or back by way of it, then to 0: 40 mm.
	if r.Length != 40 || r.Cost != 40 || r.Bound > 40 {
		t.Error(r)
	}
}

func TestCircleOfPrecedencesNamesItsCuts(t *testing.T) {
	p := hinge()
	p.Nodes[2].After = []int{0}
	p.Nodes = append(p.Nodes, order.Node{Starts: at(5, 5), After: []int{2}, Name: "after the circle"})
	_, err := order.Solve(context.Background(), p, order.Options{})
	var c *order.CycleError
	if !errors.As(err, &c) {
		t.Fatal(err)
	}
	if names := slices.Sorted(slices.Values(c.Names)); !slices.Equal(names, []string{"p1.h2", "p1.o1"}) {
		t.Error(names)
	}
	for k, v := range c.Nodes {
		if next := c.Nodes[(k+1)%len(c.Nodes)]; !slices.Contains(p.Nodes[next].After, v) {
			t.Errorf("%d need not come before %d", v, next)
		}
	}
}

func TestBadProblemsAreRefusedByName(t *testing.T) {
	nan := math.NaN()
	for name, row := range map[string]struct {
		spoil func(p *order.Problem)
		want  string
	}{
		"no start point":       {func(p *order.Problem) { p.Nodes[1].Starts = nil }, "p1.h1: no start point"},
		"ends of another cut":  {func(p *order.Problem) { p.Nodes[1].Ends = make([]geom.Point, 2) }, "p1.h1: 1 start points but 2 ends"},
		"not a number":         {func(p *order.Problem) { p.Nodes[2].Starts = at(nan, 0) }, "p1.h2: start point 0"},
		"end far away":         {func(p *order.Problem) { p.Nodes[2].Ends = at(0, 1e7) }, "p1.h2: start point 0"},
		"park point":           {func(p *order.Problem) { p.End = &geom.Point{X: nan} }, "park point"},
		"after what is not":    {func(p *order.Problem) { p.Nodes[0].After = []int{7} }, "p1.o1: must come after cut 7"},
		"after itself":         {func(p *order.Problem) { p.Nodes[0].After = []int{0} }, "p1.o1"},
		"class against nature": {func(p *order.Problem) { p.Nodes[1].Rank = 3 }, "p1.o1: must come after cut p1.h1"},
		"rank out of range":    {func(p *order.Problem) { p.Nodes[0].Rank = 1 << 40 }, "p1.o1: rank"},
		"feed":                 {func(p *order.Problem) { p.Rapid.Feed = -1 }, "rapid: feed -1"},
		"heat":                 {func(p *order.Problem) { p.Heat.Distance = nan }, "heat spread"},
	} {
		t.Run(name, func(t *testing.T) {
			p := hinge()
			row.spoil(&p)
			if _, err := order.Solve(context.Background(), p, order.Options{}); err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want %q in it", err, row.want)
			}
			if b := order.Bound(p); b != 0 {
				t.Error("bound of a bad problem", b)
			}
		})
	}
}

func TestFewOrNoCuts(t *testing.T) {
	park := geom.Pt(0, 30)
	for n := range 4 {
		p := order.Problem{Start: &geom.Point{}, End: &park}
		for i := range n {
			p.Nodes = append(p.Nodes, order.Node{Starts: at(40, float64(15*i))})
		}
		r := solve(t, p, order.Options{})
		want := []float64{30, 40 + 50, math.Hypot(40, 0) + 15 + math.Hypot(40, 15), 40 + 30 + 40}[n]
		if len(r.Order) != n || math.Abs(r.Length-want) > geom.Same || r.Bound > want || math.Abs(order.Bound(p)-want) > geom.Same {
			t.Errorf("%d cuts: %+v, want %g mm and as much for the bound", n, r, want)
		}
	}
	if r := solve(t, order.Problem{}, order.Options{}); r.Length != 0 || r.Bound != 0 {
		t.Error("nothing at all", r)
	}
}

// TestRapidSpeedsUpAndSlowsDown holds the cost of one rapid against the
// closed form of uniform acceleration: at 100 mm/s and 500 mm/s2 the peak is
// reached after 10 mm.
func TestRapidSpeedsUpAndSlowsDown(t *testing.T) {
	for name, row := range map[string]struct{ d, accel, want float64 }{
		"peak not reached": {5, 500, 2 * math.Sqrt(5./500)},
		"just reached":     {20, 500, 0.4},
		"reached":          {100, 500, 0.2 + 0.8 + 0.2},
		"at once":          {100, 0, 1},
	} {
		p := order.Problem{Nodes: []order.Node{{Starts: at(row.d, 0)}}, Start: &geom.Point{},
			Rapid: order.Rapid{Feed: 6000, Accel: row.accel, Lift: 0.5}}
		if r := solve(t, p, order.Options{}); math.Abs(r.Cost-row.want-0.5) > 1e-12 {
			t.Errorf("%s: %g s, want %g", name, r.Cost, row.want+0.5)
		}
	}
}

// TestStartPointIsChosenWithTheOrder: two slots and a hole, on each slot the
// ends are allowed starts; only going right on the first and left on the
// second is short.
func TestStartPointIsChosenWithTheOrder(t *testing.T) {
	slot := func(y float64) order.Node {
		a, b := geom.Pt(0, y), geom.Pt(100, y)
		return order.Node{Starts: []geom.Point{a, b}, Ends: []geom.Point{b, a}}
	}
	p := order.Problem{Start: &geom.Point{}, Nodes: []order.Node{slot(20), slot(10), {Starts: at(0, 30)}}}
	r := solve(t, p, order.Options{})
	if !slices.Equal(r.Order, []int{1, 0, 2}) || !slices.Equal(r.Start, []int{1, 0, 0}) || r.Length != 30 {
		t.Error(r)
	}
}

func TestMarksComeFirst(t *testing.T) {
	p := plate(6, 5, true)
	for i := range p.Nodes {
		p.Nodes[i].Rank = 1
		if i%6 == 0 {
			p.Nodes[i].Rank = 0 // one hole of every part is a mark
		}
	}
	for _, group := range []bool{false, true} {
		p.GroupParts = group
		r := solve(t, p, order.Options{Kicks: 300})
		for k, v := range r.Order {
			if (k < 6) != (v%6 == 0) {
				t.Fatal("place", k, "is cut", v)
			}
		}
	}
}

func TestPartIsFinishedBeforeTheNext(t *testing.T) {
	p := plate(9, 7, true)
	p.GroupParts = true
	r := solve(t, p, order.Options{Kicks: 500})
	for k, v := range r.Order {
		if p.Nodes[v].Group != p.Nodes[r.Order[k-k%8]].Group {
			t.Fatal("parts are mixed at place", k)
		}
	}
	// A part that lies in the cut-out of another is cut between its holes and
	// that cut-out: the two can only be finished together.
	const hole, cutout, outline, small = 0, 1, 2, 3
	q := order.Problem{GroupParts: true, Nodes: []order.Node{
		hole:    {Starts: at(0, 0), Group: 1},
		cutout:  {Starts: at(9, 0), Group: 1, After: []int{small}},
		outline: {Starts: at(20, 0), Group: 1, After: []int{hole, cutout}},
		small:   {Starts: at(5, 0), Group: 2, After: []int{hole}},
	}}
	if r := solve(t, q, order.Options{}); !slices.Equal(r.Order, []int{hole, small, cutout, outline}) {
		t.Error(r.Order)
	}
}

// TestAnyPrecedencesAreKeptOrNamed draws problems with any precedences at
// all, groups and ranks.
func TestAnyPrecedencesAreKeptOrNamed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "cuts")
		p := order.Problem{GroupParts: rapid.Bool().Draw(t, "part by part")}
		ranks := rapid.IntRange(0, 2).Draw(t, "highest rank")
		for range n {
			v := order.Node{Group: rapid.IntRange(0, 3).Draw(t, "group"), Rank: rapid.IntRange(0, ranks).Draw(t, "rank")}
			for range rapid.IntRange(1, 3).Draw(t, "points") {
				xy := rapid.IntRange(0, 20)
				v.Starts = append(v.Starts, geom.Pt(float64(xy.Draw(t, "x")), float64(xy.Draw(t, "y"))))
			}
			p.Nodes = append(p.Nodes, v)
		}
		for range rapid.IntRange(0, n).Draw(t, "precedences") {
			a, b := rapid.IntRange(0, n-1).Draw(t, "first"), rapid.IntRange(0, n-1).Draw(t, "then")
			if p.Nodes[a].Rank <= p.Nodes[b].Rank {
				p.Nodes[b].After = append(p.Nodes[b].After, a)
			}
		}
		r, err := order.Solve(context.Background(), p, order.Options{Kicks: 50})
		if err != nil {
			var c *order.CycleError
			if !errors.As(err, &c) {
				t.Fatal(err)
			}
			for k, v := range c.Nodes {
				if !slices.Contains(p.Nodes[c.Nodes[(k+1)%len(c.Nodes)]].After, v) {
					t.Fatal("no circle", c.Nodes)
				}
			}
			return
		}
		place := make([]int, n)
		for k := range place {
			place[k] = -1
		}
		for k, v := range r.Order {
			place[v] = k
		}
		for v, node := range p.Nodes {
			for _, b := range node.After {
				if place[v] < 0 || place[b] > place[v] {
					t.Fatalf("cut %d comes before %d: %v", v, b, r.Order)
				}
			}
			for w, other := range p.Nodes {
				if other.Rank < node.Rank && place[w] > place[v] {
					t.Fatalf("cut %d of a lower rank comes after %d", w, v)
				}
			}
		}
		if r.Bound > r.Length {
			t.Fatal("bound", r.Bound, "over length", r.Length)
		}
	})
}

func TestSameAnswerOnOneAndTwoThreads(t *testing.T) {
	for name, p := range map[string]order.Problem{
		"mixed": plate(12, 12, true), "part by part": func() order.Problem {
			p := plate(12, 12, true)
			p.GroupParts = true
			return p
		}(),
	} {
		var want order.Result
		for k, threads := range []int{1, 2, 2, 1} {
			old := runtime.GOMAXPROCS(threads)
			r := solve(t, p, order.Options{Kicks: 400, Seed: 3})
			runtime.GOMAXPROCS(old)
			if k == 0 {
				want = r
			} else if !reflect.DeepEqual(r, want) {
				t.Errorf("%s: run %d on %d threads: %g mm, first %g mm", name, k, threads, r.Length, want.Length)
			}
		}
		if other := solve(t, p, order.Options{Kicks: 400, Seed: 4}); reflect.DeepEqual(other.Order, want.Order) {
			t.Logf("%s: another seed gives the same order", name)
		}
	}
}

func TestStoppedSearchSaysSo(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := order.Solve(ctx, plate(12, 12, true), order.Options{}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestHeatKeepsNeighboursApart cuts a row of holes 20 mm apart on thin plate.
func TestHeatKeepsNeighboursApart(t *testing.T) {
	p := order.Problem{Start: &geom.Point{}}
	for i := range 30 {
		p.Nodes = append(p.Nodes, order.Node{Starts: at(float64(20*i), 0)})
	}
	p.Nodes = append(p.Nodes, order.Node{Starts: at(300, 50), After: []int{0, 1, 2, 3, 4, 5}})
	cold := p
	cold.Heat = order.Heat{Cuts: 2, Distance: 50, Penalty: 5000}
	plain := solve(t, p, order.Options{Kicks: 300})
	mended := solve(t, cold, order.Options{Kicks: 300})
	hot := 0
	for k, v := range mended.Order {
		for _, u := range mended.Order[max(0, k-2):k] {
			if p.Nodes[u].Starts[0].Dist(p.Nodes[v].Starts[0]) < 50 {
				hot++
			}
		}
	}
	if hot != mended.Hot || hot > 3 {
		t.Errorf("%d pairs too near, %d reported: %v", hot, mended.Hot, mended.Order)
	}
	// Three or four times along the row, not back and forth at every cut.
	if mended.Length > 6*plain.Length {
		t.Errorf("%g mm, %g mm without heat", mended.Length, plain.Length)
	}
	if slices.Index(mended.Order, 30) < slices.Index(mended.Order, 5) {
		t.Error("heat broke a precedence")
	}
}

// TestClosedFormsAreReached: on a circle the shortest tour is the polygon; on
// a grid with an even side every edge is one spacing. On both the bound
// reaches the optimum.
func TestClosedFormsAreReached(t *testing.T) {
	var circle, grid []geom.Point
	for i := range 60 {
		circle = append(circle, geom.Polar(geom.Pt(500, 500), 400, float64(i)*math.Pi/30))
	}
	for i := range 120 {
		grid = append(grid, geom.Pt(float64(i%12)*25, float64(i/12)*25))
	}
	for name, row := range map[string]struct {
		at   []geom.Point
		want float64
	}{"circle": {circle, 60 * 2 * 400 * math.Sin(math.Pi/60)}, "grid": {grid, 120 * 25}} {
		r := solve(t, closed(row.at), order.Options{})
		if math.Abs(r.Length-row.want) > geom.Same || r.Bound < 0.999*row.want {
			t.Errorf("%s: %g mm, bound %g mm, want %g", name, r.Length, r.Bound, row.want)
		}
	}
}

// TestBerlinIsSolved is the one published instance that is always here.
func TestBerlinIsSolved(t *testing.T) {
	f, err := os.Open("testdata/berlin52.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var points []geom.Point
	for in := bufio.NewScanner(f); in.Scan(); {
		var id int
		var p geom.Point
		if n, _ := fmt.Sscan(in.Text(), &id, &p.X, &p.Y); n == 3 {
			points = append(points, p)
		}
	}
	r := solve(t, closed(points), order.Options{})
	// 7542: TSPLIB, by rounded edges. Its optimal tour is 7544.37 long without
	// rounding (from the coordinates), and the Held-Karp bound is known to be
	// tight here.
	if got := rounded(points, r); got != 7542 || r.Bound < 7544.37*0.999 || r.Bound > 7544.37 {
		t.Errorf("%g, bound %g", got, r.Bound)
	}
}

// TestPublishedToursAreNear solves some of the larger instances, if they are
// here, with few kicks.
func TestPublishedToursAreNear(t *testing.T) {
	for _, in := range readBest(t).Tour {
		limit, ok := map[string]float64{"a280": 0.5, "pcb442": 1, "d1291": 1, "fl1577": 2, "pr2392": 2}[in.Name]
		if !ok || testing.Short() && in.Nodes > 500 {
			continue
		}
		points := readTour(t, in.File)
		r := solve(t, closed(points), order.Options{Kicks: 10 * in.Nodes, Seed: 1})
		over, under := 100*(rounded(points, r)/in.Optimum-1), 100*(1-r.Bound/in.Optimum)
		if over > limit || over < 0 || under > 2 {
			t.Errorf("%s: %.2f %% over the optimum, bound %.2f %% under", in.Name, over, under)
		}
	}
}

func BenchmarkPlate(b *testing.B) {
	for _, row := range []struct {
		name   string
		parts  int
		choice bool
	}{{"1000 cuts", 50, true}, {"20000 cuts", 1000, false}, {"20000 cuts with 160000 start points", 1000, true}} {
		p := plate(row.parts, 19, row.choice)
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				solve(b, p, order.Options{})
			}
		})
	}
}
