package drawing

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// healer turns items into loops.
type healer struct {
	r      *Raw
	rep    *reporter
	layers []layerGuess
	scale  float64 // mm in one drawing unit
	last   bool    // the Raw will not be asked again
	fit    fitter
	gap    float64 // mm, largest gap to close by itself

	strands []strand
	refs    []entityRef
	counts  []int // entities on each layer
	lost    lost  // what was given up because there was too much of it

	joining, doubling, crossing effort
}

// entityRef is a source entity, small.
type entityRef struct {
	typ         uint16
	layer, line int32
	style       int32
}

// entity returns what a message says of a source entity.
func (h *healer) entity(src int32) string {
	if src < 0 || int(src) >= len(h.refs) {
		return ""
	}
	e := h.refs[src]
	name := h.r.types[e.typ]
	if l := h.r.Layers[e.layer].Name; !l.Empty() {
		name += " on layer " + inQuotes(l)
	}
	return name
}

// strand is a run of segments on its way to becoming a loop.
type strand struct {
	v      []geom.Vertex // of an open one, the last is its end
	closed bool
	whole  bool // one closed figure of the file: it is never taken apart
	mark   bool
}

func (s *strand) path() geom.Path { return geom.Path{V: s.v, Closed: s.closed} }

// start and end of an open strand.
func (s *strand) start() geom.Point { return s.v[0].P }
func (s *strand) end() geom.Point   { return s.v[len(s.v)-1].P }

// newHealer settles what every layer is for.
func newHealer(r *Raw, o Options) *healer {
	h := &healer{r: r, rep: newReporter(r.Name), scale: 1, gap: o.gap()}
	h.fit.tol = o.fit()
	h.fit.budget = fitAny + fitByte*r.size
	h.counts = make([]int, len(r.Layers))
	for i := range r.items {
		h.counts[r.items[i].layer]++
	}
	h.guessLayers(o)
	h.declare()
	return h
}

// Work that fitting may take, in multiplications of some 2 ns: so much for any
// file, and so much for each of its bytes. A curve that a person drew needs 10
// to 40 a byte.
const (
	fitAny  = 30_000_000
	fitByte = 100
	fitArc  = 250 // for each arc made, which healing will look at
)

func (h *healer) declare() {
	k := h.rep.kind
	k("layer", fault.Note, "layers left out", "", "")
	h.rep.kinds["layer"].all = len(h.r.Layers) <= manyLayers
	k("layer-guess", fault.Warning, "layers left out by a guess", "", "Set the layer to cut if it is part of the part, or to ignore if it is not")
	h.rep.kinds["layer-guess"].all = len(h.r.Layers) <= manyLayers
	k("open", fault.Warning, "open lines are left", "", "Draw what is missing, allow a larger gap, or set the layer to mark or ignore")
	k("branch", fault.Warning, "places where three or more ends meet; loops were closed, the rest joined to the straightest", "", "Check that the loops are the ones you want; delete lines that are not to be cut")
	declareCrossings(h.rep)
	k("speck", fault.Warning, "loops smaller than any cut", "", "Delete them in the CAD")
	k("joined", fault.Note, "gaps closed", ", largest %s", "")
	k("joined-wide", fault.Warning, "gaps wider than usual closed because you allowed it", ", largest %s", "Look at each on the plate")
	k("double", fault.Note, "doubles removed", ", furthest off %s", "")
	k("overlap", fault.Note, "overlapping lines or arcs merged", "", "")
	k("zero-length", fault.Note, "pieces without length dropped", "", "")
	k("dust", fault.Note, "specks dropped", ", largest %s", "")
	k("tiny", fault.Note, "tiny pieces merged with their neighbours", ", longest %s", "")
	k("round", fault.Note, "runs of short lines made arcs again", ", largest change %s", "")
	k("circle", fault.Note, "polygons of short lines made circles again", ", largest change %s", "")
	k("facets", fault.Note, "polygons that may stand for circles left as they are", "", "Draw a circle in the CAD if one is meant")
}

// chunkSize is how many vertices are allocated at a time.
const chunkSize = 1 << 15

// manyLayers is how many layers are each worth a line when they are left out.
const manyLayers = 100

func declareCrossings(r *reporter) {
	r.kind("self-crossing", fault.Warning, "places where a loop crosses itself", "", "Repair the line in the CAD: inside and outside cannot be told there")
	r.kind("crossing", fault.Warning, "places where two lines cross", "", "Trim them in the CAD, or set the layer of the one that is not cut to ignore")
	r.kind("overlap-left", fault.Warning, "places where loops run over one another", "", "Decide which of them is cut and delete the other")
}

