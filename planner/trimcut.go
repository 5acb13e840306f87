package planner

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// trimCut puts the trim behind all other cuts.
func (s shop) trimCut(p *Program, x *trim, faults *fault.List) {
	k := slices.IndexFunc(p.Placed, func(pl Placed) bool { return p.Tree.Parts[pl.Part].ID == trimID })
	if x == nil || k < 0 {
		return
	}
	f := p.Tree.Parts[p.Placed[k].Part].Features[0]
	at := fault.Where{Entity: "trim"}
	ring := s.ring(x)
	line, no := s.trimLine(ring)
	if no != "" {
		faults.Errorf(at, "trim", "Move the line, or leave the trim out.", "the plate cannot be trimmed so: %s", no)
		return
	}
	var paths []geom.Path
	for i := range p.Cuts {
		if c := &p.Cuts[i]; c.Path.NumSegs() > 0 && !c.marks() {
			paths = append(paths, c.Path)
		}
	}
	cuts := geom.IndexPaths(paths...)
	for i := range line.NumSegs() {
		if e := line.Seg(i); len(paths) > 0 && cuts.Within(e, s.kerf+s.trimWeb()-geom.Join) {
			c, _ := cuts.NearestWithin(e.Mid(), e.Length()+s.kerf+s.trimWeb())
			faults.Errorf(at, "trim", "Move the line or the parts.", "the line lies nearer than %s to the kerf of a cut near X %.1f Y %.1f", s.job.Units.Length(s.trimWeb()), c.P.X, c.P.Y)
			return
		}
	}
	first, last := line.Seg(0), line.Seg(line.NumSegs()-1)
	segs := append(line.Segs(), geom.Line(last.B, last.B.Add(last.Tangent(1).Mul(s.kerf))))
	c := Cut{N: len(p.Cuts) + 1, Placed: k, Feature: f, Label: labelOf(p, p.Placed[k], f), Kerf: s.kerf, Feed: s.job.Process.Feed, Delay: s.job.Process.PierceDelay.Value, Tail: 1}
	inward := first.Tangent(0)
	side := inward.Left() // of the used piece
	if s.rules.Clockwise == job.OutlineCounterClockwise {
		side = side.Mul(-1)
	}
	if s.job.Layout.TrimStart == job.TrimOnEdge {
		touch, ok := s.trimTouch(first.A, inward, cuts)
		if !ok {
			faults.Errorf(at, "trim", "Move the line, or let it begin with a pierce.", "there is no solid metal to find the plate on where the line begins")
			return
		}
		c.Pierce, c.Touch, c.Clear = first.A, &touch, s.need
	} else {
		from, clear, ok := s.trimPierce(p, first.A, inward, side, cuts)
		if !ok {
			faults.Errorf(at, "trim", "Move the line, or let it begin on the plate's edge.", "there is no room to pierce in the skeleton beside the place where the line begins, X %.1f Y %.1f", first.A.X, first.A.Y)
			return
		}
		segs = append([]geom.Seg{geom.Line(from, first.A)}, segs...)
		c.Pierce, c.Clear, c.LeadIn = from, clear, 1
	}
	c.Path = geom.FromSegs(segs, false)
	st := &setup{sort: cutTrim, f: p.Tree.Features[f], feed: c.Feed}
	st.spec.Path = line
	c.task = task{placed: k, feature: f, setup: st}
	c = s.trimTimed(st, c, c.leadLength())
	if len(paths) > 0 {
		s.holdBeside(&c, cuts)
	}
	p.Cuts = append(p.Cuts, c)
	p.Plan.Trimmed = p.Trimmed(s.job.Units)
}

// trimTimed fills in the time and the holds of a trim's path: besides those of
// any cut, where it comes in from the plate's edge and where it leaves it.
// lead is how much of the path, mm, comes before the line.
func (s shop) trimTimed(st *setup, c Cut, lead float64) Cut {
	c = s.timed(st, c)
	if s.rules.Control == job.ControlOff {
		return c
	}
	all := slices.Clone(c.Holds)
	length := c.Path.Length()
	edge := nearCut * s.kerf
	all = append(all, Hold{0, min(length, lead+edge), "in from the plate's edge"}, Hold{max(0, length-s.kerf-edge), length, "out over the plate's edge"})
	// Where the plate's edge is not square to the line it lies beside more of it.
	for _, h := range sampled(c.Path, geom.IndexPaths(s.metal.Edges...), edge, s.kerf) {
		h.Why = "at the plate's edge"
		all = append(all, h)
	}
	c.Holds = union(all, length, s.rules.HoldLeast)
	return c
}

