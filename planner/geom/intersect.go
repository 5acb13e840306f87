package geom

import "math"

// Kind says how two segments meet.
type Kind int8

const (
	Apart    Kind = iota // no point of one is within the tolerance of the other
	Crossing             // they meet at an angle
	Tangent              // they meet, or pass, in one direction
	Overlap              // they share a stretch
)

func (k Kind) String() string { return [...]string{"apart", "crossing", "tangent", "overlap"}[k] }

// Contact is a point that two segments share, and its parts of their lengths.
type Contact struct {
	P    Point
	T, U float64 // of the first segment, of the second
	Kind Kind    // Crossing, Tangent, or Overlap from here to the next contact
}

// Meeting is all that two segments share. Kind is Overlap if any contact is
// one, else Crossing if any is, else Tangent.
type Meeting struct {
	Kind Kind
	N    int
	At   [4]Contact // the first N, by T
}

// Intersect returns where a and b meet. within (mm) is the distance under
// which they count as touching: an end that near to the other segment is a
// contact, and so is the closest pass of two curves that miss each other by
// less; two contacts that near are one. Both segments sweep at most half a
// circle.
func Intersect(a, b Seg, within float64) Meeting {
	fa, fb := newForm(a), newForm(b)
	return meet(&fa, &fb, within)
}

func meet(a, b *form, within float64) Meeting {
	var m Meeting
	// Ends first: they are exact, and a crossing near one is the end.
	for i, p := range [2]Point{a.A, a.B} {
		if u, d := b.footWithin(p, within); d <= within {
			m.add(a, b, p, float64(i), u, within)
		}
	}
	for i, p := range [2]Point{b.A, b.B} {
		if t, d := a.footWithin(p, within); d <= within {
			m.add(a, b, p, t, float64(i), within)
		}
	}
	switch {
	case a.isArc() && b.isArc():
		m.arcs(a, b, within)
	case a.isArc():
		m.line(b, a, true, within)
	case b.isArc():
		m.line(a, b, false, within)
	default:
		m.lines(a, b, within)
	}
	m.finish(a, b, within)
	return m
}

// footWithin returns the part of the length nearest to p and the distance; if
// that is over within, the part has no meaning.
func (f *form) footWithin(p Point, within float64) (t, d float64) {
	if d = f.dist(p); d > within {
		return 0, d
	}
	_, t, d = f.nearest(p)
	return t, d
}

// add notes a contact unless it is one that is already there.
func (m *Meeting) add(a, b *form, p Point, t, u, within float64) {
	for i := range m.N {
		if m.At[i].P.Dist(p) <= within {
			return
		}
	}
	if m.N == len(m.At) {
		return
	}
	k := Crossing
	if math.Abs(a.direction(t).Cross(b.direction(u))) <= Angle {
		k = Tangent
	}
	m.At[m.N] = Contact{p, t, u, k}
	m.N++
}

// direction is Tangent, without trigonometry at the ends.
func (f *form) direction(t float64) Point {
	switch {
	case t <= 0:
		return f.ta
	case t >= 1 || f.half == 0:
		return f.tb
	}
	return f.Tangent(t)
}

// lines: cross products. Near-parallel lines have their ends noted already.
func (m *Meeting) lines(a, b *form, within float64) {
	cross := a.ta.Cross(b.ta)
	if cross == 0 {
		return
	}
	d := b.A.Sub(a.A)
	s, v := d.Cross(b.ta)/cross, d.Cross(a.ta)/cross
	if s <= 0 || s >= a.length || v <= 0 || v >= b.length {
		return
	}
	m.add(a, b, a.A.Add(a.ta.Mul(s)), s/a.length, v/b.length, within)
}

// line notes the interior contacts of line l with arc c. Measured from the
// line's middle, F along it is half s^2 + 2 slope s + value: a quadratic that
// stays well behaved as the arc grows flat. flip says that the arc is the
// first segment of the meeting.
func (m *Meeting) line(l, c *form, flip bool, within float64) {
	k, b, g := c.around(l.m)
	slope := b.Dot(l.ta)
	roots, n := quadratic(k, slope, g, within)
	for _, s := range roots[:n] {
		p := l.m.Add(l.ta.Mul(s))
		if math.Abs(s) > l.length/2 || !c.spans(p) || math.Abs(c.offset(p)) > within {
			continue
		}
		t, u := s/l.length+0.5, c.partOf(p)
		if flip {
			m.add(c, l, p, u, t, within)
		} else {
			m.add(l, c, p, t, u, within)
		}
	}
}

