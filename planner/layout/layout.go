// Package layout says where every copy of every part lies on the stock. It
// takes the job's stock, layout and quantities and the boxes of the drawings;
// it gives back rigid moves. It never changes a part and cuts nothing.
package layout

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Copy is one copy of a drawing on the stock.
type Copy struct {
	Drawing int
	Number  int // from 1 within the drawing
	Move    geom.Move
	Blank   int // from 1 in this run; 0 on a plate
	Piece   int // from 1 over all runs of the job; 0 on a plate
	Pieces  int // wanted in all; 0 on a plate
	Pocket  int // from 1; 0 on a plate
}

// Input is what Arrange needs.
type Input struct {
	Stock    job.Stock
	Layout   job.Layout
	Quantity []int      // wanted of each drawing
	Boxes    []geom.Box // of each drawing's parts, in its own axes
	Labels   []string   // of each drawing, for faults
	Clear    float64    // mm that a pierce must keep from an edge
	Kerf     float64    // mm
}

// edge is the least margin and half the least gap, mm, whatever the process:
// room for an outline's lead and pierce. Common practice, no source.
const edge = 5.0

// Margin returns the free edge that the rule asks for, mm: room for a pierce
// outside the part with its clearance on both sides.
func Margin(clear, kerf float64) float64 { return max(edge, math.Ceil(clear+kerf+1)) }

// Gap returns the room between parts that the rule asks for, mm: a pierce
// between two parts keeps its clearance from both.
func Gap(clear, kerf float64) float64 { return max(2*edge, math.Ceil(2*clear+kerf+1)) }

// StockBox returns the stock's rectangle measured from XY zero.
func StockBox(s job.Stock) geom.Box {
	b := geom.Box{Max: geom.Pt(s.Width, s.Height)}
	switch s.Zero {
	case job.LowerRight:
		b = shift(b, -s.Width, 0)
	case job.UpperLeft:
		b = shift(b, 0, -s.Height)
	case job.UpperRight:
		b = shift(b, -s.Width, -s.Height)
	}
	return b
}

func shift(b geom.Box, x, y float64) geom.Box {
	d := geom.Pt(x, y)
	return geom.Box{Min: b.Min.Add(d), Max: b.Max.Add(d)}
}

// Arrange places every copy. Places given by the job are taken as they are;
// otherwise copies stand in rows from the stock's lower left, turned a quarter
// where that fits more of them. What does not fit is an Error with its count.
func Arrange(in Input) ([]Copy, fault.List) {
	if in.Stock.Hold == job.Blank {
		return pockets(in)
	}
	if len(in.Layout.Places) > 0 {
		return given(in)
	}
	return rows(in)
}

func given(in Input) ([]Copy, fault.List) {
	var out []Copy
	var faults fault.List
	count := map[int]int{}
	for i, p := range in.Layout.Places {
		if p.Drawing < 0 || p.Drawing >= len(in.Boxes) {
			faults.Errorf(fault.Where{Entity: fmt.Sprintf("place %d", i+1)}, "place-drawing", "Name a drawing of the job, from 1.",
				"drawing %d of %d", p.Drawing+1, len(in.Boxes))
			continue
		}
		count[p.Drawing]++
		out = append(out, Copy{Drawing: p.Drawing, Number: count[p.Drawing],
			Move: geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}})
	}
	for d, want := range in.Quantity {
		if got := count[d]; got != max(1, want) && !in.Boxes[d].Empty() {
			faults.Warnf(fault.Where{File: in.Labels[d]}, "place-count", "Place the rest, or change the quantity.", "%d placed, %d wanted", got, max(1, want))
		}
	}
	return out, faults
}

