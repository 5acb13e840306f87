package tui

import (
	"math"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
)

// quarterTurn is a quarter of a turn one way or the other, rad.
func quarterTurn(step int) float64 { return math.Copysign(math.Pi/2, float64(step)) }

// editRows are the lines of a feature's page that change the feature itself.
func (m *Model) editRows(f feature.Feature) []row {
	t := &m.res.tree
	part := t.Parts[f.Part]
	if part.Text || part.Drawing < 0 {
		return nil
	}
	rows := []row{{head: true, label: "change what is drawn"}}
	if f.Kind != feature.Outline {
		rows = append(rows, m.sizeRows(f)...)
		rows = append(rows, m.numbers(numbers{id: "move", label: "move", empty: "  by X Y", of: moveFigures,
			put: func(d *Draft, v []float64) {
				d.Job.Edits = planner.WithEdit(d.Job.Edits, job.Edit{Do: job.EditMove, On: f.ID, X: v[0], Y: v[1]})
			},
			why: "By how much, in the drawing's axes. " + sentence(where(&f, m.d.Job.Units))}))
		gone := row{id: "delete", label: "delete it", verb: "delete", why: "As if it were not drawn: u or the page of edits brings it back. To leave it uncut but drawn, leave it out instead."}
		gone.act = func(m *Model) tea.Cmd {
			m.back()
			m.say(inkWarn, f.ID+" is deleted: e on the features stage lists the edits, u takes it back.")
			return m.addEdit(job.Edit{Do: job.EditDelete, On: f.ID})
		}
		rows = append(rows, gone)
	}
	if part.Outline >= 0 {
		whole := row{id: "part", label: "part " + part.ID, verb: "edit", value: "turn it, and more", why: "Turn, mirror, scale or correct the whole part; add a hole or a slot."}
		whole.act = func(m *Model) tea.Cmd { m.lay(partPage(part.ID)); return nil }
		rows = append(rows, whole)
	}
	return append(rows, m.editLines("its edits; d takes one back", m.leftWidth(m.top())-6, func(e job.Edit) bool { return e.On == f.ID })...)
}

// sizeRows are the diameter of a hole or the length of a slot.
func (m *Model) sizeRows(f feature.Feature) []row {
	do, field, label, now := job.EditDiameter, job.EditBore, "diameter", f.Diameter
	switch {
	case !f.Loop.Closed:
		return nil
	case f.Kind == feature.Slot:
		do, field, label, now = job.EditLength, job.EditOverall, "length overall", f.Length
	case f.Kind != feature.Hole:
		return nil
	}
	mine := func(e job.Edit) bool { return e.Do == do && e.On == f.ID }
	n := num{field: field, id: "edit-size", label: label,
		get: func(*job.Job) (float64, bool) { return now, true },
		put: func(j *job.Job, v float64) {
			e := job.Edit{Do: do, On: f.ID, Length: v}
			if do == job.EditDiameter {
				e.Length, e.Diameter = 0, v
			}
			j.Edits = planner.WithEdit(j.Edits, e)
		},
		why: "Typed, it is an edit of the job; the drawing's file stays as it is."}
	if f.Oval {
		n.note = "as corrected"
	}
	if i := slices.IndexFunc(m.d.Job.Edits, mine); i >= 0 {
		if now = m.d.Job.Edits[i].Diameter; do == job.EditLength { // what was typed, whatever corrections make of it
			now = m.d.Job.Edits[i].Length
		}
		n.why += " An empty line goes back to the size that is drawn."
		n.note = "edited"
		n.none = func(j *job.Job) {
			for i := len(j.Edits) - 1; i >= 0; i-- {
				if mine(j.Edits[i]) {
					*j = planner.WithoutEdit(*j, i+1)
				}
			}
		}
	}
	return []row{m.num(n)}
}
