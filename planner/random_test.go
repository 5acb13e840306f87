package planner_test

import (
	"context"
	"math"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

// refusals are the reasons for which a job that was put together at random
// may be refused before anything is written. Any other Error comes from the
// proof: the planner wrote what the proof does not pass.
var refusals = map[string]bool{
	"swallowed": true, "narrow": true, "no-lead": true, "no-room": true, "off-plate": true, "parts-touch": true, "hole-too-small": true, "offset": true,
	"no-solid-metal": true, // parts so close that nothing is left to pierce
	"tab-room":       true,
	"trim":           true, // the line lies where it cannot be
	"nothing-to-cut": true, // a blank without inside features
}

func bulged(rt *rapid.T, p geom.Path) geom.Path {
	for i := range p.V {
		if rapid.IntRange(0, 3).Draw(rt, "bend") == 0 {
			p.V[i].Bulge = rapid.Float64Range(-0.4, 0.9).Draw(rt, "bulge")
		}
	}
	return p
}

// anyPart draws an outline and features that lie in cells of their own.
func anyPart(rt *rapid.T) []geom.Path {
	w, h := rapid.Float64Range(30, 250).Draw(rt, "w"), rapid.Float64Range(30, 180).Draw(rt, "h")
	c := rapid.Float64Range(3, 14).Draw(rt, "corner")
	var outline geom.Path
	switch rapid.IntRange(0, 3).Draw(rt, "outline") {
	case 0:
		outline = rect(0, 0, w, h)
	case 1: // chamfered or rounded
		outline = geom.Polygon(geom.Pt(c, 0), geom.Pt(w-c, 0), geom.Pt(w, c), geom.Pt(w, h-c), geom.Pt(w-c, h), geom.Pt(c, h), geom.Pt(0, h-c), geom.Pt(0, c))
		if rapid.Bool().Draw(rt, "round") {
			for i := 1; i < 8; i += 2 {
				outline.V[i].Bulge = geom.BulgeOf(math.Pi / 2)
			}
		}
	case 2: // with a notch
		outline = geom.Polygon(geom.Pt(0, 0), geom.Pt(w/2-c, 0), geom.Pt(w/2-c, c), geom.Pt(w/2+c, c), geom.Pt(w/2+c, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h))
	default: // L
		outline = geom.Polygon(geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h/2), geom.Pt(w/2, h/2), geom.Pt(w/2, h), geom.Pt(0, h))
	}
	paths := []geom.Path{outline}
	cell := rapid.Float64Range(12, 45).Draw(rt, "cell")
	for x := 15.0; x+cell < w/2-16; x += cell {
		for y := 17.0; y+cell < h/2-2; y += cell {
			size := rapid.Float64Range(1, cell-5).Draw(rt, "size")
			at := geom.Pt(x+cell/2, y+cell/2)
			switch rapid.IntRange(0, 4).Draw(rt, "feature") {
			case 0, 1:
				paths = append(paths, geom.Circle(at, size/2))
			case 2:
				paths = append(paths, slot(at.X-size/2, at.Y-size/6, size, size/3))
			case 3:
				paths = append(paths, geom.Move{Angle: rapid.Float64Range(0, 3).Draw(rt, "turn"), Shift: at}.Path(rect(-size/3, -size/4, size/1.5, size/2)))
			default:
				paths = append(paths, bulged(rt, geom.Polygon(at.Add(geom.Pt(-size/3, -size/3)), at.Add(geom.Pt(size/3, -size/4)), at.Add(geom.Pt(0, size/3)))))
			}
		}
	}
	return paths
}