// trimPierce looks for solid skeleton beside a place on the plate's edge.
func (s shop) trimPierce(p *Program, start, inward, side geom.Point, cuts *geom.SegIndex) (from geom.Point, clear float64, ok bool) {
	var edges []geom.Path
	for _, pl := range p.Placed {
		if part := p.Tree.Parts[pl.Part]; part.Outline >= 0 && part.In < 0 {
			edges = append(edges, pl.Move.Path(p.Tree.Features[part.Outline].Loop))
		}
	}
	var parts *geom.SegIndex
	if len(edges) > 0 {
		parts = geom.IndexPaths(edges...)
	}
	sizes := []float64{1.05, 1.4, 1.9, 2.6, 3.5}
	best := math.Inf(1)
	for _, a := range sizes {
		for _, b := range sizes {
			q := start.Add(side.Mul(a * s.need)).Add(inward.Mul(b * s.need))
			way := geom.Line(q, start)
			if way.Length() >= best || !s.metal.Free(q, s.need-geom.Join) {
				continue
			}
			if _, near := cuts.NearestWithin(q, 2*s.kerf); near || cuts.Within(way, 1.5*s.kerf) {
				continue
			}
			d := a * s.need
			if parts != nil {
				if d = min(d, parts.Dist(q)); d < s.need || parts.Winding(q) != 0 || parts.Within(way, 1.5*s.kerf) {
					continue
				}
			}
			if slices.ContainsFunc(s.metal.Keep, func(k layout.Kept) bool { return near(way, k.Path, s.kerf) }) {
				continue
			}
			best, from, clear, ok = way.Length(), q, d, true
		}
	}
	return from, clear, ok
}

// trimTouch looks for solid metal on the line, near its start on the edge.
func (s shop) trimTouch(start, inward geom.Point, cuts *geom.SegIndex) (geom.Point, bool) {
	for r := s.need + s.kerf; r < trimTouch; r += s.kerf {
		q := start.Add(inward.Mul(r))
		if _, near := cuts.NearestWithin(q, s.need+s.kerf); !near && s.metal.Free(q, s.need) {
			return q, true
		}
	}
	return start, false
}

// trims reports whether a cut trims the skeleton.
func (c *Cut) trims() bool { return c.task.setup != nil && c.task.setup.sort == cutTrim }

// takeUpTrim goes on with a trim that was lost: with a short piece of its own
// kerf, on the end of which the arc catches.
func (s shop) takeUpTrim(p *Program, pl place, c Cut, faults *fault.List) (Cut, bool) {
	// A little before where it was lost, but not on the plate's very edge, where
	// its kerf is open and the arc catches on nothing.
	from := pl.at
	for back := 3.0; back > 0; back-- {
		if at := max(0, pl.at-back*s.kerf); s.metal.Free(pointAt(c.Path, at), s.kerf) {
			from = at
			break
		}
	}
	var paths []geom.Path
	for i := range p.Cuts {
		if o := &p.Cuts[i]; o.Path.NumSegs() > 0 && !o.marks() && !o.trims() {
			paths = append(paths, o.Path)
		}
	}
	paths = append(paths, stretchOf(c.Path, 0, max(pl.at, geom.Fit)))
	old, lead := *c.task.setup, max(0, c.leadLength()-from)
	c.Path = stretchOf(c.Path, from, c.Path.Length())
	c.Pierce, c.LeadIn, c.Clear, c.along, c.Feeds = c.Path.Start(), 0, s.need, nil, nil
	if lead > geom.Join { // it was lost on its lead
		c.LeadIn = 1
	}
	index := geom.IndexPaths(paths...)
	for r := s.need + s.kerf; r < touchWithin; r += s.kerf {
		for i := range 16 {
			at := geom.Polar(c.Pierce, r, float64(i)*math.Pi/8)
			if _, near := index.NearestWithin(at, s.need+s.kerf); near || !s.metal.Free(at, s.need) || p.inLoose(at) {
				continue
			}
			c.Touch = &at
			faults.Warnf(whereOf(c), "resume-in-kerf", "Watch the start: the arc must catch on the end of the old kerf. See first that the skeleton has not moved.",
				"it goes on over its own kerf")
			return s.trimTimed(&old, c, lead), true
		}
	}
	faults.Errorf(whereOf(c), "resume-touch-off", "Cut the rest of the line by hand.", "no solid metal within %.0f mm to find the plate on", touchWithin)
	return c, false
}

// inLoose reports whether a place lies in a part that is cut free.
func (p *Program) inLoose(q geom.Point) bool {
	for i := range p.Cuts {
		if r := p.Cuts[i].Frees; len(r.V) > 0 && r.Winding(q) != 0 {
			return true
		}
	}
	return false
}

// leadLength is the length of a cut's lead-in, mm.
func (c *Cut) leadLength() float64 {
	sum := 0.0
	for i := range c.LeadIn {
		sum += c.Path.Seg(i).Length()
	}
	return sum
}
