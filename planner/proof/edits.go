package proof

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
)

// Edit is one change that the job makes to what a drawing gave. The proof
// makes it by itself, from the drawing's loops: what the planner made of it is
// not asked.
type Edit struct {
	Do     string  // "turn", "mirror", "scale", "correct", "diameter", "length", "move", "delete" or "add"
	On     string  // DrawnPart.ID or DrawnFeature.ID
	Angle  float64 // rad
	Factor float64

	DrawnX, MeasuredX, DrawnY, MeasuredY float64 // mm; 0 leaves the axis alone

	Diameter, Length, Width float64 // mm
	X, Y                    float64 // mm
}

// DrawnPart is a part as its drawing gives it, in the drawing's axes.
type DrawnPart struct {
	ID       string
	In       string // DrawnFeature.ID of another part's cut-out that it lies in
	Features []DrawnFeature
}

// DrawnFeature is one of its paths.
type DrawnFeature struct {
	ID      string
	Outline bool
	Loop    geom.Path
}

// Ride is a text as the job says it, in its drawing's axes, and the part that
// it lies on. It is turned with that part, but neither mirrored nor stretched:
// where the part is mirrored it leans the other way.
type Ride struct {
	On     string // DrawnPart.ID
	Middle geom.Point
	Angle  float64     // rad, of its lines from X
	Said   []geom.Path // its strokes, in the order of Part.Features
}

// rider is a text on its way.
type rider struct {
	on    string
	mid   geom.Point
	angle float64
}

// redrawn is the drawings with the edits made.
type redrawn struct {
	parts  map[string]*redrawnPart
	inside map[string][]*redrawnPart // parts by the feature that they lie in
	riders []*rider
}

type redrawnPart struct {
	id   string
	mid  geom.Point // of the outline's box as drawn, where it is now
	all  []*redrawnFeature
	byID map[string]*redrawnFeature
}

type redrawnFeature struct {
	id      string
	strokes []stroke
	closed  bool
	gone    bool
}

// edit makes the edits and puts their edges in place of those it was given.
func (c *check) edit() {
	if len(c.in.Edits) == 0 {
		return
	}
	d := redraw(c.in.Drawn)
	riders := map[int]*rider{}
	for i := range c.in.Parts {
		if r := c.in.Parts[i].Ride; r != nil {
			riders[i] = &rider{r.On, r.Middle, r.Angle}
			d.riders = append(d.riders, riders[i])
		}
	}
	for i, e := range c.in.Edits {
		if err := d.make(e); err != nil {
			c.find(0, e.On, "edit", "Take the edit back.", "edit %d, %s, cannot be made: %s", i+1, e.Do, err)
		}
	}
	in := *c.in
	in.Parts = slices.Clone(c.in.Parts)
	in.Stock.Shapes = slices.Clone(c.in.Stock.Shapes)
	for i := range in.Parts {
		p := &in.Parts[i]
		if r := riders[i]; r != nil {
			c.ride(p, r)
		}
		if p.Of == "" {
			continue
		}
		part := d.parts[p.Of]
		if part == nil {
			c.find(0, p.Of, "edit", "Prove it against its own drawing.", "no drawing has the part %s", p.Of)
			continue
		}
		c.replace(&in, p, part)
	}
	c.in = &in
}

// replace gives a part on the stock the edges that its drawing has after the
// edits.
func (c *check) replace(in *Input, p *Part, part *redrawnPart) {
	given := p.Features
	p.Features = nil
	seen := map[string]bool{}
	for _, f := range given {
		x := part.byID[f.Of]
		if x == nil || x.gone {
			c.find(0, f.ID, "edit-gone", "Plan the job again.", "the edits leave no such feature, and it is to be cut")
			continue
		}
		seen[f.Of] = true
		wanted := placed(x.path(f.Taper), p.Place)
		if d := apartBy(wanted, f.Loop); d > c.tol {
			c.find(0, f.ID, "edit-apart", "Plan the job again.", "by the edits its edge lies up to %s from where it was planned", mm(d))
		}
		f.Loop = wanted
		p.Features = append(p.Features, f)
		if in.Stock.Blank && f.Rule == "locate" && p.Blank >= 0 && p.Blank < len(in.Stock.Shapes) {
			in.Stock.Shapes[p.Blank] = wanted
		}
	}
	for _, x := range part.all {
		if !x.gone && !seen[x.id] {
			c.find(0, x.id, "edit-missing", "Plan the job again.", "by the edits the part has it, and nobody cuts it")
		}
	}
}

