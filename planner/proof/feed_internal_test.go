package proof

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
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

// Chords of one circle, long and short as they come, are bent as the circle is:
// each turn is half the angles of the chords before and behind it, and no part
// of a chord is taken for a sharper bend.
func TestChordsOfACircleAreBentAlike(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		radius := rapid.Float64Range(1, 50).Draw(rt, "radius")
		r, at := &run{}, 0.0
		for range rapid.IntRange(6, 20).Draw(rt, "chords") {
			next := at + rapid.Float64Range(0.02, 0.14).Draw(rt, "angle")
			p := lit{piece: piece{a: geom.Polar(geom.Pt(7, 9), radius, at), b: geom.Polar(geom.Pt(7, 9), radius, next)}, along: r.length}
			r.path, r.length, at = append(r.path, p), r.length+p.length(), next
		}
		c := &check{in: &Input{Machine: Machine{AccelXY: 800, CornerDeviation: 0.05}}}
		var s feedSteps
		c.legs(r, &s, 800)
		if len(s.legs) != len(r.path) {
			rt.Fatalf("%d legs of %d chords", len(s.legs), len(r.path))
		}
		for i := range len(s.legs) - 1 {
			if b := s.bend(i) * radius; math.Abs(b-1) > 0.01 {
				rt.Fatalf("the turn after chord %d: %g of the circle's bend", i, b)
			}
			for side, b := range [2]float64{s.legs[i].bends[1], s.legs[i+1].bends[0]} {
				if b*radius > 1.01 || b <= 0 {
					rt.Fatalf("after chord %d, side %d: %g of the circle's bend", i, side, b*radius)
				}
			}
		}
	})
}
