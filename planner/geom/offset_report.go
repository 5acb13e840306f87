package geom

import (
	"cmp"
	"slices"
)

// Outcome is an offset with what it could not follow of its source.
type Outcome struct {
	Loops   []Path
	Lost    []Lost
	Necks   []Neck
	Pockets []Pocket
	// Nudge is by how much, mm, |d| or the paths had to be changed to get a
	// proved result: mostly 0, never over a tenth of Join.
	Nudge float64
}

// Lost is a source path of which nothing is left: the whole region moved
// inwards, or a hole that was filled.
type Lost struct {
	Path   int // 0 the outer path, 1 the first hole
	Center Point
	Radius float64 // mm, of the largest circle that fits; short of |d| by the difference
}

// Neck is a place where two stretches of the source face each other across
// the free side at less than 2|d|, and the offset is cut in two or, between a
// path and a hole, joined.
type Neck struct {
	P, Q  Point // the narrowest place
	Width float64
	// Segments of P and Q, counted as Src.
	SegP, SegQ int32
}

// Pocket is a dead end of the free side that the offset does not reach: a
// finger narrower than 2|d|, or a corner with more than one side.
type Pocket struct {
	At    Point   // of the source, the furthest in
	Seg   int32   // its segment, counted as Src
	Depth float64 // mm that a disc of radius |d| stays away from At
}

// OffsetDetail is OffsetRegion with a report. Pockets shallower than Fit are
// left out.
func OffsetDetail(outer Path, holes []Path, d float64) (Outcome, error) {
	loops, o, err := offsetRegion(outer, holes, d)
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{Loops: loops, Nudge: o.nudge}
	f := newFollowed(o)
	for l := range o.first[1:] {
		if len(f.stretches[l]) > 0 || !o.outwards && (l > 0 || len(loops) > 0) {
			continue
		}
		lost := Lost{Path: l}
		if l == 0 {
			lost.Center, lost.Radius = Inscribed(outer, holes, Join)
		} else {
			lost.Center, lost.Radius = Inscribed(holes[l-1], nil, Join)
		}
		out.Lost = append(out.Lost, lost)
	}
	f.report(&out)
	return out, nil
}

// followed is the source seen from the result: which of its stretches the
// rings were moved from. Places are numbered along all loops: form i takes
// 2i+1 to 2i+2, the corner before it 2i to 2i+1.
type followed struct {
	*offsetter
	stretches [][]stretchOf // of each loop, in order
	at        map[int32]int // of an edge, its stretch
}

type stretchOf struct {
	from, to float64
	edge     int32
}

func newFollowed(o *offsetter) *followed {
	f := &followed{offsetter: o, stretches: make([][]stretchOf, len(o.first)-1), at: map[int32]int{}}
	for _, r := range o.rings {
		for _, k := range r {
			e := &o.edges[k]
			c := &o.pieces[e.piece]
			at := 2 * float64(c.src)
			if !c.join {
				at++
			}
			l := o.loop[c.src]
			f.stretches[l] = append(f.stretches[l], stretchOf{at + e.t0, at + e.t1, k})
		}
	}
	for _, s := range f.stretches {
		slices.SortFunc(s, func(a, b stretchOf) int { return cmp.Compare(a.from, b.from) })
		for i := range s {
			f.at[s[i].edge] = i
		}
	}
	return f
}

// gap is the stretch of the source that follows stretch i of loop l and has
// nothing in the result.
type gap struct{ l, i int }

// report looks at every corner of the result. There the free side is too
// narrow: between the gap after the edge that arrives and the gap before the
// edge that leaves. One and the same gap is a pocket, two make a neck.
func (f *followed) report(out *Outcome) {
	var to *SegIndex
	seen := map[[2]gap]bool{}
	for _, r := range f.rings {
		for i, k := range r {
			next := r[(i+1)%len(r)]
			after, before := f.gapAfter(k), f.gapBefore(next)
			if after == before {
				if f.sides(after) > 2 {
					if to == nil {
						var local []Path
						for _, r := range f.rings {
							local = append(local, f.path(r))
						}
						to = IndexPaths(local...)
					}
					f.pocket(out, after, to)
				}
				continue
			}
			key := [2]gap{after, before}
			if before.l < after.l || before.l == after.l && before.i < after.i {
				key = [2]gap{before, after}
			}
			if !seen[key] {
				seen[key] = true
				f.neck(out, key)
			}
		}
	}
}

func (f *followed) gapAfter(edge int32) gap {
	l := int(f.loop[f.pieces[f.edges[edge].piece].src])
	return gap{l, f.at[edge]}
}

func (f *followed) gapBefore(edge int32) gap {
	g := f.gapAfter(edge)
	n := len(f.stretches[g.l])
	g.i = (g.i + n - 1) % n
	return g
}

// bounds returns where a gap begins and ends; the end is past the loop's own
// end if the gap runs over its start.
func (f *followed) bounds(g gap) (from, to float64) {
	s := f.stretches[g.l]
	from = s[g.i].to
	if g.i+1 < len(s) {
		return from, max(from, s[g.i+1].from)
	}
	return from, max(from, s[0].from+2*float64(f.first[g.l+1]-f.first[g.l]))
}

// sides returns how many segments a gap touches.
func (f *followed) sides(g gap) int {
	n := 0
	f.over(g, func(int32, float64, float64) { n++ })
	return n
}

// over calls visit with the parts of forms that a gap covers.
func (f *followed) over(g gap, visit func(form int32, t, u float64)) {
	from, to := f.bounds(g)
	first, n := f.first[g.l], f.first[g.l+1]-f.first[g.l]
	for k := int32(from / 2); 2*float64(k) < to; k++ {
		t, u := max(0, from-float64(2*k+1)), min(1, to-float64(2*k+1))
		i := first + (k-first)%n
		if t < u && (u-t)*f.forms[i].length > Same {
			visit(i, t, u)
		}
	}
}

// gapPath returns a gap as an open path with Src; a point if it has no length.
func (f *followed) gapPath(g gap) Path {
	var p Path
	var last Seg
	f.over(g, func(i int32, t, u float64) {
		last = f.forms[i].Part(t, u)
		p.V = append(p.V, Vertex{last.A, last.Bulge, f.orig[i]})
	})
	if len(p.V) > 0 {
		p.V = append(p.V, Vertex{P: last.B})
		return p
	}
	from, _ := f.bounds(g)
	first, n := f.first[g.l], f.first[g.l+1]-f.first[g.l]
	k := int32(from / 2)
	i := first + (k-first)%n
	at := f.forms[i].At(from - float64(2*k+1))
	return Path{V: []Vertex{{P: at, Src: f.orig[i]}, {P: at}}}
}

func (f *followed) neck(out *Outcome, g [2]gap) {
	a, b := f.gapPath(g[0]), f.gapPath(g[1])
	p, q, _ := MinDist(IndexPaths(a), IndexPaths(b))
	if p.Dist >= 2*f.r-Same {
		return // two stretches that just touch: nothing is narrower
	}
	out.Necks = append(out.Necks, Neck{p.P.Add(f.origin), q.P.Add(f.origin), p.Dist, a.V[p.Seg].Src, b.V[q.Seg].Src})
}

func (f *followed) pocket(out *Outcome, g gap, to *SegIndex) {
	p := f.gapPath(g)
	low, _, at := MaxDist([]Path{p}, to, Join)
	if depth := low - f.r; depth > Fit {
		seg, _, _, _ := p.Nearest(at)
		out.Pockets = append(out.Pockets, Pocket{at.Add(f.origin), p.V[seg].Src, depth})
	}
}
