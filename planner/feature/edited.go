package feature

import (
	"math"
	"slices"
	"strconv"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Drawn is a part as its drawing has it, before any edit.
type Drawn struct {
	ID       string
	In       string // feature of another part in which it lies; "" is none
	Features []DrawnFeature
}

// DrawnFeature is one of its features.
type DrawnFeature struct {
	ID      string
	Outline bool
	Loop    geom.Path
}

// Done is what an edit did, mm in the drawing's axes.
type Done struct {
	OK            bool // it could be made
	Drawing       int  // index into the job's drawings
	Before, After Size // of the part or of the feature; an add has no Before, a delete no After
}

// Size is that of a part or of a feature.
type Size struct {
	Width, Height    float64
	Diameter, Length float64 // as those of a Feature
	At               geom.Point
	Featured         bool // it is that of a feature: At is its middle
}

func sizeOf(f Feature) Size {
	return Size{Width: f.Width, Height: f.Height, Diameter: f.Diameter, Length: f.Length, At: f.Center, Featured: true}
}

// Now is where a place of the drawing, on or near the feature's edge, lies
// after the edits.
func (f Feature) Now(p geom.Point) geom.Point {
	if f.moved == nil {
		return p
	}
	return f.moved.Apply(p)
}

// AsDrawn is Now the other way round.
func (f Feature) AsDrawn(p geom.Point) geom.Point {
	if f.moved == nil {
		return p
	}
	back, _ := f.moved.Back()
	return back.Apply(p)
}

// middleOf is the middle of a text, width mm wide.
func middleOf(x job.Text, width float64) geom.Point {
	return geom.Turned(geom.Point{}, x.Angle).Apply(geom.Pt(width/2, x.Height/2)).Add(geom.Pt(x.X, x.Y))
}

// RidesOn is the part that a text lies on, "" if on none; width is the text's
// own, mm.
func (t *Tree) RidesOn(x job.Text, width float64) string {
	if k := t.drawnAt(x.Drawing-1, middleOf(x, width)); k >= 0 {
		return t.Parts[k].ID
	}
	return ""
}

// Rode notes of the text that was added last what it was before the edits: was
// is a tree in which it was said so.
func (t *Tree) Rode(x job.Text, width float64, was Tree) {
	on := t.RidesOn(x, width)
	if on == "" {
		return
	}
	r := &Ride{On: on, Middle: middleOf(x, width), Angle: x.Angle}
	for _, f := range was.Features {
		r.Said = append(r.Said, f.Loop)
	}
	t.Parts[len(t.Parts)-1].Ride = r
}

// Ride lets a text go along with the edits of the part that it lies on: turned
// with it, but neither mirrored nor stretched. width is the text's own, mm.
func (t *Tree) Ride(x job.Text, width float64) job.Text {
	mid := middleOf(x, width)
	k := t.drawnAt(x.Drawing-1, mid)
	moved := false
	for _, s := range t.steps {
		if s.part != k {
			continue
		}
		moved = true
		if mid = s.m.Apply(mid); s.mirror {
			x.Angle = -x.Angle
		}
		x.Angle += s.turn
	}
	if !moved {
		return x
	}
	x.Angle = math.Remainder(x.Angle, 2*math.Pi)
	x.X, x.Y = 0, 0
	from := mid.Sub(middleOf(x, width))
	x.X, x.Y = from.X, from.Y
	return x
}

// drawnAt is the least part of a drawing, as drawn, that a place lies in; -1
// is none.
func (t *Tree) drawnAt(d int, q geom.Point) int {
	best, least := -1, math.Inf(1)
	for k, p := range t.Drawn {
		if t.Parts[k].Drawing != d {
			continue
		}
		for _, f := range p.Features {
			if a := math.Abs(f.Loop.Area()); f.Outline && a < least && f.Loop.Winding(q) != 0 {
				best, least = k, a
			}
		}
	}
	return best
}

// keepDrawn remembers the tree as the drawings gave it.
func (t *Tree) keepDrawn() {
	for _, p := range t.Parts {
		d := Drawn{ID: p.ID}
		if p.In >= 0 {
			d.In = t.Features[p.In].ID
		}
		for _, i := range p.Features {
			f := t.Features[i]
			d.Features = append(d.Features, DrawnFeature{ID: f.ID, Outline: f.Kind == Outline, Loop: f.Loop})
		}
		t.Drawn = append(t.Drawn, d)
	}
}

// drop takes deleted features out of the tree.
func (t *Tree) drop(e *editor) {
	to := make([]int, len(t.Features))
	var kept []Feature
	for i, f := range t.Features {
		if to[i] = len(kept); e.f[i].gone > 0 {
			if t.deleted == nil {
				t.deleted = map[string]int{}
			}
			to[i], t.deleted[f.ID] = -1, e.f[i].gone
			continue
		}
		kept = append(kept, f)
	}
	if t.deleted == nil {
		return
	}
	t.Features = kept
	for k := range t.Parts {
		p := &t.Parts[k]
		var own []int
		for _, i := range p.Features {
			if to[i] >= 0 {
				own = append(own, to[i])
			}
		}
		p.Features = own
		if p.Outline >= 0 {
			p.Outline = to[p.Outline]
		}
		if p.In >= 0 {
			p.In = to[p.In]
		}
	}
}

// NextAdded is the id that the next feature added to a part gets.
func NextAdded(part string, edits []job.Edit) string {
	for n := 1; ; n++ {
		id := part + ".a" + strconv.Itoa(n)
		if !slices.ContainsFunc(edits, func(e job.Edit) bool { return e.Do == job.EditAdd && e.On == id }) {
			return id
		}
	}
}
