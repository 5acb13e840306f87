package planner_test

import (
	"context"
	"math"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// packed is a nest on a plate that is given by the room inside its margin of
// 10 mm; used is what of the room's length the parts take.
func packed(t *testing.T, shape geom.Path, n int, gap, w, h float64, way job.Turning) (out planner.Nested, used float64) {
	t.Helper()
	j := gateJob()
	j.Layout.Rounds, j.Layout.Gap, j.Layout.Margin = 60, gap, 10
	j.Stock.Width, j.Stock.Height = w+20, h+20
	j.Drawings[0].Quantity, j.Drawings[0].Turns = n, way
	out, faults := planner.Nest(context.Background(), j, loops(shape))
	if len(out.Places) == 0 || out.Gap != gap {
		t.Fatalf("%d places, %g mm apart: %v", len(out.Places), out.Gap, faults)
	}
	return out, out.Length[len(out.Length)-1] - 10
}

// Steiner's formula: a convex part and half the gap round it cover
// A + P g/2 + pi g^2/4, and what is so grown lies apart in the room grown by
// half the gap.
func steiner(t *testing.T, p geom.Path, n int, gap, used, h float64) {
	t.Helper()
	grown := math.Abs(p.Area()) + p.Length()*gap/2 + math.Pi*gap*gap/4
	if room := (used + gap) * (h + gap); float64(n)*grown > room*(1+1e-6) {
		t.Errorf("%d parts with their gap cover %.1f mm2, the room has %.1f: they overlap", n, float64(n)*grown, room)
	}
}

// A plate that n by m rectangles with their gaps fill to the last mm takes all
// of them, and its density is that of the grid.
func TestGridOfRectanglesIsExact(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	for _, c := range []struct {
		w, h, gap    float64
		across, up   int
		way          job.Turning
		longer, want int // copies beyond the grid, places
	}{
		{60, 40, 11, 5, 4, job.TurnFixed, 0, 20}, {60, 40, 11, 5, 4, job.TurnQuarter, 0, 20},
		{35, 90, 12.5, 6, 2, job.TurnQuarter, 0, 12}, {60, 40, 11, 3, 3, job.TurnFixed, 1, 9},
		{50, 60, 11, 12, 1, job.TurnQuarter, 0, 12}, {50, 60, 11, 12, 1, job.TurnFixed, 2, 12}, // flat bar
	} {
		room := func(size float64, n int) float64 { return size*float64(n) + c.gap*float64(n-1) }
		w, h := room(c.w, c.across), room(c.h, c.up)
		out, used := packed(t, rect(0, 0, c.w, c.h), c.across*c.up+c.longer, c.gap, w, h, c.way)
		if len(out.Places) != c.want || math.Abs(used-w) > 1e-6 {
			t.Errorf("%+v: %d places over %.4f mm, the grid is %.4f mm long", c, len(out.Places), used, w)
		}
		if dense := float64(c.want) * c.w * c.h / ((w + 10) * (h + 20)); math.Abs(out.Density-dense) > 1e-9 {
			t.Errorf("%+v: density %.6f, the grid's is %.6f", c, out.Density, dense)
		}
	}
}

// Two right triangles with legs a, one turned half round and pushed along X,
// lie g apart when the shift is g sqrt(2): the pair is a + g sqrt(2) wide and a
// high. Rows of such pairs are the least that a nest must reach.
func TestTrianglesArePairedAsTheirClosedFormSays(t *testing.T) {
	const a, gap, pairs = 80.0, 11.0, 3
	wide := a + gap*math.Sqrt2
	room := pairs*wide + (pairs-1)*gap
	tri := geom.Polygon(geom.Pt(0, 0), geom.Pt(a, 0), geom.Pt(0, a))
	const slack = 1.0 // mm for each pair: corners are flattened outwards
	out, used := packed(t, tri, 2*pairs, gap, room+pairs*slack, a+slack, job.TurnHalf)
	if len(out.Places) != 2*pairs || out.Plates != 1 {
		t.Errorf("%d of %d triangles lie by %s", len(out.Places), 2*pairs, out.How)
	}
	steiner(t, tri, len(out.Places), gap, used, a+slack)
	// By boxes there is room for one in every a + g: 3 of them.
	if boxes := int((room + pairs*slack + gap) / (a + gap)); len(out.Places) <= boxes {
		t.Errorf("no more than boxes give: %d", boxes)
	}
}

// No packing of equal discs is denser than pi/sqrt(12) (A. Thue, L. Fejes
// Toth; from memory), and a square grid that fits is not given up: pi/4.
func TestDiscsLieBetweenTheGridAndThueBound(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	const r, gap = 30.0, 11.0
	d := 2*r + gap
	for _, c := range []struct{ across, up int }{{4, 3}, {6, 2}} {
		w, h := float64(c.across)*d-gap, float64(c.up)*d-gap
		out, used := packed(t, geom.Circle(geom.Pt(0, 0), r), c.across*c.up, gap, w, h, job.TurnFixed)
		n := len(out.Places)
		if n != c.across*c.up {
			t.Errorf("%d of %d discs: the square grid holds them all", n, c.across*c.up)
		}
		dense := float64(n) * math.Pi * d * d / 4 / ((used + gap) * (h + gap))
		if dense > math.Pi/math.Sqrt(12) {
			t.Errorf("%d discs in %.2f mm: density %.4f is over pi/sqrt(12)", n, used, dense)
		}
		if dense < math.Pi/4-1e-9 {
			t.Errorf("density %.4f is under the grid's, pi/4", dense)
		}
		steiner(t, geom.Circle(geom.Pt(0, 0), r), n, gap, used, h)
	}
	// Where rows of a hexagonal packing fit, they are denser than the grid: three
	// rows of 5, 4 and 5 stand d (1 + sqrt(3)) high where the grid has 2 rows.
	h := d*(1+math.Sqrt(3)) - gap + 0.5
	out, used := packed(t, geom.Circle(geom.Pt(0, 0), r), 14, gap, 6*d, h, job.TurnFixed)
	dense := float64(len(out.Places)) * math.Pi * d * d / 4 / ((used + gap) * (h + gap))
	if len(out.Places) != 14 || dense > math.Pi/math.Sqrt(12) {
		t.Errorf("%d of 14 discs, density %.4f", len(out.Places), dense)
	}
}
