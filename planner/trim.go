package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// # The cut that trims the skeleton
//
// After the last part one more cut may part the used piece of the plate from
// what is left, so that what is kept has straight edges. It is one straight
// line across the plate, or two that cut off a corner of it; the torch runs on
// the line as it is typed, or by rule just past the parts. What is kept lies on
// the square side of the cut.
//
// It comes last: with the skeleton loose nothing on the plate may be trusted to
// lie where it lay. It begins with a pierce in the skeleton, from where the
// torch runs out to the plate's edge and then along the line: a touch-off and a
// pierce there find solid metal wherever exactly the plate's edge lies. The
// job may ask for a start on the plate's edge itself, which wears the nozzle
// less and is the only way in plate that is too thick to pierce; then the plate
// is touched beside the line, and the edge must lie where the job has it. Both
// common practice, no source. It ends by running out over the far edge.

// Sizes of the trim. Common practice, no source.
const (
	trimWeb   = 5.0  // mm of metal, or the thickness if that is more, between its kerf and a part's
	trimPast  = 10.0 // mm that its rectangle reaches past the plate
	trimTouch = 25.0 // mm from a start on the edge within which the plate is touched
)

// trimID names the trim where parts are named.
const trimID = "trim"

// trim is where the skeleton is cut off: along the edges of a rectangle round
// the used piece, where they lie on the plate.
type trim struct {
	used geom.Box
	kind job.Trimming
}

// web is the metal that stays between the trim's kerf and a part's, mm.
func (s shop) trimWeb() float64 { return max(trimWeb, s.job.Stock.Thickness) }

// trimmed works out where the plate is trimmed; nil if it is not. What cannot
// be is an Error; that there is no use in it a Note.
func (s shop) trimmed(t feature.Tree, copies []layout.Copy, plates int) (*trim, fault.List) {
	var faults fault.List
	l := s.job.Layout
	if l.Trim == job.TrimNone || s.job.Stock.Hold == job.Blank || len(copies) == 0 {
		return nil, nil
	}
	at := fault.Where{Entity: "trim"}
	note := func(format string, args ...any) (*trim, fault.List) {
		faults.Add(fault.Fault{Severity: fault.Note, Where: at, Code: "not-trimmed", What: "the plate is not trimmed: " + fmt.Sprintf(format, args...)})
		return nil, faults
	}
	refuse := func(do, format string, args ...any) (*trim, fault.List) {
		faults.Errorf(at, "trim", do, format, args...)
		return nil, faults
	}
	typed := l.TrimX.Known && l.Trim != job.TrimY || l.TrimY.Known && l.Trim != job.TrimX
	if typed && s.plate < plates {
		return note("the place of the line is typed for the last plate")
	}
	parts := geom.EmptyBox()
	for _, c := range copies {
		for _, p := range t.Parts {
			if p.Drawing == c.Drawing && p.Outline >= 0 && (p.Copy == 0 || p.Copy == c.Number) {
				parts = parts.Union(c.Move.Path(t.Features[p.Outline].Loop).Box())
			}
		}
	}
	if parts.Empty() {
		return note("no part is cut out of it")
	}
	plate := s.metal.Box
	out := &trim{used: plate.Grow(trimPast + s.kerf + s.trimWeb()), kind: l.Trim}
	least := s.kerf + s.trimWeb() + s.kerf/2 // from a part's edge to the line
	rule := layout.Margin(s.need, s.kerf) + s.kerf/2 + s.trimWeb() + s.kerf/2
	u := s.job.Units
	// One axis: the line at v, with the parts from lo to hi on a plate from a to b.
	line := func(name string, v job.Opt, lo, hi, a, b float64) (where float64, low bool, bad string, none string) {
		low = lo-a <= b-hi // the parts lie at the low end
		if v.Known {
			where, low = v.Value, v.Value >= (lo+hi)/2
		} else if where = math.Ceil(hi + rule); !low {
			where = math.Floor(lo - rule)
		}
		room := where - hi
		left := b - where
		if !low {
			room, left = lo-where, where-a
		}
		switch {
		case v.Known && (where <= a || where >= b):
			return where, low, fmt.Sprintf("the line at %s %s lies off the plate, which ends at %s and %s", name, u.Length(where), u.Length(a), u.Length(b)), ""
		case v.Known && room < least-geom.Join:
			return where, low, fmt.Sprintf("the line at %s %s lies %s from a part, %s are needed for both kerfs and the metal between them", name, u.Length(where), u.Length(max(0, room)), u.Length(least)), ""
		case left-s.kerf/2 < leastWeb:
			if v.Known {
				return where, low, fmt.Sprintf("the line at %s %s leaves a strip of %s, under %s is scrap", name, u.Length(where), u.Length(max(0, left)), u.Length(leastWeb)), ""
			}
			return where, low, "", fmt.Sprintf("beyond the parts along %s there is no strip of %s left", name, u.Length(leastWeb))
		}
		return where, low, "", ""
	}
	for _, k := range []struct {
		kind           job.Trimming
		name           string
		v              job.Opt
		lo, hi, a, b   float64
		put, putMirror *float64
	}{
		{job.TrimX, "X", l.TrimX, parts.Min.X, parts.Max.X, plate.Min.X, plate.Max.X, &out.used.Max.X, &out.used.Min.X},
		{job.TrimY, "Y", l.TrimY, parts.Min.Y, parts.Max.Y, plate.Min.Y, plate.Max.Y, &out.used.Max.Y, &out.used.Min.Y},
	} {
		if l.Trim != k.kind && l.Trim != job.TrimCorner {
			continue
		}
		where, low, bad, none := line(k.name, k.v, k.lo, k.hi, k.a, k.b)
		switch {
		case bad != "":
			return refuse("Move the line or the parts, or let the rule place it.", "%s", bad)
		case none != "":
			return note("%s", none)
		case low:
			*k.put = where
		default:
			*k.putMirror = where
		}
	}
	return out, nil
}

