package drawing

import (
	"cmp"
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// overlaps merges open lines that run over one another on one line, and open
// arcs on one circle. Of what lies on an edge of a closed figure only the part
// beyond it is kept.
func (t *tangle) overlaps() {
	left := make([]int32, 0, len(t.edges)) // edges still there
	for k := range t.edges {
		if !t.gone[k] {
			left = append(left, int32(k))
		}
	}
	boxes := make([]geom.Box, len(left))
	for i, k := range left {
		boxes[i] = t.seg(int(k)).Box()
	}
	side := t.h.gap / 2 // how far beside one another two may run
	groups := newSets(len(left))
	some := false
	geom.NewIndex(boxes).SelfPairs(side, func(i, j int) bool {
		if !t.h.doubling.spend(lookAlong) {
			t.h.give(lostPairs)
			return false
		}
		a, b := int(left[i]), int(left[j])
		if groups.find(int32(i)) == groups.find(int32(j)) {
			return true
		}
		if !t.open(a) && !t.open(b) || t.neighbours(a, b) {
			return true
		}
		if runOver(t.seg(a), t.seg(b), side, t.h.gap) {
			groups.join(int32(i), int32(j))
			some = true
		}
		return true
	})
	if !some {
		return
	}
	members := map[int32][]int{}
	var roots []int32
	for i := range left {
		r := groups.find(int32(i))
		if _, seen := members[r]; !seen {
			roots = append(roots, r)
		}
		members[r] = append(members[r], int(left[i]))
	}
	for _, r := range roots {
		if len(members[r]) > 1 {
			t.merge(members[r])
		}
	}
}

// neighbours reports whether two edges follow one another in one strand, whose
// shape folds back there.
func (t *tangle) neighbours(a, b int) bool {
	x, y := t.edges[a], t.edges[b]
	if x.strand != y.strand {
		return false
	}
	d := abs(int(x.i) - int(y.i))
	return d == 1 || t.s[x.strand].closed && d == len(t.s[x.strand].v)-1
}

// runOver reports whether two lines, or two arcs, share a stretch longer than
// gap, or the shorter lies on the longer altogether. They run beside one
// another by at most side, and by no more than 2 % of the shorter's length,
// so that a short piece across a line is not taken for one along it.
func runOver(a, b geom.Seg, side, gap float64) bool {
	if arc := a.IsArc(); arc != b.IsArc() {
		return false
	} else if !arc {
		// Both ends within 2 % of the length: directions within 4 %.
		u, v := a.B.Sub(a.A), b.B.Sub(b.A)
		if c := u.Cross(v); c*c > 0.04*0.04*u.Dot(u)*v.Dot(v) {
			return false
		}
	} else if !onCircle(a, b, side) && !onCircle(b, a, side) {
		return false
	}
	if a.Length() < b.Length() {
		a, b = b, a
	}
	near := min(side, 0.02*b.Length())
	c := newCarrier(a)
	if c.off(b.A) > near || c.off(b.B) > near || c.off(b.Mid()) > near {
		return false
	}
	lo, hi := c.span(b)
	shared := c.shared(lo, hi)
	return shared > gap || shared > near && shared >= (hi-lo)-2*near
}

// onCircle reports whether both ends of b lie near the circle of a.
func onCircle(a, b geom.Seg, near float64) bool {
	c, r := a.Center(), a.Radius()
	return math.Abs(b.A.Dist(c)-r) <= near && math.Abs(b.B.Dist(c)-r) <= near
}

// carrier is the line or circle that a segment lies on. Along it, lengths in
// mm from the segment's start; on a circle always counter-clockwise.
type carrier struct {
	s      geom.Seg
	arc    bool
	o, dir geom.Point // line: start and direction; circle: o is the centre
	r, a0  float64
	length float64
}

func newCarrier(s geom.Seg) carrier {
	c := carrier{s: s, arc: s.IsArc(), length: s.Length()}
	if !c.arc {
		c.o, c.dir = s.A, s.B.Sub(s.A).Unit()
		return c
	}
	if s.Bulge < 0 {
		s = s.Reverse()
	}
	c.o, c.r = s.Center(), s.Radius()
	c.a0 = s.A.Sub(c.o).Angle()
	return c
}

// off is the distance of a point from the line or circle.
func (c *carrier) off(p geom.Point) float64 {
	if c.arc {
		return math.Abs(p.Dist(c.o) - c.r)
	}
	return math.Abs(c.dir.Cross(p.Sub(c.o)))
}

func (c *carrier) turn() float64 { return 2 * math.Pi * c.r }

// place is where along the carrier a point lies; on a circle from 0 to a turn.
func (c *carrier) place(p geom.Point) float64 {
	if !c.arc {
		return c.dir.Dot(p.Sub(c.o))
	}
	a := math.Mod(p.Sub(c.o).Angle()-c.a0, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	return a * c.r
}

// span is where a segment lies, lo below hi. On a circle hi may pass a turn.
func (c *carrier) span(s geom.Seg) (lo, hi float64) {
	if !c.arc {
		lo, hi = c.place(s.A), c.place(s.B)
		return min(lo, hi), max(lo, hi)
	}
	if s.Bulge < 0 {
		s = s.Reverse()
	}
	lo = c.place(s.A)
	return lo, lo + s.Sweep()*c.r
}

// shared is how much of lo to hi lies on the carrier's own segment.
func (c *carrier) shared(lo, hi float64) float64 {
	n := max(0, min(hi, c.length)-max(lo, 0))
	if c.arc { // once more round
		n += max(0, min(hi-c.turn(), c.length)-max(lo-c.turn(), 0))
	}
	return n
}

// stretchOf is a stretch of a carrier and the points that bound it.
type stretchOf struct {
	lo, hi float64
	p, q   geom.Point
	src    int32
}

// merge replaces the open edges of a group by the stretches that they cover
// together and that no closed figure covers.
func (t *tangle) merge(group []int) {
	base := group[0]
	for _, k := range group {
		if t.seg(k).Length() > t.seg(base).Length() {
			base = k
		}
	}
	c := newCarrier(t.seg(base))
	var open, fixed []stretchOf
	for _, k := range group {
		s := t.seg(k)
		lo, hi := c.span(s)
		w := stretchOf{lo, hi, s.A, s.B, t.src(k)}
		if c.arc && s.Bulge < 0 || !c.arc && c.place(s.A) > c.place(s.B) {
			w.p, w.q = w.q, w.p
		}
		if t.open(k) {
			open = append(open, w)
			t.gone[k] = true
		} else {
			fixed = append(fixed, w)
		}
	}
	turn := 0.0
	if c.arc {
		turn = c.turn()
	}
	whole := false
	open, whole = unite(open, turn)
	if whole && len(fixed) == 0 {
		open = []stretchOf{{lo: 0, hi: turn, src: t.src(base)}}
	} else if len(fixed) > 0 {
		fixed, _ = unite(fixed, turn)
		open = without(open, fixed, turn, t.h.gap)
	}
	mark := t.s[t.edges[base].strand].mark
	for _, w := range open {
		t.more = append(t.more, c.strand(w, whole, mark))
	}
	t.h.rep.add("overlap", 0, t.seg(base).Mid(), func() finding {
		return finding{p: t.seg(base).Mid(), entity: t.h.entity(t.src(base)),
			what: count(len(group), "piece", "pieces") + " on one " + map[bool]string{true: "circle", false: "line"}[c.arc] + " merged into " + count(len(open), "piece", "pieces")}
	})
}

// unite joins stretches that overlap or touch. turn is the length of the whole
// circle, 0 on a line; whole says that all of it is covered.
func unite(w []stretchOf, turn float64) (out []stretchOf, whole bool) {
	slices.SortStableFunc(w, func(a, b stretchOf) int {
		switch {
		case a.lo != b.lo:
			return sign(a.lo < b.lo)
		case a.hi != b.hi:
			return sign(a.hi > b.hi)
		}
		return 0
	})
	for _, s := range w {
		if n := len(out); n > 0 && s.lo <= out[n-1].hi+geom.Join {
			if s.hi > out[n-1].hi {
				out[n-1].hi, out[n-1].q = s.hi, s.q
			}
			continue
		}
		out = append(out, s)
	}
	// On a circle the last may reach round to the first.
	for n := len(out); turn > 0 && n > 1 && out[n-1].hi >= out[0].lo+turn-geom.Join; n = len(out) {
		last := &out[n-1]
		if out[0].hi+turn > last.hi {
			last.hi, last.q = out[0].hi+turn, out[0].q
		}
		out = out[1:]
	}
	return out, turn > 0 && len(out) == 1 && out[0].hi-out[0].lo >= turn-geom.Join
}

// without takes the fixed stretches out of the open ones, both sorted and each
// apart from its own kind, and drops what is left of them if it is no longer
// than least. On a circle, stretches may reach past a turn: the fixed ones are
// laid out a turn further either way.
func without(open, fixed []stretchOf, turn, least float64) []stretchOf {
	if turn > 0 {
		n := len(fixed)
		for _, shift := range [2]float64{-turn, turn} {
			for _, f := range fixed[:n] {
				f.lo, f.hi = f.lo+shift, f.hi+shift
				fixed = append(fixed, f)
			}
		}
		slices.SortStableFunc(fixed, func(a, b stretchOf) int { return cmp.Compare(a.lo, b.lo) })
	}
	var out []stretchOf
	keep := func(w stretchOf) {
		if w.hi-w.lo > least {
			out = append(out, w)
		}
	}
	k := 0
	for _, w := range open {
		for k < len(fixed) && fixed[k].hi <= w.lo {
			k++
		}
		for i := k; i < len(fixed) && fixed[i].lo < w.hi; i++ {
			f := fixed[i]
			if f.lo > w.lo {
				keep(stretchOf{w.lo, f.lo, w.p, f.p, w.src})
			}
			w.lo, w.p = max(w.lo, f.hi), f.q
			if w.lo >= w.hi {
				break
			}
		}
		if w.lo < w.hi {
			keep(w)
		}
	}
	return out
}

// strand draws a stretch.
func (c *carrier) strand(w stretchOf, whole, mark bool) strand {
	if !c.arc {
		return strand{v: []geom.Vertex{{P: w.p, Src: w.src}, {P: w.q, Src: w.src}}, mark: mark}
	}
	if whole {
		p := geom.Circle(c.o, c.r)
		p.V[0].Src, p.V[1].Src = w.src, w.src
		return strand{v: p.V, closed: true, whole: true, mark: mark}
	}
	sweep := (w.hi - w.lo) / c.r
	if sweep <= math.Pi {
		return strand{v: []geom.Vertex{{P: w.p, Bulge: geom.BulgeOf(sweep), Src: w.src}, {P: w.q, Src: w.src}}, mark: mark}
	}
	m := geom.Polar(c.o, c.r, c.a0+(w.lo+w.hi)/2/c.r)
	b := geom.BulgeOf(sweep / 2)
	return strand{v: []geom.Vertex{{P: w.p, Bulge: b, Src: w.src}, {P: m, Bulge: b, Src: w.src}, {P: w.q, Src: w.src}}, mark: mark}
}
