package planner_test

import (
	"context"
	"math"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// polygon is a closed path for the independent library.
func polygon(t testing.TB, p geom.Path) sf.Geometry {
	pts := p.Flatten(0.005)
	xy := make([]float64, 0, 2*len(pts)+2)
	for i := range len(pts) + 1 {
		q := pts[i%len(pts)]
		xy = append(xy, q.X, q.Y)
	}
	g := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))})
	if err := g.Validate(); err != nil {
		t.Fatal(err)
	}
	return g.AsGeometry()
}

// fallsApart sweeps every cut's kerf over the plate with an independent library
// and asks that every part is a piece of its own: what is left of the plate has,
// for every outline, one piece with the outline's own area.
func fallsApart(t testing.TB, j job.Job, p *planner.Program) {
	t.Helper()
	left := polygon(t, rect(0, 0, j.Stock.Width, j.Stock.Height))
	var swept sf.Geometry
	for _, c := range p.Cuts {
		if c.Path.NumSegs() == 0 {
			continue
		}
		var xy []float64
		for _, q := range c.Path.Flatten(0.01) {
			xy = append(xy, q.X, q.Y)
		}
		line := sf.NewLineString(sf.NewSequence(xy, sf.DimXY)).AsGeometry()
		band, err := sf.Buffer(line, c.Kerf/2, sf.BufferQuadSegments(8))
		if err != nil {
			t.Fatal(err)
		}
		if swept.IsEmpty() {
			swept = band
		} else if swept, err = sf.Union(swept, band); err != nil {
			t.Fatal(err)
		}
	}
	left, err := sf.Difference(left, swept)
	if err != nil {
		t.Fatal(err)
	}
	m, ok := left.AsMultiPolygon()
	if !ok {
		t.Fatalf("%s is left", left.Type())
	}
	areas := map[int]float64{}
	for i := range m.NumPolygons() {
		areas[i] = m.PolygonN(i).Area()
	}
	for _, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		if part.Outline < 0 {
			continue
		}
		edge := pl.Move.Path(p.Tree.Features[part.Outline].Loop)
		want := edge.Area()
		for _, f := range part.Features {
			if f != part.Outline && p.Tree.Features[f].Rule.Cuts() {
				want -= p.Tree.Features[f].Area
			}
		}
		// A corner of every outline stands for its part.
		e := edge.Seg(0)
		in := e.At(0.1).Add(e.Tangent(0).Left().Mul(0.5))
		if edge.Winding(in) == 0 {
			in = e.At(0.1).Add(e.Tangent(0).Left().Mul(-0.5))
		}
		at := sf.XY{X: in.X, Y: in.Y}.AsPoint().AsGeometry()
		found := -1
		for i := range m.NumPolygons() {
			if sf.Intersects(m.PolygonN(i).AsGeometry(), at) {
				found = i
			}
		}
		// The buffer's 32 corners round lie up to kerf/2 (1 - cos(pi/32)) inside
		// the true kerf: with 1.3 mm of half a kerf 0.0063 mm, and 0.01 mm of
		// flattening, all along an edge. What hangs on has a plate's area.
		if within := 0.02 * edge.Length(); found < 0 || math.Abs(areas[found]-math.Abs(want)) > within {
			t.Errorf("%s: the piece that falls has %.2f mm2, the part %.2f", pl.Label, areas[found], math.Abs(want))
		}
	}
}

func TestPartsWithSharedEdgesFallApart(t *testing.T) {
	j, l := braces(11, 120, 60)
	p := mustPlan(t, j, l)
	if p.Plan.Shared == nil {
		t.Fatal("nothing is shared")
	}
	fallsApart(t, j, p)
}

// The check is seen to fail: one chain shorter, and a part hangs on.
func TestPartThatHangsOnIsSeenByTheLibrary(t *testing.T) {
	j, l := braces(2, 120, 60)
	p := mustPlan(t, j, l)
	last := &p.Cuts[len(p.Cuts)-1]
	n := last.Path.NumSegs()
	last.Path = geom.FromSegs(last.Path.Segs()[:n-2], false)
	rec := &recorder{TB: t}
	fallsApart(rec, j, p)
	if !rec.failed {
		t.Error("a part that hangs on the skeleton is not seen")
	}
}

type recorder struct {
	testing.TB
	failed bool
}

func (r *recorder) Errorf(string, ...any) { r.failed = true }

