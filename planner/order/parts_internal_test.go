package order

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// TestKeptFindsWhatIsBroken: the check that the other tests rest on must be
// seen to fail.
func TestKeptFindsWhatIsBroken(t *testing.T) {
	at := []geom.Point{{}}
	m, err := newModel(Problem{GroupParts: true, Nodes: []Node{
		{Starts: at, Group: 1}, {Starts: at, Group: 1, After: []int{0}}, {Starts: at, Group: 2}, {Starts: at, Group: 3, Rank: 1},
	}})
	if err != nil {
		t.Fatal(err)
	}
	for name, row := range map[string]struct {
		order []int32
		kept  bool
	}{
		"good":                   {[]int32{0, 1, 2, 3}, true},
		"good too":               {[]int32{2, 0, 1, 3}, true},
		"precedence":             {[]int32{1, 0, 2, 3}, false},
		"parts mixed":            {[]int32{0, 2, 1, 3}, false},
		"rank":                   {[]int32{3, 0, 1, 2}, false},
		"one missing":            {[]int32{0, 1, 2}, false},
		"one missing, one twice": {[]int32{0, 1, 1, 3}, false},
	} {
		if m.kept(row.order) != row.kept {
			t.Error(name)
		}
	}
}

// scattered returns points of which many lie in rows, some in one place.
func scattered(r *rand.Rand, n int) (x, y []float64) {
	for range n {
		x, y = append(x, float64(r.IntN(20))*10), append(y, r.Float64()*float64(r.IntN(2))*100)
	}
	return x, y
}

func TestNeighboursAreTheNearestInEveryQuadrant(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{1, 2, 9, 50, 400} {
		x, y := scattered(r, n)
		owner := make([]int32, n)
		for k := range owner {
			owner[k] = int32(k)
		}
		c := neighbours(n, places{x, y, owner})
		for v := range n {
			var all []edge
			for w := range n {
				if w != v {
					dx, dy := x[w]-x[v], y[w]-y[v]
					all = append(all, edge{int32(w), 0, dx*dx + dy*dy})
				}
			}
			slices.SortFunc(all, func(a, b edge) int { return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.a, b.a)) })
			quadrant := func(w int32) int {
				dx, dy := x[w]-x[v], y[w]-y[v]
				switch {
				case dx >= 0 && dy >= 0:
					return 0
				case dx < 0 && dy >= 0:
					return 1
				case dx < 0:
					return 2
				}
				return 3
			}
			want := map[int32]bool{}
			var full [4]int
			for k, e := range all {
				q := quadrant(e.a)
				if k < nearestKept || full[q] < quadrantKept {
					want[e.a] = true
				}
				full[q]++
			}
			got, _ := c.of(int32(v))
			if len(got) != len(want) {
				t.Fatalf("%d points, node %d: %d neighbours, want %d", n, v, len(got), len(want))
			}
			for _, w := range got {
				if !want[w] {
					t.Fatalf("%d points, node %d: %d is no neighbour", n, v, w)
				}
			}
		}
	}
}

// TestLeastTreeIsLeast holds the tree found by boxes against one grown over
// all pairs, with weights, choices and cuts that end elsewhere.
func TestLeastTreeIsLeast(t *testing.T) {
	for name, h := range shapes {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(10) {
				r := rand.New(rand.NewPCG(seed, 5))
				h.nodes = 2 + r.IntN(60)
				m, err := newModel(random(r, h))
				if err != nil {
					t.Fatal(err)
				}
				w := make([]float64, m.n)
				for v := range w {
					w[v] = r.NormFloat64() * 20
				}
				got := 0.0
				edges := m.span(m.graph(), w)
				for _, e := range edges {
					got += e.d
				}
				// R. Prim's way.
				want, in := 0.0, make([]bool, m.n)
				key := make([]float64, m.n)
				for v := range key {
					key[v] = math.Inf(1)
				}
				for v := 0; ; {
					in[v] = true
					next := -1
					for u := range key {
						if !in[u] {
							key[u] = min(key[u], m.apart(int32(v), int32(u))+w[v]+w[u])
							if next < 0 || key[u] < key[next] {
								next = u
							}
						}
					}
					if next < 0 {
						break
					}
					want += key[next]
					v = next
				}
				if len(edges) != m.n-1 || math.Abs(got-want) > 1e-9*(math.Abs(want)+1) {
					t.Fatalf("seed %d: %d edges, sum %g, want %g", seed, len(edges), got, want)
				}
			}
		})
	}
}

