package planner_test

import (
	"context"
	"os"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// Whatever plate is trimmed, disc or offcut, with a clamp or without: it is
// proved, or refused with a reason.
func TestRandomPlatesAreTrimmedOrRefused(t *testing.T) {
	if os.Getenv("KERFWRIGHT_LONG") == "" {
		t.Skip("takes long: KERFWRIGHT_LONG=1")
	}
	ok, trimmed := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j := anyJob(rt)
		if j.Stock.Hold == job.Blank {
			return
		}
		j.Layout.Trim = rapid.SampledFrom(job.Trimmings()).Draw(rt, "t")
		j.Stock.Width, j.Stock.Height = 0, 0
		if rapid.Bool().Draw(rt, "disc") {
			d := job.NewShape(job.ShapeDisc).With(job.ShapeDiameter, rapid.Float64Range(400, 1100).Draw(rt, "d"))
			j.Stock.Shape = &d
		} else {
			q := func(a, b float64) float64 { return rapid.Float64Range(a, b).Draw(rt, "q") }
			j.Stock.Outline = layout.RingsOf([]geom.Path{geom.Polygon(geom.Pt(q(0, 60), q(0, 60)), geom.Pt(q(500, 1000), q(0, 60)), geom.Pt(q(500, 1000), q(400, 700)), geom.Pt(q(200, 450), q(300, 800)), geom.Pt(q(0, 60), q(400, 700)))})
		}
		if rapid.Bool().Draw(rt, "keep") {
			j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: rapid.Float64Range(0, 800).Draw(rt, "kx"), Y: rapid.Float64Range(0, 600).Draw(rt, "ky"), Width: 60, Height: 60}}
		}
		p, faults := planner.Plan(context.Background(), j, loops(anyPart(rt)...))
		for _, f := range faults {
			if f.Severity == 2 && !refusals[f.Code] {
				if p != nil {
					rt.Log(string(p.Text))
				}
				rt.Fatalf("%s: %v", f.Code, f)
			}
		}
		if !faults.Bad() {
			ok++
			if p.Trimmed(j.Units) != "" {
				trimmed++
				if _, err := planner.Remnants(j, p); err != nil {
					rt.Fatal(err)
				}
			}
		}
	})
	t.Logf("%d proved, %d of them trimmed", ok, trimmed)
	if trimmed < ok/2 {
		t.Error("the plates are too odd to test anything")
	}
}
