package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// Line is a closed line of a drawing with several parts, in the drawing's own
// axes. A mark has nothing in it.
type Line struct {
	Loop geom.Path
	Mark bool
}

// Meant says that some of Input.Parts are one part of such a drawing, with all
// that lies in it. The parts of a drawing are its lines that lie in no other,
// counted from 1 as they come.
type Meant struct {
	Drawing int // into Input.Drawings
	Part    int
	Parts   []int // into Input.Parts, which lie where Part.Place says
}

// drawn is a drawing made ready: which part each of its lines is of.
type drawn struct {
	loops []drawnLoop
	part  []int // from 1; 0 is a mark in none
	parts int
}

type drawnLoop struct {
	loop
	path geom.Path
}

// sorted finds for every line of a drawing the one that lies in no other and
// that it lies in itself.
func sorted(lines []Line) *drawn {
	d := &drawn{part: make([]int, len(lines))}
	boxes, areas := make([]geom.Box, len(lines)), make([]float64, len(lines))
	for i, l := range lines {
		boxes[i], areas[i] = l.Loop.Box(), math.Abs(l.Loop.Area())
		d.loops = append(d.loops, drawnLoop{loop{edge: newPieces(piecesOf(l.Loop.CCW())), box: boxes[i], closed: true}, l.Loop})
	}
	t := newTree(boxes)
	root := make([]int, len(lines))
	for i := range d.loops {
		root[i] = -1
		c := boxes[i].Center()
		t.each(geom.Box{Min: c, Max: c}, func(k int) bool {
			if !lines[k].Mark && areas[k] > areas[i] && (root[i] < 0 || areas[k] > areas[root[i]]) &&
				boxes[k].Grow(geom.Join).Encloses(boxes[i]) && d.loops[k].has(&d.loops[i].loop) {
				root[i] = k // the largest lies in no other
			}
			return true
		})
	}
	for i := range lines {
		if root[i] < 0 && !lines[i].Mark {
			d.parts++
			d.part[i] = d.parts
		}
	}
	for i, r := range root {
		if r >= 0 {
			d.part[i] = d.part[r]
		}
	}
	return d
}

// has reports whether most of another line lies inside, by the middles of its
// pieces; those on the edge say nothing.
func (l *loop) has(o *loop) bool {
	in := 0
	for i := range o.edge.all {
		q := o.edge.all[i].mid()
		if _, d := l.edge.nearest(q); d <= geom.Same {
			continue
		}
		if in--; l.holds(q) {
			in += 2
		}
	}
	return in > 0
}

// meant holds the parts against the drawing that they are said to be of: each
// line of the part that is meant has its feature, and no feature is of another
// part. Where the job has edits, what they begin with is held against it; edit
// holds the rest.
func (c *check) meant() {
	ready := make([]*drawn, len(c.in.Drawings))
	for i := range c.in.Meant {
		m := &c.in.Meant[i]
		if ready[m.Drawing] == nil {
			ready[m.Drawing] = sorted(c.in.Drawings[m.Drawing])
		}
		c.isPart(m, ready[m.Drawing])
	}
}

// standing are the closed features of the parts that one entry means, and how
// its drawing lies in their axes.
func (c *check) standing(m *Meant) (features []*Feature, place geom.Move) {
	for _, k := range m.Parts {
		p := &c.in.Parts[k]
		if len(c.in.Edits) > 0 {
			for _, d := range c.in.Drawn {
				if d.ID != p.Of {
					continue
				}
				for _, f := range d.Features {
					if f.Loop.Closed {
						features = append(features, &Feature{ID: f.ID, Loop: f.Loop})
					}
				}
			}
			continue
		}
		place = p.Place
		for i := range p.Features {
			if f := &p.Features[i]; f.Loop.Closed && f.Rule != "trim" {
				features = append(features, f)
			}
		}
	}
	return
}

func (c *check) isPart(m *Meant, d *drawn) {
	const do = "Choose the part anew, or lay the drawing apart again."
	features, place := c.standing(m)
	if len(features) == 0 {
		return
	}
	used := make([]bool, len(features))
	for i := range d.loops {
		l := &d.loops[i]
		if d.part[i] != m.Part {
			continue
		}
		wanted := placed(l.path, place)
		k := 0
		for k < len(features) && (used[k] || !c.same(wanted, features[k])) {
			k++
		}
		if k < len(features) {
			used[k] = true
			continue
		}
		at, last := wanted.Box().Center(), features[len(features)-1]
		c.find(c.lineOf(last), last.ID, "other-part", do,
			"part %d of the drawing has a line round X %s Y %s that no feature stands for", m.Part, bare(at.X), bare(at.Y)).on(at)
	}
	for k, f := range features {
		if !used[k] {
			c.find(c.lineOf(f), f.ID, "other-part", do, "it is not of part %d of the drawing, of %d, which is the one that is meant", m.Part, d.parts).on(f.Loop.Box().Center())
		}
	}
}

// sizeMay is by what part of its size a hole may be wanted other than drawn,
// for its taper.
const sizeMay = 0.25

// same reports whether a feature stands for a line of the drawing: on the same
// edge or, for a round hole, round the same middle and about as large.
func (c *check) same(line geom.Path, f *Feature) bool {
	if apartBy(line, f.Loop) <= c.tol {
		return true
	}
	a, b := line.Box(), f.Loop.Box()
	return f.Kind == "hole" && a.Center().Dist(b.Center()) <= c.tol && math.Abs(a.Width()-b.Width()) <= sizeMay*b.Width()
}

// lineOf returns the line where the feature's first run lights the torch, 0 if
// it has none.
func (c *check) lineOf(f *Feature) int {
	for i := range c.runs {
		if l := c.runs[i].loop; l != nil && l.ID == f.ID {
			return c.runs[i].first
		}
	}
	return 0
}
