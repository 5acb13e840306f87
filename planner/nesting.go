package planner

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/layout/nest"
	"example.org/kerfwright/planner/progress"
)

// nestRounds is the budget of a nest where the job names none: about ten
// seconds on two cores.
const nestRounds = 15000

// nestFlat is how far a corner of a flattened edge may lie beyond the edge,
// mm: the room that it takes is lost to the nest.
const nestFlat = 0.05

// Nested is what a nest found: places for the job, and how good they are.
type Nested struct {
	Places  []job.Place
	Plates  int       // used
	Left    []int     // of each drawing, how many did not fit
	Length  []float64 // mm along X that each plate uses, from its edge
	Density float64   // area of the parts over that of the plates' used lengths
	How     string    // "nest", "pairs" or "rows"
	Rounds  int       // looked at, thousands of places
	Gap     float64   // mm between parts; more than asked for where leads needed it
}

// nester is one nest under way.
type nester struct {
	shop
	tree   feature.Tree
	grow   []float64 // mm that each drawing's shape is grown by: half a gap
	margin float64
	gap    float64
	locked []job.Place
	rounds int
	seed   uint64
	before int // rounds of earlier plates
	shapes map[shapeKey][][]geom.Point
	rows   *Nested // what a nest must beat; nil: there are none
}

// Nest lays out every copy that is not locked by the true shapes, on as few
// plates as it can and then on as little of the last as it can. Parts may lie
// in the cut-outs of others. A layout by rows, or by rows of interlocked pairs,
// is kept where it is better. Every place has been tried for its leads: where
// one is missing the gap is widened and the layout made again (nestleads.go).
// What does not fit is an Error with its count; places for the rest are
// returned all the same. It ends early, with the best so far, when ctx ends or enough is asked for.
func Nest(ctx context.Context, j job.Job, loops []*drawing.Loops) (Nested, fault.List) {
	faults := Ready(j)
	tree, more := Features(j, loops)
	faults = append(faults, more...)
	if faults.Bad() {
		return Nested{}, faults
	}
	if j.Stock.Hold == job.Blank {
		faults.Errorf(fault.Where{}, "nest-blank", "Nest parts on a plate.", "blanks lie in the pockets of a fixture")
		return Nested{}, faults
	}
	n := &nester{shop: newShop(j), tree: tree, margin: j.Layout.Margin, gap: j.Layout.Gap, rounds: j.Layout.Rounds, seed: uint64(j.Layout.Seed)}
	if n.margin == 0 {
		n.margin = layout.Margin(n.need, n.kerf)
	}
	if n.gap == 0 {
		n.gap = layout.Gap(n.need, n.kerf)
	}
	n.rounds = cmp.Or(n.rounds, nestRounds)
	n.seed = cmp.Or(n.seed, 1)
	for _, p := range j.Layout.Places {
		if p.Lock {
			n.locked = append(n.locked, p)
		}
	}
	n.grow = make([]float64, len(j.Drawings))
	for d := range n.grow {
		n.grow[d] = n.gap / 2
	}
	setups, alone := n.setUp(ctx, &n.tree)
	if alone.Bad() {
		return Nested{}, append(faults, alone...)
	}
	out, more := n.untilLed(ctx, setups, alone)
	faults = append(faults, more...)
	wider := ""
	if out.Gap > n.gap {
		wider = fmt.Sprintf(" with the %s between them that their leads need", j.Units.Length(out.Gap))
	}
	for d, left := range out.Left {
		if left > 0 {
			faults.Errorf(fault.Where{File: PartName(j.Drawings[d]).String()}, "no-room",
				"Use a larger plate, more plates, fewer copies, a smaller margin or gap, or allow more turns.",
				"%d of %d copies do not fit on %s%s", left, max(1, j.Drawings[d].Quantity), several(max(1, j.Stock.Sheets), "plate"), wider)
		}
	}
	return out, faults
}

// better reports whether a is the better layout: more parts, fewer plates,
// then less of the last plate.
func better(a, b Nested) bool {
	left := func(n Nested) (sum int) {
		for _, l := range n.Left {
			sum += l
		}
		return
	}
	if c := cmp.Or(cmp.Compare(left(a), left(b)), cmp.Compare(a.Plates, b.Plates)); c != 0 {
		return c < 0
	}
	if len(a.Length) == 0 || len(b.Length) == 0 {
		return false
	}
	return a.Length[len(a.Length)-1] < b.Length[len(b.Length)-1]-geom.Join
}

