package proof

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
)

// A controller that drops what it cannot take leaves a plate half cut, or
// cuts something else.

// fits holds the size of one program to what the controller takes.
func (c *check) fits(w *walker, size int) {
	t := &c.in.Form.Takes
	if t.Lines > 0 && len(w.text) > t.Lines {
		c.find(t.Lines+1, "", "too-long", "Part the program.", "the program has %d lines, the controller takes %d", len(w.text), t.Lines)
	}
	if t.Bytes > 0 && size > t.Bytes {
		c.find(len(w.text), "", "too-long", "Part the program.", "the program has %d bytes, the controller takes %d", size, t.Bytes)
	}
}

// arc holds one arc to those that the controller takes.
func (w *walker) arc(m *rs274.Move) {
	t := &w.c.in.Form.Takes
	r := math.Hypot(m.From.X-m.Center.X, m.From.Y-m.Center.Y)
	off := 4 * w.c.rounding() // start and centre are both rounded
	switch {
	case t.NoArcs:
		w.c.find(m.Line, "", "arc-taken", "Write it as lines.", "an arc, and the controller takes none")
	case t.MaxRadius > 0 && r > t.MaxRadius+off:
		w.c.find(m.Line, "", "arc-taken", "Write it as lines.", "an arc of %s radius, the controller takes up to %s", mm(r), mm(t.MaxRadius))
	case t.MinRadius > 0 && r < t.MinRadius-off:
		w.c.find(m.Line, "", "arc-taken", "Write it as lines.", "an arc of %s radius, the controller takes %s and more", mm(r), mm(t.MinRadius))
	case t.MaxSweep > 0 && math.Abs(m.Sweep) > t.MaxSweep+off/max(r, geom.Fit)+geom.Angle:
		w.c.find(m.Line, "", "arc-taken", "Write it in pieces.", "an arc of %s degrees, the controller takes up to %s", bare(math.Abs(m.Sweep)*180/math.Pi), bare(t.MaxSweep*180/math.Pi))
	}
}
