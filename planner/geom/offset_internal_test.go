package geom

import (
	"math"
	"slices"
	"testing"
)

// made returns an offset in the middle: rings found and checked, not yet moved
// back from the origin.
func made(t *testing.T, p Path, d float64) *offsetter {
	t.Helper()
	s, err := newSource(p, nil, d >= 0, Same)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.checkSimple(); err != nil {
		t.Fatal(err)
	}
	o := &offsetter{source: s, r: math.Abs(d)}
	if _, err := o.run(); err != nil {
		t.Fatal(err)
	}
	o.paths = nil
	for _, r := range o.rings {
		o.paths = append(o.paths, o.path(r))
	}
	return o
}

// A bar between two squares: offset by -1 it falls in two.
var barbell = Path{Closed: true, V: []Vertex{{P: Pt(0, -10)}, {P: Pt(20, -10)}, {P: Pt(20, -0.9)}, {P: Pt(30, -0.9)}, {P: Pt(30, -10)},
	{P: Pt(50, -10)}, {P: Pt(50, 10)}, {P: Pt(30, 10)}, {P: Pt(30, 0.9)}, {P: Pt(20, 0.9)}, {P: Pt(20, 10)}, {P: Pt(0, 10)}}}

// Every harm to a good result must be seen.
func TestCheckOfAnOffsetSeesEveryHarm(t *testing.T) {
	for _, c := range []struct {
		name string
		d    float64
		harm func(o *offsetter)
	}{
		{"corner moved outwards by 5 um", -1, func(o *offsetter) { o.paths[0].V[0].P.X -= 5e-6; o.paths[0].V[0].P.Y -= 5e-6 }},
		{"corner moved inwards by 5 um", 1, func(o *offsetter) { o.paths[0].V[0].P = o.paths[0].V[0].P.Mul(1 - 5e-6) }},
		{"ring run the wrong way", 1, func(o *offsetter) { o.paths[0] = o.paths[0].Reverse() }},
		{"one of two rings run the wrong way", -1, func(o *offsetter) { o.paths[1] = o.paths[1].Reverse() }},
		{"ring twice", -1, func(o *offsetter) { o.paths = append(o.paths, o.paths[0]) }},
		{"corners exchanged", -1, func(o *offsetter) { v := o.paths[0].V; v[1], v[2] = v[2], v[1] }},
		{"ring where the source is none", 1, func(o *offsetter) { o.paths = append(o.paths, Circle(Pt(0, 0), 1)) }},
		{"hole that is none", 1, func(o *offsetter) { o.paths = append(o.paths, Circle(Pt(15, 0), 0.5).Reverse()) }},
		{"offset to the other side", 1, func(o *offsetter) {
			in := made(t, barbell, -1)
			o.paths = in.paths
			for i := range o.paths {
				o.paths[i] = o.paths[i].Reverse()
			}
		}},
	} {
		o := made(t, barbell, c.d)
		if at, ok := o.check(); !ok {
			t.Fatalf("%s: good result refused at %v", c.name, at)
		}
		c.harm(o)
		o.met = true
		if _, ok := o.check(); ok {
			t.Errorf("%s: not seen", c.name)
		}
	}
}

// That no ring goes missing is held by stitch: it fails if an edge is lost.
func TestStitchFailsWithoutOneEdge(t *testing.T) {
	for _, d := range []float64{1, -1} {
		n := len(made(t, barbell, d).edges)
		lost := 0
		for i := range n {
			o := made(t, barbell, d)
			o.raw()
			o.contacts()
			o.cut()
			if o.edges[i].state != free {
				continue
			}
			lost++
			o.edges[i].state = drowned
			if _, ok := o.stitch(); ok {
				t.Errorf("by %g: edge %d is missing, and stitched all the same", d, i)
			}
		}
		if lost < 8 {
			t.Errorf("by %g: only %d edges on the boundary", d, lost)
		}
	}
}

// What rounding may do to the distance of an edge: it is doubted, not free.
// The ring must close over it.
func TestStitchBridgesADoubtedEdge(t *testing.T) {
	o := made(t, barbell, 1)
	o.raw()
	o.contacts()
	o.cut()
	for i := range o.edges {
		if o.edges[i].state == free {
			o.edges[i].state = doubted
			break
		}
	}
	if _, ok := o.stitch(); !ok || !o.bridged || len(o.rings) != 1 {
		t.Errorf("stitched %v, bridged %v, %d rings", ok, o.bridged, len(o.rings))
	}
}

func TestNudgesStayUnderATenthOfJoin(t *testing.T) {
	for _, n := range nudges {
		if math.Abs(n) > Join/10 {
			t.Errorf("nudge by %g", n)
		}
	}
	if !slices.IsSorted(merges[:]) || merges[len(merges)-1] > Join/10 || merges[0] != Same {
		t.Errorf("merges %v", merges)
	}
}

// The bound by which wide drowned pieces are cut off changes nothing: a
// star of many arms whose corner arcs all cross, with and without it.
func TestCuttingOffDrownedEndsChangesNothing(t *testing.T) {
	p := Path{Closed: true}
	for i := range 120 {
		r := 10.0
		if i%2 == 1 {
			r = 4
		}
		p.V = append(p.V, Vertex{P: Polar(Pt(0, 0), r, math.Pi*float64(i)/60)})
	}
	o := made(t, p, 15)
	live := 0
	for i := range o.pieces {
		b := o.liveBox(i)
		if !b.Empty() {
			live++
		}
		for _, e := range o.edges {
			if int(e.piece) == i && e.state == used && !b.Grow(Same).Encloses(o.pieces[i].Part(e.t0, e.t1).Box()) {
				t.Errorf("piece %d: an edge of the result lies beyond what is left", i)
			}
		}
	}
	if live == len(o.pieces) {
		t.Error("nothing was cut off")
	}
	// 60 equal arcs of radius 15 about the tips.
	if n := len(o.paths[0].V); len(o.paths) != 1 || n != 60 {
		t.Errorf("%d rings, the first of %d arcs", len(o.paths), n)
	}
}
