package geom

import (
	"fmt"
	"math"
	"slices"
)

// source is what is offset: all segments of a region's boundary, about the
// outer path's own middle, run so that the free side, to which they are moved,
// is on the right of each.
type source struct {
	origin   Point
	forms    []form
	boxes    []Box
	loop     []int32 // of each form
	orig     []int32 // of each form, its segment counted through all given paths
	first    []int32 // form at which each loop starts, and the end
	base     []int32 // number of the first segment of each given path, and the end
	turned   []bool  // of each loop: run against the given path
	outwards bool    // the free side is outside the region
	merge    float64 // corners this near are one
	size     float64 // half the diagonal of all
	tree     *Index  // of boxes, if there are many
	touching bool    // a path touches itself or another
	flat     error   // a path has no area; it may have a crossing to tell of first
}

// few is the number of segments up to which looking at each beats a tree:
// about 30, and BenchmarkOffsetOfOnePath shows no step there.
const few = 32

// next returns the form that follows in the loop.
func (s *source) next(i int32) int32 {
	if l := s.loop[i]; i+1 == s.first[l+1] {
		return s.first[l]
	}
	return i + 1
}

// newSource cleans and turns the paths: corners within merge of the one before
// are left out. It refuses what has no inside, but
// does not look for crossings.
func newSource(outer Path, holes []Path, outwards bool, merge float64) (*source, error) {
	s := &source{outwards: outwards, merge: merge}
	n := len(outer.V) + 2
	for _, h := range holes {
		n += len(h.V) + 2
	}
	ints := make([]int32, 2*n+2*len(holes)+4)
	s.loop, ints = ints[:0:n], ints[n:]
	s.orig, ints = ints[:0:n], ints[n:]
	k := len(holes) + 2
	s.first, s.base = ints[:1:k], ints[k:k+1:2*k]
	s.forms = make([]form, 0, n)
	s.turned = make([]bool, 0, len(holes)+1)
	if err := s.add(outer, 0); err != nil {
		return nil, err
	}
	for i, h := range holes {
		if err := s.add(h, i+1); err != nil {
			return nil, err
		}
	}
	s.boxes = make([]Box, len(s.forms))
	all := EmptyBox()
	for i := range s.forms {
		s.boxes[i] = s.forms[i].box()
		all = all.Union(s.boxes[i])
	}
	s.size = all.Min.Dist(all.Max) / 2
	if len(s.forms) > few {
		s.tree = NewIndex(s.boxes)
	}
	return s, nil
}

func (s *source) add(p Path, loop int) error {
	bad := func(what string) error {
		if loop == 0 {
			return fmt.Errorf("offset: the path %s", what)
		}
		return fmt.Errorf("offset: hole %d %s", loop, what)
	}
	if !p.Closed || len(p.V) < 2 {
		return bad("is not closed")
	}
	for i, v := range p.V {
		if !v.P.Finite() || !finite(v.Bulge) {
			return bad(fmt.Sprintf("has no finite coordinates at vertex %d", i+1))
		}
	}
	if loop == 0 {
		// The middle of the corners: exactness does not matter, nearness does.
		b := EmptyBox()
		for _, v := range p.V {
			b = b.Add(v.P)
		}
		s.origin = b.Center()
	}
	base := s.base[loop]
	s.base = append(s.base, base+int32(len(p.V)))
	start := len(s.forms)
	at := p.V[0].P.Sub(s.origin)
	for i := range p.V {
		seg := p.Seg(i)
		seg.A, seg.B = at, seg.B.Sub(s.origin)
		if math.Abs(seg.Bulge) <= 1 {
			s.addSeg(seg, base+int32(i), &at)
			continue
		}
		for _, half := range seg.Split() {
			s.addSeg(half, base+int32(i), &at)
		}
	}
	if len(s.forms)-start < 2 {
		return bad("has no area")
	}
	// What was dropped at the end may leave it a hair from the start.
	last, begin := &s.forms[len(s.forms)-1], s.forms[start].A
	if last.B != begin {
		*last = newForm(Seg{last.A, begin, last.Bulge})
	}
	twice, length := 0.0, 0.0
	for i := range s.forms[start:] {
		f := &s.forms[start+i]
		twice += f.A.Cross(f.B)
		if f.isArc() {
			a, r := 2*f.half*f.length, f.radius()
			twice += r * r * (a - math.Sin(a))
		}
		length += f.length
	}
	if math.Abs(twice) <= Same*length {
		s.flat = bad("has no area")
	}
	turn := (twice > 0) == (s.outwards == (loop > 0))
	if turn {
		slices.Reverse(s.forms[start:])
		slices.Reverse(s.orig[start:])
		for i := range s.forms[start:] {
			s.forms[start+i].turn()
		}
	}
	s.turned = append(s.turned, turn)
	for range s.forms[start:] {
		s.loop = append(s.loop, int32(loop))
	}
	s.first = append(s.first, int32(len(s.forms)))
	return nil
}

func (s *source) addSeg(seg Seg, orig int32, at *Point) {
	seg.A = *at
	if seg.A.Dist(seg.B) <= s.merge {
		return
	}
	*at = seg.B
	s.forms = append(s.forms, newForm(seg))
	s.orig = append(s.orig, orig)
}

// turn makes f run the other way.
func (f *form) turn() {
	f.Seg = f.Seg.Reverse()
	f.ta, f.tb = f.tb.Mul(-1), f.ta.Mul(-1)
	f.half, f.beta, f.gamma = -f.half, f.beta.Mul(-1), -f.gamma
}

// clearance returns the distance from p to the source, but no more than
// bound. Once it is under floor, the answer may be any value under floor that
// is not under the distance.
func (s *source) clearance(p Point, floor, bound float64) float64 {
	best := bound
	if s.tree == nil {
		for i := range s.forms {
			b := &s.boxes[i]
			dx := max(b.Min.X-p.X, 0, p.X-b.Max.X)
			dy := max(b.Min.Y-p.Y, 0, p.Y-b.Max.Y)
			if dx*dx+dy*dy >= best*best {
				continue
			}
			if d := s.forms[i].dist(p); d < best {
				if best = d; best < floor {
					break
				}
			}
		}
		return best
	}
	s.tree.Nearest(p, bound, func(i int) float64 {
		best = min(best, s.forms[i].dist(p))
		if best < floor {
			return -1
		}
		return best
	})
	return best
}

// winding is the number of turns of all loops round q.
func (s *source) winding(q Point) int {
	w := 0
	if s.tree == nil {
		for i := range s.forms {
			w += s.forms[i].winding(q)
		}
		return w
	}
	s.tree.Search(Box{q, Point{math.Inf(1), q.Y}}, func(i int) bool {
		w += s.forms[i].winding(q)
		return true
	})
	return w
}
