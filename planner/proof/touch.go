package proof

import "example.org/kerfwright/planner/geom"

// dryTouches holds the touch-offs of a dry run to what they are there for:
// they set the heights that the operator watches. Nothing is cut by the dry
// run itself, so that all of the stock will do, but for what an earlier
// program has cut.
func (c *check) dryTouches() {
	w := c.w
	for i := range w.touches {
		t := &w.touches[i]
		if !c.onStock(t.at) {
			c.find(t.line, "", "touch-off-void", "Touch off on the plate.", "touches off at (%s, %s), off the stock", bare(t.at.X), bare(t.at.Y)).on(t.at)
		} else if from := c.programs[c.programOf(t.line)].from; from < len(c.runs) {
			first := &c.runs[from] // of what lies under the torch now
			if o := c.over(t.at, from, first.load, c.half(first)); o != nil {
				c.find(t.line, "", "touch-off-void", "Touch off on solid metal.", "touches off over the cut of %s (%s)", nameOr(o, "an earlier run"), o.lines()).on(t.at)
			}
		}
	}
	for _, p := range c.programs {
		if !c.in.Machine.Probes || p.touched || p.to <= p.from {
			continue
		}
		c.warn(c.runs[p.from].first, "", "dry-height", "Touch off once before it follows the cuts.", "the dry run never touches off: how high it runs depends on a zero left by hand")
	}
}

// onStock reports whether the plate, or a piece, lies under q.
func (c *check) onStock(q geom.Point) bool {
	if c.voidAt(q) != nil {
		return false
	}
	for _, s := range c.stock {
		if s == nil || s.holds(q) {
			return true
		}
	}
	return len(c.stock) == 0
}

// unset finds the first move of a dry run to the side after a touch-off that
// set no Z: from there on its heights are those from before. A program that cuts is
// asked when the arc is lit.
func (w *walker) unset(line int) {
	if n := len(w.touches); w.c.in.Dry && !w.zeroed && w.unsetAt != n {
		w.unsetAt = n
		w.c.find(line, "", "touch-off-zero", "Set Z after the touch-off.", "the torch moves on but Z was not set after the touch-off of line %d", w.touches[n-1].line)
	}
}
