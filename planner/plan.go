package planner

import (
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
	"example.org/kerfwright/planner/progress"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
)

// Plan runs the whole pipe: features, places, kerf paths and leads, order,
// heights and times, text, proof. The program is nil if an Error leaves
// nothing to show; otherwise it is there to look at, and may be saved only if
// no fault is an Error. The same job gives the same bytes.
func Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*Program, fault.List) {
	p, faults, again := planned(ctx, j, loops, asWished)
	if !again {
		return p, faults
	}
	// Too long for the controller, and parts are cut in and out of one another:
	// finished one by one, the program can be parted between them.
	p, faults, _ = planned(ctx, j, loops, byPart)
	if p != nil && !faults.Bad() || ctx.Err() != nil {
		return p, faults
	}
	p, faults, _ = planned(ctx, j, loops, asItIs)
	return p, faults
}

// How a program that may be too long for its controller is ordered.
const (
	asWished = iota // as the job says, unless it would be parted inside a part
	byPart          // every part is finished before the next is begun
	asItIs          // as the job says, whatever comes of it
)

// planned is Plan in one of these ways; again says that it ended early, and
// that another should be tried.
func planned(ctx context.Context, j job.Job, loops []*drawing.Loops, way int) (*Program, fault.List, bool) {
	faults := Ready(j)
	for i, l := range loops {
		if l == nil {
			faults.Errorf(fault.Where{File: j.Drawings[i].File}, "drawing-missing", "Choose another drawing or mend this one.", "the drawing was not read")
		}
	}
	progress.Phase(ctx, "features", "")
	tree, more := Features(j, loops)
	faults = append(faults, more...)
	if len(tree.Features) == 0 || faults.Bad() {
		return nil, faults, false
	}
	s := newShop(j)
	if way == byPart {
		s.rules.Grouping = job.GroupPart
	}
	copies, plates, more := arrange(j, tree, s)
	faults = append(faults, more...)
	if len(copies) == 0 {
		return nil, faults, false
	}
	faults = append(faults, s.texts(&tree, copies)...)
	s.trim, more = s.trimmed(tree, copies, plates)
	faults = append(faults, more...)
	s.addTrim(&tree, s.trim)
	setups, more := s.setUp(progress.Phase(ctx, "leads and holds", "parts"), &tree)
	faults = append(faults, more...)
	if ctx.Err() != nil {
		return nil, faults, false
	}
	faults = append(faults, forecastFaults(j, tree)...)
	p := &Program{Tree: tree, Plate: s.plate, Plates: plates, trim: s.trim, loops: loops}
	work, more := s.place(progress.Phase(ctx, "places", "cuts"), p, setups, copies)
	faults = append(faults, more...)
	if len(work) == 0 {
		if !faults.Bad() {
			faults.Errorf(fault.Where{}, "nothing-to-cut", "Choose a layer to cut, or take back what was left out.", "nothing of this job is cut")
		}
		return nil, faults, false
	}
	if err := s.order(ctx, p, work); err != nil {
		faults = append(faults, fault.From(err, fault.Where{Entity: "cut order"})...)
		return nil, faults, false
	}
	progress.Phase(ctx, "ways and times", "")
	faults = append(faults, s.clearMarks(p)...)
	s.crossings(p, &faults)
	s.trimCut(p, s.trim, &faults)
	if ctx.Err() != nil {
		return nil, faults, false
	}
	s.travel(p)
	s.sums(p)
	faults = append(faults, s.hot(p)...)
	if ctx.Err() != nil {
		return nil, faults, false
	}
	progress.Phase(ctx, "text", "")
	p.Lie, more = s.lie(p)
	faults = append(faults, more...)
	p.Plan.Alignment = LieReport(j, p.Lie)
	if err := s.write(p); err != nil {
		faults = append(faults, fault.From(err, fault.Where{})...)
		return nil, faults, false
	}
	if s.tooLong(p) {
		if way == asWished && (s.rules.Grouping == "" || s.rules.Grouping == job.GroupNone) && j.Stock.Hold != job.Blank && s.partsInside(p) {
			return nil, faults, true
		}
		faults = append(faults, s.parted(p, way == byPart)...)
	}
	faults = append(faults, s.chords(p)...)
	if faults.Bad() { // what is missing would only be found missing again
		return p, faults, false
	}
	if ctx.Err() != nil {
		return nil, faults, false
	}
	progress.Phase(ctx, "proof", "")
	return p, append(faults, s.prove(p, nil)...), false
}

// fileOf names the program in messages before it has a file.
func fileOf(dry bool) string {
	if dry {
		return "dry run"
	}
	return "program"
}

// Prove proves a program that was read from a file against the job, together
// with those that are run after it where several cut the job.
func Prove(ctx context.Context, j job.Job, loops []*drawing.Loops, text []byte, dry bool, then ...[]byte) (proof.Result, fault.List) {
	faults := Ready(j)
	tree, more := Features(j, loops)
	faults = append(faults, more...)
	if faults.Bad() {
		return proof.Result{}, faults
	}
	s := newShop(j)
	copies, plates, more := arrange(j, tree, s)
	faults = append(faults, more...)
	faults = append(faults, s.texts(&tree, copies)...)
	s.trim, more = s.trimmed(tree, copies, plates)
	faults = append(faults, more...)
	s.addTrim(&tree, s.trim)
	for i := range tree.Features {
		tree.Features[i].TabAt = s.tabAt(tree.Features[i])
	}
	p := &Program{Tree: tree, Placed: placed(tree, copies), loops: loops}
	in := s.proofInput(p, text, dry)
	in.Then = then
	return proof.Prove(in), faults
}