// nest packs plate after plate.
func (n *nester) nest(ctx context.Context) Nested {
	j := n.job
	left := n.wanted()
	out := Nested{How: "nest", Places: slices.Clone(n.locked), Left: left}
	least := math.Inf(1) // the narrowest part, which decides what a cut-out is good for
	for d := range left {
		if b := n.tree.Box(d); left[d] > 0 {
			least = min(least, b.Width(), b.Height())
		}
	}
	n.before = 0
	sheets := max(1, j.Stock.Sheets)
	for plate := 1; plate <= sheets && sum(left) > 0 && ctx.Err() == nil; plate++ {
		room := n.room(plate)
		take := n.subset(left, room.area)
		last := sum(take) == sum(left)
		part := ctx
		if sheets > 1 {
			part = progress.Part(ctx, fmt.Sprintf("plate %d", plate))
		}
		show := func(ctx context.Context, res nest.Result) {
			now := out
			now.Places, now.Left = slices.Clone(out.Places), slices.Clone(left)
			n.accept(&now, res, room, plate, now.Left)
			n.show(ctx, now, !last)
		}
		res := n.pack(part, room, take, last, least, n.rounds, show)
		placed := n.accept(&out, res, room, plate, left)
		if sum(left) > 0 && placed > 0 { // what is small may still fit between
			fixed := room
			fixed.fixed = slices.Clone(room.fixed)
			for _, p := range out.Places[len(out.Places)-placed:] {
				fixed.fixed = append(fixed.fixed, nest.Fixed{Like: p.Drawing + 1, Place: nest.Place{Flip: p.Mirror, Angle: p.Angle, At: geom.Pt(p.X, p.Y).Sub(room.min)}})
			}
			few := slices.Clone(left)
			for d := range few {
				few[d] = min(few[d], 20)
			}
			n.accept(&out, n.pack(part, fixed, few, false, least, 0, nil), room, plate, left)
		}
	}
	n.measure(&out)
	out.Rounds = n.before
	return out
}

// wanted is how many copies of each drawing are still to be placed.
func (n *nester) wanted() []int {
	left := make([]int, len(n.job.Drawings))
	for d, q := range n.job.Drawings {
		if !n.tree.Box(d).Empty() {
			left[d] = max(1, q.Quantity)
		}
	}
	for _, p := range n.locked {
		left[p.Drawing] = max(0, left[p.Drawing]-1)
	}
	return left
}

func sum(n []int) (all int) {
	for _, v := range n {
		all += v
	}
	return
}

// subset takes the largest first, until they would fill a plate.
func (n *nester) subset(left []int, area float64) []int {
	const full = 0.97 // of the plate: no nest of parts with a gap is fuller
	take := make([]int, len(left))
	order := make([]int, len(left))
	for d := range order {
		order[d] = d
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(n.area(b), n.area(a)) })
	used := 0.0
	for _, d := range order {
		one := n.area(d)
		for take[d] < left[d] && (used+one <= full*area || used == 0) {
			take[d]++
			used += one
		}
	}
	return take
}

// pack runs one nest on the room of one plate.
func (n *nester) pack(ctx context.Context, room freeRoom, take []int, last bool, least float64, rounds int, show func(context.Context, nest.Result)) nest.Result {
	p := nest.Problem{Height: room.height, Length: room.length, Fixed: room.fixed, Seed: n.seed, Rounds: rounds}
	if !last {
		p.Enough = room.length
	}
	kinds := 0
	for _, t := range take {
		if t > 0 {
			kinds++
		}
	}
	for d, t := range take {
		k := nest.Kind{Count: t}
		if t > 0 || slices.ContainsFunc(room.fixed, func(f nest.Fixed) bool { return f.Like == d+1 }) {
			k.Rings = n.shape(d, n.grow[d], least)
		}
		if t > 0 {
			way := wayOf(n.job, d)
			angles, free := way.Angles()
			if k.Angles = angles; free {
				k.Angles = nest.FreeAngles(kinds)
			}
			k.Flip = way.Flip
		}
		p.Kinds = append(p.Kinds, k)
	}
	ctx = progress.Phase(ctx, "nest", "steps")
	p.Told = func(done, all int) { progress.Tell(ctx, done, all) }
	p.Stop = func() bool { return progress.Enough(ctx) }
	if show != nil {
		p.Better = func(r nest.Result) { show(ctx, r) }
	}
	if room.length <= 0 || room.height <= 0 {
		return nest.Result{Left: take}
	}
	res := nest.Pack(ctx, p)
	n.before += res.Rounds
	return res
}

// accept writes the places of one plate into the job's own axes.
func (n *nester) accept(out *Nested, res nest.Result, room freeRoom, plate int, left []int) int {
	for _, p := range res.Places {
		at := p.At.Add(room.min)
		out.Places = append(out.Places, job.Place{Drawing: p.Kind, X: at.X, Y: at.Y, Angle: p.Angle, Mirror: p.Flip, Plate: plate})
		left[p.Kind]--
	}
	return len(res.Places)
}

// measure fills what a layout uses.
func (n *nester) measure(out *Nested) {
	out.Plates = 0
	parts, used := 0.0, 0.0
	for _, p := range out.Places {
		plate := max(1, p.Plate)
		for len(out.Length) < plate {
			out.Length = append(out.Length, 0)
		}
		out.Plates = max(out.Plates, plate)
		move := geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}
		parts += n.area(p.Drawing)
		for _, part := range n.tree.Parts {
			if part.Drawing == p.Drawing && part.Outline >= 0 && part.In < 0 {
				out.Length[plate-1] = max(out.Length[plate-1], move.Path(n.tree.Features[part.Outline].Loop).Box().Max.X-n.metal.Box.Min.X)
			}
		}
	}
	for _, l := range out.Length {
		used += l * n.metal.Box.Height()
	}
	if used > 0 {
		out.Density = parts / used
	}
}
