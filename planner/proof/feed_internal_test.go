package proof

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// At each end of a step the speed is what every place allows, near or far: the
// square grows by 2 a s from it.
func TestSweepAllowsWhatEveryPlaceAllows(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(rt, "n")
		a := rapid.Float64Range(0.1, 10).Draw(rt, "a")
		speed := rapid.Float64Range(0, 100)
		s := feedSteps{at: []float64{speed.Draw(rt, "at")}}
		places := []float64{0}
		for i := range n {
			s.way = append(s.way, rapid.Float64Range(0.01, 5).Draw(rt, "way"))
			s.cap = append(s.cap, speed.Draw(rt, "cap"))
			s.at = append(s.at, speed.Draw(rt, "at"))
			places = append(places, places[i]+s.way[i])
		}
		want := make([]float64, n+1)
		for i := range want {
			want[i] = math.Inf(1)
			for k := range s.at {
				allowed := s.at[k]
				if k > 0 {
					allowed = min(allowed, s.cap[k-1])
				}
				if k < n {
					allowed = min(allowed, s.cap[k])
				}
				want[i] = min(want[i], allowed+2*a*math.Abs(places[i]-places[k]))
			}
		}
		s.sweep(a)
		for i := range want {
			if math.Abs(s.at[i]-want[i]) > 1e-9 {
				rt.Fatalf("at %d: %g, by looking at all %g", i, s.at[i], want[i])
			}
		}
	})
}