func anyJob(rt *rapid.T) job.Job {
	j := gateJob()
	j.Stock.Thickness = rapid.Float64Range(1, 20).Draw(rt, "thickness")
	j.Stock.Width, j.Stock.Height = 900, 600
	j.Stock.Zero = rapid.SampledFrom(job.Corners()).Draw(rt, "zero")
	j.Process.Kerf = rapid.Float64Range(0.9, 2.6).Draw(rt, "kerf")
	j.Process.Feed = rapid.Float64Range(300, 8000).Draw(rt, "feed")
	j.Drawings[0].Quantity = rapid.IntRange(1, 3).Draw(rt, "quantity")
	if rapid.Bool().Draw(rt, "inch") {
		j.Machine.Program.Units = unit.Inch
	}
	j.Machine.Program.LineNumbers = rapid.Bool().Draw(rt, "numbers")
	if rapid.IntRange(0, 4).Draw(rt, "arcs") == 0 {
		j.Machine.Program.Arcs = job.ArcsNone
	}
	if rapid.IntRange(0, 4).Draw(rt, "control") == 0 {
		j.Rules.Control = job.ControlOff
	}
	if rapid.IntRange(0, 4).Draw(rt, "turn") == 0 {
		j.Rules.Clockwise = job.OutlineCounterClockwise
	}
	if rapid.IntRange(0, 2).Draw(rt, "close") == 0 {
		j.Layout.Gap = rapid.Float64Range(1.05, 4).Draw(rt, "gap") * j.Process.Kerf
	}
	j.Rules.LeadOut = rapid.SampledFrom([]float64{0, 0, 3}).Draw(rt, "lead-out")
	j.Rules.ProbeReuse = rapid.SampledFrom([]float64{0, 0, 60}).Draw(rt, "reuse")
	j.Rules.Grouping = rapid.SampledFrom(append(job.Groupings(), "")).Draw(rt, "grouping")
	j.Rules.SmallFirst = rapid.SampledFrom([]float64{0, 0, 80}).Draw(rt, "small first")
	j.Rules.Begin = rapid.SampledFrom(append(job.Corners(), "", "")).Draw(rt, "begin")
	j.Rules.End = rapid.SampledFrom(append(job.Corners(), "", "")).Draw(rt, "end")
	if rapid.IntRange(0, 3).Draw(rt, "heat") == 0 {
		j.Rules.HeatCuts, j.Rules.HeatDistance = 3, 60
	}
	if rapid.IntRange(0, 2).Draw(rt, "share") == 0 {
		j.Layout.Share, j.Layout.ShareFrom = true, rapid.SampledFrom([]float64{0, 0, 60}).Draw(rt, "share-from")
	}
	if rapid.IntRange(0, 2).Draw(rt, "trim") == 0 {
		j.Layout.Trim, j.Layout.TrimStart = rapid.SampledFrom(job.Trimmings()).Draw(rt, "trim-by"), rapid.SampledFrom([]job.TrimStart{job.TrimPierced, job.TrimOnEdge}).Draw(rt, "trim-start")
		if rapid.IntRange(0, 3).Draw(rt, "trim-typed") == 0 {
			j.Layout.TrimX = job.Of(rapid.Float64Range(-100, 950).Draw(rt, "trim-x"))
		}
	}
	care(rt, &j)
	if rapid.IntRange(0, 5).Draw(rt, "blank") == 0 {
		j.Stock.Hold = job.Blank
		j.Stock.Width, j.Stock.Height = 0, 0
		j.Stock.Fixture = job.Fixture{Datum: job.LowerRight, Pockets: []geom.Point{{X: 300, Y: 20}}, Count: 4, Done: rapid.IntRange(0, 2).Draw(rt, "done"), Allowance: job.Of(1)}
	}
	return j
}

// care draws what a job may ask for beyond the usual.
func care(rt *rapid.T, j *job.Job) {
	some := func(what string) bool { return rapid.IntRange(0, 3).Draw(rt, what) == 0 }
	r := &j.Rules
	if some("pop") {
		r.Drill = job.DrillPop
	}
	if some("entry") {
		r.EntryFeed = rapid.Float64Range(0.3, 1).Draw(rt, "entry-feed")
	}
	if some("loop") {
		r.CornerLoop = rapid.Float64Range(1, 6).Draw(rt, "loop-radius")
	}
	if some("corner") {
		r.CornerFeed = rapid.Float64Range(0.3, 1).Draw(rt, "corner-feed")
	}
	if some("tabs") {
		r.TabUnder, r.TabCount = 2000, rapid.IntRange(1, 5).Draw(rt, "tabs")
	}
	if some("split") {
		r.SplitSlugs = rapid.Float64Range(6, 30).Draw(rt, "slug")
	}
	if some("bands") {
		r.Holes = []job.HoleRule{{UpTo: 1.5, Action: job.HolePop}, {UpTo: 3, Feed: 0.5, Hold: true, Overburn: job.Of(2)},
			{Under: 30, Feed: 0.8, Lead: job.LeadSpiral, Against: true}}
	}
	if some("taper") {
		j.Process.Taper = []job.TaperPoint{{Ratio: 1, Add: 0.4}, {Ratio: 4, Add: -0.1}}
	}
}

// Whatever job is put together, it is refused with a reason or proved.
func TestRandomJobsAreProvedOrRefused(t *testing.T) {
	proved, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j := anyJob(rt)
		p, faults := planner.Plan(context.Background(), j, loops(anyPart(rt)...))
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
		proved++
		if !p.Verdict.OK || !p.DryVerdict.OK || p.Plan.RapidBound > p.Plan.RapidLength+1e-6 {
			rt.Fatalf("verdict %v, dry %v, bound %g of %g", p.Verdict.OK, p.DryVerdict.OK, p.Plan.RapidBound, p.Plan.RapidLength)
		}
	})
	if proved < 2*refused { // four in five when this was written
		t.Errorf("%d proved, %d refused: the jobs are too odd to test anything", proved, refused)
	}
	t.Logf("%d proved, %d refused", proved, refused)
}
