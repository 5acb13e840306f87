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
	Plate   int // from 1; 0 in a fixture
	Of      int // copies of the drawing in all
}

// Input is what Arrange needs.
type Input struct {
	Stock    job.Stock
	Layout   job.Layout
	Quantity []int      // wanted of each drawing
	Boxes    []geom.Box // of each drawing's parts, in its own axes
	Labels   []string   // of each drawing, for faults
	Ways     []Way      // how each drawing may lie; nil is any way
	Clear    float64    // mm that a pierce must keep from an edge
	Kerf     float64    // mm

	// Straight says whether the sides of a drawing's box, turned by an angle,
	// are straight edges of its part from corner to corner, left and right (x),
	// below and above (y), so that copies may lie one kerf apart there. nil:
	// nothing does.
	Straight func(drawing int, angle float64) (x, y bool)
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

func shift(b geom.Box, x, y float64) geom.Box {
	d := geom.Pt(x, y)
	return geom.Box{Min: b.Min.Add(d), Max: b.Max.Add(d)}
}

// Arrange places every copy. Places given by the job are taken as they are;
// otherwise copies stand in rows from the stock's lower left, turned a quarter
// where that fits more of them. What does not fit is an Error with its count.
func Arrange(in Input) ([]Copy, fault.List) {
	var copies []Copy
	var faults fault.List
	switch {
	case in.Stock.Hold == job.Blank:
		copies, faults = pockets(in)
	case len(in.Layout.Places) > 0:
		copies, faults = given(in)
	default:
		copies, faults = rows(in)
	}
	of := map[int]int{}
	for _, c := range copies {
		of[c.Drawing]++
	}
	for i := range copies {
		copies[i].Of = of[copies[i].Drawing]
	}
	return copies, faults
}

// Plates returns how many plates the copies lie on, at least 1.
func Plates(copies []Copy) int {
	n := 1
	for _, c := range copies {
		n = max(n, c.Plate)
	}
	return n
}

// On returns the copies that lie on plate n; those in a fixture always do.
func On(copies []Copy, n int) []Copy {
	var out []Copy
	for _, c := range copies {
		if c.Plate == 0 || c.Plate == n {
			out = append(out, c)
		}
	}
	return out
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
		plate := max(1, p.Plate)
		if sheets := max(1, in.Stock.Sheets); plate > sheets {
			faults.Errorf(fault.Where{Entity: fmt.Sprintf("place %d", i+1)}, "no-plate", "Raise the number of plates, or place it on another.",
				"it lies on plate %d, the job has %d", plate, sheets)
			continue
		}
		out = append(out, Copy{Drawing: p.Drawing, Number: count[p.Drawing], Plate: plate,
			Move: geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}})
	}
	for i, c := range out {
		if c.Drawing >= len(in.Ways) {
			continue
		}
		at := fault.Where{File: in.Labels[c.Drawing], Entity: fmt.Sprintf("copy %d", c.Number)}
		if way := in.Ways[c.Drawing]; !way.allows(out[i].Move.Angle) {
			faults.Warnf(at, "place-turn", "Turn it, or allow it.", "it is turned by %.4g deg, which its drawing does not allow", out[i].Move.Angle*180/math.Pi)
		} else if c.Move.Mirror && !way.Flip {
			faults.Warnf(at, "place-flip", "Place it unturned, or allow it to be turned over.", "it is turned over, which its drawing does not allow")
		}
	}
	for d, want := range in.Quantity {
		if got := count[d]; got != max(1, want) && !in.Boxes[d].Empty() {
			faults.Warnf(fault.Where{File: in.Labels[d]}, "place-count", "Place the rest, or change the quantity.", "%d placed, %d wanted", got, max(1, want))
		}
	}
	return out, faults
}

// quarter returns the box of the turned part: (x, y) goes to (-y, x).
func quarter(b geom.Box) geom.Box {
	return geom.Box{Min: geom.Pt(-b.Max.Y, b.Min.X), Max: geom.Pt(-b.Min.Y, b.Max.X)}
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
