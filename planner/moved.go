package planner

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Moves is what became of the features of a job's drawings between two states
// of their files.
type Moves struct {
	List   []Moved      // in the order of the features; what is as it was is not in it
	Shifts []geom.Point // of each drawing: by how much all of it moved

	pairs map[string]pairing // by the id before: features and parts
}

// Moved is what became of one feature.
type Moved struct {
	Was, Now string // ids; Was is "" of what is new, Now of what is gone
	What     string // in words, with figures and places
}

// pairing is a feature before and after; now is "" if it is gone.
type pairing struct {
	now   string
	by    geom.Point // that it moved by, besides the shift of its drawing
	shift geom.Point // of its drawing
	size  bool       // it has another size or form
	part  bool       // it is a part, known by its outline
}

// WhatMoved compares a job's drawings as they were read with them as they are
// now. The job's edits and overrides play no part. Sizes and places are in the
// job's units.
func WhatMoved(j job.Job, was, now []*drawing.Loops) Moves {
	a, b := bare(j, was), bare(j, now)
	m := Moves{pairs: map[string]pairing{}}
	for d := range j.Drawings {
		c := compare{u: j.Units, m: &m, was: &a, now: &b}
		c.a, c.b = featuresOf(a, d), featuresOf(b, d)
		c.taken, c.to = make([]bool, len(c.b)), make([]int, len(c.a))
		c.run()
	}
	return m
}

// Notes are what moved as Notes, at most so many lines, and what would no
// longer hold of the job if the files were taken as they are now as Warnings.
func (m Moves) Notes(j job.Job, most int) fault.List {
	var out fault.List
	note := func(s fault.Severity, code, do, what string) {
		out.Add(fault.Fault{Severity: s, Where: fault.Where{Entity: "changed drawing"}, Code: code, What: what, Do: do})
	}
	for i, x := range m.List {
		if i == most && len(m.List) > most+1 {
			note(fault.Note, "drawing-moved", "", fmt.Sprintf("and %d more", len(m.List)-most))
			break
		}
		note(fault.Note, "drawing-moved", "", x.What)
	}
	if len(m.List) == 0 {
		note(fault.Note, "drawing-moved", "", "every part and feature is as it was")
	}
	_, told := m.Carry(j)
	for _, s := range told {
		note(fault.Warning, "drawing-carried", "", "if the file is taken as it is now: "+s)
	}
	return out
}

// Carried says what moved and what of the job no longer holds, once the files
// were taken as they are now.
func Carried(m Moves, told []string) fault.List {
	out := Moves{List: m.List}.Notes(job.Job{}, len(m.List))
	for _, s := range told {
		out.Add(fault.Fault{Severity: fault.Warning, Where: fault.Where{Entity: "changed drawing"}, Code: "drawing-carried", What: s})
	}
	return out
}

func featuresOf(t feature.Tree, d int) []feature.Feature {
	var out []feature.Feature
	for _, p := range t.Parts {
		if p.Drawing == d {
			for _, i := range p.Features {
				out = append(out, t.Features[i])
			}
		}
	}
	return out
}

// compare pairs the features of one drawing before and after.
type compare struct {
	u        unit.System
	m        *Moves
	was, now *feature.Tree
	a, b     []feature.Feature
	shift    geom.Point
	to       []int // of each of a, into b; -1 is none
	taken    []bool
}

// pairsMost is up to how many pairs are looked at to find again what moved.
const pairsMost = 4_000_000

// Sameness of two states of a drawing: what CAD rounding does is no change.
func alikeSize(f, g feature.Feature) bool {
	return f.Kind == g.Kind && math.Abs(f.Width-g.Width) <= geom.Gap && math.Abs(f.Height-g.Height) <= geom.Gap &&
		math.Abs(f.Diameter-g.Diameter) <= geom.Fit && math.Abs(f.Length-g.Length) <= geom.Fit && math.Abs(f.Area-g.Area) <= geom.Fit*(f.Width+f.Height)
}

func (c *compare) run() {
	c.shift = c.wholeShift()
	c.m.Shifts = append(c.m.Shifts, c.shift)
	for i := range c.to {
		c.to[i] = -1
	}
	at := func(i int) geom.Point { return c.a[i].Center.Add(c.shift) }
	c.pair(func(i, k int) float64 { // as it was
		if d := at(i).Dist(c.b[k].Center); d <= geom.Fit && alikeSize(c.a[i], c.b[k]) {
			return d
		}
		return -1
	})
	c.pair(func(i, k int) float64 { // in its place, of another size or kind
		if d := at(i).Dist(c.b[k].Center); d <= geom.Gap && (c.a[i].Kind == feature.Outline) == (c.b[k].Kind == feature.Outline) && c.a[i].Loop.Closed == c.b[k].Loop.Closed {
			return math.Abs(c.a[i].Area - c.b[k].Area)
		}
		return -1
	})
	c.pair(func(i, k int) float64 { // moved
		if alikeSize(c.a[i], c.b[k]) {
			return at(i).Dist(c.b[k].Center)
		}
		return -1
	})
	c.pair(func(i, k int) float64 { // of another size, over where it was; or an outline
		f, g := c.a[i], c.b[k]
		if d := at(i).Dist(g.Center); f.Kind == g.Kind && (f.Kind == feature.Outline || d < max(f.Width, f.Height, g.Width, g.Height)/2) {
			return d
		}
		return -1
	})
	c.tell()
}

