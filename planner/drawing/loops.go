package drawing

import (
	"context"
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Read parses a drawing and turns it into loops. The Loops are nil if and only
// if there is nothing to show; the list is then why. Otherwise the list is
// Loops.Report.
func Read(ctx context.Context, data []byte, o Options) (*Loops, fault.List) {
	raw, faults := Parse(ctx, data, o.Name, o.Page)
	if raw == nil {
		return nil, faults
	}
	if ctx.Err() != nil {
		return nil, ctxFault(ctx, o.Name)
	}
	return raw.loops(o, true)
}

// farthest is the largest coordinate that geometry is valid for, mm (package
// geom, valid input).
const farthest = 1e6

// Loops scales the drawing to mm, fits its smooth curves, joins ends, mends,
// and reports. It does not change the Raw. Loops are nil if there is nothing
// to show; the list is Loops.Report, or why there are none.
//
// The result depends on what is drawn, not on the order in which it is: loops
// are sorted by their boxes, then by area, and start at their leftmost, then
// lowest vertex.
func (r *Raw) Loops(o Options) (*Loops, fault.List) { return r.loops(o, false) }

// loops is Loops; last says that nobody will ask this Raw again, so that its
// curves may be let go of as soon as they are in mm.
func (r *Raw) loops(o Options, last bool) (*Loops, fault.List) {
	h := newHealer(r, o)
	box := r.box(func(it *item) bool { return h.inUse(it) })
	out, scale, faults := r.scaling(o, max(box.Width(), box.Height()))
	h.scale, h.last = scale, last
	out.Name, out.Format, out.Pages, out.Page = r.Name, r.Format, r.Pages, r.Page
	out.Styles = r.Styles
	faults = append(r.readingFaults(scale, h.left), faults...)
	fail := func(code, do, what string, args ...any) (*Loops, fault.List) {
		faults.Errorf(fault.Where{File: r.Name.String()}, code, do, what, args...)
		return nil, faults
	}
	if box.Empty() {
		return h.nothing(&out, faults)
	}
	if far := max(math.Abs(box.Min.X), math.Abs(box.Min.Y), math.Abs(box.Max.X), math.Abs(box.Max.Y)) * scale; !(far <= farthest) {
		return fail("far-away", "Move the drawing near its zero point in the CAD, delete what lies far off, or correct the unit",
			"something is drawn %s from zero; the limit is %s", across(far), across(farthest))
	}
	if !h.strandsOf(&out) {
		return fail("limit", "Split the drawing, or let the CAD write its curves as arcs",
			"fitting the curves takes more than %d steps of work", h.fit.budget)
	}
	if last {
		// The vertices live on in the strands.
		r.items, r.verts, r.curves, r.nums = nil, nil, nil, nil
	}
	out.Box = geom.EmptyBox()
	h.heal(&out)
	out.Layers = h.layerInfo(&out)
	for _, p := range out.Points {
		out.Box = out.Box.Add(p)
	}
	out.Report = append(faults, h.rep.list()...)
	return &out, out.Report
}

// nothing is a drawing of which no layer in use holds anything.
func (h *healer) nothing(out *Loops, faults fault.List) (*Loops, fault.List) {
	out.Box = geom.EmptyBox()
	out.Layers = h.layerInfo(out)
	why := "the drawing holds nothing that can be cut"
	if len(h.r.items) > 0 {
		why = fmt.Sprintf("all %d entities that could be cut are hidden or on layers that are left out", len(h.r.items))
	}
	faults.Errorf(fault.Where{File: h.r.Name.String()}, "nothing-to-cut", "Choose the layers to cut, or export the part's edges as lines and arcs in model space", "%s", why)
	if len(out.Layers) == 0 {
		return nil, faults
	}
	out.Report = faults
	return out, faults
}

// box returns the box of the items that pass, in drawing units: of their
// vertices and, for curves, of their control points.
func (r *Raw) box(use func(*item) bool) geom.Box {
	b := geom.EmptyBox()
	for i := range r.items {
		it := &r.items[i]
		if !use(it) {
			continue
		}
		v := r.verts[it.first : it.first+it.n]
		for k := range v {
			b = b.Add(v[k].P)
			if v[k].Bulge != 0 {
				next := k + 1
				if next == len(v) {
					next = 0
				}
				b = b.Union(geom.Seg{A: v[k].P, B: v[next].P, Bulge: v[k].Bulge}.Box())
			}
			if v[k].Src != 0 {
				b = r.curveBox(b, r.curves[v[k].Src-1])
			}
		}
	}
	return b
}

func (r *Raw) curveBox(b geom.Box, c rawCurve) geom.Box {
	v := r.nums[c.first:]
	if c.kind != curveEllipse {
		for k := range int(c.n) {
			b = b.Add(geom.Pt(v[2*k], v[2*k+1]))
		}
		return b
	}
	// Points along it: a box a little small, which only the unit rests on.
	s := r.splineOf(c)[0]
	for k := range 17 {
		p, _ := s.at(float64(k) / 16)
		b = b.Add(p)
	}
	return b
}

// Options with their defaults.
func (o Options) gap() float64 {
	if o.Gap <= 0 {
		return geom.Gap
	}
	return o.Gap
}

func (o Options) fit() float64 {
	if o.Fit <= 0 {
		return geom.Fit
	}
	return o.Fit
}

// use is a layer's use, small and in an order.
type use uint8

const (
	useCut use = iota
	useMark
	useIgnore
)

func (u use) job() job.LayerUse {
	return [...]job.LayerUse{job.LayerCut, job.LayerMark, job.LayerIgnore}[u]
}

func useOf(u job.LayerUse) use {
	switch u {
	case job.LayerMark:
		return useMark
	case job.LayerIgnore:
		return useIgnore
	}
	return useCut
}
