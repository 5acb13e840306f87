package proof_test

import (
	"fmt"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// many lays out n small plates with three features each (two holes and a
// rounded outline) and writes the program for them.
func many(n int) proof.Input {
	w := &writer{k: 1, dec: 4}
	w.header()
	in := input(nil)
	in.Parts = nil
	const pitch = 80.0
	side := 1
	for side*side < n {
		side++
	}
	for i := range n {
		o := geom.Pt(20+float64(i%side)*pitch, 20+float64(i/side)*pitch)
		a, b := o, o.Add(geom.Pt(60, 50))
		c1, c2 := o.Add(geom.Pt(15, 25)), o.Add(geom.Pt(42, 25))
		id := fmt.Sprintf("p%d", i+1)
		in.Parts = append(in.Parts, proof.Part{Label: id, Features: []proof.Feature{
			feature(id+".h1", "hole", "inside", geom.Circle(c1, 8)), feature(id+".h2", "hole", "inside", geom.Circle(c2, 10)),
			feature(id+".outline", "outline", "outline", rounded(a, b, 8))}})
		w.cut(hole(id+".h1", c1, 16, full, false))
		w.cut(hole(id+".h2", c2, 20, full, false))
		w.cut(frame(id+".outline", a, b, 8))
	}
	w.footer()
	in.Text = w.text()
	size := 40 + pitch*float64(side)
	in.Stock.Shapes = []geom.Path{rounded(geom.Pt(0, 0), geom.Pt(size, size), 0)}
	in.Machine.TravelX, in.Machine.TravelY = size, size
	return in
}

func benchProve(b *testing.B, parts int) {
	in := many(parts)
	b.SetBytes(int64(len(in.Text)))
	b.ReportAllocs()
	for b.Loop() {
		if r := proof.Prove(in); !r.OK || len(r.Cuts) != 3*parts {
			b.Fatal(show(r))
		}
	}
}

func BenchmarkProve2000Contours(b *testing.B)  { benchProve(b, 667) }
func BenchmarkProve20000Contours(b *testing.B) { benchProve(b, 6667) }

func TestManyPartsAreProved(t *testing.T) {
	in := many(60)
	if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 || len(r.Cuts) != 180 {
		t.Fatal(show(r))
	}
}

// heldMany is many with hold lines, where each cut asks for them.
func heldMany(n int) proof.Input {
	in := many(n)
	w := &writer{k: 1, dec: 4}
	w.header()
	w.hold(true)
	for _, p := range in.Parts {
		for _, f := range p.Features {
			b := f.Loop.Box()
			var c cutting
			if f.Kind == "hole" {
				c = hole(f.ID, b.Center(), b.Width(), full, false)
			} else {
				c = frame(f.ID, b.Min, b.Max, 8)
			}
			ends := c.ways()
			last := ends[len(ends)-1]
			spans := []proof.Span{{From: 0, To: ends[0] + 2}, {From: last - 7, To: last}}
			if f.Kind != "hole" {
				spans[1].From = last - 2
			}
			w.cutHeld(held{c, spans})
		}
	}
	w.hold(false)
	w.footer()
	in.Text = w.text()
	return in
}

// The same program with and without the simulation of the feed and the holds
// that follow from it.
func BenchmarkProveHolds20000Contours(b *testing.B) {
	for _, derive := range []bool{false, true} {
		in := heldMany(6667)
		name := "AsMarked"
		if derive {
			name = "WorkedOut"
			in.Machine.AccelXY, in.Machine.CornerDeviation = accel, rounding
			in.HoldBelow, in.HoldNear = share, kerf
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 {
					b.Fatal(show(r))
				}
			}
		})
	}
}
