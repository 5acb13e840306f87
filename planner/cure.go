package planner

import (
	"fmt"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/lead"
)

// cure says what would help a feature whose pierce does not fit: the widest
// kerf for which it does, found by trying, and the drill for a hole. short
// says that a lead was found, but a short one.
func (s shop) cure(st *setup, short bool) string {
	f := st.f
	text := ""
	if k := s.widestKerf(st); k > 0 {
		text = fmt.Sprintf("Use a process with a kerf up to %.2f mm (less current)", k)
	} else {
		text = fmt.Sprintf("No kerf would fit in plate of %.1f mm: use thinner plate", s.job.Stock.Thickness)
	}
	if f.Kind == feature.Hole {
		text += ", drill it (rule drill)"
	}
	if short {
		return text + ", or try the pierce on scrap."
	}
	if f.Kind == feature.Outline {
		return text + ", put the parts further apart, or leave it out."
	}
	return text + ", or leave it out."
}

// cureSteps halve the span in which the widest kerf lies to under a
// hundredth of a usual kerf.
const cureSteps = 7

// widestKerf returns the widest kerf under the process's own, mm, with which
// the feature would have a lead with all its clearance; 0 if none would. A
// round hole is known in closed form: pierced in its middle, radius R, it
// needs R >= max(1.5 k, t/2 + k/2).
func (s shop) widestKerf(st *setup) float64 {
	if st.spec.Round {
		r := st.f.Diameter / 2
		return max(0, min(r/1.5, 2*r-s.job.Stock.Thickness))
	}
	if st.sort == cutStretch {
		return 0
	}
	fits := func(k float64) bool {
		d := -k / 2
		if st.spec.Outline {
			d = k / 2
		}
		paths, err := geom.Offset(st.f.Wanted(), d)
		if err != nil || len(paths) != 1 {
			return false
		}
		spec := st.spec
		spec.Path = paths[0].CCW()
		if st.spec.Path.Area() < 0 {
			spec.Path = spec.Path.Reverse()
		}
		spec.Kerf, spec.Need, spec.Most, spec.Wish, spec.Avoid, spec.LoopAt = k, lead.Clearance(k, s.job.Stock.Thickness), 1, nil, nil, nil
		leads := lead.Find(spec)
		return len(leads) > 0 && !leads[0].Short
	}
	const least = 0.3 // mm; common practice, no source: no torch cuts narrower
	if !fits(least) {
		return 0
	}
	low, high := least, s.kerf
	for range cureSteps {
		if k := (low + high) / 2; fits(k) {
			low = k
		} else {
			high = k
		}
	}
	return low
}
