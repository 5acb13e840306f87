package planner

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/letters"
	"example.org/kerfwright/planner/motion"
	"example.org/kerfwright/planner/plain"
)

// marking reports whether lines and texts are marked at all.
func (s shop) marking() bool { return s.job.Mark.Feed > 0 }

// marks reports whether a cut only marks the metal.
func (c *Cut) marks() bool { return c.task.setup != nil && c.task.setup.sort == cutMark }

// trace sets up a line that is marked: along it from either end, without a
// lead, held all the way, since nothing of the arc's voltage says how high a
// torch is that runs at another feed.
func (s shop) trace(f feature.Feature) []*setup {
	path := f.Loop
	if path.Closed {
		path = geom.FromSegs(path.Segs(), false)
	}
	st := &setup{sort: cutMark, f: f, feed: s.job.Mark.Feed}
	for _, p := range []geom.Path{path, path.Reverse()} {
		st.ways = append(st.ways, way{
			lead: lead.Lead{Pierce: p.Start(), Clear: s.need}, cut: lead.Cut{Path: p},
			holds: []Hold{{0, p.Length(), "a mark: held throughout"}}, time: motion.Plan(p, st.feed, s.lim).Time,
		})
	}
	return []*setup{st}
}

// markReady says what the process for marks still lacks.
func (s shop) markReady(faults *fault.List) {
	m := s.job.Mark
	if !s.marking() {
		if len(s.job.Texts) > 0 {
			faults.Warnf(fault.Where{Entity: string(job.MarkFeed)}, "mark-left", "Enter the process for marks, or take the texts back.",
				"%d texts are not marked: there is no process for marks", len(s.job.Texts))
		}
		return
	}
	for _, x := range []struct {
		f job.Field
		v float64
	}{{job.MarkHeight, m.Height}, {job.MarkWidth, m.Width}} {
		if x.v == 0 {
			faults.Errorf(fault.Where{Entity: string(x.f)}, "unknown", "Enter it.", "unknown")
		}
	}
	if max := s.job.Machine.MaxFeed; m.Feed > max && max > 0 {
		faults.Errorf(fault.Where{Entity: string(job.MarkFeed)}, "range", "Mark more slowly.", "%s, the machine runs at most at %s", s.job.Units.Feed(m.Feed), s.job.Units.Feed(max))
	}
}

// texts adds the strokes of every text to the tree, as parts without an
// outline: one for all copies that say the same, else one for each.
func (s shop) texts(t *feature.Tree, copies []layout.Copy) fault.List {
	var faults fault.List
	s.markReady(&faults)
	if !s.marking() {
		return faults
	}
	for i, x := range s.job.Texts {
		id := fmt.Sprintf("t%d", i+1)
		at := fault.Where{Feature: id}
		if x.Height == 0 {
			faults.Errorf(at, "text-height", "Enter it.", "the height of the text %q is unknown", x.Say)
			continue
		}
		if miss := letters.Missing(s.says(x, layout.Copy{Number: 1})); miss != "" {
			faults.Errorf(at, "text-sign", "Write letters, figures and - + = . , : / _ # ( ).", "there is no form to mark %q with", plain.Clean(miss))
			continue
		}
		// A stroke is as wide as the arc marks, and letters want it no wider
		// than a tenth of their height (ISO 3098 type B, from memory).
		if least := s.job.Mark.Width / letters.Stroke; x.Height < least {
			faults.Warnf(at, "text-small", fmt.Sprintf("Make it %s high.", s.job.Units.Length(least)), "letters %s high of lines %s wide run together", s.job.Units.Length(x.Height), s.job.Units.Length(s.job.Mark.Width))
		}
		say := func(drawing, copy int, text string, mirrored bool) {
			width := letters.Width(text, x.Height)
			t.Say(id, t.Ride(x, width), drawing, copy, text, mirrored)
			if len(s.job.Edits) > 0 {
				var was feature.Tree
				was.Say(id, x, drawing, copy, text, mirrored)
				t.Rode(x, width, was)
			}
		}
		if x.Drawing == 0 {
			if s.job.Stock.Hold == job.Blank {
				faults.Errorf(at, "text-stock", "Put it on the drawing.", "blanks in a fixture have no stock to mark beside them")
				continue
			}
			say(-1, 0, s.says(x, layout.Copy{}), false)
			continue
		}
		var of []layout.Copy
		for _, c := range copies {
			if c.Drawing == x.Drawing-1 {
				of = append(of, c)
			}
		}
		alike := true
		for _, c := range of {
			alike = alike && s.says(x, c) == s.says(x, of[0]) && c.Move.Mirror == of[0].Move.Mirror
		}
		switch {
		case len(of) == 0:
		case alike:
			say(x.Drawing-1, 0, s.says(x, of[0]), of[0].Move.Mirror)
		default:
			for _, c := range of {
				say(x.Drawing-1, c.Number, s.says(x, c), c.Move.Mirror)
			}
		}
	}
	return faults
}

