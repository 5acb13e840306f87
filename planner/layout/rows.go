package layout

import (
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// shelf fills plates with boxes: along X from the lower left, then up by the
// tallest, then on the next plate.
type shelf struct {
	stock  job.Stock
	metal  Metal
	free   geom.Box
	margin float64
	gap    float64
	plate  int
	at     geom.Point
	tall   float64

	kerf   float64
	beside bool // the last in the row has a straight right side
	row    row  // the one that is being filled
}

// row is what a row knows for the one above it. Rows are shared in pairs: in a
// third row there would be no scrap to pierce.
type row struct {
	drawing int // the only one in it; -1 is none yet, -2 several
	second  bool
}

// item is a drawing as it goes on a shelf.
type item struct {
	drawing int
	box     geom.Box
	x, y    bool // straight sides left and right, below and above
}

// rows puts every drawing on shelves, by its box.
func rows(in Input) ([]Copy, fault.List) {
	s := shelf{stock: in.Stock, margin: in.Layout.Margin, gap: in.Layout.Gap, kerf: in.Kerf}
	if s.margin == 0 {
		s.margin = Margin(in.Clear, in.Kerf)
	}
	if s.gap == 0 {
		s.gap = Gap(in.Clear, in.Kerf)
	}
	var out []Copy
	var faults fault.List
	s.next()
	for d, box := range in.Boxes {
		want := max(1, in.Quantity[d])
		if box.Empty() {
			continue
		}
		b, angle := box, 0.0
		way := Way{}
		if len(in.Ways) > d {
			way = in.Ways[d]
		}
		angles := way.Right()
		best, it := -1, item{}
		for _, a := range angles { // the first, unless another fits more of what is wanted
			turned := turnBox(box, a)
			now, gap := item{drawing: d, box: turned}, s.gap
			if in.Straight != nil && s.kerf > 0 {
				if now.x, now.y = in.Straight(d, a); now.x {
					gap = s.kerf
				}
			}
			if n := min(fits(turned, s.free, gap, s.gap), want); n > best {
				best, b, angle, it = n, turned, a, now
			}
		}
		placed := 0
		for ; placed < want; placed++ {
			p, ok := s.put(it)
			if !ok {
				break
			}
			out = append(out, Copy{Drawing: d, Number: placed + 1, Plate: s.plate, Move: geom.Move{Angle: angle, Shift: p.Sub(b.Min)}})
		}
		if placed < want {
			faults.Errorf(fault.Where{File: in.Labels[d]}, "no-room",
				"Use a larger plate, more plates, fewer copies, a smaller margin or gap, nest them, or place them by hand.",
				"%d of %d copies fit: one needs %.1f x %.1f mm and the plate has %.1f x %.1f mm inside its %.1f mm margin",
				placed, want, box.Width(), box.Height(), s.free.Width(), s.free.Height(), s.margin)
		}
	}
	return out, faults
}

// next begins the next plate. Its faults are those of the stock, which the
// planner tells by itself.
func (s *shelf) next() {
	s.plate++
	s.metal, _ = MetalOf(s.stock, s.plate)
	s.free = s.metal.Box.Grow(-s.margin)
	s.at, s.tall = s.free.Min, 0
	s.beside, s.row = false, row{drawing: -1}
}

// put finds the next place for a box, its lower left corner.
func (s *shelf) put(it item) (geom.Point, bool) {
	b := it.box
	for {
		near := s.beside && it.x
		p := s.at
		if near {
			p.X -= s.gap - s.kerf
		}
		if p.X+b.Width() > s.free.Max.X+geom.Same {
			up, gap := s.tall, s.gap
			if up == 0 {
				up = s.step(b.Height()) - s.gap
			}
			pair := s.tall > 0 && it.y && s.row.drawing == it.drawing && !s.row.second
			if pair {
				gap = s.kerf
			}
			s.at, s.tall = geom.Pt(s.free.Min.X, s.at.Y+up+gap), 0
			s.beside, s.row = false, row{drawing: -1, second: pair}
			p, near = s.at, false
		}
		if p.X+b.Width() > s.free.Max.X+geom.Same || p.Y+b.Height() > s.free.Max.Y+geom.Same {
			if s.plate >= max(1, s.stock.Sheets) || b.Width() > s.free.Width()+geom.Same || b.Height() > s.free.Height()+geom.Same {
				return geom.Point{}, false
			}
			s.next()
			continue
		}
		if !s.metal.Plain {
			c := p.Add(geom.Pt(b.Width(), b.Height()))
			if room, _, _ := s.metal.Room(geom.Polygon(p, geom.Pt(c.X, p.Y), c, geom.Pt(p.X, c.Y))); room < s.margin-geom.Same {
				s.at.X += s.step(b.Width())
				s.beside = false
				continue
			}
		}
		s.at.X = p.X + b.Width() + s.gap
		s.tall = max(s.tall, b.Height())
		s.beside = it.x
		switch s.row.drawing {
		case -1:
			s.row.drawing = it.drawing
		case it.drawing:
		default:
			s.row.drawing = -2
		}
		return p, true
	}
}

// step is how far to look for room beside what is in the way, mm.
func (s *shelf) step(size float64) float64 { return max(1, size/16) }

// Way says how a drawing may lie.
type Way struct {
	Turns job.Turning
	Grain job.Opt // rad in the drawing
	Along job.Opt // rad, the stock's grain
	Flip  bool
}

// Angles returns the angles that the way allows, rad; free says any.
func (w Way) Angles() (angles []float64, free bool) {
	if w.Grain.Known && w.Along.Known {
		a := math.Remainder(w.Along.Value-w.Grain.Value, 2*math.Pi)
		if w.Turns == job.TurnFixed {
			return []float64{a}, false
		}
		return []float64{a, math.Remainder(a+math.Pi, 2*math.Pi)}, false
	}
	switch w.Turns {
	case job.TurnFixed:
		return []float64{0}, false
	case job.TurnHalf:
		return []float64{0, math.Pi}, false
	case job.TurnQuarter:
		return []float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}, false
	}
	return []float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}, true
}

// allows reports whether a part may be turned so.
func (w Way) allows(angle float64) bool {
	angles, free := w.Angles()
	if free {
		return true
	}
	for _, a := range angles {
		if math.Abs(math.Remainder(angle-a, 2*math.Pi)) <= geom.Angle {
			return true
		}
	}
	return false
}

// Right returns the angles for a layout by boxes: as drawn, and a quarter
// turned where that is allowed.
func (w Way) Right() []float64 {
	angles, free := w.Angles()
	if free || w.Turns == job.TurnQuarter && len(angles) == 4 {
		return []float64{0, math.Pi / 2}
	}
	return angles[:1]
}

// turnBox returns the box of a turned box.
func turnBox(b geom.Box, a float64) geom.Box {
	switch a {
	case 0:
		return b
	case math.Pi / 2:
		return quarter(b)
	}
	m := geom.Move{Angle: a}
	return m.Path(geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))).Box()
}

func fits(b, free geom.Box, gapX, gapY float64) int {
	n := func(room, size, gap float64) int { return max(0, int(math.Floor((room+gap+geom.Same)/(size+gap)))) }
	return n(free.Width(), b.Width(), gapX) * n(free.Height(), b.Height(), gapY)
}
