package order

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// allOrders calls f with every order that keeps what m asks, as brute as can
// be: permutations by swapping, each judged by itself.
func allOrders(m *model, f func(order []int32)) {
	order := make([]int32, m.n)
	for v := range order {
		order[v] = int32(v)
	}
	var rec func(k int)
	rec = func(k int) {
		if k == m.n {
			if m.kept(order) {
				f(order)
			}
			return
		}
		for i := k; i < m.n; i++ {
			order[k], order[i] = order[i], order[k]
			rec(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	rec(0)
}

// cheapestChoice tries every choice of points along an order.
func cheapestChoice(m *model, order []int32) (cost, length float64) {
	t := path{order: order, at: make([]int32, m.n)}
	cost, length = math.Inf(1), math.Inf(1)
	var rec func(v int)
	rec = func(v int) {
		if v == m.n {
			cost, length = min(cost, m.total(t)), min(length, m.sum(t, m.distance))
			return
		}
		for p := m.first[v]; p < m.first[v+1]; p++ {
			t.at[v] = p
			rec(v + 1)
		}
	}
	rec(0)
	return cost, length
}

// TestSmallJobsAreOrderedBest holds Solve, and the search that larger jobs
// get, against every order with every choice of points; the bound must lie
// under the shortest of them.
func TestSmallJobsAreOrderedBest(t *testing.T) {
	for name, h := range shapes {
		t.Run(name, func(t *testing.T) {
			found, all := 0, 0
			for seed := range uint64(12) {
				r := rand.New(rand.NewPCG(seed, 2))
				h.nodes = 2 + r.IntN(5)
				if seed == 0 {
					h.nodes = 8
				}
				h := h
				h.points = min(h.points, 2)
				p := random(r, h)
				m, err := newModel(p)
				if err != nil {
					t.Fatal(err)
				}
				cost, length := math.Inf(1), math.Inf(1)
				allOrders(m, func(order []int32) {
					c, l := cheapestChoice(m, order)
					cost, length = min(cost, c), min(length, l)
				})
				got, err := Solve(context.Background(), p, Options{})
				if err != nil || math.Abs(got.Cost-cost) > 1e-9*cost {
					t.Errorf("seed %d, %d cuts: cost %g, the best of all orders is %g (%v)", seed, m.n, got.Cost, cost, err)
				}
				if got.Bound > length*(1+1e-12) {
					t.Errorf("seed %d: bound %g over the shortest order %g", seed, got.Bound, length)
				}
				if m.n < fewest {
					continue
				}
				all++
				s := m.improve(context.Background(), m.begin(context.Background(), Options{}), 300, 1)
				if !m.kept(s.order) {
					t.Fatal("the search breaks a precedence")
				}
				if m.total(s) < cost*(1+1e-9) {
					found++
				}
			}
			if found < all {
				t.Errorf("search found the best of %d small jobs out of %d", found, all)
			}
		})
	}
}

// TestStretchesKeepCount holds what the exchange of stretches says of its
// cost against the path counted anew.
func TestStretchesKeepCount(t *testing.T) {
	for name, h := range shapes {
		if h.groups > 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 3))
			h.nodes = 30
			m, err := newModel(random(r, h))
			if err != nil {
				t.Fatal(err)
			}
			s := newStretcher(context.Background(), m, m.begin(context.Background(), Options{}), 1)
			for k := range 200 {
				s.kick()
				s.settle()
				if now := m.total(s.path()); math.Abs(now-s.cost) > 1e-9*now {
					t.Fatalf("kick %d: %g, counted anew %g", k, s.cost, now)
				}
				if !m.kept(s.path().order) {
					t.Fatalf("kick %d: a precedence is broken", k)
				}
			}
		})
	}
}
