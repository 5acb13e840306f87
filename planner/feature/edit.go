package feature

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// editor makes the operator's edits on a tree, before any rule is applied.
// Ids stay those of the drawing: what is deleted leaves a gap.
type editor struct {
	t      *Tree
	tol    float64 // mm, for circles that a correction makes oval
	in     unit.System
	faults *fault.List
	f      []edited // of each feature
	p      []movedPart
	lodged map[int][]int // parts that lie in a feature
	n      int           // the edit under way, from 1
}

// edited is what the edits so far made of a feature.
type edited struct {
	loop  geom.Path   // what at is applied to: the drawing's, or typed since
	at    geom.Affine // from loop to now
	point geom.Affine // from the drawing to now, for places on the edge
	by    bool        // changed by itself, not with its part
	gone  int         // the edit that deleted it
}

// movedPart is what the edits so far made of a part.
type movedPart struct {
	mid       geom.Point // of its box as drawn, where it is now
	touched   bool
	corrected bool
}

// ovalMost is how far from round corrections may make a hole, as a part of its
// width, before the rules for holes leave it: what one correction can do at
// its most. Common practice, no source.
const ovalMost = 2 * job.CorrectMost

// edit makes all edits. What cannot be made is an Error and is left out.
func (t *Tree) edit(edits []job.Edit, tol float64, in unit.System, faults *fault.List) {
	if len(edits) > job.MaxEdits {
		faults.Errorf(fault.Where{Entity: "edits"}, "edit-limit", "Change the drawing instead.", "the job has %d edits, more than %d", len(edits), job.MaxEdits)
		edits = edits[:job.MaxEdits]
	}
	t.keepDrawn()
	e := &editor{t: t, tol: tol, in: in, faults: faults, f: make([]edited, len(t.Features)), p: make([]movedPart, len(t.Parts)), lodged: map[int][]int{}}
	for i := range t.Features {
		e.f[i] = edited{loop: t.Features[i].Loop, at: geom.Still(), point: geom.Still()}
	}
	for k, p := range t.Parts {
		e.p[k].mid = e.box(k).Center()
		if p.In >= 0 {
			e.lodged[p.In] = append(e.lodged[p.In], k)
		}
	}
	t.Done = make([]Done, len(edits))
	for i, x := range edits {
		e.n = i + 1
		if k, ok := e.find(x); ok {
			e.apply(x, k)
		}
	}
	for i := range t.Features {
		if e.f[i].gone == 0 && (e.f[i].by || e.p[t.Features[i].Part].touched) {
			t.Features[i] = e.now(i)
		}
	}
	e.check()
	t.drop(e)
}

func (e *editor) bad(on, code, do, format string, args ...any) {
	e.faults.Errorf(fault.Where{Entity: fmt.Sprintf("edits[%d]", e.n), Feature: on}, code, do, format, args...)
}

// find returns the part or, for an edit of a feature, the feature that the
// edit is on; for an add the part.
func (e *editor) find(x job.Edit) (int, bool) {
	if x.Do.OfPart() || x.Do == job.EditAdd {
		k := slices.IndexFunc(e.t.Parts, func(p Part) bool { return p.ID == x.Part() })
		if k < 0 || x.Do.OfPart() && x.On != x.Part() {
			e.bad(x.On, "edit-unknown", "Name a part that the drawings have, such as p1, or take the edit back.", "%s: there is no such part", x.Do)
			return 0, false
		}
		return k, true
	}
	i := e.t.Find(x.On)
	switch {
	case i < 0:
		e.bad(x.On, "edit-unknown", "Name a feature that the drawings have, such as p1.h1, or take the edit back.", "%s: there is no such feature", x.Do)
	case e.f[i].gone > 0:
		e.bad(x.On, "edit-unknown", "Take one of the two back.", "%s: edit %d deleted it", x.Do, e.f[i].gone)
	case e.t.Features[i].Kind == Outline:
		e.bad(x.On, "edit-outline", "Edit the part, or the holes, slots and cut-outs in it.", "%s: an outline is changed only with its part", x.Do)
	default:
		return i, true
	}
	return 0, false
}

