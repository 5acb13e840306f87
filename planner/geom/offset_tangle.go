package geom

import (
	"fmt"
	"math"
	"slices"
)

// TangleError says that paths do not bound a region: where, and which
// segments. Path 0 is the outer one, 1 the first hole; segments count from 0.
type TangleError struct {
	What       TangleKind
	At         Point
	Path, Seg  int
	With, Also int // the other path and segment, if What names two
}

// TangleKind says what is wrong with the paths of a region.
type TangleKind int8

const (
	Crosses   TangleKind = iota // two segments cross
	RunsAlong                   // two segments share a stretch: a fold, or a line drawn twice
	Strays                      // a hole lies outside the outer path, or in another hole
)

func (e *TangleError) Error() string {
	path := func(i int) string {
		if i == 0 {
			return "the path"
		}
		return fmt.Sprintf("hole %d", i)
	}
	at := fmt.Sprintf("at (%.4f, %.4f)", e.At.X, e.At.Y)
	switch {
	case e.What == Strays:
		return fmt.Sprintf("offset: %s does not lie inside the outer path, or lies in another hole, %s", path(e.Path), at)
	case e.What == RunsAlong && e.Path == e.With:
		return fmt.Sprintf("offset: %s runs along itself %s: segments %d and %d", path(e.Path), at, e.Seg+1, e.Also+1)
	case e.What == RunsAlong:
		return fmt.Sprintf("offset: %s runs along %s %s: segments %d and %d", path(e.Path), path(e.With), at, e.Seg+1, e.Also+1)
	case e.Path == e.With:
		return fmt.Sprintf("offset: %s crosses itself %s: segments %d and %d", path(e.Path), at, e.Seg+1, e.Also+1)
	}
	return fmt.Sprintf("offset: %s crosses %s %s: segments %d and %d", path(e.Path), path(e.With), at, e.Seg+1, e.Also+1)
}

func (s *source) tangle(what TangleKind, i, j int32, at Point) error {
	e := &TangleError{What: what, At: at.Add(s.origin), Path: int(s.loop[i]), With: int(s.loop[j])}
	e.Seg, e.Also = int(s.orig[i]-s.base[e.Path]), int(s.orig[j]-s.base[e.With])
	if e.Path > e.With || e.Path == e.With && e.Seg > e.Also {
		e.Path, e.Seg, e.With, e.Also = e.With, e.Also, e.Path, e.Seg
	}
	return e
}

// touch is a place where two forms meet beyond the corner they share.
type touch struct {
	i, j int32
	t, u float64
	p    Point
}

// checkSimple refuses paths that cross or run along themselves or each other.
// Paths may touch: in a corner, or a corner on a side.
func (s *source) checkSimple() error {
	var touches []touch
	var bad error
	pair := func(a, b int) bool {
		i, j := int32(a), int32(b)
		if s.next(j) == i {
			i, j = j, i
		}
		after, before := s.next(i) == j, s.next(j) == i
		if after && s.plainCorner(i, j) && !before {
			return true
		}
		m := meet(&s.forms[i], &s.forms[j], Same)
		for k, c := range m.At[:m.N] {
			if c.Kind == Overlap {
				bad = s.tangle(RunsAlong, i, j, c.P.Lerp(m.At[k+1].P, 0.5))
				return false
			}
			if after && c.P.Near(s.forms[i].B) || before && c.P.Near(s.forms[i].A) {
				continue
			}
			if c.Kind == Crossing && s.forms[i].inner(c.P) && s.forms[j].inner(c.P) {
				bad = s.tangle(Crosses, i, j, c.P)
				return false
			}
			touches = append(touches, touch{i, j, c.T, c.U, c.P})
		}
		return true
	}
	if s.tree != nil {
		s.tree.SelfPairs(Same, pair)
	} else {
		boxes := s.boxes
	all:
		for i := range boxes {
			a := boxes[i].Grow(Same)
			for j := i + 1; j < len(boxes); j++ {
				if a.Overlaps(boxes[j]) && !pair(i, j) {
					break all
				}
			}
		}
	}
	if bad != nil {
		return bad
	}
	if s.flat != nil {
		return s.flat
	}
	if s.touching = len(touches) > 0; s.touching {
		return s.checkTouches(touches)
	}
	if len(s.first) > 2 {
		for l := range s.first[1:] {
			i := s.first[l]
			if !s.boundsFree(i, 0, 1) {
				return s.tangle(Strays, i, i, s.forms[i].At(0.5))
			}
		}
	}
	return nil
}

// inner reports whether p, on the segment, is clear of its ends.
func (f *form) inner(p Point) bool { return !p.Near(f.A) && !p.Near(f.B) }

// plainCorner reports whether i and j, which follows, can share nothing but
// their corner: two lines that do not fold back, or curves that follow on
// smoothly (circles that touch in a point share no other).
func (s *source) plainCorner(i, j int32) bool {
	f, g := &s.forms[i], &s.forms[j]
	along, turn := f.tb.Dot(g.ta), math.Abs(f.tb.Cross(g.ta))
	if f.isArc() || g.isArc() {
		return along > 0 && turn <= Angle
	}
	return along > 0 || turn > foldAngle
}

// foldAngle is the angle, rad, of two lines out of one corner under which
// they are looked at as a fold: over 1 mm they part by a Join.
const foldAngle = 1e-3

// boundsFree reports whether the stretch between the parts t and u of form i
// has the region just left of its middle and the free side just right, or the
// other way round for a region that is offset inwards.
func (s *source) boundsFree(i int32, t, u float64) bool {
	f := &s.forms[i]
	m := f.At((t + u) / 2)
	n := f.direction((t + u) / 2).Left().Mul(Meet)
	l, r := s.winding(m.Add(n)), s.winding(m.Sub(n))
	if s.outwards {
		return l == 1 && r == 0
	}
	return l == 0 && r == -1
}

// checkTouches lets touching paths pass and refuses those that cross where
// they touch: of every stretch between touches both sides are looked at.
func (s *source) checkTouches(touches []touch) error {
	type cut struct {
		i int32
		t float64
		k int
	}
	var cuts []cut
	for k, c := range touches {
		cuts = append(cuts, cut{c.i, c.t, k}, cut{c.j, c.u, k})
	}
	slices.SortStableFunc(cuts, func(a, b cut) int {
		if a.i != b.i {
			return int(a.i - b.i)
		}
		switch {
		case a.t < b.t:
			return -1
		case a.t > b.t:
			return 1
		}
		return 0
	})
	for len(cuts) > 0 {
		i, from, n := cuts[0].i, 0.0, 0
		for ; n < len(cuts) && cuts[n].i == i; n++ {
			c := cuts[n]
			if (c.t-from)*s.forms[i].length > 4*Same && !s.boundsFree(i, from, c.t) {
				k := touches[c.k]
				return s.tangle(Crosses, k.i, k.j, k.p)
			}
			from = c.t
		}
		if k := touches[cuts[n-1].k]; (1-from)*s.forms[i].length > 4*Same && !s.boundsFree(i, from, 1) {
			return s.tangle(Crosses, k.i, k.j, k.p)
		}
		cuts = cuts[n:]
	}
	// And each loop once, for those that touch nothing.
	for l := range s.first[1:] {
		if i := s.first[l]; !slices.ContainsFunc(touches, func(c touch) bool { return c.i == i || c.j == i }) && !s.boundsFree(i, 0, 1) {
			return s.tangle(Strays, i, i, s.forms[i].At(0.5))
		}
	}
	return nil
}
