package geom

import (
	"math"
	"slices"
)

// Vertex is a corner of a path and the segment that leaves it. Src is an
// index that the maker of the path gives a meaning: the source entity in a
// drawing, the source segment in an offset.
type Vertex struct {
	P     Point
	Bulge float64
	Src   int32
}

// Path is a run of segments. A closed path has a segment from the last vertex
// to the first; of an open path the last vertex's Bulge is unused.
type Path struct {
	V      []Vertex
	Closed bool
}

// NumSegs returns the number of segments.
func (p Path) NumSegs() int {
	if p.Closed {
		return len(p.V)
	}
	return max(0, len(p.V)-1)
}

// Seg returns segment i, which leaves vertex i.
func (p Path) Seg(i int) Seg {
	j := i + 1
	if j == len(p.V) {
		j = 0
	}
	return Seg{p.V[i].P, p.V[j].P, p.V[i].Bulge}
}

// Segs returns all segments in order.
func (p Path) Segs() []Seg {
	out := make([]Seg, p.NumSegs())
	for i := range out {
		out[i] = p.Seg(i)
	}
	return out
}

// Start and End return the first point and the last; of a closed path they are one.
func (p Path) Start() Point { return p.V[0].P }

func (p Path) End() Point {
	if p.Closed {
		return p.V[0].P
	}
	return p.V[len(p.V)-1].P
}

// FromSegs chains segments that follow on from one another. closed says that
// the last ends where the first begins.
func FromSegs(segs []Seg, closed bool) Path {
	p := Path{V: make([]Vertex, 0, len(segs)+1), Closed: closed}
	for _, s := range segs {
		p.V = append(p.V, Vertex{P: s.A, Bulge: s.Bulge})
	}
	if !closed && len(segs) > 0 {
		p.V = append(p.V, Vertex{P: segs[len(segs)-1].B})
	}
	return p
}

// Polygon returns the closed path through the points.
func Polygon(pts ...Point) Path {
	p := Path{V: make([]Vertex, len(pts)), Closed: true}
	for i, q := range pts {
		p.V[i].P = q
	}
	return p
}

// Circle returns a counter-clockwise circle as two half circles, from c+(r,0).
func Circle(c Point, r float64) Path {
	return Path{V: []Vertex{{P: Point{c.X + r, c.Y}, Bulge: 1}, {P: Point{c.X - r, c.Y}, Bulge: 1}}, Closed: true}
}

// SplitArcs returns p with every arc over half a circle cut in two.
func (p Path) SplitArcs() Path {
	if !slices.ContainsFunc(p.V, func(v Vertex) bool { return math.Abs(v.Bulge) > 1 }) {
		return p
	}
	out := Path{Closed: p.Closed}
	for i := range p.NumSegs() {
		for _, s := range p.Seg(i).Split() {
			out.V = append(out.V, Vertex{s.A, s.Bulge, p.V[i].Src})
		}
	}
	if !p.Closed {
		out.V = append(out.V, p.V[len(p.V)-1])
	}
	return out
}

// Length returns the length along the path.
func (p Path) Length() float64 {
	sum := 0.0
	for i := range p.NumSegs() {
		sum += p.Seg(i).Length()
	}
	return sum
}

// Area returns the signed area of a closed path, mm2, positive
// counter-clockwise: the chord polygon by the shoelace rule about the first
// vertex, plus for every arc the circular segment r^2/2 (a - sin a).
func (p Path) Area() float64 {
	if len(p.V) == 0 {
		return 0
	}
	o := p.V[0].P
	twice := 0.0
	for i := range p.NumSegs() {
		s := p.Seg(i)
		twice += s.A.Sub(o).Cross(s.B.Sub(o)) + 2*segmentArea(s)
	}
	return twice / 2
}

// segmentArea is the signed area between arc and chord. For small sweeps
// a - sin a loses its digits, so its series is used there.
func segmentArea(s Seg) float64 {
	if !s.IsArc() {
		return 0
	}
	a, r := s.Sweep(), s.Radius()
	if math.Abs(a) < 1e-2 { // a^9/9! is under 1e-23
		a2 := a * a
		return r * r / 2 * a * a2 * (1 - a2/20*(1-a2/42)) / 6
	}
	return r * r / 2 * (a - math.Sin(a))
}

// Box returns the exact box of the path.
func (p Path) Box() Box {
	b := EmptyBox()
	for i := range p.NumSegs() {
		b = b.Union(p.Seg(i).Box())
	}
	if len(p.V) == 1 {
		b = b.Add(p.V[0].P)
	}
	return b
}

// Reverse returns the path run the other way, from the same first vertex if closed.
func (p Path) Reverse() Path {
	n := len(p.V)
	out := Path{V: make([]Vertex, n), Closed: p.Closed}
	for i := range out.V {
		j := n - 1 - i // vertex that comes next
		if p.Closed {
			j = (n - i) % n
		}
		k := j - 1 // segment that arrives there
		if p.Closed {
			k = (j - 1 + n) % n
		}
		out.V[i].P = p.V[j].P
		if k >= 0 {
			out.V[i].Bulge, out.V[i].Src = -p.V[k].Bulge, p.V[k].Src
		} else {
			out.V[i].Src = p.V[j].Src
		}
	}
	return out
}

// CCW returns a closed path run counter-clockwise.
func (p Path) CCW() Path {
	if p.Area() < 0 {
		return p.Reverse()
	}
	return p
}

