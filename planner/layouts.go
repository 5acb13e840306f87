package planner

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// PlacesOf returns where every copy of the job lies, on all plates: the job's
// own places, or those of the rows that stand in for them.
func PlacesOf(j job.Job, t feature.Tree) []job.Place {
	if len(j.Layout.Places) > 0 || j.Stock.Hold == job.Blank {
		return j.Layout.Places
	}
	s := newShop(j)
	in := layout.Input{Stock: j.Stock, Layout: j.Layout, Clear: s.need, Kerf: s.kerf}
	for d := range j.Drawings {
		in.Quantity = append(in.Quantity, j.Drawings[d].Quantity)
		in.Boxes = append(in.Boxes, t.Box(d))
		in.Labels, in.Ways = append(in.Labels, ""), append(in.Ways, wayOf(j, d))
	}
	in.Straight = s.straightSides(t)
	copies, _ := layout.Arrange(in)
	var out []job.Place
	for _, c := range copies {
		out = append(out, job.Place{Drawing: c.Drawing, X: c.Move.Shift.X, Y: c.Move.Shift.Y, Angle: c.Move.Angle, Mirror: c.Move.Mirror, Plate: c.Plate})
	}
	return out
}

// PlaceBox returns the box of a copy as it lies on the stock.
func PlaceBox(t feature.Tree, p job.Place) geom.Box {
	b := geom.EmptyBox()
	move := geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}
	for _, part := range t.Parts {
		if part.Drawing == p.Drawing && part.Outline >= 0 && part.In < 0 {
			b = b.Union(move.Path(t.Features[part.Outline].Loop).Box())
		}
	}
	return b
}

// Collisions says of every place that is not good why: it hangs over an edge,
// lies on what is kept out, or lies nearer to another part than the kerf. It
// looks at shapes alone. Laid does the same for a layout in which little
// changes from one look to the next.
func Collisions(j job.Job, t feature.Tree, places []job.Place) map[int]string {
	every := make([]int, len(places))
	for i := range every {
		every[i] = i
	}
	return collisions(handShop(j), t, places, every)
}

// handShop is the shop of a layout by hand, where the kerf may be unknown yet.
func handShop(j job.Job) shop {
	s := newShop(j)
	if s.kerf <= 0 { // nobody has said yet: parts must not touch
		s.kerf = geom.Gap
	}
	return s
}

// collisions is Collisions among some of the places, by their index.
func collisions(s shop, t feature.Tree, places []job.Place, some []int) map[int]string {
	out := map[int]string{}
	n := 1
	for _, i := range some {
		n = max(n, places[i].Plate)
	}
	for plate := 1; plate <= n; plate++ {
		p := &Program{Tree: t}
		var of []int // place of each placed part
		for _, i := range some {
			q := places[i]
			if max(1, q.Plate) != plate {
				continue
			}
			for k, part := range t.Parts {
				if part.Drawing == q.Drawing {
					p.Placed = append(p.Placed, Placed{Part: k, Copy: i + 1, Label: fmt.Sprint(len(of)), // found again by it
						Move: geom.Move{Mirror: q.Mirror, Angle: q.Angle, Shift: geom.Pt(q.X, q.Y)}})
					of = append(of, i)
				}
			}
		}
		if len(of) == 0 {
			continue
		}
		s.metal, _ = layout.MetalOf(s.job.Stock, plate)
		var faults fault.List
		s.look(p, &faults)
		for _, f := range faults {
			var k, other int
			if _, err := fmt.Sscan(f.Where.Feature, &k); err != nil || k >= len(of) {
				continue
			}
			say := func(k int, why string) {
				if out[of[k]] == "" {
					out[of[k]] = why
				}
			}
			if f.Code != "parts-touch" {
				say(k, f.What)
				continue
			}
			const why = "it touches another part, or lies nearer to it than the kerf"
			say(k, why)
			var far float64
			if n, _ := fmt.Sscanf(f.What, "%f mm from %d", &far, &other); n == 2 && other < len(of) { // labels are places here
				say(other, why)
			}
		}
	}
	return out
}

// GapOf returns the room between parts that holds in a job, mm.
func GapOf(j job.Job) float64 {
	if j.Layout.Gap > 0 {
		return j.Layout.Gap
	}
	s := newShop(j)
	return layout.Gap(s.need, s.kerf)
}

// GapBeside is GapOf for a copy to the right of a place: one kerf where both
// have straight sides there and the job lets one cut part them.
func GapBeside(j job.Job, t feature.Tree, p job.Place) float64 {
	s := newShop(j)
	if straight := s.straightSides(t); straight != nil && s.kerf > 0 && !p.Mirror {
		if x, _ := straight(p.Drawing, p.Angle); x {
			return s.kerf
		}
	}
	return GapOf(j)
}

// StockBox returns the stock's rectangle, or the box of an offcut, from XY zero.
func StockBox(s job.Stock) geom.Box { return layout.StockBox(s) }
