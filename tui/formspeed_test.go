package tui

import (
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// perforated is an engine whose drawing holds 5,000 holes.
type perforated struct{ fake }

func (p *perforated) Read(ctx ctxt, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	l := hinge("sieve.dxf")
	l.Closed = []drawing.Loop{{Path: geom.Polygon(geom.Pt(0, 0), geom.Pt(2000, 0), geom.Pt(2000, 1000), geom.Pt(0, 1000)), Use: job.LayerCut}}
	for i := range 100 {
		for k := range 50 {
			l.Closed = append(l.Closed, drawing.Loop{Path: geom.Circle(geom.Pt(10+20*float64(i), 10+20*float64(k)), 5), Use: job.LayerCut})
		}
	}
	l.Box = l.Closed[0].Path.Box()
	out := make([]*drawing.Loops, len(j.Drawings))
	for i := range out {
		out[i] = l
	}
	return out, nil
}

// BenchmarkKeyOnForms measures a key and the frame that follows on the pages
// that look at every feature, 5,000 holes at 200x60.
func BenchmarkKeyOnForms(b *testing.B) {
	for _, c := range []struct {
		name string
		open func(d *driver)
	}{
		{"scale", func(d *driver) {
			d.go_(stockStage)
			d.at("drawing0").keys("enter")
			d.at(string(job.DrawingScale)).keys("enter")
		}},
		{"holes", func(d *driver) {
			d.go_(processStage)
			d.at("holes").keys("enter")
			d.at("shop-bands").keys("enter")
		}},
		{"taper", func(d *driver) {
			d.go_(processStage)
			d.at("taper").keys("enter")
			d.set("add-taper", "2 0.1")
		}},
		{"faces", func(d *driver) {
			d.go_(featureStage)
			d.at("f:p1.outline").keys("enter")
			d.at("faces").keys("enter")
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			d := start(b, 200, 60, func(s *Session) { s.Engine = &perforated{} })
			d.stock()
			d.process()
			c.open(d)
			b.ResetTimer()
			for i := range b.N {
				if i%2 == 0 {
					d.keys("down")
				} else {
					d.keys("up")
				}
				d.frame()
			}
		})
	}
}
