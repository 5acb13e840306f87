package planner

import (
	"fmt"
	"math"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
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

// trimWeb is the metal that stays between the trim's kerf and a part's, mm.
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
