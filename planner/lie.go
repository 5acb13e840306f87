package planner

import (
	"fmt"
	"math"
	"strings"

	"example.org/kerfwright/planner/align"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
)

// Lie is how the stock lies on the table: what the points that the operator
// typed say of it. Cuts and places of a Program are on the stock as drawn; the
// texts are turned and shifted by Fit.Move.
type Lie struct {
	align.Fit
	Room []Room // of each edge of a plate; of the first blank for blanks
}

// Room is the metal left between all that is cut and an edge of the stock, mm.
type Room struct {
	Edge     job.Edge
	Aligned  float64 // as the program cuts
	Straight float64 // if the program were run as drawn, with the stock as it lies
}

// residualTold is what a further point may lie off its edge, or a hole off its
// place, before it is warned of, mm: more than a sheared edge bends over a
// plate (common practice, no source).
const residualTold = 1.0

// lie works out how the stock lies. nil without an alignment.
func (s shop) lie(p *Program) (*Lie, fault.List) {
	a := s.job.Alignment
	if !a.Given() {
		return nil, nil
	}
	var faults fault.List
	at := fault.Where{Entity: "alignment"}
	var fit align.Fit
	var err error
	switch a.By {
	case job.AlignHoles:
		var drawn, found []geom.Point
		for _, h := range a.Holes {
			q, ok := s.located(p, h.Feature)
			if !ok {
				faults.Errorf(at, "align-feature", "Name features that the job has, such as p1.h1.", "no feature %s lies on the stock", h.Feature)
				return nil, faults
			}
			drawn, found = append(drawn, q), append(found, h.At)
		}
		fit, err = align.Holes(drawn, found)
	default:
		first, next := s.sides(p)
		fit, err = align.Edges(first, next, a.Points, a.Next)
	}
	if err != nil {
		faults.Errorf(at, "align", "Read two points or more, far apart, and type them again.", "%v", err)
		return nil, faults
	}
	u := s.job.Units
	if limit := a.Limit(); math.Abs(fit.Angle) > limit && !a.Sure {
		faults.Errorf(at, "align-turn", "Read both points again; if the stock does lie so, confirm it (in the job file: sure = true).",
			"the stock is turned by %s, over %s", degrees(fit.Angle), degrees(limit))
	}
	if math.Abs(fit.Apart) > job.AlignApart && !a.Sure {
		faults.Errorf(at, "align-apart", "Find both again; if it is so, confirm it (in the job file: sure = true).",
			"the holes lie %s further apart than drawn, over %s", u.Length(fit.Apart), u.Length(job.AlignApart))
	} else if fit.Worst > residualTold {
		faults.Warnf(at, "align-residual", "Read it again: an edge is bent, or the stock is out of square.",
			"a point lies %s off where the others put it", u.Length(fit.Worst))
	}
	return &Lie{Fit: fit, Room: s.room(p, fit.Move)}, faults
}

// located is where the middle of a feature lies on the stock as drawn. A name
// without a copy is of the first.
func (s shop) located(p *Program, id string) (geom.Point, bool) {
	for _, pl := range p.Placed {
		for _, i := range p.Tree.Parts[pl.Part].Features {
			if f := p.Tree.Features[i]; f.ID == id || labelOf(p, pl, i) == id {
				return pl.Move.Apply(f.Center), true
			}
		}
	}
	return geom.Point{}, false
}

// labelled is the name that a feature has on the stock.
func (s shop) labelled(p *Program, id string) string {
	for _, pl := range p.Placed {
		for _, i := range p.Tree.Parts[pl.Part].Features {
			if p.Tree.Features[i].ID == id || labelOf(p, pl, i) == id {
				return labelOf(p, pl, i)
			}
		}
	}
	return id
}

// edged is the box whose edges are measured: the stock's, or that of the first
// blank of the run; zero is its corner that the job counts from.
func (s shop) edged(p *Program) (b geom.Box, zero job.Corner) {
	st := s.job.Stock
	if st.Hold != job.Blank {
		return layout.StockBox(st), st.Zero
	}
	b = geom.EmptyBox()
	for _, pl := range p.Placed {
		if part := p.Tree.Parts[pl.Part]; pl.Blank == 1 && part.Outline >= 0 {
			b = b.Union(pl.Move.Path(p.Tree.Features[part.Outline].Loop).Box())
		}
	}
	return b, st.Fixture.Datum
}

