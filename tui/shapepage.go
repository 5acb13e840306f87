package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// A part can be typed instead of drawn. Package job says which shapes there
// are and what each is given by; nothing of it is filled in here.

// typeShape offers the shapes; the one chosen begins with every size unknown.
func (m *Model) typeShape() {
	p := listPage{name: "shape", head: "a part by its sizes", why: "Then type its sizes; the picture follows."}
	for _, k := range job.ShapeKinds() {
		n := len(m.d.Job.Drawings)
		p.of = append(p.of, option{name: shapeName(k), change: func(d *Draft) {
			d.Job.Drawings = append(d.Job.Drawings, job.Drawing{Shape: &job.Shape{Kind: k}})
			if d.Name == "" {
				d.Name = fileName(string(k))
			}
			if d.Job.Name.Empty() {
				d.Job.Name = plain.Of(shapeName(k))
			}
		}, then: func(m *Model) {
			m.lay(drawingPage{n: n})
			m.spot().id = string(job.ShapeParams(k)[0].Field)
		}})
	}
	m.layList(p)
}

func shapeName(k job.ShapeKind) string { return strings.ReplaceAll(string(k), "-", " ") }

// sizes are the rows of a typed shape's sizes.
func (p drawingPage) sizes(m *Model, s job.Shape) []row {
	var rows []row
	for _, q := range job.ShapeParams(s.Kind) {
		n := num{field: q.Field, label: q.Label, must: q.Need, empty: "none",
			get:  func(j *job.Job) (float64, bool) { v := j.Drawings[p.n].Shape.Value(q.Field); return v, v != 0 },
			put:  func(j *job.Job, v float64) { setSize(j, p.n, q.Field, v) },
			none: func(j *job.Job) { setSize(j, p.n, q.Field, 0) },
			why:  "Of the finished part: the kerf is taken care of."}
		if q.Field == job.ShapeNeutral {
			n.why = "Where in the thickness of the fold the length stays: from the inside, as a part of the thickness."
		}
		rows = append(rows, m.num(n))
	}
	return rows
}

// setSize changes a size in a copy: a shape is never changed in place.
func setSize(j *job.Job, n int, f job.Field, v float64) {
	s := j.Drawings[n].Shape.With(f, v)
	j.Drawings[n].Shape = &s
}

// removeRow takes a drawing or typed part out of the job.
func (p drawingPage) removeRow() row {
	return row{id: "remove", label: "take it out of the job", verb: "take out", why: "A file itself is not touched. u brings it back.",
		act: func(m *Model) tea.Cmd {
			m.back()
			if len(m.d.Job.Overrides) > 0 {
				m.say(inkWarn, "taken out; changes to features dropped too, since part numbers count drawings. u brings all back.")
			}
			return m.change(func(d *Draft) { d.removeDrawing(p.n) })
		}}
}
