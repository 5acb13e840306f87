// Package shape makes parts out of a few typed numbers: plates, rings,
// flanges, brackets and their like, with holes and slots added by coordinates.
// A job.Shape comes in, the paths that a drawing of it would hold go out, or
// the faults that say which number does not fit which. It never guesses a
// number and never changes one.
package shape

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// The layers of a shape.
const (
	cutLayer  = "shape"
	markLayer = "fold marks"
)

// maxFeatures bounds the holes and slots of one shape; more are a slip of the
// key. Common practice, no source.
const maxFeatures = 5000

// Loops returns the shape as a drawing in mm, outline first, or nil and at
// least one Error. Lengths in faults are in mm; In gives them in another unit.
func Loops(s job.Shape) (*drawing.Loops, fault.List) { return In(s, unit.MM) }

// In is Loops for an operator who works in the given unit.
func In(s job.Shape, u unit.System) (*drawing.Loops, fault.List) {
	m := &maker{s: s, in: u, at: fault.Where{Entity: string(s.Kind)}}
	build, ok := builders[s.Kind]
	if !ok {
		m.at.Entity = "shape"
		m.faults.Errorf(m.at, "shape-kind", "Choose one of the shapes", "%q is no shape", plain.Clean(string(s.Kind)))
		return nil, m.faults
	}
	m.values()
	if !m.faults.Bad() {
		build(m)
	}
	if !m.faults.Bad() {
		m.added()
	}
	if !m.faults.Bad() {
		m.inside()
	}
	if m.faults.Bad() {
		return nil, m.faults
	}
	return m.loops(), m.faults
}

// builders draws each kind. What it finds wrong it adds to the maker's faults.
var builders = map[job.ShapeKind]func(*maker){
	job.ShapeRectangle: rectangle,
	job.ShapeDisc:      disc,
	job.ShapeRing:      ring,
	job.ShapeFlange:    flange,
	job.ShapeSlotted:   slotted,
	job.ShapeGrid:      grid,
	job.ShapeGusset:    gusset,
	job.ShapeAngle:     lPlate,
	job.ShapeFork:      uPlate,
	job.ShapeFoldL:     lFold,
	job.ShapeFoldU:     uFold,
	job.ShapeStrip:     strip,
	job.ShapePolygon:   polygon,
}

// maker gathers the figures of one shape.
type maker struct {
	s      job.Shape
	in     unit.System
	at     fault.Where
	faults fault.List
	out    []figure // the outline first
}

type figure struct {
	what string
	path geom.Path
	mark bool
}

// v returns a parameter, 0 if nobody has said.
func (m *maker) v(f job.Field) float64 { return m.s.Value(f) }

// n returns a parameter that counts.
func (m *maker) n(f job.Field) int { return int(m.s.Value(f)) }

func (m *maker) draw(what string, p geom.Path) {
	m.out = append(m.out, figure{what: what, path: p.SplitArcs().CCW()})
}

// values checks every parameter by itself.
func (m *maker) values() {
	params := job.ShapeParams(m.s.Kind)
	for _, v := range m.s.Values {
		if !slices.ContainsFunc(params, func(p job.ShapeParam) bool { return p.Field == v.Field }) {
			m.faults.Errorf(m.at, "shape-value", "Leave it out", "it has no %s", plain.Clean(string(v.Field)))
		}
	}
	for _, p := range params {
		v := m.v(p.Field)
		if v == 0 && !p.Need {
			continue
		}
		if err := p.Range().Check(v, m.in); err != nil {
			m.faults.Errorf(m.at, "shape-value", "", "%s %s: %v", p.Label, m.show(p.Field, v), err)
		}
	}
}

// show prints a value as the operator sees it.
func (m *maker) show(f job.Field, v float64) string {
	d := f.Range().Dim
	s := unit.Number(d.Show(v, m.in), 4)
	if u := d.Unit(m.in); u != "" {
		s += " " + u
	}
	return s
}

// length prints a length as the operator sees it.
func (m *maker) length(mm float64) string { return m.show(job.ShapeWidth, mm) }

// label names a parameter as the form does.
func (m *maker) label(f job.Field) string {
	for _, p := range job.ShapeParams(m.s.Kind) {
		if p.Field == f {
			return p.Label
		}
	}
	return string(f)
}

// atMost requires a length to be at most a limit, which is what the text says.
func (m *maker) atMost(f job.Field, limit float64, what string) {
	if v := m.v(f); v > limit+geom.Same {
		m.faults.Errorf(m.at, "shape-fit", "Make it smaller, or the part larger", "%s %s: must be at most %s, %s", m.label(f), m.show(f, v), m.length(limit), what)
	}
}

// under requires a length to be less than a limit.
func (m *maker) under(f job.Field, limit float64, what string) {
	if v := m.v(f); !(v < limit-geom.Same) {
		m.faults.Errorf(m.at, "shape-fit", "Make it smaller, or the part larger", "%s %s: must be less than %s, %s", m.label(f), m.show(f, v), m.length(limit), what)
	}
}

// over requires a length to be more than a limit.
func (m *maker) over(f job.Field, limit float64, what string) {
	if v := m.v(f); !(v > limit+geom.Same) {
		m.faults.Errorf(m.at, "shape-fit", "Make it larger", "%s %s: must be more than %s, %s", m.label(f), m.show(f, v), m.length(limit), what)
	}
}

