package planner

import (
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/proof"
)

// stockOf returns the plate that the job looks at, for the proof: its outside
// edges, and what of it may not be used.
func stockOf(j job.Job) ([]geom.Path, []proof.Void) {
	metal, _ := layout.MetalOf(j.Stock, max(1, j.Layout.Plate))
	var shapes []geom.Path
	var voids []proof.Void
	for _, e := range metal.Edges {
		if e.Area() > 0 {
			shapes = append(shapes, e)
		} else {
			voids = append(voids, proof.Void{Path: e, Name: "a hole of the offcut"})
		}
	}
	for _, k := range metal.Keep {
		voids = append(voids, proof.Void{Path: k.Path, Clamp: k.Clamp, Name: k.Name})
	}
	return shapes, voids
}

// floor returns the plate before the first cut. A clamp is passed like what
// lies loose: round it, or at safe height over it.
func (s shop) floor(bounds geom.Box) *floor {
	f := newFloor(bounds)
	if s.job.Stock.Hold != job.Blank {
		for _, k := range s.metal.Keep {
			if k.Clamp {
				f.loosen(k.Path)
			}
		}
	}
	return f
}

func boxPath(b geom.Box) geom.Path {
	return geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
}