// apply makes one edit on the part or the feature k.
func (e *editor) apply(x job.Edit, k int) {
	if x.Do.OfPart() {
		before := Size{Width: e.box(k).Width(), Height: e.box(k).Height()}
		if !e.part(x, k) {
			return
		}
		b := e.box(k)
		e.t.Done[e.n-1] = Done{OK: true, Drawing: e.t.Parts[k].Drawing, Before: before, After: Size{Width: b.Width(), Height: b.Height()}}
		return
	}
	var before Size
	part := k
	if x.Do != job.EditAdd {
		f := e.now(k)
		part, before = f.Part, sizeOf(f)
	}
	if !e.feature(x, &k) {
		return
	}
	done := Done{OK: true, Drawing: e.t.Parts[part].Drawing, Before: before}
	if x.Do != job.EditDelete {
		done.After = sizeOf(e.now(k))
	}
	e.t.Done[e.n-1] = done
	if e.p[part].corrected && x.Do != job.EditDelete && x.Do != job.EditMove {
		e.faults.Warnf(fault.Where{Entity: fmt.Sprintf("edits[%d]", e.n), Feature: x.On}, "edit-after-correct", "Take the correction back and make it again, last, if the size is to be corrected too.",
			"its size was typed after the correction of %s and is cut as typed", e.t.Parts[part].ID)
	}
}

// part turns, mirrors or stretches a whole part about its middle.
func (e *editor) part(x job.Edit, k int) bool {
	mid := e.p[k].mid
	s := step{part: k}
	switch x.Do {
	case job.EditTurn:
		if x.Angle == 0 {
			e.bad(x.On, "edit-number", "Enter the angle.", "turn: the angle is unknown")
			return false
		}
		s.m, s.turn = geom.Turned(mid, x.Angle), x.Angle
	case job.EditMirror:
		if !x.Sure {
			e.bad(x.On, "edit-sure", "Say twice that the other hand is wanted, or take the edit back.", "mirror makes the part of the other hand: it is asked twice, and nobody has said yes")
			return false
		}
		s.m, s.mirror = geom.Stretch(mid, -1, 1), true
	case job.EditScale:
		if x.Factor == 0 {
			e.bad(x.On, "edit-number", "Enter the factor.", "scale: the factor is unknown")
			return false
		}
		s.m = geom.Stretch(mid, x.Factor, x.Factor)
	case job.EditCorrect:
		fx, fy, ok := e.factors(x)
		if !ok {
			return false
		}
		s.m = geom.Stretch(mid, fx, fy)
		e.p[k].corrected = true
	}
	e.carry(s)
	return true
}

// factors are those of a correction that can be meant.
func (e *editor) factors(x job.Edit) (fx, fy float64, ok bool) {
	for _, a := range []struct {
		axis            string
		drawn, measured float64
	}{{"X", x.DrawnX, x.MeasuredX}, {"Y", x.DrawnY, x.MeasuredY}} {
		if (a.drawn > 0) != (a.measured > 0) {
			e.bad(x.On, "edit-number", "Enter both, or neither.", "correct: along %s the size drawn or the size measured is unknown", a.axis)
			return 0, 0, false
		}
		if a.drawn > 0 && job.Far(a.drawn, a.measured) {
			e.bad(x.On, "edit-correct", "Read both again; a part of another size is a scale.", "correct: along %s %s was drawn and %s measured, more than %.0f %% apart",
				a.axis, e.in.Length(a.drawn), e.in.Length(a.measured), 100*job.CorrectMost)
			return 0, 0, false
		}
	}
	if fx, fy = x.Factors(); fx == 1 && fy == 1 {
		e.bad(x.On, "edit-number", "Enter a size as drawn and the same as measured, along X, along Y or both.", "correct: nothing to correct")
		return 0, 0, false
	}
	return fx, fy, true
}

// step is what an edit did to a part as a whole.
type step struct {
	part   int
	m      geom.Affine
	turn   float64 // rad
	mirror bool
}