// ring returns the edge of the used piece, in the direction in which what is
// kept lies on the square side of the cut, from a corner off the plate.
func (s shop) ring(x *trim) geom.Path {
	b := x.used
	pts := []geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}
	from := 0
	for i, p := range pts {
		if !s.metal.Box.Contains(p) && s.metal.Box.Dist(p) > s.metal.Box.Dist(pts[from]) {
			from = i
		}
	}
	pts = append(pts[from:], pts[:from]...)
	if s.rules.Clockwise == job.OutlineCounterClockwise {
		slices.Reverse(pts[1:])
	}
	ring := geom.Polygon(append(pts, pts[0])...)
	ring.Closed = false
	return ring
}

// trimLine returns the stretch of the ring that lies on the plate. no says
// why there is not one.
func (s shop) trimLine(ring geom.Path) (line geom.Path, no string) {
	var at []float64 // mm along the ring where it crosses an edge of the metal
	along := 0.0
	for i := range ring.NumSegs() {
		e := ring.Seg(i)
		for _, edge := range s.metal.Edges {
			pts := edge.Flatten(geom.Fit)
			for k, p := range pts {
				q := pts[(k+1)%len(pts)]
				d, f := e.B.Sub(e.A), q.Sub(p)
				den := d.Cross(f)
				if den == 0 {
					continue
				}
				t, w := p.Sub(e.A).Cross(f)/den, p.Sub(e.A).Cross(d)/den
				if t >= 0 && t < 1 && w >= 0 && w < 1 {
					at = append(at, along+t*e.Length())
				}
			}
		}
		along += e.Length()
	}
	slices.Sort(at)
	at = slices.CompactFunc(at, func(a, b float64) bool { return math.Abs(b-a) <= geom.Fit })
	if len(at) != 2 {
		return line, fmt.Sprintf("it crosses the plate's edge %d times, which must be twice", len(at))
	}
	line = stretchOf(ring, at[0], at[1])
	for i := range line.NumSegs() {
		for _, k := range s.metal.Keep {
			if d := line.Seg(i); near(d, k.Path, s.kerf/2) {
				return line, fmt.Sprintf("it runs over the %s", k.Name)
			}
		}
	}
	return line, ""
}

// near reports whether a segment comes nearer to a closed path than d, or lies
// in it.
func near(e geom.Seg, p geom.Path, d float64) bool {
	return p.Winding(e.A) != 0 || geom.IndexPaths(p).Within(e, d)
}