// pair pairs what is not paired yet, the least value of near first; under 0
// says that two are no pair.
func (c *compare) pair(near func(i, k int) float64) {
	type two struct {
		i, k int
		d    float64
	}
	var as, bs []int
	for i := range c.a {
		if c.to[i] < 0 {
			as = append(as, i)
		}
	}
	for k := range c.b {
		if !c.taken[k] {
			bs = append(bs, k)
		}
	}
	if len(as)*len(bs) > pairsMost {
		// By their order: a drawing of so many lines is written by a program.
		for n := range min(len(as), len(bs)) {
			if i, k := as[n], bs[n]; near(i, k) >= 0 {
				c.to[i], c.taken[k] = k, true
			}
		}
		return
	}
	var all []two
	for _, i := range as {
		for _, k := range bs {
			if d := near(i, k); d >= 0 {
				all = append(all, two{i, k, d})
			}
		}
	}
	slices.SortFunc(all, func(x, y two) int { return cmp.Or(cmp.Compare(x.d, y.d), x.i-y.i, x.k-y.k) })
	for _, x := range all {
		if c.to[x.i] < 0 && !c.taken[x.k] {
			c.to[x.i], c.taken[x.k] = x.k, true
		}
	}
}

// wholeShift is by how much all of a drawing moved: that of its largest
// outline, if more lies as it lay when that is taken off.
func (c *compare) wholeShift() geom.Point {
	largest := func(all []feature.Feature) (best feature.Feature, ok bool) {
		for _, f := range all {
			if f.Kind == feature.Outline && f.Area > best.Area {
				best, ok = f, true
			}
		}
		return best, ok
	}
	f, ok1 := largest(c.a)
	g, ok2 := largest(c.b)
	v := g.Center.Sub(f.Center)
	if !ok1 || !ok2 || v.Len() <= geom.Gap || !alikeSize(f, g) {
		return geom.Point{}
	}
	lies := func(by geom.Point) (n int) {
		boxes := make([]geom.Box, len(c.b))
		for k := range c.b {
			boxes[k] = geom.Box{Min: c.b[k].Center, Max: c.b[k].Center}
		}
		index := geom.NewIndex(boxes)
		for i := range c.a {
			at := c.a[i].Center.Add(by)
			found := false
			index.Search(geom.Box{Min: at, Max: at}.Grow(geom.Fit), func(k int) bool {
				found = alikeSize(c.a[i], c.b[k])
				return !found
			})
			if found {
				n++
			}
		}
		return n
	}
	if lies(v) <= lies(geom.Point{}) {
		return geom.Point{}
	}
	return v
}

// tell writes down what became of every feature.
func (c *compare) tell() {
	if c.shift != (geom.Point{}) {
		name := ""
		if len(c.a) > 0 {
			name = c.was.Parts[c.a[0].Part].Name.String() + ": "
		}
		c.m.List = append(c.m.List, Moved{What: fmt.Sprintf("%sall of it moved X %s, Y %s", name, c.u.Length(c.shift.X), c.u.Length(c.shift.Y))})
	}
	place := func(p geom.Point) string { return fmt.Sprintf("X %s Y %s", c.u.Length(p.X), c.u.Length(p.Y)) }
	for i, f := range c.a {
		x := Moved{Was: f.ID}
		if c.to[i] < 0 {
			x.What = fmt.Sprintf("%s is gone: %s %s at %s", f.ID, f.Kind, shortSize(f, c.u), place(f.Center))
			c.m.pairs[f.ID] = pairing{}
			c.m.List = append(c.m.List, x)
			continue
		}
		g := c.b[c.to[i]]
		p := pairing{now: g.ID, by: g.Center.Sub(f.Center).Sub(c.shift), shift: c.shift, size: !alikeSize(f, g)}
		// An outline that grew has another middle, and has not moved.
		if p.by.Len() <= geom.Gap || p.size && f.Kind == feature.Outline {
			p.by = geom.Point{}
		}
		c.m.pairs[f.ID] = p
		if f.Kind == feature.Outline {
			c.m.pairs[c.was.Parts[f.Part].ID] = pairing{now: c.now.Parts[g.Part].ID, by: p.by, shift: p.shift, size: p.size, part: true}
		}
		x.Now, x.What = g.ID, f.ID
		if p.by != (geom.Point{}) {
			x.What += fmt.Sprintf(" moved X %s, Y %s, from %s to %s", c.u.Length(p.by.X), c.u.Length(p.by.Y), place(f.Center), place(g.Center))
		}
		if p.size {
			if p.by != (geom.Point{}) {
				x.What += " and"
			}
			was, is := shortSize(f, c.u), shortSize(g, c.u)
			switch {
			case f.Kind != g.Kind:
				x.What += fmt.Sprintf(" was a %s %s, is a %s %s now", f.Kind, was, g.Kind, is)
			case was != is:
				x.What += fmt.Sprintf(" was %s, is %s now", was, is)
			default:
				x.What += " has another form, of the same size"
			}
		}
		switch {
		case f.ID == g.ID:
		case x.What == f.ID:
			x.What += " is called " + g.ID + " now"
		default:
			x.What += ", called " + g.ID + " now"
		}
		if x.What != f.ID {
			c.m.List = append(c.m.List, x)
		}
	}
	for k, g := range c.b {
		if !c.taken[k] {
			c.m.List = append(c.m.List, Moved{Now: g.ID, What: fmt.Sprintf("%s is new: %s %s at %s", g.ID, g.Kind, shortSize(g, c.u), place(g.Center))})
		}
	}
}

// shortSize is a feature's size in words.
func shortSize(f feature.Feature, u unit.System) string {
	return editSize("", feature.Size{Width: f.Width, Height: f.Height, Diameter: f.Diameter, Length: f.Length}, u)
}