// carry moves a part by a step, and what lies in its cut-outs along with it:
// turned with it, but neither mirrored nor stretched.
func (e *editor) carry(s step) {
	e.t.steps = append(e.t.steps, s)
	e.p[s.part].touched = true
	e.p[s.part].mid = s.m.Apply(e.p[s.part].mid)
	for _, i := range e.t.Parts[s.part].Features {
		e.f[i].at, e.f[i].point = s.m.After(e.f[i].at), s.m.After(e.f[i].point)
		for _, k := range e.lodged[i] {
			along := step{part: k, m: s.m, turn: s.turn}
			if s.turn == 0 && !rigid(s.m) {
				along.m = geom.Shifted(s.m.Apply(e.p[k].mid).Sub(e.p[k].mid))
			}
			e.carry(along)
		}
	}
}

// rigid reports whether a map moves without mirror or stretch.
func rigid(m geom.Affine) bool {
	most, least := m.Stretches()
	return m.Det() > 0 && math.Abs(most-1) < geom.Angle && math.Abs(least-1) < geom.Angle
}

// feature makes an edit on feature *k; an add turns *k from the part into the
// feature that it adds.
func (e *editor) feature(x job.Edit, k *int) bool {
	if x.Do == job.EditAdd {
		return e.add(x, k)
	}
	i := *k
	f := e.now(i)
	switch x.Do {
	case job.EditDiameter:
		if x.Diameter == 0 {
			e.bad(x.On, "edit-number", "Enter it.", "the diameter is unknown")
			return false
		}
		if f.Kind != Hole || f.Oval {
			e.bad(x.On, "edit-shape", e.round(f), "it is no circle: a %s %s by %s", f.Kind, e.in.Length(f.Width), e.in.Length(f.Height))
			return false
		}
		e.f[i].loop, e.f[i].at = geom.Circle(f.Center, x.Diameter/2), geom.Still()
		grown := x.Diameter / f.Diameter
		e.f[i].point = geom.Stretch(f.Center, grown, grown).After(e.f[i].point)
	case job.EditLength:
		if x.Length == 0 {
			e.bad(x.On, "edit-number", "Enter it.", "the length is unknown")
			return false
		}
		if f.Kind != Slot || f.Oval {
			e.bad(x.On, "edit-shape", e.round(f), "it is no slot with round ends: a %s %s by %s", f.Kind, e.in.Length(f.Width), e.in.Length(f.Height))
			return false
		}
		if x.Length <= f.Diameter {
			e.bad(x.On, "edit-number", "Make it longer, or delete it and add a hole.", "%s long, the slot is %s wide", e.in.Length(x.Length), e.in.Length(f.Diameter))
			return false
		}
		s := recognise(f.Loop)
		e.f[i].loop, e.f[i].at = slotPath(f.Center, s.dir, x.Length, f.Diameter), geom.Still()
	case job.EditMove:
		if x.X == 0 && x.Y == 0 {
			e.bad(x.On, "edit-number", "Enter how far along X and Y.", "move: by nothing")
			return false
		}
		m := geom.Shifted(geom.Pt(x.X, x.Y))
		e.f[i].at, e.f[i].point = m.After(e.f[i].at), m.After(e.f[i].point)
		for _, q := range e.lodged[i] {
			e.carry(step{part: q, m: m})
		}
	case job.EditDelete:
		if in := e.lodged[i]; len(in) > 0 {
			e.bad(x.On, "edit-holds", "Leave that part out first, or take the edit back.", "delete: part %s lies in it", e.t.Parts[in[0]].ID)
			return false
		}
		e.f[i].gone = e.n
	}
	e.f[i].by = true
	return true
}

// round says what to do about a shape that cannot be typed.
func (e *editor) round(f Feature) string {
	if e.p[f.Part].corrected {
		return "Put this edit before the correction of the part, which made it oval."
	}
	return "Change it in the drawing, or delete it and add a hole or a slot."
}

