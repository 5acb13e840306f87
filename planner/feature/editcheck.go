package feature

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// check refuses what the edits left that nobody can have meant: a feature that
// runs into another or out of its part, and parts of one drawing that meet.
func (e *editor) check() {
	e.n = 0
	t := e.t
	for i := range t.Features {
		f := &t.Features[i]
		if x := &e.f[i]; x.gone > 0 || !f.Loop.Closed || f.Kind == Mark || f.Kind == Outline {
			continue
		} else if x.by {
			e.clear(i)
		}
		if e.p[f.Part].touched && f.Kind == CutOut && recognise(e.f[i].loop).kind != CutOut {
			e.faults.Warnf(fault.Where{Feature: f.ID}, "edit-oval", "Look at how it is cut.", "the correction makes it oval, %s by %s: the rules for holes no longer apply", e.in.Length(f.Width), e.in.Length(f.Height))
		}
	}
	boxes := make([]geom.Box, len(t.Parts))
	for k, p := range t.Parts {
		if boxes[k] = geom.EmptyBox(); p.Outline >= 0 {
			boxes[k] = t.Features[p.Outline].Loop.Box()
		}
	}
	for k := range t.Parts {
		if t.Parts[k].Outline < 0 {
			continue
		}
		for o := 0; e.p[k].touched && o < len(t.Parts); o++ {
			twice := e.p[o].touched && o < k // told from the other side
			if o != k && !twice && boxes[o].Overlaps(boxes[k]) && t.Parts[o].Drawing == t.Parts[k].Drawing && t.Parts[o].Outline >= 0 {
				e.apart(k, o)
			}
		}
		if in := t.Parts[k].In; in >= 0 && (e.p[k].touched || e.p[t.Features[in].Part].touched || e.f[in].by) {
			e.within(k, in)
		}
	}
}

// distance is how near two loops come, mm, and where.
func distance(a, b geom.Path) (float64, geom.Point) {
	p, _, ok := geom.MinDist(geom.IndexPaths(a), geom.IndexPaths(b))
	if !ok {
		return math.Inf(1), geom.Point{}
	}
	return p.Dist, p.P
}

// holds reports whether the loop a encloses b, which it does not touch.
func holds(a, b geom.Path) bool { return a.Winding(b.Start()) != 0 }

// clear holds a feature that was edited by itself against its part's outline
// and the other features.
func (e *editor) clear(i int) {
	f := &e.t.Features[i]
	told := func(at geom.Point, format string, args ...any) {
		e.faults.Errorf(fault.Where{Feature: f.ID, Frame: fault.InDrawing, X: at.X, Y: at.Y}, "edit-touches", e.largest(i), format, args...)
	}
	for _, k := range e.t.Parts[f.Part].Features {
		o := &e.t.Features[k]
		if k == i || e.f[k].gone > 0 || o.Kind == Mark || !o.Loop.Closed {
			continue
		}
		if e.f[k].by && k < i && o.Kind != Outline { // told from the other side
			continue
		}
		if o.Kind != Outline && !f.Loop.Box().Grow(geom.Join).Overlaps(o.Loop.Box()) {
			continue
		}
		d, at := distance(f.Loop, o.Loop)
		switch {
		case o.Kind == Outline && (d < geom.Join || !holds(o.Loop, f.Loop)):
			told(at, "the edit lets it leave the part")
		case o.Kind == Outline:
		case d < geom.Join:
			told(at, "the edit lets it run into %s", o.ID)
		case holds(f.Loop, o.Loop):
			told(o.Center, "the edit lets it swallow %s", o.ID)
		case holds(o.Loop, f.Loop):
			told(f.Center, "the edit puts it inside %s", o.ID)
		}
	}
}

// largest says what there is room for where a feature lies.
func (e *editor) largest(i int) string {
	f := &e.t.Features[i]
	room := math.Inf(1)
	for _, k := range e.t.Parts[f.Part].Features {
		o := &e.t.Features[k]
		if k == i || e.f[k].gone > 0 || o.Kind == Mark || !o.Loop.Closed {
			continue
		}
		if (o.Loop.Winding(f.Center) != 0) != (o.Kind == Outline) {
			return "Move it, or take the edit back."
		}
		_, _, _, d := o.Loop.Nearest(f.Center)
		room = min(room, d)
	}
	if f.Kind != Hole || math.IsInf(room, 1) {
		return "Make it smaller or move it, or take the edit back."
	}
	return fmt.Sprintf("Stay under a diameter of %s there, or move it.", e.in.Length(2*room))
}

// apart holds two parts of one drawing apart, of which one does not lie in the
// other.
func (e *editor) apart(k, o int) {
	t := e.t
	a, b := t.Features[t.Parts[k].Outline].Loop, t.Features[t.Parts[o].Outline].Loop
	d, at := distance(a, b)
	nested := holds(a, b) || holds(b, a)
	if d >= geom.Join && nested == (e.inside(k, o) || e.inside(o, k)) {
		return
	}
	if d >= geom.Join {
		at = a.Box().Center()
	}
	e.faults.Errorf(fault.Where{Feature: t.Parts[k].ID, Frame: fault.InDrawing, X: at.X, Y: at.Y}, "edit-parts", "Take the edit back, or put the parts into drawings of their own.",
		"the edits let it run into part %s of the same drawing", t.Parts[o].ID)
}

// inside reports whether part k lies in a cut-out of part o, or of a part that
// does.
func (e *editor) inside(k, o int) bool {
	for in := e.t.Parts[k].In; in >= 0; in = e.t.Parts[e.t.Features[in].Part].In {
		if e.t.Features[in].Part == o {
			return true
		}
	}
	return false
}

// within holds a part inside the cut-out that it lies in.
func (e *editor) within(k, in int) {
	t := e.t
	a, b := t.Features[in].Loop, t.Features[t.Parts[k].Outline].Loop
	if d, at := distance(a, b); d < geom.Join || !holds(a, b) {
		e.faults.Errorf(fault.Where{Feature: t.Parts[k].ID, Frame: fault.InDrawing, X: at.X, Y: at.Y}, "edit-lodged", "Take the edit back, or leave one of the two out.",
			"the edits let it no longer fit into %s, in which it lies", t.Features[in].ID)
	}
}
