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
	"example.org/kerfwright/planner/order"
	"example.org/kerfwright/planner/proof"
)

// From says where a job is taken up again. One of its fields is given.
type From struct {
	Cut     int         // this cut has not begun; all before it are made
	Line    int         // of the job's program: this line and all after it were not done
	Program int         // with Line: which of the programs, from 1, where the job has several
	At      *geom.Point // on the stock: the cut nearest to it was lost there
}

// place is where in a program a From points.
type place struct {
	cut     int     // into Program.Cuts: the first that is not whole
	begun   bool    // it was lit
	at      float64 // mm of its path that are cut
	program int     // into Program.Files: the one that line counts in
	line    int     // first line not done
	along   float64 // mm done of that line's move all the same
}

// Resume plans a job and writes the program that takes it up again: what was
// cut is left out, a cut that was lost is taken up with a fresh lead and an
// overlap. The program is proved like any other; the proof reads the job's
// whole program to see for itself what was cut. It is nil if there is nothing
// to show. Cuts keep their numbers.
func Resume(ctx context.Context, j job.Job, loops []*drawing.Loops, from From) (*Program, fault.List) {
	whole, faults := Plan(ctx, j, loops)
	if whole == nil || faults.Bad() {
		return nil, faults
	}
	p, more := TakeUp(j, whole, from)
	return p, append(faults, more...)
}

// TakeUp is Resume of a program that was planned already.
func TakeUp(j job.Job, whole *Program, from From) (*Program, fault.List) {
	var faults fault.List
	s := newShop(j)
	s.trim = whole.trim
	pl, err := whole.find(from)
	if err != nil {
		faults.Errorf(fault.Where{}, "resume", "Give a cut or a line of the job's own program.", "%v", err)
		return nil, faults
	}
	p := &Program{Plate: whole.Plate, Plates: whole.Plates, Tree: whole.Tree, Placed: whole.Placed, Before: pl.cut, TakenUp: true, Lie: whole.Lie, Shared: whole.Shared, trim: whole.trim, loops: whole.loops, done: whole.Cuts[:pl.cut]}
	p.Cuts = slices.Clone(whole.Cuts[pl.cut:])
	for i := range p.Cuts {
		p.Cuts[i].along, p.Cuts[i].Program = nil, 0
	}
	p.start = fmt.Sprintf("goes on at cut %d of %d, cuts before it are made", pl.cut+1, len(whole.Cuts))
	if pl.begun {
		p.start = fmt.Sprintf("goes on in cut %d of %d, from line %d of %s", pl.cut+1, len(whole.Cuts), pl.line, whole.programName(pl))
		c, ok := s.takeUp(whole, pl, &faults)
		if !ok {
			return nil, faults
		}
		p.Cuts[0], p.begun = c, true
		s.holdAnew(p)
	}
	if j.Stock.Hold == job.Blank {
		p.start += ", " + s.piece(p, p.Cuts[0]) + " lies in the fixture"
	}
	var left order.Problem
	for _, c := range p.Cuts {
		left.Nodes = append(left.Nodes, order.Node{Starts: []geom.Point{c.Path.Start()}, Ends: []geom.Point{c.Path.End()}})
	}
	_, left.End = s.approach(p)
	p.Plan.RapidBound = order.Bound(left)
	s.travel(p)
	s.sums(p)
	if err := s.write(p); err != nil {
		return nil, append(faults, fault.From(err, fault.Where{})...)
	}
	if s.tooLong(p) {
		if faults = append(faults, s.parted(p, false)...); faults.Bad() {
			return p, faults
		}
	}
	return p, append(faults, s.prove(p, whole.upTo(pl))...)
}

// prove proves both texts of a program and takes over what the proof measured.
func (s shop) prove(p *Program, done *proof.Done) fault.List {
	var faults fault.List
	var verdicts [2]proof.Result
	wanted := s.proofInput(p, p.Text, false)
	wanted.Done = done
	files := p.Files()
	for _, f := range files[1:] {
		wanted.Then = append(wanted.Then, f.Text)
	}
	both(func(k int, dry bool) {
		in := wanted
		if dry {
			in.File, in.Text, in.Dry, in.Then = fileOf(dry), p.Dry, dry, nil
			for _, f := range files[1:] {
				in.Then = append(in.Then, f.Dry)
			}
		}
		verdicts[k] = proof.Prove(in)
	})
	p.Verdict, p.DryVerdict = verdicts[0], verdicts[1]
	faults = append(faults, p.Verdict.Faults(fileOf(false))...)
	faults = append(faults, p.DryVerdict.Faults(fileOf(true))...)
	for i := range p.Cuts {
		if v := p.Verdict.Cuts; i < len(v) && v[i].Feature != "" && !p.Cuts[i].marks() {
			p.Cuts[i].Clear = min(p.Cuts[i].Clear, v[i].Clearance)
		}
	}
	return faults
}

