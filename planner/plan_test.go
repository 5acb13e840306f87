package planner_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

func rect(x, y, w, h float64) geom.Path {
	return geom.Polygon(geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func slot(x, y, l, w float64) geom.Path {
	r := w / 2
	return geom.Path{Closed: true, V: []geom.Vertex{
		{P: geom.Pt(x+r, y)}, {P: geom.Pt(x+l-r, y), Bulge: 1}, {P: geom.Pt(x+l-r, y+w)}, {P: geom.Pt(x+r, y+w), Bulge: 1}}}
}

func loops(paths ...geom.Path) []*drawing.Loops {
	d := &drawing.Loops{Units: unit.MM}
	for _, p := range paths {
		d.Closed = append(d.Closed, drawing.Loop{Path: p, Use: job.LayerCut})
	}
	return []*drawing.Loops{d}
}

// bench is a small table of the tests' own.
func bench() job.Machine {
	return job.Machine{
		Name: plain.Of("bench"), TravelX: 1300, TravelY: 1300, MaxFeed: 10000, RapidXY: 15000, RapidZ: 3000, AccelXY: 800, AccelZ: 300,
		CornerDeviation: 0.05, SafeZ: 40, TravelZ: 15, Reach: 100, TopZ: job.Of(0), ProbeFeed: 800, ProbeSearch: 25, SensorOffset: job.Of(4.2),
		Program: job.Program{
			Units: unit.MM, Arcs: job.ArcsFromStart,
			TouchOff:   []string{"G38.2 Z{probe_z} F{probe_feed}", "(the switch trips {sensor_offset} after the nozzle touches)", "G92 Z{minus_sensor_offset}"},
			ArcOn:      []string{"M3"},
			ArcOff:     []string{"M5"},
			ControlOn:  []string{"(height hold off)"},
			ControlOff: []string{"(height hold on)"},
			Pause:      []string{"M0"},
		},
	}
}

func gateJob() job.Job {
	return job.Job{
		Name: plain.Of("hinge leaf"), Units: unit.MM,
		Stock:    job.Stock{Material: job.MildSteel, Thickness: 6, Hold: job.Plate, Width: 400, Height: 300, Surface: job.Bare},
		Drawings: []job.Drawing{{File: "leaf.dxf", Quantity: 1}},
		Process: job.Process{Preset: plain.Of("test"), Amps: 45, Feed: 1150, Kerf: 1.6, PierceHeight: 3.8, CutHeight: 1.5,
			PierceDelay: job.Of(0.5), Volts: 120, State: job.Starting},
		Machine: bench(),
	}
}

func leaf() []*drawing.Loops {
	return loops(rect(0, 0, 160, 80), geom.Circle(geom.Pt(20, 20), 6.75), geom.Circle(geom.Pt(20, 60), 4.5), slot(60, 10, 60, 14),
		rect(60, 40, 60, 30), geom.Circle(geom.Pt(140, 40), 12), geom.Circle(geom.Pt(140, 70), 2.5))
}

func mustPlan(t testing.TB, j job.Job, l []*drawing.Loops) *planner.Program {
	t.Helper()
	p, faults := planner.Plan(context.Background(), j, l)
	if faults.Bad() {
		if p != nil {
			t.Log("\n" + string(p.Text))
		}
		t.Fatal(faults.Err())
	}
	return p
}

func TestLeafIsPlannedAndProved(t *testing.T) {
	p := mustPlan(t, gateJob(), leaf())
	if !p.Verdict.OK || !p.DryVerdict.OK {
		t.Errorf("%+v %+v", p.Verdict.Findings, p.DryVerdict.Findings)
	}
	if p.Plan.Pierces != 6 || len(p.Cuts) != 6 { // the 5 mm hole is drilled
		t.Errorf("%d pierces", p.Plan.Pierces)
	}
	if last := p.Tree.Features[p.Cuts[len(p.Cuts)-1].Feature]; last.Kind != feature.Outline {
		t.Errorf("%s is cut last", last.ID)
	}
	if p.Plan.RapidBound > p.Plan.RapidLength || p.Plan.RapidBound <= 0 {
		t.Errorf("bound %g, rapid %g", p.Plan.RapidBound, p.Plan.RapidLength)
	}
	for _, c := range p.Cuts {
		f := p.Tree.Features[c.Feature]
		want := f.Loop.Area()
		closed := c.Path
		_ = closed
		if f.Rule == feature.RuleSlow && (math.Abs(c.Feed-0.6*1150) > 1e-9 || len(c.Holds) != 1 || c.Holds[0].To < c.Path.Length()-1e-6) {
			t.Errorf("%s: feed %g, holds %v", f.ID, c.Feed, c.Holds)
		}
		if want <= 0 {
			t.Errorf("%s: area %g", f.ID, want)
		}
	}
	if !strings.Contains(string(p.Text), "to be drilled: p1.h") {
		t.Error("the program does not say what is to be drilled")
	}
}

func TestSameJobSameBytes(t *testing.T) {
	a, b := mustPlan(t, gateJob(), leaf()), mustPlan(t, gateJob(), leaf())
	if string(a.Text) != string(b.Text) || string(a.Dry) != string(b.Dry) {
		t.Error("two plans of one job differ")
	}
}

func TestEveryUnknownValueIsNamed(t *testing.T) {
	_, faults := planner.Plan(context.Background(), job.Job{}, nil)
	text := faults.Err().Error()
	for _, want := range []string{"drawing", "stock.material", "stock.thickness", "stock.width", "process.feed", "process.kerf", "process.pierce_delay", "machine"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not named in\n%s", want, text)
		}
	}
}
