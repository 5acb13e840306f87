package planner

import (
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
)

// meant tells the proof which entries of the job are one part of a drawing,
// and hands it that drawing's lines as they were read.
func (s shop) meant(p *Program, in *proof.Input) {
	type copyOf struct{ drawing, number int }
	known := map[copyOf]int{}         // into in.Meant
	lines := map[*drawing.Loops]int{} // into in.Drawings
	for k, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		if part.Text || part.Drawing < 0 || s.job.Drawings[part.Drawing].Part == 0 || p.loops[part.Drawing] == nil {
			continue
		}
		key := copyOf{part.Drawing, pl.Copy}
		i, ok := known[key]
		if !ok {
			read := p.loops[part.Drawing]
			if _, ok := lines[read]; !ok {
				lines[read] = len(in.Drawings)
				in.Drawings = append(in.Drawings, drawnLines(read))
			}
			i = len(in.Meant)
			known[key] = i
			in.Meant = append(in.Meant, proof.Meant{Drawing: lines[read], Part: s.job.Drawings[part.Drawing].Part})
		}
		in.Meant[i].Parts = append(in.Meant[i].Parts, k)
	}
}

func drawnLines(l *drawing.Loops) (out []proof.Line) {
	for _, c := range l.Closed {
		if c.Use != job.LayerIgnore {
			out = append(out, proof.Line{Loop: c.Path, Mark: c.Use == job.LayerMark})
		}
	}
	return
}
