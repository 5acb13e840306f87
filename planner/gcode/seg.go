package gcode

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// mark notes where the torch is before the next line.
func (w *writer) mark(at float64) { w.marks = append(w.marks, Mark{w.n + 1, at}) }

// leastArc is the chord, mm, under which an arc is written as a line: at the
// narrowest half kerf its sagitta is under the last decimal, and rounding
// could turn it round.
const leastArc = 0.01

// seg writes one segment, which begins at mm from the start of the cut.
func (w *writer) seg(s geom.Seg, feed, at float64) {
	w.mark(at)
	x, y := w.num(s.B.X), w.num(s.B.Y)
	to := geom.Pt(w.form.said(x), w.form.said(y))
	if to.Dist(w.at) < w.form.step/2 {
		return
	}
	f := ""
	if now := w.form.feed(feed); now != w.feed {
		w.feed, f = now, " F"+now
	}
	switch {
	case !s.IsArc() || s.A.Dist(s.B) < leastArc || math.Abs(s.Bulge)*s.A.Dist(s.B)/2 < w.form.step:
		w.put("G1 X", x, " Y", y, f)
	case Chorded(w.p, s):
		n := geom.ArcSteps(s, ChordsWithin(w.p, w.in.Fit))
		for k := 1; k <= n; k++ {
			q := s.At(float64(k) / float64(n))
			if k > 1 {
				w.mark(at + s.Length()*float64(k-1)/float64(n))
			}
			w.put("G1 X", w.num(q.X), " Y", w.num(q.Y), f)
			f = ""
		}
	default:
		n := 1
		if most := w.p.MaxSweep; most > 0 {
			n = max(1, int(math.Ceil(math.Abs(s.Sweep())/most-geom.Angle)))
		}
		for k := range n {
			part := s
			if n > 1 {
				part = s.Part(float64(k)/float64(n), float64(k+1)/float64(n))
			}
			if k > 0 {
				w.mark(at + s.Length()*float64(k)/float64(n))
			}
			w.arc(part, f)
			f = ""
		}
	}
	w.at = to
}

// arc writes one arc from where the torch is, as written.
func (w *writer) arc(s geom.Seg, f string) {
	word := "G3"
	if s.Bulge < 0 {
		word = "G2"
	}
	c := s.Center()
	i, j := c.X-w.at.X, c.Y-w.at.Y
	if w.p.Arcs == job.ArcsAbsolute {
		i, j = c.X, c.Y
	}
	x, y := w.num(s.B.X), w.num(s.B.Y)
	w.put(word, " X", x, " Y", y, " I", w.num(i), " J", w.num(j), f)
	w.at = geom.Pt(w.form.said(x), w.form.said(y))
}

// Chorded reports whether a controller takes no arc like this one, so that it
// is written as chords.
func Chorded(p job.Program, s geom.Seg) bool {
	if !s.IsArc() {
		return false
	}
	r := s.Radius()
	return p.Arcs == job.ArcsNone || p.MaxRadius > 0 && r > p.MaxRadius || p.MinRadius > 0 && r < p.MinRadius
}

// ChordsWithin is how far, mm, chords may lie from their arc: half of what the
// curves of the drawing may, and no less than the program's last decimal.
func ChordsWithin(p job.Program, fit float64) float64 { return max(fit/2, formOf(p).step) }