// Two or three rows of rectangles of several sizes, a kerf apart or not, turned
// by quarters, in whatever order: every plan is proved and its parts fall
// apart, or the reason is told.
func TestRandomBlocksAreSharedAndFallApart(t *testing.T) {
	shared, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j := gateJob()
		j.Stock.Width, j.Stock.Height = 700, 500
		j.Layout.Share = true
		j.Process.Kerf = rapid.Float64Range(0.9, 2.6).Draw(rt, "kerf")
		j.Stock.Thickness = rapid.Float64Range(1, 8).Draw(rt, "thickness")
		j.Rules.Clockwise = rapid.SampledFrom([]job.Turn{"", job.OutlineCounterClockwise}).Draw(rt, "turn")
		k := j.Process.Kerf
		var l []*drawing.Loops
		j.Drawings = nil
		y := 30.0
		for range rapid.IntRange(1, 3).Draw(rt, "rows") {
			x, tall := 30.0, 0.0
			same := rapid.Float64Range(30, 100).Draw(rt, "height")
			for range rapid.IntRange(1, 4).Draw(rt, "in row") {
				w, h := rapid.Float64Range(30, 120).Draw(rt, "w"), same
				if rapid.IntRange(0, 2).Draw(rt, "other") == 0 {
					h = rapid.Float64Range(30, 100).Draw(rt, "h")
				}
				d := len(j.Drawings)
				j.Drawings = append(j.Drawings, job.Drawing{File: "brace.dxf", Quantity: 1})
				shape := rect(0, 0, w, h)
				place := job.Place{Drawing: d, X: x, Y: y}
				if rapid.Bool().Draw(rt, "quarter") { // drawn upright, laid down
					shape = rect(0, 0, h, w)
					place.Angle, place.X = math.Pi/2, x+w
				}
				l = append(l, loops(shape)...)
				j.Layout.Places = append(j.Layout.Places, place)
				x += w + rapid.SampledFrom([]float64{k, k, 25}).Draw(rt, "beside")
				tall = max(tall, h)
			}
			y += tall + rapid.SampledFrom([]float64{k, 25, 25}).Draw(rt, "above")
		}
		p, faults := planner.Plan(context.Background(), j, l)
		for _, f := range faults {
			if f.Severity == 2 && !refusals[f.Code] {
				if p != nil {
					rt.Log(string(p.Text))
				}
				rt.Fatalf("%s: %v", f.Code, f)
			}
		}
		if faults.Bad() {
			refused++
			return
		}
		if p.Plan.Shared != nil {
			shared++
			fallsApart(rtb{TB: t, rt: rt}, j, p)
		}
	})
	t.Logf("%d shared, %d refused", shared, refused)
	if shared < refused {
		t.Errorf("%d shared, %d refused: the blocks are too odd to test anything", shared, refused)
	}
}

// rtb hands what fails to rapid, so that it looks for a smaller case.
type rtb struct {
	testing.TB
	rt *rapid.T
}

func (r rtb) Errorf(format string, args ...any) { r.rt.Errorf(format, args...) }
func (r rtb) Fatal(args ...any)                 { r.rt.Fatal(args...) }

// Rows a kerf apart, shared or not, lost at whatever line: what takes them up is
// proved, or refused since nothing is left to pierce.
func TestRandomBlocksAreTakenUpOrRefused(t *testing.T) {
	codes := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		j := gateJob()
		j.Stock.Width, j.Stock.Height = 700, 500
		j.Layout.Share = rapid.IntRange(0, 3).Draw(rt, "s") > 0
		j.Process.Kerf = rapid.Float64Range(0.9, 2.6).Draw(rt, "kerf")
		k := j.Process.Kerf
		var l []*drawing.Loops
		j.Drawings = nil
		y := 30.0
		for range rapid.IntRange(1, 2).Draw(rt, "rows") {
			x, tall := 30.0, 0.0
			same := rapid.Float64Range(30, 100).Draw(rt, "height")
			for range rapid.IntRange(1, 3).Draw(rt, "in row") {
				w, h := rapid.Float64Range(30, 120).Draw(rt, "w"), same
				if rapid.IntRange(0, 2).Draw(rt, "other") == 0 {
					h = rapid.Float64Range(30, 100).Draw(rt, "h")
				}
				d := len(j.Drawings)
				j.Drawings = append(j.Drawings, job.Drawing{File: "brace.dxf", Quantity: 1})
				l = append(l, loops(rect(0, 0, w, h))...)
				j.Layout.Places = append(j.Layout.Places, job.Place{Drawing: d, X: x, Y: y})
				x += w + rapid.SampledFrom([]float64{k, k, 25}).Draw(rt, "beside")
				tall = max(tall, h)
			}
			y += tall + rapid.SampledFrom([]float64{k, 25}).Draw(rt, "above")
		}
		whole, faults := planner.Plan(context.Background(), j, l)
		if faults.Bad() {
			return
		}
		line := rapid.IntRange(whole.Cuts[0].First, whole.Cuts[len(whole.Cuts)-1].Last).Draw(rt, "line")
		_, faults = planner.Resume(context.Background(), j, l, planner.From{Line: line})
		for _, f := range faults.At(2) {
			codes[f.Code]++
			if f.Code != "resume" && f.Code != "resume-touch-off" && f.Code != "resume-no-metal" {
				rt.Fatalf("share %v, line %d: %s: %v", j.Layout.Share, line, f.Code, f)
			}
		}
		codes["all"]++
	})
	t.Log(codes)
}