// quadratic returns the roots of k s^2 + 2 b s + g, or the s of its extreme if
// that is as near to a root as makes no difference: at the extreme F = gap.
func quadratic(k, b, g, gap float64) (roots [2]float64, n int) {
	if k == 0 {
		if b == 0 {
			return
		}
		return [2]float64{-g / (2 * b)}, 1
	}
	disc := b*b - k*g
	// At the extreme F is g - b^2/k = -disc/k.
	if disc <= 0 {
		if -disc <= gap*math.Abs(k) {
			return [2]float64{-b / k}, 1
		}
		return
	}
	root := math.Sqrt(disc)
	if 2*root <= gap*math.Abs(k) || disc <= shallow*gap*math.Abs(k) {
		return [2]float64{-b / k}, 1
	}
	q := -(b + math.Copysign(root, b))
	return [2]float64{q / k, g / q}, 2
}

// shallow is the part of the tolerance by which two curves may lie over one
// another between two crossings and still be said to touch once. Rounding of
// coordinates of 1 m (1e-13) lays like arcs over one another by 1e-11.
const shallow = 1e-3

// arcs: the line through both crossings is where the two equations, scaled to
// cancel their squares, agree; then as line. Measured from between the two.
func (m *Meeting) arcs(a, b *form, within float64) {
	if math.Abs(a.half) < math.Abs(b.half) {
		m.arcsOf(b, a, true, within)
	} else {
		m.arcsOf(a, b, false, within)
	}
}

func (m *Meeting) arcsOf(a, b *form, flip bool, within float64) { // a bends more
	note := func(p Point) {
		if !a.spans(p) || !b.spans(p) || math.Abs(a.offset(p)) > within || math.Abs(b.offset(p)) > within {
			return
		}
		if flip {
			m.add(b, a, p, b.partOf(p), a.partOf(p), within)
		} else {
			m.add(a, b, p, a.partOf(p), b.partOf(p), within)
		}
	}
	o := a.m.Lerp(b.m, 0.5)
	ka, ba, ga := a.around(o)
	kb, bb, gb := b.around(o)
	ratio := kb / ka
	w := bb.Sub(ba.Mul(ratio))    // half the normal of the common line
	g := (gb - float64(ratio*ga)) // 2 w.p + g = 0
	wl := w.Len()
	// |w| = |half of b| x distance of centres: nothing to find if they are one.
	if wl <= math.Abs(kb)*within {
		return
	}
	foot := w.Mul(-g / (2 * wl * wl))
	u := Point{-w.Y / wl, w.X / wl}
	slope := ka*foot.Dot(u) + ba.Dot(u)
	at := ka*foot.Dot(foot) + 2*ba.Dot(foot) + ga
	roots, n := quadratic(ka, slope, at, within)
	for _, s := range roots[:n] {
		note(polish(a, b, o.Add(foot).Add(u.Mul(s))))
	}
	if n == 2 {
		return
	}
	// One circle just inside the other: the common line is far off, so look
	// along the line of centres.
	ca, cb := a.center(), b.center()
	d := ca.Sub(cb).Unit()
	if a.radius() > b.radius() {
		d = d.Mul(-1)
	}
	if p := ca.Add(d.Mul(a.radius())); math.Abs(b.offset(p)) <= within {
		note(p)
	}
}

// polish takes one Newton step towards the crossing of both curves where
// they cross at an angle worth it.
func polish(a, b *form, p Point) Point {
	qa, qb := p.Sub(a.m), p.Sub(b.m)
	na := Point{a.half*qa.X + a.beta.X, a.half*qa.Y + a.beta.Y}
	nb := Point{b.half*qb.X + b.beta.X, b.half*qb.Y + b.beta.Y}
	det := 4 * na.Cross(nb)
	if math.Abs(det) < polishAngle {
		return p
	}
	fa, fb := a.value(p), b.value(p)
	return Point{p.X - 2*(fa*nb.Y-fb*na.Y)/det, p.Y - 2*(fb*na.X-fa*nb.X)/det}
}

// polishAngle is the angle, rad, of a crossing under which a Newton step may
// carry the point along the curves further than it is off them.
const polishAngle = 1e-3

// finish sorts the contacts and says what they make.
func (m *Meeting) finish(a, b *form, within float64) {
	at := m.At[:m.N]
	for i := 1; i < len(at); i++ {
		for j := i; j > 0 && at[j].T < at[j-1].T; j-- {
			at[j], at[j-1] = at[j-1], at[j]
		}
	}
	for i, c := range at {
		if m.Kind == Apart || m.Kind == Tangent {
			m.Kind = c.Kind
		}
		if i > 0 && at[i-1].Kind != Crossing && c.Kind == Tangent && b.dist(a.At((at[i-1].T+c.T)/2)) <= within {
			at[i-1].Kind, m.Kind = Overlap, Overlap
		}
	}
}
