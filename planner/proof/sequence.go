package proof

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/geom"
)

// freed reports whether the loop was cut all round before run i of its load.
func (l *loop) freed(i int) bool {
	if !l.frees || len(l.runs) == 0 {
		return false
	}
	return l.runs[len(l.runs)-1] < i && !slices.ContainsFunc(l.lent, func(o int32) bool { return int(o) >= i })
}

// sequence holds the order of cuts, touch-offs and rapids to the metal that is
// still there.
func (c *check) sequence() {
	for i := c.before; i < len(c.runs); i++ {
		c.order(i)
	}
	if !c.in.Dry {
		for i := range c.w.touches {
			c.touchesMetal(&c.w.touches[i])
		}
	}
	for i := range c.w.hops {
		c.clearOfLoose(&c.w.hops[i])
		c.clearOfClamps(&c.w.hops[i])
	}
	c.pauses()
}

// order finds a cut in metal that an earlier cut has freed: an inside feature
// after its outline, a part in a cut-out after the cut-out.
func (c *check) order(i int) {
	r := &c.runs[i]
	m := &c.loads[r.load]
	m.boxes.each(geom.Box{Min: r.pierce, Max: r.pierce}, func(k int) bool {
		l := m.loops[k]
		if l == r.loop || !l.freed(i) || !l.holds(r.pierce) {
			return true
		}
		c.find(r.first, "", "order", "Cut it first.", "is cut after %s (%s), which has freed the metal that it lies in", l.ID, c.runs[l.runs[len(l.runs)-1]].lines()).on(r.pierce)
		return false
	})
	if c.in.Dry {
		return
	}
	if o := c.over(r.pierce, i, r.load, c.half(r)); o != nil && o.loop != r.loop && !(o.lost && o.split == r.loop) { // a lost cut may go on in its own kerf
		c.find(r.first, "", "pierce-void", "Pierce where there is metal.", "pierces over the cut of %s (%s)", nameOr(o, "an earlier run"), o.lines()).on(r.pierce)
	}
}

// lines says for people where a run stands.
func (r *run) lines() string {
	if r.earlier {
		return "made before this program"
	}
	if r.program > 0 {
		return fmt.Sprintf("line %d of program %d", r.first-r.base, r.program)
	}
	return fmt.Sprintf("line %d", r.first)
}

func nameOr(r *run, name string) string {
	if id := r.id(); id != "" {
		return id
	}
	return name
}

// over returns an earlier run of the load whose kerf lies under q.
func (c *check) over(q geom.Point, before, load int, half float64) (o *run) {
	c.kerfs.tree.each(geom.Box{Min: q, Max: q}.Grow(half), func(x int) bool {
		i := int(c.kerfs.owner[x])
		r := &c.runs[i]
		if i < before && r.load == load && !(r.loop != nil && r.loop.Rule == "mark") && c.kerfs.all[x].dist(q) < half-c.tol {
			o = r
		}
		return o == nil
	})
	return
}

// touchesMetal holds a touch-off to solid metal.
func (c *check) touchesMetal(t *touch) {
	load := 0
	half := 0.0
	if t.after < len(c.runs) {
		load, half = c.runs[t.after].load, c.half(&c.runs[t.after])
	} else if n := len(c.runs); n > 0 {
		load, half = c.runs[n-1].load, c.half(&c.runs[n-1])
	}
	if !c.onStock(t.at) {
		c.find(t.line, "", "touch-off-void", "Touch off on the plate.", "touches off at (%s, %s), off the stock", bare(t.at.X), bare(t.at.Y)).on(t.at)
		return
	}
	if o := c.over(t.at, t.after, load, half); o != nil {
		c.find(t.line, "", "touch-off-void", "Touch off on solid metal.", "touches off over the cut of %s (%s)", nameOr(o, "an earlier run"), o.lines()).on(t.at)
		return
	}
	m := &c.loads[load]
	m.boxes.each(geom.Box{Min: t.at, Max: t.at}, func(k int) bool {
		l := m.loops[k]
		if !l.freed(t.after) || !l.holds(t.at) {
			return true
		}
		c.find(t.line, "", "touch-off-void", "Touch off on solid metal.", "touches off inside %s, which is cut free already", l.ID).on(t.at)
		return false
	})
}

// clearOfLoose finds a rapid under safe height over what an earlier cut freed.
func (c *check) clearOfLoose(h *hop) {
	safe := c.in.Machine.SafeZ
	if h.height >= safe-c.aloft || h.after == 0 || h.after > len(c.runs) {
		return
	}
	m := &c.loads[c.runs[h.after-1].load]
	way := piece{a: h.from, b: h.to}
	m.boxes.each(way.box(), func(k int) bool {
		l := m.loops[k]
		if !l.freed(h.after) || !l.crosses(&way) {
			return true
		}
		c.find(h.line, "", "low-over-loose", "Raise the torch to safe height first.", "the torch moves %s over the plate across %s, which is cut free and may have tipped; safe height is %s", mm(h.height), l.ID, mm(safe)).on(h.to)
		return false
	})
}

// crosses reports whether a way passes over what the loop's cut has freed: the
// part inside an outline, the slug inside a hole, which begins a kerf further in.
func (l *loop) crosses(way *piece) bool {
	in := 0.0
	if !l.outer {
		in = l.Kerf
	}
	m := way.mid()
	_, deep := l.edge.nearest(m)
	if !l.holds(m) {
		deep = -deep
	}
	half := way.length() / 2
	switch {
	case deep > in:
		return true
	case deep+half <= in || half < heightWithin: // a hundredth of a mm of slug stops no torch
		return false
	}
	first, second := way.halves()
	return l.crosses(&first) || l.crosses(&second)
}

// pauses asks for a stop wherever other metal must be laid in.
func (c *check) pauses() {
	if !c.in.Stock.Blank {
		return
	}
	var last *run
	for i := range c.runs {
		r := &c.runs[i]
		if r.loop == nil {
			continue
		}
		if last != nil && (last.loop.part.Blank != r.loop.part.Blank || last.load != r.load) && last.stops == r.stops {
			c.find(r.first, "", "no-pause", "Put the pause lines between the blanks.", "begins on another blank without a stop after %s", last.id())
		}
		last = r
	}
}
