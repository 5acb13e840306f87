package proof

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// A trim parts what is left of the plate from its used piece. Its feature's
// loop is the edge of the used piece, which reaches beyond the plate; the torch
// runs on that edge wherever it lies on the plate. The proof asks that
//
//   - the whole of it is cut, on the line itself (covers, follows);
//   - every part lies in the used piece, and the kerf keeps Web of metal from
//     every other kerf (trims);
//   - no kerf, and no lead, goes beyond the line into what is kept (trims);
//   - nothing is cut after it, since the skeleton may have moved (trims);
//   - height is held where it comes onto the plate and leaves it (offEdges).

// trims holds the trim, and all that lies beside it, to its line.
func (c *check) trims() {
	for k := range c.loads {
		m := &c.loads[k]
		for _, l := range m.loops {
			if l.Rule != "trim" {
				continue
			}
			c.partsInside(m, l)
			for i := c.before; i < len(c.runs); i++ {
				if r := &c.runs[i]; r.load == k {
					c.keepsOff(r, l)
				}
			}
			if len(l.runs) == 0 {
				continue
			}
			last := l.runs[len(l.runs)-1]
			for i := max(last+1, c.before); i < len(c.runs); i++ {
				r := &c.runs[i]
				c.find(r.first, r.id(), "order", "Trim the plate last.", "is cut after %s (%s), which has set the skeleton loose", l.ID, c.runs[last].lines()).on(r.pierce)
			}
			for _, i := range l.runs {
				if !c.runs[i].earlier {
					c.webs(i, l)
				}
			}
		}
	}
}

// partsInside asks that every part lies in the used piece.
func (c *check) partsInside(m *metal, l *loop) {
	for _, o := range m.loops {
		if !o.edgeOf {
			continue
		}
		for k := range o.edge.all {
			p := &o.edge.all[k]
			if !l.holds(p.a) {
				c.find(0, l.ID, "trim-parts", "Move the line or the part.", "the part of %s lies beyond the line", o.ID).on(p.a)
				return
			}
		}
	}
}

// keepsOff asks that a run stays on the used side of the line: the trim itself
// on it, all other kerfs short of it.
func (c *check) keepsOff(r *run, l *loop) {
	for k := range r.path {
		p := &r.path[k].piece
		for _, q := range [5]geom.Point{p.a, p.at(0.25), p.mid(), p.at(0.75), p.b} {
			_, d := l.edge.nearest(q)
			if !l.holds(q) && d > c.tol && c.onStock(q) {
				c.find(r.path[k].line, r.id(), "trim-beyond", "Move the line.", "cuts %s beyond the line, into what is kept", mm(d)).on(q)
				return
			}
		}
	}
}

// webs asks that metal stays between the trim's kerf and every other.
func (c *check) webs(i int, l *loop) {
	r := &c.runs[i]
	least, by, at := math.Inf(1), -1, geom.Point{}
	line := r.first
	for k := r.from; k < r.to; k++ {
		p := &r.path[k].piece
		c.kerfs.tree.each(p.box().Grow(l.Kerf+l.Web), func(x int) bool {
			o := int(c.kerfs.owner[x])
			if c.runs[o].loop == l || c.runs[o].load != r.load || c.runs[o].loop != nil && c.runs[o].loop.Rule == "mark" {
				return true
			}
			if d := apart(p, &c.kerfs.all[x]) - c.half(r) - c.half(&c.runs[o]); d < least {
				least, by, at, line = d, o, c.kerfs.all[x].mid(), r.path[k].line
			}
			return true
		})
	}
	if least < l.Web-c.tol {
		c.find(line, l.ID, "trim-web", "Move the line or the parts.", "its kerf lies %s from that of %s, %s of metal must stay between them", mm(max(0, least)), nameOr(&c.runs[by], "an earlier run"), mm(l.Web)).on(at)
	}
}

// offPlate reports whether a stretch of the line, or its middle, lies off the
// plate, where there is nothing to cut. Under a clamp, over a bad spot and at a
// hole the line is asked for all the same: the plate may hang together there.
func (c *check) offPlate(p *piece, m geom.Point) (all, middle bool) {
	near := math.Inf(1)
	for _, s := range c.stock {
		if s == nil || s.holds(m) {
			return false, false
		}
		_, d := s.edge.nearest(m)
		near = min(near, d)
	}
	middle = len(c.stock) > 0
	return middle && near > p.length()/2, middle
}

// offEdges lists where height must be held on a trim since the plate's edge is
// near: control that follows the arc voltage dives where the metal ends.
func (c *check) offEdges(r *run, ds []demand) []demand {
	if r.loop.Rule != "trim" || !(c.in.HoldNear > 0) {
		return ds
	}
	for k := range r.path {
		p := &r.path[k]
		for _, s := range c.stock {
			if s == nil {
				continue
			}
			for n := range s.edge.all {
				within := c.in.HoldNear + c.half(r) - c.tol
				for _, x := range nearer(&p.piece, &s.edge.all[n], within, p.along, max(besideStep, p.length()/besideSteps), nil) {
					ds = append(ds, demand{x, "at the plate's edge"})
				}
			}
		}
	}
	return ds
}

// offMost is how far off the plate, in kerfs, the torch may run lit at the end
// of a trim: it has cut through by then, and the arc has nothing to stand on.
const offMost = 2.0

// endsOff asks that a trim begins where the job lets it, finds the plate on
// metal, and leaves the plate at its end, no further.
func (c *check) endsOff(r *run, shape *loop) {
	lost := slices.ContainsFunc(r.loop.runs, func(i int) bool { return c.runs[i].lost })
	if _, d := shape.edge.nearest(r.pierce); d < r.loop.Kerf && !r.loop.OnEdge && !lost {
		c.find(r.first, "", "off-plate", "Pierce in the skeleton.", "pierces %s from the plate's edge, at least a kerf of %s", mm(d), mm(r.loop.Kerf)).on(r.pierce)
	}
	if c.in.Machine.Probes && r.probe >= 0 { // -1 in a dry run
		at := c.w.touches[r.probe].at
		if _, d := shape.edge.nearest(at); d < r.loop.Kerf {
			c.find(c.w.touches[r.probe].line, "", "touch-off-void", "Touch off on solid metal.", "touches off %s from the plate's edge, at least a kerf of %s", mm(d), mm(r.loop.Kerf)).on(at)
		}
	}
	for k := range r.path {
		p := &r.path[k].piece
		for _, q := range [2]geom.Point{p.mid(), p.b} {
			if _, d := shape.edge.nearest(q); !shape.holds(q) && d > offMost*r.loop.Kerf+c.tol {
				c.find(r.path[k].line, r.id(), "off-plate", "End it where the plate ends.", "the torch runs lit %s off the plate", mm(d)).on(q)
				return
			}
		}
	}
}