// StartAt returns a closed path rotated and, where needed, cut, so that it
// starts at the part t of segment i.
func (p Path) StartAt(i int, t float64) Path {
	n := len(p.V)
	s := p.Seg(i)
	switch q := s.At(t); {
	case q.Near(s.A):
	case q.Near(s.B):
		i = (i + 1) % n
	default:
		out := Path{V: make([]Vertex, 0, n+1), Closed: true}
		first, last := s.Part(0, t), s.Part(t, 1)
		out.V = append(out.V, Vertex{q, last.Bulge, p.V[i].Src})
		for k := 1; k < n; k++ {
			out.V = append(out.V, p.V[(i+k)%n])
		}
		out.V = append(out.V, Vertex{s.A, first.Bulge, p.V[i].Src})
		return out
	}
	out := Path{V: make([]Vertex, 0, n), Closed: true}
	out.V = append(append(out.V, p.V[i:]...), p.V[:i]...)
	return out
}

// Nearest returns the place of the path nearest to q: segment, part of its
// length, point and distance. It looks at every segment; Index is faster for
// many questions.
func (p Path) Nearest(q Point) (seg int, t float64, at Point, dist float64) {
	dist = math.Inf(1)
	for i := range p.NumSegs() {
		if a, u, d := p.Seg(i).Nearest(q); d < dist {
			seg, t, at, dist = i, u, a, d
		}
	}
	return
}

// Side says where a point lies with regard to a closed path.
type Side int

const (
	Outside Side = iota
	OnEdge
	Inside
)

// Side answers by the winding number, with OnEdge for points within the given
// distance of the path. A path that crosses itself counts as inside where the
// winding number is not 0.
func (p Path) Side(q Point, within float64) Side {
	if _, _, _, d := p.Nearest(q); d <= within {
		return OnEdge
	}
	if p.Winding(q) != 0 {
		return Inside
	}
	return Outside
}

// Winding returns how often a closed path runs counter-clockwise round q,
// which must not lie on it. Chord polygon by the half-open rule (Hormann and
// Agathos 2001), then one turn more or less for each arc whose lens between
// chord and arc holds q.
func (p Path) Winding(q Point) int {
	w := 0
	for i := range p.NumSegs() {
		w += p.Seg(i).winding(q)
	}
	return w
}

// winding is the segment's share of the turns of its path round q. A point on
// the chord counts as a hair above it, on an upright chord a hair to its
// right, here and in the lens.
func (s Seg) winding(q Point) int {
	up := s.A.Y <= q.Y && s.B.Y > q.Y
	down := s.A.Y > q.Y && s.B.Y <= q.Y
	arc := s.Bulge != 0 && s.IsArc()
	if !up && !down && !arc {
		return 0
	}
	var left bool
	switch Orient(s.A, s.B, q) {
	case Left:
		left = true
	case Straight:
		left = s.A.X < s.B.X || s.A.X == s.B.X && s.A.Y > s.B.Y
	}
	w := 0
	if up && left {
		w++
	} else if down && !left {
		w--
	}
	if arc && left == (s.Bulge < 0) && s.inLens(q) {
		if s.Bulge > 0 {
			w++
		} else {
			w--
		}
	}
	return w
}

// inLens reports whether q, which lies on the arc's side of the chord, lies
// within its circle.
func (s Seg) inLens(q Point) bool {
	if math.Abs(s.Bulge) > 1 {
		return q.Dist(s.Center()) < s.Radius()
	}
	f := newForm(s)
	return f.value(q) < 0 == (s.Bulge > 0)
}

// Flatten returns points along the path, chords no further than tol from it.
func (p Path) Flatten(tol float64) []Point {
	var out []Point
	for i := range p.NumSegs() {
		s := p.Seg(i)
		out = append(out, s.A)
		n := ArcSteps(s, tol)
		for k := 1; k < n; k++ {
			out = append(out, s.At(float64(k)/float64(n)))
		}
	}
	if !p.Closed && len(p.V) > 0 {
		out = append(out, p.V[len(p.V)-1].P)
	}
	return out
}

// ArcSteps returns into how many chords a segment falls so that none is
// further than tol from it: one step sweeps 2 acos(1 - tol/r).
func ArcSteps(s Seg, tol float64) int {
	if !s.IsArc() {
		return 1
	}
	r := s.Radius()
	if tol >= r {
		return max(1, int(math.Ceil(math.Abs(s.Sweep())/(math.Pi/2))))
	}
	return max(1, int(math.Ceil(math.Abs(s.Sweep())/(2*math.Acos(1-tol/r)))))
}

// Move is a rigid motion with an optional mirror: mirror about the Y axis
// (x -> -x) first, then turn by Angle (rad), then shift.
type Move struct {
	Mirror bool
	Angle  float64
	Shift  Point
}

// Apply moves a point.
func (m Move) Apply(p Point) Point {
	if m.Mirror {
		p.X = -p.X
	}
	if m.Angle != 0 {
		p = turn(p, m.Angle)
	}
	return p.Add(m.Shift)
}

// Path moves a path; a mirror turns its bulges over.
func (m Move) Path(p Path) Path {
	out := Path{V: slices.Clone(p.V), Closed: p.Closed}
	for i := range out.V {
		out.V[i].P = m.Apply(out.V[i].P)
		if m.Mirror {
			out.V[i].Bulge = -out.V[i].Bulge
		}
	}
	return out
}