// ride puts a text where its part took it.
func (c *check) ride(p *Part, r *rider) {
	was := p.Ride
	if len(was.Said) != len(p.Features) {
		c.find(0, p.Label, "edit-apart", "Plan the job again.", "the text has %d strokes, %d are said", len(p.Features), len(was.Said))
		return
	}
	p.Features = slices.Clone(p.Features)
	for i := range p.Features {
		f := &p.Features[i]
		said := was.Said[i]
		gone := geom.Path{Closed: said.Closed, V: make([]geom.Vertex, len(said.V))}
		for k, v := range said.V {
			gone.V[k] = geom.Vertex{P: turned(v.P.Sub(was.Middle), r.angle-was.Angle).Add(r.mid), Bulge: v.Bulge}
		}
		wanted := placed(gone, p.Place)
		if d := apartBy(wanted, f.Loop); d > c.tol {
			c.find(0, f.ID, "edit-apart", "Plan the job again.", "by the edits of %s it lies up to %s from where it was planned", was.On, mm(d))
		}
		f.Loop = wanted
	}
}

// placed lays a path on the stock: turned over, turned, shifted.
func placed(p geom.Path, m geom.Move) geom.Path {
	out := geom.Path{Closed: p.Closed, V: make([]geom.Vertex, len(p.V))}
	for i, v := range p.V {
		if m.Mirror {
			v.P.X, v.Bulge = -v.P.X, -v.Bulge
		}
		out.V[i] = geom.Vertex{P: turned(v.P, m.Angle).Add(m.Shift), Bulge: v.Bulge}
	}
	return out
}

// apartBy is how far two paths lie apart at their corners and the middles of
// their pieces, mm.
func apartBy(a, b geom.Path) float64 {
	x, y := newPieces(piecesOf(a)), newPieces(piecesOf(b))
	worst := 0.0
	for _, pair := range [][2]*pieces{{x, y}, {y, x}} {
		for i := range pair[0].all {
			for _, q := range []geom.Point{pair[0].all[i].a, pair[0].all[i].mid(), pair[0].all[i].b} {
				_, d := pair[1].nearest(q)
				worst = math.Max(worst, d)
			}
		}
	}
	return worst
}

func redraw(drawn []DrawnPart) *redrawn {
	d := &redrawn{parts: map[string]*redrawnPart{}, inside: map[string][]*redrawnPart{}}
	for _, p := range drawn {
		part := &redrawnPart{id: p.ID, byID: map[string]*redrawnFeature{}}
		outline, all := geom.EmptyBox(), geom.EmptyBox()
		for _, f := range p.Features {
			part.add(&redrawnFeature{id: f.ID, closed: f.Loop.Closed, strokes: strokesOf(f.Loop)})
			b := geom.EmptyBox()
			for _, x := range piecesOf(f.Loop) {
				b = b.Union(x.box())
			}
			if all = all.Union(b); f.Outline {
				outline = b
			}
		}
		if outline.Empty() {
			outline = all
		}
		part.mid = outline.Min.Lerp(outline.Max, 0.5)
		if d.parts[p.ID] = part; p.In != "" {
			d.inside[p.In] = append(d.inside[p.In], part)
		}
	}
	return d
}

func (p *redrawnPart) add(f *redrawnFeature) {
	p.all = append(p.all, f)
	p.byID[f.id] = f
}

