package planner

import (
	"fmt"
	"math"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// trim tells what a person should see to where the plate is trimmed.
func (c checker) trim() Check {
	k := Check{ID: "trim", Title: "skeleton cut off, last", Limit: fmt.Sprintf("keeps %s of metal from every part's kerf", c.j.Units.Length(newShop(c.j).trimWeb())),
		Why: "Cut through, the skeleton and what is kept may drop, tip or spring, and hot drops fall", Verdict: Warn,
		Do: fmt.Sprintf("See that the machine reaches %s past the plate's edge. ", c.j.Units.Length(c.j.Process.Kerf)) + "See that both pieces lie on slats or are held, that the work clamp sits on the piece that is cut, and that nobody reaches in before it is at rest."}
	if c.j.Layout.TrimStart == job.TrimOnEdge {
		k.Do = "See that the plate's edge lies where the job has it. " + k.Do
	}
	if x := c.p.Trimmed(c.j.Units); x != "" {
		k.Figure = x
	}
	return k
}

// Trimmed says in the given units where the plate is trimmed, "" if it is not.
func (p *Program) Trimmed(u unit.System) string {
	at, ok := p.TrimAt()
	var says []string
	if ok && !math.IsNaN(at.X) {
		says = append(says, "X "+u.Length(at.X))
	}
	if ok && !math.IsNaN(at.Y) {
		says = append(says, "Y "+u.Length(at.Y))
	}
	return strings.Join(says, ", ")
}

// TrimAt returns where the torch runs along the trim, mm: the X of a line along
// Y, the Y of one along X, NaN for none. ok is false if the plate is not
// trimmed.
func (p *Program) TrimAt() (at geom.Point, ok bool) {
	at = geom.Pt(math.NaN(), math.NaN())
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if !c.trims() {
			continue
		}
		for k := c.LeadIn; k < c.Path.NumSegs()-c.Tail; k++ {
			switch e := c.Path.Seg(k); {
			case math.Abs(e.A.X-e.B.X) < geom.Join:
				at.X = e.A.X
			case math.Abs(e.A.Y-e.B.Y) < geom.Join:
				at.Y = e.A.Y
			}
		}
		ok = true
	}
	return at, ok
}
