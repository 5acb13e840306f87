package feature

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/letters"
	"example.org/kerfwright/planner/plain"
)

// Say adds the strokes of a text to the tree, as a part without an outline: on
// copy number copy of a drawing, 0 being every copy; drawing -1 is the stock.
// On copies that are turned over the text is not: it is drawn the other way
// round, about the place where its middle then lies.
func (t *Tree) Say(id string, x job.Text, drawing, copy int, text string, mirrored bool) {
	p := len(t.Parts)
	part := Part{ID: id, Name: plain.Of(text), Drawing: drawing, Outline: -1, In: -1, Text: true, Copy: copy}
	turn := geom.Move{Angle: x.Angle, Shift: geom.Pt(x.X, x.Y)}
	for i, s := range letters.Strokes(text, x.Height) {
		if mirrored { // end for end, so that turned over it reads from its own left again
			w := letters.Width(text, x.Height)
			s = geom.Move{Mirror: true, Shift: geom.Pt(w, 0)}.Path(s)
		}
		s = turn.Path(s)
		b := s.Box()
		f := Feature{ID: fmt.Sprintf("%s.m%d", id, i+1), Part: p, Kind: Mark, Loop: s, Width: b.Width(), Height: b.Height(), Center: b.Center(),
			Rule: RuleMark, Why: "a stroke of the text: marked, not cut through", Feed: 1, Hold: true}
		if math.IsInf(f.Width, 0) {
			continue
		}
		part.Features = append(part.Features, len(t.Features))
		t.Features = append(t.Features, f)
	}
	t.Parts = append(t.Parts, part)
}
