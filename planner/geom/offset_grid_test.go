package geom_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// cellsOnAGrid draws a joined set of square cells and returns its outline and
// holes, counter-clockwise and clockwise. Cells that share only a corner give
// loops that touch themselves or each other.
func cellsOnAGrid(rt *rapid.T, side float64) (outer geom.Path, holes []geom.Path) {
	type at struct{ x, y int }
	cells := map[at]bool{{0, 0}: true}
	list := []at{{0, 0}}
	for range rapid.IntRange(0, 25).Draw(rt, "cells") {
		c := list[rapid.IntRange(0, len(list)-1).Draw(rt, "cell")]
		d := rapid.SampledFrom([]at{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}).Draw(rt, "next")
		if c = (at{c.x + d.x, c.y + d.y}); !cells[c] {
			cells[c] = true
			list = append(list, c)
		}
	}
	// Edges with the cell on their left; at a corner that two loops share the
	// sharpest left turn keeps to the same cell.
	out := map[at][]at{}
	var starts []at
	for _, c := range list {
		for _, e := range [4][3]at{{{0, 0}, {1, 0}, {0, -1}}, {{1, 0}, {1, 1}, {1, 0}}, {{1, 1}, {0, 1}, {0, 1}}, {{0, 1}, {0, 0}, {-1, 0}}} {
			if cells[at{c.x + e[2].x, c.y + e[2].y}] {
				continue
			}
			from := at{c.x + e[0].x, c.y + e[0].y}
			out[from] = append(out[from], at{c.x + e[1].x, c.y + e[1].y})
			starts = append(starts, from)
		}
	}
	for _, start := range starts {
		for len(out[start]) > 0 {
			p := geom.Path{Closed: true}
			here, dx, dy := start, 0, 0
			for {
				next, best := 0, -2
				for i, n := range out[here] {
					if left := dx*(n.y-here.y) - dy*(n.x-here.x); left > best {
						next, best = i, left
					}
				}
				p.V = append(p.V, geom.Vertex{P: geom.Pt(float64(here.x)*side, float64(here.y)*side)})
				n := out[here][next]
				out[here] = append(out[here][:next], out[here][next+1:]...)
				dx, dy = n.x-here.x, n.y-here.y
				if here = n; here == start {
					break
				}
			}
			if p.Area() > 0 {
				outer = p
			} else {
				holes = append(holes, p)
			}
		}
	}
	return outer, holes
}

// Everything coincides here: gaps and necks of exactly 2d, corners on one
// spot, long runs of collinear pieces, fillets of radius d. Whatever is clear
// of the source by a little must lie on the right side of the result.
func TestOffsetOfCellsOnAGrid(t *testing.T) {
	refused, offsets := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		const side = 3
		outer, holes := cellsOnAGrid(rt, side)
		if r := rapid.SampledFrom([]float64{0, 1, 0.5}).Draw(rt, "fillet"); r > 0 {
			outer = fillet(merged(outer), func() float64 { return r })
			for i := range holes {
				holes[i] = fillet(merged(holes[i]), func() float64 { return r })
			}
		}
		m := rapid.SampledFrom([]geom.Move{{}, {Angle: math.Pi / 2}, {Angle: 0.1234}, {Mirror: true, Shift: geom.Pt(1e4, -3e3)}}).Draw(rt, "move")
		outer = m.Path(outer)
		for i := range holes {
			holes[i] = m.Path(holes[i])
		}
		d := rapid.SampledFrom([]float64{0.5, 1, 1.5, 3, 0.75, 1.5001, 1.4999, 2}).Draw(rt, "d")
		if rapid.Bool().Draw(rt, "inwards") {
			d = -d
		}
		out, err := geom.OffsetDetail(outer, holes, d)
		offsets++
		if err != nil {
			refused++
			rt.Fatalf("by %g: %v", d, err)
		}
		x := geom.IndexPaths(append(holes, outer)...)
		b := x.Box().Grow(math.Abs(d))
		for range 30 {
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
			for _, r := range out.Loops {
				w += r.Winding(q)
			}
			if w != want {
				rt.Fatalf("by %g: winding %d round %v, want %d", d, w, q, want)
			}
		}
		for _, q := range out.Loops {
			for i := range q.NumSegs() {
				if off := x.Dist(q.Seg(i).Mid()) - math.Abs(d); math.Abs(off) > 2*geom.Same {
					rt.Fatalf("by %g: off by %g", d, off)
				}
			}
		}
	})
	t.Logf("%d offsets, %d refused", offsets, refused)
}

// merged leaves out corners on a straight.
func merged(p geom.Path) geom.Path {
	out, n := geom.Path{Closed: true}, len(p.V)
	for i, v := range p.V {
		if geom.Orient(p.V[(i+n-1)%n].P, v.P, p.V[(i+1)%n].P) != geom.Straight {
			out.V = append(out.V, v)
		}
	}
	return out
}