// added draws the operator's own holes and slots.
func (m *maker) added() {
	if n := len(m.s.Holes) + len(m.s.Slots); n > maxFeatures {
		m.faults.Errorf(m.at, "limit", "Take some away", "%d holes and slots were added; the limit is %d", n, maxFeatures)
		return
	}
	check := func(what string, f job.Field, v float64) bool {
		if err := f.Range().Check(v, m.in); err != nil {
			m.faults.Errorf(m.at, "shape-value", "", "%s, %s: %v", what, m.show(f, v), err)
			return false
		}
		return true
	}
	for i, h := range m.s.Holes {
		what := fmt.Sprintf("added hole %d", i+1)
		if check(what, job.ShapeX, h.X) && check(what, job.ShapeY, h.Y) && check(what, job.ShapeD, h.Diameter) {
			m.draw(what, geom.Circle(geom.Pt(h.X, h.Y), h.Diameter/2))
		}
	}
	for i, s := range m.s.Slots {
		what := fmt.Sprintf("added slot %d", i+1)
		ok := check(what, job.ShapeX, s.X) && check(what, job.ShapeY, s.Y) &&
			check(what, job.ShapeL, s.Length) && check(what, job.ShapeW, s.Width)
		if s.Angle != 0 {
			ok = check(what, job.ShapeA, s.Angle) && ok
		}
		switch {
		case !ok:
		case s.Length < s.Width:
			m.faults.Errorf(m.at, "shape-fit", "Swap them and turn the slot by 90 degrees", "%s: length %s is less than its width %s", what, m.length(s.Length), m.length(s.Width))
		default:
			m.draw(what, slotPath(geom.Pt(s.X, s.Y), s.Length, s.Width, s.Angle))
		}
	}
}

// inside requires that holes and slots lie in the outline and clear of one
// another.
func (m *maker) inside() {
	index := make([]*geom.SegIndex, len(m.out))
	boxes := make([]geom.Box, len(m.out))
	for i, f := range m.out {
		index[i], boxes[i] = geom.IndexPaths(f.path), f.path.Box()
	}
	outline := m.out[0]
	for i, f := range m.out[1:] {
		if f.mark {
			continue
		}
		a, _, _ := geom.MinDist(index[0], index[i+1])
		gap := a.Dist
		switch in := outline.path.Side(f.path.Start(), 0) == geom.Inside; {
		case gap <= geom.Same:
			m.faults.Errorf(m.at, "shape-fit", "Move it inwards or make it smaller", "%s meets the part's edge", f.what)
		case !in:
			m.faults.Errorf(m.at, "shape-fit", "Move it into the part", "%s lies outside the part", f.what)
		}
		if len(m.faults) >= maxFaults {
			return
		}
	}
	var pairs [][2]int
	geom.NewIndex(boxes).SelfPairs(0, func(i, j int) bool {
		if i > 0 && j > 0 && !m.out[i].mark && !m.out[j].mark {
			pairs = append(pairs, [2]int{min(i, j), max(i, j)})
		}
		return len(pairs) < 8*maxFeatures
	})
	slices.SortFunc(pairs, func(a, b [2]int) int { return cmp.Or(a[0]-b[0], a[1]-b[1]) })
	for _, p := range pairs {
		a, b := m.out[p[0]], m.out[p[1]]
		near, _, _ := geom.MinDist(index[p[0]], index[p[1]])
		held := a.path.Side(b.path.Start(), 0) == geom.Inside || b.path.Side(a.path.Start(), 0) == geom.Inside
		if near.Dist <= geom.Same || held {
			m.faults.Errorf(m.at, "shape-fit", "Move one of them or make it smaller", "%s and %s overlap", a.what, b.what)
		}
		if len(m.faults) >= maxFaults {
			return
		}
	}
}

// maxFaults is how many places of one kind are named; a pitch that is too
// small makes every hole overlap the next.
const maxFaults = 12

// loops is the shape as a drawing.
func (m *maker) loops() *drawing.Loops {
	l := &drawing.Loops{
		Units: m.in, UnitFrom: drawing.UnitSaid, MMPerUnit: m.in.Scale(), UnitName: m.in.String(),
		Styles: []drawing.Style{{}}, Box: geom.EmptyBox(),
	}
	marks := 0
	for _, f := range m.out {
		layer, use := cutLayer, job.LayerCut
		if f.mark {
			layer, use = markLayer, job.LayerMark
			marks++
		}
		p := f.path
		for i := range p.V {
			p.V[i].Src = int32(len(l.Entities))
		}
		l.Entities = append(l.Entities, drawing.Entity{Type: f.what, Layer: plain.Of(layer)})
		one := drawing.Loop{Path: p, Layer: plain.Of(layer), Use: use}
		if p.Closed {
			l.Closed = append(l.Closed, one)
		} else {
			l.Open = append(l.Open, one)
		}
		l.Box = l.Box.Union(p.Box())
	}
	l.Layers = []drawing.LayerInfo{{Name: plain.Of(cutLayer), Entities: len(m.out) - marks, Use: job.LayerCut, Why: "the typed shape"}}
	if marks > 0 {
		l.Layers = append(l.Layers, drawing.LayerInfo{Name: plain.Of(markLayer), Entities: marks, Use: job.LayerMark, Why: "where the blank is folded"})
	}
	return l
}