// TestLeastTreeOfRapidsIsLeast holds the tree of rapids found by boxes against
// one grown over all pairs of points, with weights and what is forbidden.
func TestLeastTreeOfRapidsIsLeast(t *testing.T) {
	for name, h := range shapes {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(10) {
				r := rand.New(rand.NewPCG(seed, 8))
				h.nodes = 2 + r.IntN(50)
				m, err := newModel(random(r, h))
				if err != nil {
					t.Fatal(err)
				}
				w := make([]weights, m.np)
				for q := range w {
					w[q] = weights{r.NormFloat64() * 20, r.NormFloat64() * 20}
				}
				got, edges := m.choiceTree(m.ways(), w)
				least := func(u, v int32) float64 {
					best := math.Inf(1)
					for p := m.first[u]; p < m.first[u+1]; p++ {
						for q := m.first[v]; q < m.first[v+1]; q++ {
							// u right before v, unless v must come before u.
							if !slices.Contains(m.prec.before(u), v) && m.rank[u] <= m.rank[v] {
								best = min(best, m.distance(p, q)+w[p].leave+w[q].come)
							}
							if !slices.Contains(m.prec.before(v), u) && m.rank[v] <= m.rank[u] {
								best = min(best, m.distance(q, p)+w[q].leave+w[p].come)
							}
						}
					}
					return best
				}
				want, in := 0.0, make([]bool, m.n)
				key := make([]float64, m.n)
				for v := range key {
					key[v] = math.Inf(1)
				}
				for v := 0; ; {
					in[v] = true
					next := -1
					for u := range key {
						if !in[u] {
							key[u] = min(key[u], least(int32(v), int32(u)))
							if next < 0 || key[u] < key[next] {
								next = u
							}
						}
					}
					if next < 0 {
						break
					}
					want += key[next]
					v = next
				}
				for v := range m.n {
					most := math.Inf(-1)
					for q := m.first[v]; q < m.first[v+1]; q++ {
						most = max(most, w[q].leave+w[q].come)
					}
					want -= most
				}
				// The first rapid and the last, of two cuts, all pairs tried.
				ends := math.Inf(1)
				for p := range m.np {
					for q := range m.np {
						u, v := m.owner[p], m.owner[q]
						if u != v && len(m.prec.before(u)) == 0 && len(m.prec.after(v)) == 0 {
							ends = min(ends, m.distance(m.np, p)+w[p].come+m.distance(q, m.np)+w[q].leave)
						}
					}
				}
				want += ends
				if len(edges) != m.n-1 || math.Abs(got-want) > 1e-9*(math.Abs(want)+1) {
					t.Fatalf("seed %d: %d rapids, %g, want %g", seed, len(edges), got, want)
				}
			}
		})
	}
}

// TestMenderKeepsCount holds what the mender thinks a change wins against the
// whole counted anew, and that it never makes things dearer.
func TestMenderKeepsCount(t *testing.T) {
	for name, h := range shapes {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(2, 6))
			h.nodes = 40
			p := random(r, h)
			p.Heat = Heat{Cuts: 3, Distance: 40, Penalty: 30}
			m, err := newModel(p)
			if err != nil {
				t.Fatal(err)
			}
			d := m.newMender(m.begin(t.Context(), Options{}))
			for range 300 {
				i, j := r.IntN(m.n), r.IntN(m.n)
				if !d.mayPass(i, j) {
					continue
				}
				lo, hi := min(i, j), max(i, j)
				part, whole := d.around(lo, hi), d.whole()
				d.shift(i, j)
				if a, b := d.around(lo, hi)-part, d.whole()-whole; math.Abs(a-b) > 1e-9*whole {
					t.Fatalf("moved %d to %d: %g by part, %g by the whole", i, j, a, b)
				}
				if !m.kept(d.order) {
					t.Fatalf("moved %d to %d: a precedence is broken", i, j)
				}
			}
			start := m.newMender(d.path)
			out := m.spread(t.Context(), d.path)
			if now := m.newMender(out).whole(); now > start.whole() || !m.kept(out.order) {
				t.Errorf("mended from %g to %g", start.whole(), now)
			}
		})
	}
}

// TestSmallSequencesAreSolved takes published sequential ordering problems
// and generalised ones, if they are here.
func TestSmallSequencesAreSolved(t *testing.T) {
	best := bestKnown(t)
	for file, kicks := range map[string]int{
		"sop/ESC07.sop": 200, "sop/br17.10.sop": 2000, "sop/ESC25.sop": 5000, "sop/p43.3.sop": 20000, "sop/rbg050c.sop": 5000, "sop/ESC78.sop": 10000,
		"pcgtsp/ESC07.pcglns": 2000, "pcgtsp/ESC12.pcglns": 5000, "pcgtsp/ESC25.pcglns": 5000,
	} {
		m := readInstance(t, file)
		p := m.solve(t.Context(), Options{Kicks: kicks, Seed: 1})
		if got := m.total(p); got != best[file] || !m.kept(p.order) {
			t.Errorf("%s: %g, best %g", file, got, best[file])
		}
	}
}