// make makes one edit.
func (d *redrawn) make(e Edit) error {
	id, _, ofFeature := strings.Cut(e.On, ".")
	p := d.parts[id]
	if p == nil {
		return fmt.Errorf("no part %s", id)
	}
	switch e.Do {
	case "turn":
		d.whole(p, func(q geom.Point) geom.Point { return turned(q, e.Angle) }, e.Angle, false)
	case "mirror":
		d.whole(p, func(q geom.Point) geom.Point { return geom.Pt(-q.X, q.Y) }, 0, true)
	case "scale":
		d.whole(p, func(q geom.Point) geom.Point { return geom.Pt(q.X*e.Factor, q.Y*e.Factor) }, 0, false)
	case "correct":
		x, y := 1.0, 1.0
		if e.DrawnX != 0 {
			x = e.DrawnX / e.MeasuredX
		}
		if e.DrawnY != 0 {
			y = e.DrawnY / e.MeasuredY
		}
		d.whole(p, func(q geom.Point) geom.Point { return geom.Pt(q.X*x, q.Y*y) }, 0, false)
	case "add":
		f := &redrawnFeature{id: e.On, closed: true}
		at := geom.Pt(e.X, e.Y)
		if f.strokes = []stroke{round(at, e.Diameter/2)}; e.Diameter == 0 {
			f.strokes = long(at, turned(geom.Pt(1, 0), e.Angle), e.Length, e.Width/2)
		}
		p.add(f)
	default:
		f := p.byID[e.On]
		if !ofFeature || f == nil || f.gone {
			return fmt.Errorf("no feature %s", e.On)
		}
		return d.one(f, e)
	}
	return nil
}

// one makes an edit of a feature.
func (d *redrawn) one(f *redrawnFeature, e Edit) error {
	switch e.Do {
	case "diameter":
		c, ok := middleOfRound(f.strokes)
		if !ok {
			return fmt.Errorf("it is no circle")
		}
		f.strokes = []stroke{round(c, e.Diameter/2)}
	case "length":
		a, b, r, ok := endsOfLong(f.strokes)
		if !ok {
			return fmt.Errorf("it is no slot")
		}
		f.strokes = long(a.Lerp(b, 0.5), b.Sub(a).Unit(), e.Length, r)
	case "move":
		by := geom.Pt(e.X, e.Y)
		f.shift(by)
		for _, p := range d.inside[f.id] {
			d.along(p, func(q geom.Point) geom.Point { return q.Add(by) }, 0)
		}
	case "delete":
		f.gone = true
	default:
		return fmt.Errorf("there is no such edit")
	}
	return nil
}

// whole changes a part about its middle by a map that keeps zero. What lies in
// its cut-outs is turned with it, or goes where its own middle goes.
func (d *redrawn) whole(p *redrawnPart, linear func(geom.Point) geom.Point, turn float64, mirrors bool) {
	mid := p.mid
	m := func(q geom.Point) geom.Point { return linear(q.Sub(mid)).Add(mid) }
	for _, r := range d.riders {
		if r.on != p.id {
			continue
		}
		if r.mid = m(r.mid); mirrors {
			r.angle = -r.angle
		}
		r.angle += turn
	}
	for _, f := range p.all {
		f.mapped(m)
	}
	for _, in := range d.lodgers(p) {
		if turn != 0 {
			d.along(in, m, turn)
			continue
		}
		by := m(in.mid).Sub(in.mid)
		d.along(in, func(q geom.Point) geom.Point { return q.Add(by) }, 0)
	}
}

// along moves a part and all that lies in its cut-outs, turned by turn (rad).
func (d *redrawn) along(p *redrawnPart, m func(geom.Point) geom.Point, turn float64) {
	p.mid = m(p.mid)
	for _, r := range d.riders {
		if r.on == p.id {
			r.mid, r.angle = m(r.mid), r.angle+turn
		}
	}
	for _, f := range p.all {
		f.mapped(m)
	}
	for _, in := range d.lodgers(p) {
		d.along(in, m, turn)
	}
}

// lodgers are the parts that lie in a part's cut-outs.
func (d *redrawn) lodgers(p *redrawnPart) (out []*redrawnPart) {
	for _, f := range p.all {
		out = append(out, d.inside[f.id]...)
	}
	return out
}

func (f *redrawnFeature) mapped(m func(geom.Point) geom.Point) {
	for i := range f.strokes {
		f.strokes[i] = f.strokes[i].mapped(m)
	}
}

func (f *redrawnFeature) shift(by geom.Point) {
	f.mapped(func(q geom.Point) geom.Point { return q.Add(by) })
}