// ProveResumed proves a program that was read from a file and takes the job up
// again where from says.
func ProveResumed(ctx context.Context, j job.Job, loops []*drawing.Loops, text []byte, dry bool, from From, then ...[]byte) (proof.Result, fault.List) {
	whole, faults := Plan(ctx, j, loops)
	if whole == nil || faults.Bad() {
		return proof.Result{}, faults
	}
	pl, err := whole.find(from)
	if err != nil {
		faults.Errorf(fault.Where{}, "resume", "Give a cut or a line of the job's own program.", "%v", err)
		return proof.Result{}, faults
	}
	s := newShop(j)
	s.trim = whole.trim
	in := s.proofInput(whole, text, dry)
	in.Then = then
	in.Done = whole.upTo(pl)
	return proof.Prove(in), faults
}

// upTo hands the proof what was run until a place.
func (p *Program) upTo(pl place) *proof.Done {
	d := &proof.Done{Line: pl.line, Along: pl.along, Touch: touchWithin}
	for k, f := range p.Files() {
		if k == pl.program {
			d.Text = f.Text
			break
		}
		d.Before = append(d.Before, f.Text)
	}
	return d
}

// find turns a From into a place.
func (p *Program) find(from From) (place, error) {
	switch {
	case from.At != nil:
		return p.findPoint(*from.At)
	case from.Line != 0:
		return p.findLine(from.Program, from.Line)
	}
	for k, c := range p.Cuts {
		if c.N == from.Cut {
			return place{cut: k, program: c.Program, line: c.First}, nil
		}
	}
	return place{}, fmt.Errorf("there is no cut %d: the job has cuts 1 to %d", from.Cut, len(p.Cuts))
}

func (p *Program) findLine(program, line int) (place, error) {
	n := len(p.Files())
	switch {
	case line < 1:
		return place{}, fmt.Errorf("there is no line %d: lines count from 1", line)
	case program == 0 && n > 1:
		return place{}, fmt.Errorf("line %d: of which program? The job has %d", line, n)
	case program < 0 || program > n:
		return place{}, fmt.Errorf("there is no program %d: the job has %d", program, n)
	}
	for k := range p.Cuts {
		c := &p.Cuts[k]
		if c.Program < program-1 || c.Program == max(0, program-1) && line > c.Last {
			continue
		}
		if c.Program > program-1 && n > 1 { // behind the last cut of the program before
			return place{cut: k, program: c.Program, line: c.First}, nil
		}
		if line <= c.lit {
			return place{cut: k, program: c.Program, line: max(line, c.First)}, nil
		}
		at := c.Path.Length() // past its last move
		for _, m := range c.along {
			if m.line >= line {
				at = m.at
				break
			}
		}
		return p.lost(k, at, line, 0)
	}
	if n := len(p.Cuts); n > 0 {
		return place{}, fmt.Errorf("line %d comes after the last cut, which ends at line %d: nothing is left to cut", line, p.Cuts[n-1].Last)
	}
	return place{}, fmt.Errorf("the job has no cut")
}

func (p *Program) findPoint(at geom.Point) (place, error) {
	best, way, near := -1, 0.0, math.Inf(1)
	for k := range p.Cuts {
		path := p.Cuts[k].Path
		if path.NumSegs() == 0 {
			continue
		}
		if seg, t, _, d := path.Nearest(at); d < near {
			best, near, way = k, d, 0
			for i := range seg {
				way += path.Seg(i).Length()
			}
			way += t * path.Seg(seg).Length()
		}
	}
	if best < 0 {
		return place{}, fmt.Errorf("the job has no cut")
	}
	line, from := p.Cuts[best].First, 0.0
	for _, m := range p.Cuts[best].along {
		if m.at <= way {
			line, from = m.line, m.at
		}
	}
	return p.lost(best, way, line, way-from)
}

// lost is a cut that was left after at mm. If its edge is cut all round by
// then, the next cut comes.
func (p *Program) lost(k int, at float64, line int, along float64) (place, error) {
	c := &p.Cuts[k]
	n := c.Path.NumSegs()
	round := 0.0
	for i := range n - c.Tail {
		round += c.Path.Seg(i).Length()
	}
	// A slug that is not cut across to its end falls in one piece.
	across := c.task.setup != nil && c.task.setup.sort == cutAcross
	if at < round-geom.Join && !across {
		return place{cut: k, begun: true, at: at, program: c.Program, line: line, along: along}, nil
	}
	if k+1 == len(p.Cuts) {
		return place{}, fmt.Errorf("the last cut is made: nothing is left to cut")
	}
	return place{cut: k + 1, program: p.Cuts[k+1].Program, line: p.Cuts[k+1].First}, nil
}

// programName names the program that a place lies in.
func (p *Program) programName(pl place) string {
	if len(p.Files()) > 1 {
		return fmt.Sprintf("program %d", pl.program+1)
	}
	return "the whole program"
}

// outlineOf reports whether a cut is a part's outside.
func (p *Program) outlineOf(c *Cut) bool { return p.Tree.Features[c.Feature].Kind == feature.Outline }

// Tag says in the names of the files of the program that goes on where that
// is, such as "-from-12".
func (f From) Tag() string {
	switch {
	case f.At != nil:
		return fmt.Sprintf("-from-x%d-y%d", int(math.Round(f.At.X)), int(math.Round(f.At.Y)))
	case f.Line > 0 && f.Program > 0:
		return fmt.Sprintf("-from-program-%d-line-%d", f.Program, f.Line)
	case f.Line > 0:
		return fmt.Sprintf("-from-line-%d", f.Line)
	}
	return fmt.Sprintf("-from-%d", f.Cut)
}
