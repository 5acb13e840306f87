package proof

import (
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// Done says what is cut already when the program is started: all that an
// earlier program cuts before one of its lines. The proof reads that program
// itself.
type Done struct {
	Before [][]byte // programs of the set that were run whole before Text
	Text   []byte
	Line   int     // of Text, the first that was not done, from 1
	Along  float64 // mm of that line's own move that were done all the same
	// Touch is how far from the first pierce the plate may be touched, mm: a
	// pierce in the old kerf has no metal under it.
	Touch float64
}

// recutMost is how much of a lost cut's kerf may be cut again, mm: an overlap,
// and the way back to where a lead fits (common practice, no source).
const recutMost = 40.0

// earlier puts the runs of the earlier program before those of this one.
func (c *check) earlier() {
	d := c.in.Done
	if d == nil {
		return
	}
	in := *c.in
	all := append(slices.Clone(d.Before), d.Text)
	in.Text, in.Then, in.Dry, in.Done = all[0], all[1:], false, nil
	was := &check{in: &in, tol: c.tol, aloft: c.aloft, units: c.units, stock: c.stock, voids: c.voids, cutShort: true}
	was.read()
	for _, f := range was.found {
		if f.Severity == fault.Error {
			c.find(0, "", "done", "Prove the earlier program first.", "the earlier program, line %d: %s", was.local(f.Line), f.Text)
			break
		}
	}
	var runs []run
	stops := 0
	lost := was.programs[len(all)-1].base + d.Line
	for _, r := range was.runs {
		if r.first >= lost {
			break
		}
		r.earlier = true
		if r.last >= lost {
			r.lost = true
			r.cutOff(lost, d.Along)
		}
		stops = max(stops, r.stops)
		runs = append(runs, r)
	}
	c.before = len(runs)
	for _, r := range c.w.runs {
		r.stops += stops + 1 // somebody has started this program
		runs = append(runs, r)
	}
	c.w.runs = runs
	for k := range c.programs {
		c.programs[k].from += c.before
		c.programs[k].to += c.before
	}
	for i := range c.w.hops {
		c.w.hops[i].after += c.before
	}
	for i := range c.w.touches {
		c.w.touches[i].after += c.before
	}
}

// cutOff leaves of a run what was cut before a line, and along mm of it.
func (r *run) cutOff(line int, along float64) {
	var path []lit
	r.box, r.length = geom.EmptyBox(), 0
	for _, p := range r.path {
		if p.line > line {
			break
		}
		if l := p.length(); p.line == line {
			if along <= geom.Same { // a piece without length has no direction
				break
			}
			if along < l {
				p.piece = p.piece.start(along / l)
			}
			along -= l
		}
		path = append(path, p)
		r.box = r.box.Union(p.box())
		r.length += p.length()
	}
	r.path = path
}

// start returns the first part of a piece.
func (p *piece) start(part float64) piece {
	q := *p
	if p.arc() {
		q.sweep *= part
		q.b = p.c.Add(turned(p.a.Sub(p.c), q.sweep))
	} else {
		q.b = p.a.Lerp(p.b, part)
	}
	return q
}

// voids returns what a run has cut through: its path, or the hole of a pierce
// that came to nothing.
func (r *run) voids() []piece {
	if len(r.path) == 0 && r.lost {
		return []piece{{a: r.pierce, b: r.pierce}}
	}
	out := make([]piece, len(r.path))
	for k := range r.path {
		out[k] = r.path[k].piece
	}
	return out
}

// now returns the line of a run in this program, 0 for an earlier one.
func (r *run) now(line int) int {
	if r.earlier {
		return 0
	}
	return line
}

// recut holds the second cut of a lost one to a short overlap.
func (c *check) recut(r *run, lost *run) {
	const samples = 200
	over := 0
	for k := range samples {
		q := r.point((float64(k) + 0.5) / samples)
		for i := range lost.path {
			if lost.path[i].dist(q) <= c.tol {
				over++
				break
			}
		}
	}
	if again := r.length * float64(over) / samples; again > recutMost {
		c.find(r.first, r.id(), "cut-twice", "Begin nearer to where the cut was lost.", "cuts %s of its own kerf again, at most %s", mm(again), mm(recutMost))
	}
}