// addTrim adds the trim to a tree, as a part without an outline on the stock.
func (s shop) addTrim(t *feature.Tree, x *trim) {
	if x == nil {
		return
	}
	line, no := s.trimLine(s.ring(x))
	if no != "" { // told where it is planned
		line = s.ring(x)
	}
	b := line.Box()
	t.Parts = append(t.Parts, feature.Part{ID: trimID, Name: plain.Of("the cut that trims the plate"), Drawing: -1, Outline: -1, In: -1, Features: []int{len(t.Features)}})
	t.Features = append(t.Features, feature.Feature{ID: trimID + ".line", Part: len(t.Parts) - 1, Kind: feature.Trim, Rule: feature.RuleTrim, Loop: line,
		Why: "parts what is left of the plate from the skeleton, last", Width: b.Width(), Height: b.Height(), Center: b.Center(), Feed: 1})
}

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

// torchRoom is where the torch may be while parts are cut: on the plate, and off the
// line along which it is trimmed.
func (s shop) torchRoom() geom.Box {
	b := s.metal.Box.Grow(-s.kerf / 2)
	if s.trim == nil {
		return b
	}
	in := s.trim.used.Grow(-s.kerf - s.trimWeb())
	return geom.Box{Min: geom.Pt(max(b.Min.X, in.Min.X), max(b.Min.Y, in.Min.Y)), Max: geom.Pt(min(b.Max.X, in.Max.X), min(b.Max.Y, in.Max.Y))}
}

// trims reports whether a cut trims the skeleton.
func (c *Cut) trims() bool { return c.task.setup != nil && c.task.setup.sort == cutTrim }

// takeUpTrim goes on with a trim that was lost: with a short piece of its own
// kerf, on the end of which the arc catches.
func (s shop) takeUpTrim(p *Program, pl place, c Cut, faults *fault.List) (Cut, bool) {
	from := max(0, pl.at-3*s.kerf)
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

// trim tells what a person should see to where the plate is trimmed.
func (c checker) trim() Check {
	k := Check{ID: "trim", Title: "skeleton cut off, last", Limit: fmt.Sprintf("keeps %s of metal from every part's kerf", c.j.Units.Length(newShop(c.j).trimWeb())),
		Why: "Cut through, the skeleton and what is kept may drop, tip or spring, and hot drops fall", Verdict: Warn,
		Do: fmt.Sprintf("See that the machine reaches %s past the plate's edge. ", c.j.Units.Length(c.j.Process.Kerf)) + "See that both pieces lie on slats or are held, that the work clamp sits on the piece that is cut, and that nobody reaches in before it is at rest."}
	if c.j.Layout.TrimStart == job.TrimOnEdge {
		k.Do = "See that the plate's edge lies where the job has it. " + k.Do
	}
	if x := c.p.Trimmed(c.j.Units); x != "" {
		k.Figure = x
	}
	return k
}

// Trimmed says in the given units where the plate is trimmed, "" if it is not.
func (p *Program) Trimmed(u unit.System) string {
	at, ok := p.TrimAt()
	var says []string
	if ok && !math.IsNaN(at.X) {
		says = append(says, "X "+u.Length(at.X))
	}
	if ok && !math.IsNaN(at.Y) {
		says = append(says, "Y "+u.Length(at.Y))
	}
	return strings.Join(says, ", ")
}

// TrimAt returns where the torch runs along the trim, mm: the X of a line along
// Y, the Y of one along X, NaN for none. ok is false if the plate is not
// trimmed.
func (p *Program) TrimAt() (at geom.Point, ok bool) {
	at = geom.Pt(math.NaN(), math.NaN())
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if !c.trims() {
			continue
		}
		for k := c.LeadIn; k < c.Path.NumSegs()-c.Tail; k++ {
			switch e := c.Path.Seg(k); {
			case math.Abs(e.A.X-e.B.X) < geom.Join:
				at.X = e.A.X
			case math.Abs(e.A.Y-e.B.Y) < geom.Join:
				at.Y = e.A.Y
			}
		}
		ok = true
	}
	return at, ok
}

// leadLength is the length of a cut's lead-in, mm.
func (c *Cut) leadLength() float64 {
	sum := 0.0
	for i := range c.LeadIn {
		sum += c.Path.Seg(i).Length()
	}
	return sum
}

// TrimLine returns where the job's plate would be trimmed, on the stock, before
// anything is planned; ok is false if it would not.
func TrimLine(j job.Job, t feature.Tree) (line geom.Path, ok bool) {
	s := newShop(j)
	copies, plates, _ := arrange(j, t, s)
	x, _ := s.trimmed(t, copies, plates)
	if x == nil {
		return line, false
	}
	line, no := s.trimLine(s.ring(x))
	return line, no == ""
}