// says fills in what a text leaves open.
func (s shop) says(x job.Text, c layout.Copy) string {
	part := ""
	if x.Drawing > 0 && x.Drawing <= len(s.job.Drawings) {
		part = PartName(s.job.Drawings[x.Drawing-1]).String()
	}
	n := c.Number
	if c.Piece > 0 {
		n = c.Piece
	}
	return strings.NewReplacer("{job}", s.job.Name.String(), "{part}", part, "{count}", strconv.Itoa(n)).Replace(x.Say.String())
}

// clearMarks holds every mark off the cuts: a mark that a cut runs through is
// lost, and its groove pulls the arc aside. Drawn lines may run out over an
// edge by wish; texts may not.
func (s shop) clearMarks(p *Program) fault.List {
	var faults fault.List
	g := newGrid(100)
	for i := range p.Cuts {
		g.add(p.Cuts[i].Path.Box())
	}
	keep := (s.kerf + s.job.Mark.Width) / 2
	told := map[string]bool{}
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if !c.marks() {
			continue
		}
		index := geom.IndexPaths(c.Path)
		for _, k := range g.near(c.Path.Box().Grow(keep)) {
			o := &p.Cuts[k]
			if o.marks() || o.Pop || p.Placed[o.Placed].Blank != p.Placed[c.Placed].Blank {
				continue
			}
			a, _, ok := geom.MinDist(index, geom.IndexPaths(o.Path))
			if !ok || a.Dist >= keep {
				continue
			}
			label := p.Placed[c.Placed].Label
			text := p.Tree.Parts[p.Placed[c.Placed].Part].Text
			key := label + " " + o.Label
			if told[key] {
				continue
			}
			told[key] = true
			at := fault.Where{Feature: c.Label, Frame: fault.OnStock, X: a.P.X, Y: a.P.Y}
			if text {
				faults.Errorf(at, "mark-cut", "Move the text, or make it smaller.", "the text lies %.2f mm from the cut of %s, %.2f mm are needed", a.Dist, o.Label, keep)
			} else {
				faults.Warnf(at, "mark-cut", "Shorten the line in the drawing if it must show whole.", "the mark lies %.2f mm from the cut of %s, %.2f mm are needed", a.Dist, o.Label, keep)
			}
		}
	}
	return faults
}

// atMark reports whether a cut is made with the process for marks: the lines
// and texts, and the pulses that mark centres if there is such a process.
func (s shop) atMark(c *Cut) bool { return s.marking() && (c.marks() || c.Pop) }

// heights are those at which a cut's arc is lit and runs, mm over the plate.
func (s shop) heights(c *Cut) (pierce, cut float64) {
	if s.atMark(c) {
		return s.job.Mark.Height, s.job.Mark.Height
	}
	return s.job.Process.PierceHeight, s.job.Process.CutHeight
}

// amps is the current of a cut.
func (s shop) amps(c *Cut) float64 {
	if s.atMark(c) && s.job.Mark.Amps > 0 {
		return s.job.Mark.Amps
	}
	return s.job.Process.Amps
}

// amped reports whether the machine's own lines set the current.
func (s shop) amped() bool {
	for _, l := range s.job.Machine.Program.ArcOn {
		if strings.Contains(l, "{amps}") {
			return true
		}
	}
	return false
}

// changes reports whether the current must be set by hand before cut i.
func (s shop) changes(p *Program, i int) bool {
	return i > 0 && !s.amped() && math.Abs(s.amps(&p.Cuts[i])-s.amps(&p.Cuts[i-1])) >= 0.5 // whole amperes
}