// rows fills shelves from the lower left: along X, then up by the tallest.
func rows(in Input) ([]Copy, fault.List) {
	margin, gap := in.Layout.Margin, in.Layout.Gap
	if margin == 0 {
		margin = Margin(in.Clear, in.Kerf)
	}
	if gap == 0 {
		gap = Gap(in.Clear, in.Kerf)
	}
	free := StockBox(in.Stock).Grow(-margin)
	var out []Copy
	var faults fault.List
	at, tall := free.Min, 0.0
	for d, box := range in.Boxes {
		want := max(1, in.Quantity[d])
		if box.Empty() {
			continue
		}
		turned := fits(box, free, gap) < want && fits(quarter(box), free, gap) > fits(box, free, gap)
		angle, b := 0.0, box
		if turned {
			angle, b = math.Pi/2, quarter(box)
		}
		placed := 0
		for ; placed < want; placed++ {
			if at.X+b.Width() > free.Max.X+geom.Same {
				at, tall = geom.Pt(free.Min.X, at.Y+tall+gap), 0
			}
			if at.X+b.Width() > free.Max.X+geom.Same || at.Y+b.Height() > free.Max.Y+geom.Same {
				break
			}
			out = append(out, Copy{Drawing: d, Number: placed + 1, Move: geom.Move{Angle: angle, Shift: at.Sub(b.Min)}})
			at.X += b.Width() + gap
			tall = max(tall, b.Height())
		}
		if placed < want {
			faults.Errorf(fault.Where{File: in.Labels[d]}, "no-room",
				"Use a larger plate, fewer copies, a smaller margin or gap, or place them by hand.",
				"%d of %d copies fit: one needs %.1f x %.1f mm and the plate has %.1f x %.1f mm inside its %.1f mm margin",
				placed, want, box.Width(), box.Height(), free.Width(), free.Height(), margin)
		}
	}
	return out, faults
}

// quarter returns the box of the turned part: (x, y) goes to (-y, x).
func quarter(b geom.Box) geom.Box {
	return geom.Box{Min: geom.Pt(-b.Max.Y, b.Min.X), Max: geom.Pt(-b.Min.Y, b.Max.X)}
}

func fits(b, free geom.Box, gap float64) int {
	n := func(room, size float64) int { return max(0, int(math.Floor((room+gap+geom.Same)/(size+gap)))) }
	return n(free.Width(), b.Width()) * n(free.Height(), b.Height())
}

// Pieces returns how many blanks a job wants in all: what the fixture says,
// else one for each pocket or the drawing's quantity.
func Pieces(f job.Fixture, quantity int) int {
	if f.Count > 0 {
		return f.Count
	}
	return max(1, len(f.Pockets), quantity)
}

// pockets puts one copy of the first drawing into each pocket in turn, its
// datum corner on the pocket's point. Pieces of earlier runs are left out.
func pockets(in Input) ([]Copy, fault.List) {
	var out []Copy
	var faults fault.List
	if len(in.Boxes) != 1 {
		faults.Errorf(fault.Where{}, "blank-drawings", "Make one job for each part.", "%d drawings in a fixture: a fixture holds blanks of one part", len(in.Boxes))
		return nil, faults
	}
	box := in.Boxes[0]
	if box.Empty() {
		return nil, nil
	}
	f := in.Stock.Fixture
	at := f.Pockets
	if len(at) == 0 {
		at = []geom.Point{{}}
	}
	count := Pieces(f, in.Quantity[0])
	if f.Done >= count {
		faults.Errorf(fault.Where{Entity: string(job.FixtureDone)}, "all-done", "Set it back to 0 for another lot, or raise the count.",
			"%d of %d pieces are cut already", f.Done, count)
		return nil, faults
	}
	for k := range count - f.Done {
		pocket := k % len(at)
		out = append(out, Copy{Number: f.Done + k + 1, Blank: k + 1, Piece: f.Done + k + 1, Pieces: count, Pocket: pocket + 1,
			Move: geom.Move{Shift: at[pocket].Sub(corner(box, f.Datum))}})
	}
	if w, h := in.Stock.Width, in.Stock.Height; w > 0 && h > 0 {
		allow := f.Allowance.Value
		if dw, dh := math.Abs(w-box.Width()), math.Abs(h-box.Height()); max(dw, dh) > allow+geom.Join {
			faults.Warnf(fault.Where{File: in.Labels[0]}, "blank-size", "Measure the blank, or correct its size or the allowance.",
				"the blank is %.2f x %.2f mm, the drawing's outside %.2f x %.2f mm: off by %.2f mm, %.2f mm allowed",
				w, h, box.Width(), box.Height(), max(dw, dh), allow)
		}
	}
	return out, faults
}

func corner(b geom.Box, c job.Corner) geom.Point {
	switch c {
	case job.LowerRight:
		return geom.Pt(b.Max.X, b.Min.Y)
	case job.UpperLeft:
		return geom.Pt(b.Min.X, b.Max.Y)
	case job.UpperRight:
		return b.Max
	}
	return b.Min
}
