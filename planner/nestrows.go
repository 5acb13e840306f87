package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/layout/nest"
)

// inRows lays the job out by boxes, and by boxes of interlocked pairs, and
// returns the better of both. All lie as far apart as the drawing whose
// gap was widened most. ok is false where parts are locked or the stock
// is no plain sheet: rows know nothing of either.
func (n *nester) inRows() (best Nested, ok bool) {
	if len(n.locked) > 0 || !n.metal.Plain {
		return best, false
	}
	gap := 2 * slices.Max(n.grow)
	for _, paired := range []bool{false, true} {
		in := layout.Input{Stock: n.job.Stock, Layout: job.Layout{Margin: n.margin, Gap: gap}, Clear: n.need, Kerf: n.kerf}
		type entry struct {
			drawing int
			pair    *nest.Pair
		}
		var entries []entry
		add := func(e entry, box geom.Box, count int) {
			if count == 0 {
				return
			}
			entries = append(entries, e)
			in.Boxes, in.Quantity = append(in.Boxes, box), append(in.Quantity, count)
			in.Labels, in.Ways = append(in.Labels, ""), append(in.Ways, wayOf(n.job, e.drawing))
		}
		any := false
		for d, want := range n.wanted() {
			if want == 0 {
				continue
			}
			angles, _ := wayOf(n.job, d).Angles()
			if paired && want > 1 && len(angles) > 1 {
				if p, good := nest.BestPair(n.shape(d, gap/2, math.Inf(1))); good {
					any = true
					one := n.tree.Box(d)
					add(entry{d, &p}, one.Union(geom.Box{Min: p.At.Sub(one.Max), Max: p.At.Sub(one.Min)}), want/2)
					want %= 2
				}
			}
			add(entry{drawing: d}, n.tree.Box(d), want)
		}
		if paired && !any {
			break
		}
		copies, _ := layout.Arrange(in)
		out := Nested{How: "rows", Left: n.wanted()}
		if paired {
			out.How = "pairs"
		}
		for _, c := range copies {
			e := entries[c.Drawing]
			at := func(m geom.Move) {
				out.Left[e.drawing]--
				out.Places = append(out.Places, job.Place{Drawing: e.drawing, X: m.Shift.X, Y: m.Shift.Y, Angle: m.Angle, Plate: c.Plate})
			}
			at(c.Move)
			if e.pair != nil {
				at(geom.Move{Angle: math.Remainder(c.Move.Angle+math.Pi, 2*math.Pi), Shift: c.Move.Apply(e.pair.At)})
			}
		}
		n.measure(&out)
		if !ok || better(out, best) {
			best, ok = out, true
		}
	}
	return best, ok
}
