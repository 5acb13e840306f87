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
	switch k := s.widestKerf(st); {
	case k >= s.kerf: // alone it would do: something beside it is in the way
		text = "Put more metal between it and what lies beside it"
	case k > 0:
		text = fmt.Sprintf("Use a process with a kerf up to %.2f mm (less current)", k)
	default:
		text = "Use thinner plate"
		if t := s.thickest(st); t > 0 {
			text = fmt.Sprintf("Use plate up to %.1f mm", t)
		}
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

// leastKerf is the narrowest kerf of a plasma torch, mm. Common practice, no
// source.
const leastKerf = 0.7

// thickest returns the thickest plate, mm, in which a hole or a slot could be
// pierced in its middle with the process's kerf: from R >= t/2 + k/2. 0 if
// that is not known or is none.
func (s shop) thickest(st *setup) float64 {
	r := st.f.Diameter / 2
	if r < 1.5*s.kerf {
		return 0
	}
	return max(0, 2*r-s.kerf)
}

// cureSteps halve the span in which the widest kerf lies to under a
// hundredth of a usual kerf.
const cureSteps = 7

// widestKerf returns the widest kerf under the process's own, mm, with which
// the feature would have a lead with all its clearance; 0 if none would. A
// round hole is known in closed form: pierced in its middle, radius R, it
// needs R >= max(1.5 k, t/2 + k/2).
func (s shop) widestKerf(st *setup) float64 {
	if st.spec.Round && !st.f.Oval {
		r := st.f.Diameter / 2
		if k := min(r/1.5, 2*r-s.job.Stock.Thickness); k >= leastKerf {
			return k
		}
		return 0
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
	if !fits(leastKerf) {
		return 0
	}
	low, high := leastKerf, s.kerf
	for range cureSteps {
		if k := (low + high) / 2; fits(k) {
			low = k
		} else {
			high = k
		}
	}
	return low
}
