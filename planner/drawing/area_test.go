package drawing_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
)

// Closed forms: squares in squares, side by side, and crossing ones, of which
// each lies in none because its middle does not.
func TestEvenOddAreaIsOutersLessHolesPlusIslands(t *testing.T) {
	disc := func(x, y, r float64) geom.Path { return geom.Circle(geom.Pt(x, y), r) }
	for _, c := range []struct {
		name  string
		paths []geom.Path
		want  float64
	}{
		{"one", []geom.Path{rect(0, 0, 10, 10)}, 100},
		{"a hole", []geom.Path{rect(0, 0, 10, 10), disc(5, 5, 2)}, 100 - 4*math.Pi},
		{"an island", []geom.Path{rect(0, 0, 10, 10), rect(1, 1, 8, 8), rect(2, 2, 6, 6)}, 100 - 64 + 36},
		{"side by side", []geom.Path{rect(0, 0, 10, 10), rect(20, 0, 5, 5)}, 125},
		{"crossing, its middle outside", []geom.Path{rect(0, 0, 10, 10), rect(8, 2, 6, 6)}, 136},
		{"crossing, its middle inside", []geom.Path{rect(0, 0, 10, 10), rect(6, 2, 6, 6)}, 64},
		// Of two equal ones the later in the order of the drawing lies in the
		// other if the middle of it does: here the middle lies on its edge.
		{"three discs through their middles", []geom.Path{disc(0, 0, 5), disc(5, 0, 5), disc(10, 0, 5)}, 75 * math.Pi},
	} {
		d := newDXF().mm()
		for _, p := range c.paths {
			d.path(p)
		}
		l := mustRead(t, d.bytes(), drawing.Options{})
		if got, ok := l.EvenOdd(); !ok || math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
