package motion

import "math"

// Along returns how far the tool is along the path, mm, t s after it started
// from rest; the whole length once it has stopped.
func (p Profile) Along(t float64) float64 {
	mm := 0.0
	for _, s := range p.Segs {
		took := s.time(p.a)
		if t >= took {
			mm += s.Length
			t -= took
			continue
		}
		return mm + s.along(t, p.a)
	}
	return mm
}

// along returns the mm that are done of a segment after t s: up to the peak,
// at it, down from it.
func (s Seg) along(t, a float64) float64 {
	if t <= 0 || s.Peak == 0 {
		return 0
	}
	up, down := (s.Peak-s.V0)/a, (s.Peak-s.V1)/a
	flat := s.time(a) - up - down
	done := s.V0*min(t, up) + a*min(t, up)*min(t, up)/2
	if t > up {
		done += s.Peak * min(t-up, flat)
	}
	if t > up+flat {
		x := min(t-up-flat, down)
		done += s.Peak*x - a*x*x/2
	}
	return math.Min(done, s.Length)
}
