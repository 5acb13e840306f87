package planner

import (
	"fmt"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/report"
)

// Picture draws a planned job as it lies on the stock.
func Picture(j job.Job, p *Program) *report.Picture {
	pic := &report.Picture{Box: frame(p)}
	add := func(kind report.StrokeKind, path geom.Path) {
		pic.Strokes = append(pic.Strokes, report.Stroke{Kind: kind, Path: path})
	}
	if j.Stock.Hold != job.Blank {
		shapes, voids := stockOf(j)
		for _, e := range shapes {
			pic.Box = pic.Box.Union(e.Box())
			add(report.StrokeStock, e)
		}
		for _, v := range voids {
			add(report.StrokeStock, v.Path)
		}
	}
	for _, pl := range p.Placed {
		for _, i := range p.Tree.Parts[pl.Part].Features {
			f := p.Tree.Features[i]
			if f.Rule == feature.RuleLeave {
				continue
			}
			kind, edge := report.StrokeEdge, pl.Move.Path(f.Loop)
			if f.Rule == feature.RuleLocate {
				kind = report.StrokeStock
			}
			pic.Box = pic.Box.Union(edge.Box())
			add(kind, edge)
		}
	}
	for _, c := range p.Cuts {
		in := 0.0
		for i := range c.LeadIn {
			in += c.Path.Seg(i).Length()
		}
		if c.LeadIn > 0 {
			add(report.StrokeLead, stretchOf(c.Path, 0, in))
		}
		add(report.StrokeCut, stretchOf(c.Path, in, c.Path.Length()))
		for _, h := range c.Holds {
			add(report.StrokeHold, stretchOf(c.Path, h.From, h.To))
		}
		pic.Labels = append(pic.Labels, report.Label{At: c.Pierce, Text: fmt.Sprint(c.N)})
	}
	for _, way := range p.Rapids {
		add(report.StrokeRapid, way)
	}
	pic.Box = pic.Box.Add(pic.Zero)
	return pic
}

// featureRows lists every feature once, with the cuts that make it.
func featureRows(j job.Job, p *Program) [][]string {
	rows := [][]string{{"feature", "kind", "size", "rule", "cuts"}}
	cuts := map[int]string{}
	for _, c := range p.Cuts {
		sep := " "
		if cuts[c.Feature] == "" {
			sep = ""
		}
		cuts[c.Feature] += sep + fmt.Sprint(c.N)
	}
	used := map[int]bool{}
	for _, pl := range p.Placed {
		used[pl.Part] = true
	}
	u := j.Units
	for k, part := range p.Tree.Parts {
		if !used[k] {
			continue
		}
		for _, i := range part.Features {
			f := p.Tree.Features[i]
			size := fmt.Sprintf("%s x %s", u.Length(f.Width), u.Length(f.Height))
			switch {
			case f.Kind == feature.Slot:
				size = fmt.Sprintf("%s x %s", u.Length(f.Length), u.Length(f.Diameter))
			case f.Diameter > 0:
				size = u.Length(f.Diameter)
			}
			made := cuts[i]
			if made == "" {
				made = "-"
			}
			rows = append(rows, []string{f.ID, string(f.Kind), size, string(f.Rule), made})
		}
	}
	return rows
}
