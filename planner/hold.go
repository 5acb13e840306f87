package planner

import (
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/lead"
	"example.org/kerfwright/planner/motion"
)

// leastFree is the shortest stretch, mm, in which height control is let act
// between two holds: shorter, and it only starts to move when it must stop
// again. Common practice, no source.
const leastFree = 10.0

// nearCut is how near another edge may come, in kerfs, before height is held
// beside it. Common practice, no source.
const nearCut = 2.0

// chordSlow is the part by which a curve may be run slower, from joint to
// joint, where it is written in chords: where chords of two curves meet, the
// turn lies more on the one than on the other.
const chordSlow = 0.04

// holds lists where automatic height control must not act: small holes
// throughout; the lead; wherever the true feed is under the part of the
// programmed feed that the rules name (corners, tight arcs, starts and ends);
// where the cut comes back to its own start, and near another edge. Control
// that follows the arc voltage dives wherever the torch slows down or half
// the kerf's wall is missing. A slow stretch is held from a kerf before it to
// a kerf behind it, so that control is still when the torch slows down
// (common practice, no source).
func (s shop) holds(st *setup, c lead.Cut, p motion.Profile) []Hold {
	length := c.Path.Length()
	if s.rules.Control == job.ControlOff || st.f.Hold {
		why := "small hole: held throughout"
		if s.rules.Control == job.ControlOff {
			why = "height control is off for this job"
		}
		return []Hold{{0, length, why}}
	}
	lead, tail := 0.0, 0.0
	n := c.Path.NumSegs()
	for i := range n {
		l := c.Path.Seg(i).Length()
		if i < c.LeadIn {
			lead += l
		} else if i >= n-c.Tail {
			tail += l
		}
	}
	all := []Hold{{0, min(length, lead+s.kerf), "lead-in"}}
	if st.sort == cutWhole {
		all = append(all, Hold{max(0, length-tail-2*s.kerf), length, "back over its own kerf"})
	}
	below := s.rules.HoldBelow
	if s.job.Machine.Program.Arcs == job.ArcsNone {
		below *= 1 + chordSlow
	}
	for _, u := range p.Under(below) {
		all = append(all, Hold{max(0, u.From-s.kerf), min(length, u.To+s.kerf), "slower than programmed"})
	}
	if len(st.near) > 0 {
		for _, h := range sampled(c.Path, geom.IndexPaths(st.near...), nearCut*s.kerf, s.kerf) {
			h.Why = "beside another cut"
			all = append(all, h)
		}
	}
	return union(all, length, s.rules.HoldLeast)
}

// union sorts holds, makes them at least as long as the rules say, and joins
// those that leave too little between them.
func union(all []Hold, length, least float64) []Hold {
	for i := range all {
		if h := &all[i]; h.To-h.From >= geom.Join && h.To-h.From < least {
			more := (least - (h.To - h.From)) / 2
			h.From, h.To = max(0, h.From-more), min(length, h.To+more)
		}
	}
	slices.SortStableFunc(all, func(a, b Hold) int {
		switch {
		case a.From < b.From:
			return -1
		case a.From > b.From:
			return 1
		}
		return 0
	})
	out := all[:0:0]
	for _, h := range all {
		if h.To-h.From < geom.Join {
			continue
		}
		if n := len(out); n > 0 && h.From-out[n-1].To < leastFree {
			out[n-1].To = max(out[n-1].To, h.To)
			continue
		}
		out = append(out, h)
	}
	if n := len(out); n > 0 {
		out[n-1].To = min(out[n-1].To, length)
	}
	return out
}
