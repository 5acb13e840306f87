package order_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/order"
)

// plate makes a plate of like parts on a grid, each with round holes inside:
// holes are pierced in the middle or at one of eight places, outlines at one
// of twelve. Cuts end a little past where they began.
func plate(parts, holes int, choice bool) order.Problem {
	r := rand.New(rand.NewPCG(7, 7))
	p := order.Problem{Start: &geom.Point{}, Rapid: order.Rapid{Feed: 15000, Accel: 1000, Lift: 1}}
	type hole struct {
		at geom.Point
		r  float64
	}
	var in []hole
	for range holes {
		in = append(in, hole{geom.Pt(20+160*r.Float64(), 20+110*r.Float64()), 3 + 9*r.Float64()})
	}
	wide := int(math.Ceil(math.Sqrt(float64(parts))))
	for k := range parts {
		corner := geom.Pt(float64(k%wide)*210, float64(k/wide)*160)
		var inside []int
		for _, h := range in {
			c := corner.Add(h.at)
			v := order.Node{Starts: []geom.Point{c}, Ends: []geom.Point{c.Add(geom.Pt(h.r, 0))}, Group: k}
			if choice && h.r > 8 {
				v.Starts, v.Ends = nil, nil
				for i := range 8 {
					a := float64(i) * math.Pi / 4
					v.Starts = append(v.Starts, geom.Polar(c, h.r-3, a))
					v.Ends = append(v.Ends, geom.Polar(c, h.r, a+0.2))
				}
			}
			inside = append(inside, len(p.Nodes))
			p.Nodes = append(p.Nodes, v)
		}
		o := order.Node{After: inside, Group: k}
		for i := range 12 {
			at, end := geom.Pt(float64(i%6)*40, -3), geom.Pt(float64(i%6)*40+5, -1)
			if i >= 6 {
				at, end = at.Add(geom.Pt(0, 156)), end.Add(geom.Pt(0, 153))
			}
			if !choice && i > 0 {
				break
			}
			o.Starts, o.Ends = append(o.Starts, corner.Add(at)), append(o.Ends, corner.Add(end))
		}
		p.Nodes = append(p.Nodes, o)
	}
	return p
}

func TestTableOfPlates(t *testing.T) {
	if os.Getenv("KERFWRIGHT_PLATES") == "" {
		t.Skip("a long table: set KERFWRIGHT_PLATES=1")
	}
	for _, parts := range []int{2, 10, 50, 200, 1000} {
		for _, choice := range []bool{false, true} {
			for _, group := range []bool{false, true} {
				p := plate(parts, 19, choice)
				p.GroupParts = group
				line := fmt.Sprintf("%5d cuts, choice %-5v part by part %-5v", len(p.Nodes), choice, group)
				for _, kicks := range []int{-1, 0, 200000} {
					if kicks == 200000 && testing.Short() {
						break
					}
					var was, is runtime.MemStats
					runtime.ReadMemStats(&was)
					start := cpu()
					r, err := order.Solve(context.Background(), p, order.Options{Kicks: kicks})
					if err != nil {
						t.Fatal(err)
					}
					took := cpu() - start
					runtime.ReadMemStats(&is)
					line += fmt.Sprintf(" | %8.1f s, %9.0f mm, %4.1f %% over bound, %5.2f s, %4.0f MB", r.Cost, r.Length, 100*(r.Length/r.Bound-1), took.Seconds(), float64(is.TotalAlloc-was.TotalAlloc)/1e6)
				}
				fmt.Println(line)
			}
		}
	}
}
