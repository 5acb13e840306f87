package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// tip is a sharp corner of an outline that sticks out.
type tip struct {
	at   geom.Point
	k    int     // of the edge's pieces, the one that begins there
	turn float64 // rad, over 0
}

// sharp lists the corners of an outline's edge, which runs counter-clockwise,
// that stick out and turn as much as the job calls sharp.
func (l *loop) sharp() []tip {
	if l.cornered {
		return l.corners
	}
	l.cornered = true
	n := len(l.edge.all)
	for i := range l.edge.all {
		p, q := &l.edge.all[(i+n-1)%n], &l.edge.all[i]
		a, b := p.headingAt(p.b), q.headingAt(q.a)
		if t := math.Atan2(a.Cross(b), a.Dot(b)); t >= l.Corner.Turn-geom.Join { // drawings turn 60 degrees within that
			l.corners = append(l.corners, tip{q.a, i, t})
		}
	}
	return l.corners
}

// inLoop reports whether a piece lies in the loop round a sharp corner.
func (l *loop) inLoop(p *piece, tol float64) bool {
	if l.Corner.Loop <= 0 || !l.outer {
		return false
	}
	for _, q := range l.sharp() {
		if furthestFromPoint(p, q.at) <= l.loopReach(q)+tol && !l.holds(p.mid()) {
			return true
		}
	}
	return false
}

// besideCorner reports whether all of a piece lies within reach of a sharp
// corner.
func (l *loop) besideCorner(p *piece, tol float64) bool {
	for _, q := range l.sharp() {
		if furthestFromPoint(p, q.at) <= math.Hypot(l.Corner.Reach, l.Kerf/2)+tol {
			return true
		}
	}
	return false
}

// underTab reports whether a stretch of edge, or its middle, lies where a tab
// keeps the kerf away. The torch stops half a tab and half a kerf before the
// tab's middle; on a bend the way along the edge is a little more.
func (l *loop) underTab(p *piece, m geom.Point, tol float64) (all, middle bool) {
	for _, t := range l.Tabs {
		limit := 1.05*(t.Width+l.Kerf)/2 + tol
		d := length(m.Sub(t.At))
		if d <= limit {
			return d+p.length()/2 <= limit, true
		}
	}
	return false, false
}

// tabReach is how far out from the edge a tab is looked at, in kerfs: across
// the kerf and into the skeleton that holds it.
const tabReach = 1.5

// tabs holds every tab to its width: over the kerf and a little into the
// skeleton, no kerf may come nearer than half of it to the line through its
// middle, square to the edge.
func (c *check) tabs(l *loop) {
	for _, t := range l.Tabs {
		k, _ := l.edge.nearest(t.At)
		along := l.edge.all[k].headingAt(t.At)
		out := along.Left().Mul(-1) // edges run counter-clockwise
		load := c.runs[l.runs[0]].load
		far := tabReach * l.Kerf
		least, line := math.Inf(1), 0
		see := func(q geom.Point, half float64) bool {
			v := q.Sub(t.At)
			beyond := math.Max(0, math.Max(-v.Dot(out), v.Dot(out)-far))
			if beyond >= half {
				return false
			}
			d := math.Abs(v.Dot(along)) - math.Sqrt((half-beyond)*(half+beyond))
			if d >= least {
				return false
			}
			least = d
			return true
		}
		box := geom.Box{Min: t.At, Max: t.At}.Grow(math.Hypot(t.Width/2, far) + c.loads[load].wide)
		c.kerfs.tree.each(box, func(x int) bool {
			r := &c.runs[c.kerfs.owner[x]]
			if r.load != load {
				return true
			}
			p := c.kerfs.all[x]
			n := max(1, int(math.Ceil(p.length()/(l.Kerf/tabSteps))))
			for i := range n + 1 {
				if see(p.at(float64(i)/float64(n)), c.half(r)) {
					line = r.now(r.first)
				}
			}
			return true
		})
		if least < t.Width/2-c.tol {
			c.find(line, l.ID, "tab", "Plan the job again.", "a tab of %s is cut to %s", mm(t.Width), mm(math.Max(0, 2*least))).on(t.At)
		}
	}
}

// tabSteps says how finely a kerf beside a tab is walked: in steps of a
// fiftieth of its width, which miss a bulge by 1e-4 of it.
const tabSteps = 50

// splits finds the feature whose slug a run cuts across: it lies in it, along
// no edge, is far shorter than its edge, and comes before its edge is cut.
func (m *metal) splits(r *run, tol float64) (found *loop) {
	m.boxes.each(geom.Box{Min: r.pierce, Max: r.pierce}, func(i int) bool {
		l := m.loops[i]
		if !l.Split || l.wasSplit || len(l.runs) > 0 || !l.holds(r.pierce) || !l.box.Encloses(r.box) {
			return true
		}
		for k := range r.path { // along an edge: a cut that was lost, or that of a part in the slug
			if x, d := m.edges.nearest(r.path[k].mid(), m.wide); x >= 0 && math.Abs(d-m.loops[m.edges.owner[x]].half()) <= tol {
				return true
			}
		}
		if lap := l.edgeLength(); r.length < lap/2 && (found == nil || lap < found.edgeLength()) {
			found = l
		}
		return true
	})
	return found
}

func (l *loop) edgeLength() float64 {
	sum := 0.0
	for k := range l.edge.all {
		sum += l.edge.all[k].length()
	}
	return sum
}