// arrange asks package layout for the copies of every drawing: those on the
// plate that the job looks at, and how many plates there are.
func arrange(j job.Job, t feature.Tree, s shop) ([]layout.Copy, int, fault.List) {
	in := layout.Input{Stock: j.Stock, Layout: j.Layout, Clear: s.need, Kerf: s.kerf}
	for d := range j.Drawings {
		in.Quantity = append(in.Quantity, j.Drawings[d].Quantity)
		in.Boxes = append(in.Boxes, t.Box(d))
		in.Labels = append(in.Labels, PartName(j.Drawings[d]).String())
		in.Ways = append(in.Ways, wayOf(j, d))
	}
	in.Straight = s.straightSides(t)
	copies, faults := layout.Arrange(in)
	if j.Layout.Method == job.MethodNest && len(j.Layout.Places) == 0 && j.Stock.Hold != job.Blank {
		faults.Warnf(fault.Where{Entity: "layout.method"}, "not-nested", "Nest them: command nest, or the layout page of the wizard.", "the job asks for a nest and holds no places: parts lie in rows")
	}
	n := layout.Plates(copies)
	if s.plate > n {
		faults.Errorf(fault.Where{Entity: "layout.plate"}, "no-plate", "Choose one of the plates that parts lie on.", "plate %d: parts lie on %d", s.plate, n)
	}
	return layout.On(copies, s.plate), n, faults
}

// wayOf returns how a drawing may lie on the stock.
func wayOf(j job.Job, d int) layout.Way {
	return layout.Way{Turns: j.Drawings[d].Turns, Grain: j.Drawings[d].Grain, Along: j.Stock.Grain, Flip: j.Drawings[d].Flip}
}

// placed lists every copy of every part, in the order of the copies.
func placed(t feature.Tree, copies []layout.Copy) []Placed {
	byDrawing := map[int][]int{}
	for k, part := range t.Parts {
		byDrawing[part.Drawing] = append(byDrawing[part.Drawing], k)
	}
	var out []Placed
	for _, c := range copies {
		for _, k := range byDrawing[c.Drawing] {
			if only := t.Parts[k].Copy; only > 0 && only != c.Number {
				continue
			}
			label := t.Parts[k].ID
			if c.Of > 1 {
				label = fmt.Sprintf("%s#%d", label, c.Number)
			}
			out = append(out, Placed{Part: k, Copy: c.Number, Move: c.Move, Label: label, Blank: c.Blank, Piece: c.Piece, Pieces: c.Pieces, Pocket: c.Pocket})
		}
	}
	for _, k := range byDrawing[-1] { // texts on the stock itself
		out = append(out, Placed{Part: k, Copy: 1, Label: t.Parts[k].ID})
	}
	return out
}

// frame returns the box of all that the torch reaches with the arc on.
func frame(p *Program) geom.Box { return frameOf(p.Cuts) }

// onPlate is frame without the trim, which begins and ends on the plate's edge.
func onPlate(p *Program) geom.Box {
	return frameOf(slices.DeleteFunc(slices.Clone(p.Cuts), func(c Cut) bool { return c.trims() }))
}

func frameOf(cuts []Cut) geom.Box {
	b := geom.EmptyBox()
	for _, c := range cuts {
		b = b.Union(c.Path.Box().Grow(c.Kerf / 2))
	}
	return b
}

// sums fills the report.
func (s shop) sums(p *Program) {
	r := &p.Plan
	r.Pierces = len(p.Cuts)
	r.CutLength, r.RapidLength = 0, 0
	for i := range p.Cuts {
		r.CutLength += p.Cuts[i].Path.Length()
	}
	for _, way := range p.Rapids {
		r.RapidLength += way.Length()
	}
	r.HoldShare = holdShare(p.Cuts)
	if from, to := s.approach(p); len(p.Cuts) > 0 { // the bound counts these too
		if from != nil && p.Before == 0 {
			r.RapidLength += from.Dist(p.Cuts[0].Path.Start())
		}
		if to != nil {
			r.RapidLength += p.Cuts[len(p.Cuts)-1].Path.End().Dist(*to)
		}
	}
	r.RapidBound = math.Min(r.RapidBound, r.RapidLength)
	r.Raised, r.Round, r.ExtraTime = p.Raised, p.Round, p.ExtraTime
	if r.RapidBound > 0 {
		gap := r.RapidLength/r.RapidBound - 1
		r.RapidGap = &gap
	}
	all := p.Times()
	r.Times = report.Times{ArcOn: all.ArcOn, Pierce: all.Pierce, Probe: all.Probe, Raise: all.Raise, Rapid: all.Rapid, Pauses: all.Pauses}
	r.Before = p.Before
	if p.Plates > 1 {
		r.Plate, r.Plates = p.Plate, p.Plates
	}
	if n := len(p.Placed); s.job.Stock.Hold == job.Blank && n > 0 {
		r.Pieces = &report.Pieces{Done: s.job.Stock.Fixture.Done, Run: p.Placed[n-1].Blank, Of: p.Placed[n-1].Pieces}
	}
	r.TouchOffsSaved, r.TouchOffTimeSaved = p.TouchOffsSaved, p.TouchOffTimeSaved
}
