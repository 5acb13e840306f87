package proof

import (
	"bytes"
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

// decimals holds the figures of places to the decimals that the profile names:
// a controller may refuse a longer one, or read it cut short.
func (c *check) decimals(w *walker) {
	most := c.in.Form.Takes.Decimals
	if most <= 0 {
		return
	}
	for n, line := range w.text {
		if digits := longest(line); digits > most {
			c.find(n+1, "", "decimals", "Write it with the decimals of the profile.", "a place with %d decimals, the profile says %d", digits, most)
			return
		}
	}
}

// longest is how many decimals a place on a line has at most, outside comments.
func longest(line []byte) (most int) {
	word, comment, digits := byte(0), false, -1 // digits behind the point, -1 before it
	for _, b := range line {
		switch {
		case b == '(':
			comment = true
		case b == ')':
			comment = false
		case comment:
		case b == '.':
			digits = 0
		case b >= '0' && b <= '9':
			if digits >= 0 {
				if digits++; bytes.IndexByte([]byte("XYZIJRxyzijr"), word) >= 0 {
					most = max(most, digits)
				}
			}
		case b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z':
			word, digits = b, -1
		}
	}
	return most
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
	case t.MaxSweep > 0 && math.Abs(m.Sweep) > t.MaxSweep+off/max(r, geom.Fit):
		w.c.find(m.Line, "", "arc-taken", "Write it in pieces.", "an arc of %s degrees, the controller takes up to %s", bare(math.Abs(m.Sweep)*180/math.Pi), bare(t.MaxSweep*180/math.Pi))
	}
}