func side(b geom.Box, e job.Edge) align.Side {
	switch e {
	case job.EdgeLeft:
		return align.Side{In: geom.Pt(1, 0), At: b.Min.X}
	case job.EdgeTop:
		return align.Side{In: geom.Pt(0, -1), At: -b.Max.Y}
	case job.EdgeRight:
		return align.Side{In: geom.Pt(-1, 0), At: -b.Max.X}
	}
	return align.Side{In: geom.Pt(0, 1), At: b.Min.Y}
}

// edgesOf names the edge that was measured first and the one beside it, which
// is that of the zero corner.
func edgesOf(first job.Edge, zero job.Corner) (job.Edge, job.Edge) {
	if first == "" {
		first = job.EdgeBottom
	}
	next := job.EdgeLeft
	if first.Along() {
		if zero == job.LowerRight || zero == job.UpperRight {
			next = job.EdgeRight
		}
		return first, next
	}
	next = job.EdgeBottom
	if zero == job.UpperLeft || zero == job.UpperRight {
		next = job.EdgeTop
	}
	return first, next
}

func (s shop) sides(p *Program) (first, next align.Side) {
	b, zero := s.edged(p)
	a, c := edgesOf(s.job.Alignment.Edge, zero)
	return side(b, a), side(b, c)
}

// NextEdge names the edge beside the one that is measured first.
func NextEdge(j job.Job) job.Edge {
	zero := j.Stock.Zero
	if j.Stock.Hold == job.Blank {
		zero = j.Stock.Fixture.Datum
	}
	_, next := edgesOf(j.Alignment.Edge, zero)
	return next
}

// room is what the cuts leave to each edge, aligned and not.
func (s shop) room(p *Program, m geom.Move) []Room {
	b, _ := s.edged(p)
	if b.Empty() {
		return nil
	}
	back := inverse(m)
	aligned, straight := geom.EmptyBox(), geom.EmptyBox()
	for _, c := range p.Cuts {
		if p.Placed[c.Placed].Blank > 1 {
			continue
		}
		aligned = aligned.Union(c.Path.Box().Grow(c.Kerf / 2))
		straight = straight.Union(back.Path(c.Path).Box().Grow(c.Kerf / 2))
	}
	if aligned.Empty() {
		return nil
	}
	var out []Room
	for _, e := range job.Edges() {
		left := func(box geom.Box) float64 {
			switch e {
			case job.EdgeLeft:
				return box.Min.X - b.Min.X
			case job.EdgeTop:
				return b.Max.Y - box.Max.Y
			case job.EdgeRight:
				return b.Max.X - box.Max.X
			}
			return box.Min.Y - b.Min.Y
		}
		out = append(out, Room{e, left(aligned), left(straight)})
	}
	return out
}

// inverse undoes a move without a mirror.
func inverse(m geom.Move) geom.Move {
	turn := geom.Move{Angle: -m.Angle}
	return geom.Move{Angle: -m.Angle, Shift: turn.Apply(m.Shift).Mul(-1)}
}

// laid turns and shifts what is written to where the stock lies. Arcs stay
// arcs: a turn changes neither their radius nor their sweep.
func (l *Lie) laid(in *gcode.Input, kerf float64) {
	if l == nil {
		return
	}
	all := func(pts []geom.Point) []geom.Point {
		out := make([]geom.Point, len(pts))
		for i, q := range pts {
			out[i] = l.Move.Apply(q)
		}
		return out
	}
	one := func(q *geom.Point) *geom.Point {
		if q == nil {
			return nil
		}
		at := l.Move.Apply(*q)
		return &at
	}
	in.Frame = geom.EmptyBox()
	for i := range in.Cuts {
		c := &in.Cuts[i]
		c.Path, c.Via, c.Touch = l.Move.Path(c.Path), all(c.Via), one(c.Touch)
		in.Frame = in.Frame.Union(c.Path.Box().Grow(kerf / 2))
	}
	in.Park = one(in.Park)
}

