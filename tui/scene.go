package tui

import (
	"slices"
	"strconv"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
)

// mark is what a stroke of the plate view stands for, in the order in which
// one lies over another.
type mark uint8

const (
	markLoose mark = iota // inside of what falls or stays loose
	markStock
	markRapid
	markPart
	markOpen // a chain left open
	markHold // height is held
	markLead
	markTrace  // way of the dry run
	markShared // an edge that one cut parts from the next
	markDone   // cut by now
	markAimed
)

func (k mark) ink() ink {
	return [...]ink{inkFaint, inkStock, inkRapid, inkPart, inkBad, inkHold, inkLead, inkHead, inkGood, inkGood, inkAimed}[k]
}

// stroke is one path of the picture.
type stroke struct {
	path    geom.Path
	box     geom.Box
	mark    mark
	feature int // of the tree; -1 for none
	drawing int // of the job; -1 for none
	layer   plain.Text
}

// tag is an order number beside a pierce.
type tag struct {
	at      geom.Point
	text    string
	feature int
	box     geom.Box // of the edge that is cut, as it lies
}

// scene is what there is to see: the planned plate, or the drawings as they
// were read while no plan can be made. It is made once and never changed.
type scene struct {
	planned bool
	name    string     // heads a picture that is neither plan nor drawing
	boxes   []geom.Box // what "all of it" is: one for a plate, one for each drawing else
	strokes []stroke
	tags    []tag
	of      map[int][]int     // strokes of a feature
	prog    *planner.Program  // of a planned plate
	cuts    []stroke          // way of each cut, in order
	line    *planner.Timeline // once it was asked for
}

func (s *scene) add(p geom.Path, k mark, feature, drawing int) {
	if len(p.V) == 0 {
		return
	}
	if feature >= 0 && k == markPart {
		s.of[feature] = append(s.of[feature], len(s.strokes))
	}
	s.strokes = append(s.strokes, stroke{path: p, box: p.Box(), mark: k, feature: feature, drawing: drawing})
}

// box is what is shown when all of it is shown.
func (s *scene) box(drawing int) geom.Box {
	if s.planned {
		return s.boxes[0]
	}
	if drawing >= 0 && drawing < len(s.boxes) {
		return s.boxes[drawing]
	}
	return geom.EmptyBox()
}

// center is the middle of the first copy of a feature.
func (s *scene) center(feature int) (geom.Point, bool) {
	of := s.of[feature]
	if len(of) == 0 {
		return geom.Point{}, false
	}
	return s.strokes[of[0]].box.Center(), true
}

// treeScene shows the drawings in their own axes.
func treeScene(t feature.Tree, loops []*drawing.Loops) *scene {
	s := &scene{of: map[int][]int{}}
	for range loops {
		s.boxes = append(s.boxes, geom.EmptyBox())
	}
	for i := range t.Features {
		f := &t.Features[i]
		d := t.Parts[f.Part].Drawing
		s.add(f.Loop, markPart, i, d)
		if d < len(loops) && loops[d] != nil && len(f.Loop.V) > 0 {
			from := loops[d].Closed
			if !f.Loop.Closed {
				from = loops[d].Open
			}
			if f.From >= 0 && f.From < len(from) {
				s.strokes[len(s.strokes)-1].layer = from[f.From].Layer
			}
		}
		if d < len(s.boxes) {
			s.boxes[d] = s.boxes[d].Union(f.Loop.Box())
		}
	}
	for d, l := range loops {
		if l == nil || slices.Contains(loops[:d], l) { // several entries are parts of one drawing
			continue
		}
		for _, o := range l.Open {
			s.add(o.Path, markOpen, -1, d)
			if len(o.Path.V) > 0 {
				s.strokes[len(s.strokes)-1].layer = o.Layer
			}
			s.boxes[d] = s.boxes[d].Union(o.Path.Box())
		}
	}
	return s
}

// planScene shows the plate with the parts on it, leads, rapids and order.
func planScene(j job.Job, p *planner.Program) *scene {
	s := &scene{planned: true, of: map[int][]int{}}
	box := geom.EmptyBox()
	if st := layout.StockBox(j.Stock); st.Width() > 0 && st.Height() > 0 && j.Stock.Hold != job.Blank {
		box = st
		for _, stroke := range planner.Picture(j, p).Strokes {
			if stroke.Kind == report.StrokeStock {
				s.add(stroke.Path, markStock, -1, -1)
			}
		}
	}
	for _, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		for _, i := range part.Features {
			path := pl.Move.Path(p.Tree.Features[i].Loop)
			s.add(path, markPart, i, part.Drawing)
			box = box.Union(path.Box())
		}
	}
	for _, c := range p.Cuts {
		n := c.Path.NumSegs()
		s.add(run(c.Path, 0, c.LeadIn), markLead, c.Feature, -1)
		if !p.Tree.Features[c.Feature].Rule.Cuts() {
			n = 0 // a mark is all tail
		}
		s.add(run(c.Path, n-c.Tail, n), markLead, c.Feature, -1)
		s.tags = append(s.tags, tag{c.Pierce, strconv.Itoa(c.N), c.Feature, p.Placed[c.Placed].Move.Path(p.Tree.Features[c.Feature].Loop).Box()})
		box = box.Union(c.Path.Box())
	}
	for _, st := range planner.Picture(j, p).Strokes {
		if st.Kind == report.StrokeHold {
			s.add(st.Path, markHold, -1, -1)
		}
	}
	for _, r := range p.Rapids {
		s.add(r, markRapid, -1, -1)
	}
	s.prog = p
	for _, c := range p.Cuts {
		s.cuts = append(s.cuts, stroke{path: c.Path, box: c.Path.Box(), mark: markDone, feature: -1, drawing: -1})
		s.add(c.Frees, markLoose, -1, -1)
	}
	for _, e := range p.Shared {
		s.add(e, markShared, -1, -1)
	}
	for _, way := range p.Trace() {
		s.add(way, markTrace, -1, -1)
	}
	s.boxes = []geom.Box{box}
	return s
}

// run is the piece of a path from segment a to before segment b.
func run(p geom.Path, a, b int) geom.Path {
	a, b = max(a, 0), min(b, p.NumSegs())
	if a >= b {
		return geom.Path{}
	}
	segs := make([]geom.Seg, 0, b-a)
	for i := a; i < b; i++ {
		segs = append(segs, p.Seg(i))
	}
	return geom.FromSegs(segs, false)
}