// strandsOf makes a strand of every item in use, in mm, and gives points and
// entities to out. It is false if fitting takes too much work.
func (h *healer) strandsOf(out *Loops) bool {
	r := h.r
	nv, ni := 0, 0
	for i := range r.items {
		if it := &r.items[i]; h.inUse(it) {
			nv += int(it.n)
			ni++
		}
	}
	h.notesOnLayers()
	h.refs = make([]entityRef, 0, ni)
	h.strands = make([]strand, 0, ni)
	var scratch, chunk []geom.Vertex
	for i := range r.items {
		it := &r.items[i]
		if !h.inUse(it) {
			continue
		}
		src := int32(len(h.refs))
		h.refs = append(h.refs, entityRef{it.typ, it.layer, it.line, it.style})
		v := r.verts[it.first : it.first+it.n]
		if it.n == 1 && !it.closed {
			out.Points = append(out.Points, v[0].P.Mul(h.scale))
			continue
		}
		if h.last && plainRun(v) {
			// Nobody will ask the Raw again: its vertices become ours.
			for k := range v {
				v[k].P, v[k].Src = v[k].P.Mul(h.scale), src
			}
			if run, closed := h.clean(v, it.closed, src); len(run) > 0 {
				h.strands = append(h.strands, strand{v: run[:len(run):len(run)], closed: closed, whole: closed, mark: h.layers[it.layer].use == useMark})
			}
			continue
		}
		scratch = h.trace(scratch[:0], v, it.closed, src)
		if h.fit.spent() {
			return false
		}
		run, closed := h.clean(scratch, it.closed, src)
		if len(run) == 0 {
			continue
		}
		// Vertices live in large chunks: one allocation each would cost more
		// than the vertices.
		if cap(chunk)-len(chunk) < len(run) {
			chunk = make([]geom.Vertex, 0, max(len(run), min(nv, chunkSize)))
		}
		at := len(chunk)
		chunk = append(chunk, run...)
		nv -= int(it.n)
		h.strands = append(h.strands, strand{v: chunk[at:len(chunk):len(chunk)], closed: closed, whole: closed, mark: h.layers[it.layer].use == useMark})
	}
	slices.SortFunc(out.Points, comparePoints)
	out.Points = slices.CompactFunc(out.Points, func(a, b geom.Point) bool { return a.Near(b) })
	return true
}

// plainRun reports whether a run is lines and arcs of at most half a circle.
func plainRun(v []rawVertex) bool {
	for k := range v {
		if v[k].Src != 0 || math.Abs(v[k].Bulge) > 1 {
			return false
		}
	}
	return true
}

// trace appends an item's segments in mm: arcs of at most half a circle, and
// smooth curves fitted.
func (h *healer) trace(dst []geom.Vertex, v []rawVertex, closed bool, src int32) []geom.Vertex {
	k := h.scale
	for i := range v {
		p := v[i].P.Mul(k)
		switch {
		case v[i].Src != 0:
			run := h.r.splineOf(h.r.curves[v[i].Src-1])
			for j := range run {
				run[j] = run[j].scaled(k)
			}
			from := len(dst)
			dst = h.fit.run(dst, run, src)
			if len(dst) > from {
				dst[from].P = p
			} else {
				dst = append(dst, geom.Vertex{P: p, Src: src})
			}
		case math.Abs(v[i].Bulge) > 1 && (closed || i+1 < len(v)):
			q := v[(i+1)%len(v)].P.Mul(k)
			for _, s := range (geom.Seg{A: p, B: q, Bulge: v[i].Bulge}).Split() {
				dst = append(dst, geom.Vertex{P: s.A, Bulge: s.Bulge, Src: src})
			}
		default:
			dst = append(dst, geom.Vertex{P: p, Bulge: v[i].Bulge, Src: src})
		}
	}
	return dst
}

// clean drops segments without length from a run, and the run if nothing is
// left. A closed run that is only a line there and back is opened.
func (h *healer) clean(v []geom.Vertex, closed bool, src int32) ([]geom.Vertex, bool) {
	if len(v) == 0 {
		return nil, false
	}
	place := v[0].P // of a report: the first point by x and y
	for _, w := range v[1:] {
		if less(w.P, place) {
			place = w.P
		}
	}
	keep := 1
	for _, next := range v[1:] {
		if last := &v[keep-1]; last.P.Near(next.P) {
			last.Bulge, last.Src = next.Bulge, next.Src // leaves where the next one would
			continue
		}
		v[keep] = next
		keep++
	}
	if closed && keep > 1 && v[keep-1].P.Near(v[0].P) {
		keep--
	}
	if keep < len(v) && (!closed || keep < 2) {
		h.rep.add("zero-length", 0, place, func() finding {
			return finding{p: place, what: "a piece without length dropped", entity: h.entity(src)}
		})
	}
	if keep < 2 {
		return nil, false
	}
	if keep == 2 && closed && !(geom.Path{V: v[:2], Closed: true}).Seg(0).IsArc() && !(geom.Path{V: v[:2], Closed: true}).Seg(1).IsArc() {
		closed = false
	}
	if !closed {
		v[keep-1].Bulge = 0
	}
	return v[:keep], closed
}

// notesOnLayers tells which layers with something on them are left out.
func (h *healer) notesOnLayers() {
	n := h.counts
	first := make([]geom.Point, len(n))
	for i := range h.r.items {
		it := &h.r.items[i]
		if it.n > 0 && first[it.layer] == (geom.Point{}) {
			first[it.layer] = h.r.verts[it.first].P.Mul(h.scale)
		}
	}
	for i, g := range h.layers {
		if n[i] > 0 && g.use == useIgnore && first[i].Len() <= farthest {
			kind := "layer"
			if h.r.Layers[i].Guess == job.LayerIgnore && g.why == h.r.Layers[i].GuessWhy {
				kind = "layer-guess" // by its looks alone: a person should agree
			}
			h.rep.add(kind, 0, first[i], func() finding {
				return finding{p: first[i], entity: "layer " + inQuotes(h.r.Layers[i].Name),
					what: "left out with " + count(n[i], "entity", "entities") + ": " + g.why}
			})
		}
	}
}