// frame is the box of all that the torch reaches with the arc on.
func (l *Lie) frame(p *Program) geom.Box {
	b := geom.EmptyBox()
	for _, c := range p.Cuts {
		b = b.Union(l.Move.Path(c.Path).Box().Grow(c.Kerf / 2))
	}
	return b
}

// at is where a place of the stock as drawn lies on the table.
func (l *Lie) at(q geom.Point) geom.Point {
	if l == nil {
		return q
	}
	return l.Move.Apply(q)
}

// lies tells the proof what was typed.
func (s shop) lies(p *Program) *proof.Lie {
	a := s.job.Alignment
	if !a.Given() {
		return nil
	}
	if a.By == job.AlignHoles {
		l := &proof.Lie{}
		for _, h := range a.Holes {
			l.Located = append(l.Located, proof.Located{ID: s.labelled(p, h.Feature), At: h.At})
		}
		return l
	}
	_, zero := s.edged(p)
	first, next := edgesOf(a.Edge, zero)
	return &proof.Lie{Edge: string(first), Next: string(next), Points: a.Points, NextPoints: a.Next}
}

func degrees(rad float64) string { return unit.Number(rad*180/math.Pi, 3) + " deg" }

// LieLine sums an alignment up in one line.
func LieLine(j job.Job, l *Lie) string {
	if l == nil {
		return ""
	}
	u, a := j.Units, j.Alignment
	var from string
	switch a.By {
	case job.AlignHoles:
		var names []string
		for _, h := range a.Holes {
			names = append(names, h.Feature)
		}
		from = strings.Join(names, " and ")
	default:
		first := a.Edge
		if first == "" {
			first = job.EdgeBottom
		}
		from = fmt.Sprintf("%d points on the %s edge", len(a.Points), first)
		if n := len(a.Next); n > 0 {
			from += fmt.Sprintf(", %d on the %s", n, NextEdge(j))
		}
	}
	return fmt.Sprintf("turned %s, shifted X %s Y %s, by %s", degrees(l.Angle), u.Length(l.Move.Shift.X), u.Length(l.Move.Shift.Y), from)
}

// lie shows how the stock lies, and what that leaves to its edges.
func (c checker) lie() Check {
	l, u := c.p.Lie, c.j.Units
	k := Check{ID: "alignment", Title: "stock as it lies", Figure: fmt.Sprintf("turned %s, points off by %s", degrees(l.Angle), u.Length(l.Worst)),
		Limit: fmt.Sprintf("asks again over %s", degrees(c.j.Alignment.Limit())),
		Why:   "The program is turned to the stock as it was measured: a stock that is moved after that is cut wrong"}
	if math.Abs(l.Apart) > 0 {
		k.Figure += fmt.Sprintf(", holes %s further apart than drawn", u.Length(l.Apart))
	}
	for _, r := range l.Room {
		if r.Aligned < 0 && c.j.Stock.Hold != job.Blank {
			k.Verdict, k.Do = Warn, fmt.Sprintf("Look at the %s edge: %s is left there.", r.Edge, u.Length(r.Aligned))
		}
	}
	if f, ok := c.found("align-residual"); ok {
		k.Verdict, k.Do = verdictOf(f.Severity), f.Do
	}
	if f, ok := c.found("align-turn", "align-apart"); ok {
		k.Verdict, k.Do = Fail, f.Do
	}
	return k
}

// LieReport is an alignment for a script and for a table.
func LieReport(j job.Job, l *Lie) *report.Alignment {
	if l == nil {
		return nil
	}
	r := &report.Alignment{Line: LieLine(j, l), Angle: l.Angle * 180 / math.Pi, Shift: [2]float64{l.Move.Shift.X, l.Move.Shift.Y}, Residuals: l.Residual,
		Worst: l.Worst, Third: l.Third, Apart: l.Apart, Unsure: l.Unsure * 180 / math.Pi}
	for _, x := range l.Room {
		r.Room = append(r.Room, report.Room{Edge: string(x.Edge), Aligned: x.Aligned, Straight: x.Straight})
	}
	return r
}
