package proof

import "example.org/kerfwright/planner/geom"

// Void is a place of the stock that has no metal for parts: a hole of an
// offcut, a bad spot, or a clamp that stands over the plate.
type Void struct {
	Path  geom.Path // closed, on the table
	Clamp bool      // rapids over it need safe height
	Name  string    // for findings
}

// void is a Void made ready.
type void struct {
	*loop
	clamp bool
	name  string
}

func (c *check) makeVoids() {
	for i := range c.in.Stock.Voids {
		v := &c.in.Stock.Voids[i]
		c.voids = append(c.voids, &void{loop: &loop{edge: newPieces(piecesOf(v.Path)), box: v.Path.Box(), closed: true}, clamp: v.Clamp, name: v.Name})
	}
}

// voidAt returns the void that q lies in, nil if there is none.
func (c *check) voidAt(q geom.Point) *void {
	for _, v := range c.voids {
		if v.holds(q) {
			return v
		}
	}
	return nil
}

// clearOfVoids holds every kerf off the voids, and finds a void that lies in
// metal that stays: the part would have a hole there that nobody drew.
func (c *check) clearOfVoids() {
	if len(c.voids) == 0 {
		return
	}
	for i := c.before; i < len(c.runs); i++ {
		r := &c.runs[i]
		if v := c.voidAt(r.pierce); v != nil {
			c.find(r.first, "", "in-void", "Move the part.", "pierces at (%s, %s), in %s", bare(r.pierce.X), bare(r.pierce.Y), v.name).on(r.pierce)
			continue
		}
		limit := c.clear(r)
		for _, v := range c.voids {
			if !v.box.Overlaps(r.box.Grow(limit)) {
				continue
			}
			for k := range r.path {
				if p := &r.path[k].piece; v.nearerThan(p, limit) { // it begins outside
					c.find(r.path[k].line, "", "in-void", "Move the part.", "the kerf runs into %s", v.name).on(p.b)
					break
				}
			}
		}
	}
	for _, v := range c.voids {
		for i := range c.loads {
			for _, p := range v.edge.all {
				if c.loads[i].solid(p.a) {
					c.find(0, "", "part-on-void", "Move the part.", "a part lies over %s at (%s, %s)", v.name, bare(p.a.X), bare(p.a.Y)).on(p.a)
					break
				}
			}
		}
	}
}

// clearOfClamps finds a rapid under safe height over a clamp.
func (c *check) clearOfClamps(h *hop) {
	safe := c.in.Machine.SafeZ
	if h.height >= safe-c.aloft {
		return
	}
	way := piece{a: h.from, b: h.to}
	for _, v := range c.voids {
		if v.clamp && (v.holds(h.from) || v.nearerThan(&way, geom.Same)) {
			c.find(h.line, "", "low-over-clamp", "Raise the torch to safe height first.", "the torch moves %s over the plate across %s; safe height is %s", mm(h.height), v.name, mm(safe)).on(h.to)
		}
	}
}