// add puts a new hole or slot into a part.
func (e *editor) add(x job.Edit, k *int) bool {
	id, n := x.On, 0
	_, err := fmt.Sscanf(strings.TrimPrefix(id, x.Part()), ".a%d", &n)
	switch {
	case err != nil || n < 1 || id != fmt.Sprintf("%s.a%d", x.Part(), n):
		e.bad(id, "edit-id", fmt.Sprintf("Call it %s.a1, or with a higher number.", x.Part()), "add: what is added is called so")
		return false
	case e.t.Find(id) >= 0:
		e.bad(id, "edit-id", "Give it another number.", "add: there is such a feature already")
		return false
	case e.t.Parts[*k].Outline < 0:
		e.bad(id, "edit-outline", "Close the outline in the drawing.", "add: the part has no outline")
		return false
	}
	slot := x.Length > 0 || x.Width > 0
	switch {
	case slot == (x.Diameter > 0):
		e.bad(id, "edit-number", "Enter a diameter for a hole, length and width for a slot.", "add: neither a hole nor a slot")
		return false
	case slot && (x.Width == 0 || x.Length <= x.Width):
		e.bad(id, "edit-number", "A slot is longer than wide.", "add: a slot %s long and %s wide", e.in.Length(x.Length), e.in.Length(x.Width))
		return false
	}
	at := geom.Pt(x.X, x.Y)
	loop := geom.Circle(at, x.Diameter/2)
	if slot {
		loop = slotPath(at, geom.Polar(geom.Point{}, 1, x.Angle), x.Length, x.Width)
	}
	part, i := &e.t.Parts[*k], len(e.t.Features)
	e.t.Features = append(e.t.Features, Feature{ID: id, Part: *k, Loop: loop, From: -1, Added: true})
	e.f = append(e.f, edited{loop: loop, at: geom.Still(), point: geom.Still(), by: true})
	part.Features = slices.Insert(slices.Clone(part.Features), len(part.Features)-1, i) // before the outline
	e.t.Features[i] = e.now(i)
	*k = i
	return true
}

// slotPath is a slot with round ends, mm overall, its length along a unit
// direction.
func slotPath(mid, along geom.Point, length, width float64) geom.Path {
	half, r := along.Mul((length-width)/2), along.Left().Mul(width/2)
	a, b := mid.Sub(half), mid.Add(half)
	return geom.Path{Closed: true, V: []geom.Vertex{{P: a.Sub(r)}, {P: b.Sub(r), Bulge: 1}, {P: b.Add(r)}, {P: a.Add(r), Bulge: 1}}}
}

// now is a feature as the edits so far left it.
func (e *editor) now(i int) Feature {
	f, x := e.t.Features[i], &e.f[i]
	if x.at == geom.Still() && x.point == geom.Still() && !x.by {
		return f
	}
	f.Edited = true
	if x.point != geom.Still() {
		m := x.point
		f.moved = &m
	}
	f.Loop = drawing.Reshape(x.loop, x.at, e.tol)
	if f.Loop.Closed {
		f.Loop = f.Loop.CCW()
	}
	b := f.Loop.Box()
	f.Width, f.Height, f.Area = b.Width(), b.Height(), math.Abs(f.Loop.Area())
	if !f.Loop.Closed {
		f.Area = 0
	}
	if f.Kind == Mark || f.Kind == Outline {
		f.Center = b.Center()
		return f
	}
	s := recognise(f.Loop)
	f.Kind, f.Diameter, f.Length, f.Center, f.Oval = s.kind, s.diameter, s.length, s.center, false
	if was := recognise(x.loop); s.kind == CutOut && was.kind != CutOut {
		most, least := x.at.Stretches()
		if most-least <= ovalMost*most { // what is drilled or cut slowly when round is so now
			f.Kind, f.Oval, f.Center = was.kind, true, x.at.Apply(was.center)
			f.Diameter, f.Length = was.diameter*math.Sqrt(most*least), 0
			if was.kind == Slot {
				f.Diameter = was.diameter * x.at.Vector(was.dir.Left()).Len()
				f.Length = f.Diameter + (was.length-was.diameter)*x.at.Vector(was.dir).Len()
			}
		}
	}
	return f
}

// box is that of a part: of its outline, or of all that it has.
func (e *editor) box(k int) geom.Box {
	p := e.t.Parts[k]
	if p.Outline >= 0 {
		return e.now(p.Outline).Loop.Box()
	}
	b := geom.EmptyBox()
	for _, i := range p.Features {
		b = b.Union(e.now(i).Loop.Box())
	}
	return b
}
