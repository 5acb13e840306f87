package tui

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// trimRows ask whether the skeleton is cut off behind the last part, and where.
func (m *Model) trimRows() []row {
	l, u := m.d.Job.Layout, m.d.Job.Units
	none, pierced := job.TrimNone, job.TrimPierced
	on := choose(m, choice[job.Trimming]{id: "trim", label: "cut off", rule: &none,
		of: []pick[job.Trimming]{{job.TrimNone, "no", "what is left keeps the shape that the parts leave"},
			{job.TrimX, "at an X", "one line along Y, from edge to edge"},
			{job.TrimY, "at a Y", "one line along X, from edge to edge"},
			{job.TrimCorner, "at both", "two lines, round the corner in which the parts lie"}},
		get: func(j *job.Job) job.Trimming { return j.Layout.Trim }, put: func(j *job.Job, v job.Trimming) { j.Layout.Trim = v },
		why: "One more cut, behind the last part: what is left of the plate gets straight edges and goes back to the rack. The skeleton is loose then and may drop, tip or spring: see that both pieces lie on slats or are held, and that nobody reaches in before they are at rest."})
	if l.Trim == job.TrimNone {
		return []row{on}
	}
	at := geom.Point{X: math.NaN(), Y: math.NaN()}
	if p := m.res.prog; p != nil && m.res.busy == "" {
		var ok bool
		if at, ok = p.TrimAt(); !ok {
			on.note = "not here"
		}
	}
	rows := []row{on}
	place := func(f job.Field, label string, at float64, of func(*job.Job) *job.Opt) {
		n := m.optional(f, label, of, "Where the torch runs, from XY zero. Without it: just past the parts, with room for their leads and metal between the kerfs.")
		if n.empty = "rule: past the parts"; !math.IsNaN(at) {
			n.empty = "rule: " + u.Length(at)
		}
		rows = append(rows, m.num(n))
	}
	if l.Trim != job.TrimY {
		place(job.LayoutTrimX, "  at X", at.X, func(j *job.Job) *job.Opt { return &j.Layout.TrimX })
	}
	if l.Trim != job.TrimX {
		place(job.LayoutTrimY, "  at Y", at.Y, func(j *job.Job) *job.Opt { return &j.Layout.TrimY })
	}
	return append(rows, choose(m, choice[job.TrimStart]{id: "trim_start", label: "  begins", rule: &pierced,
		of: []pick[job.TrimStart]{{job.TrimPierced, "pierced", "in the skeleton, then out to the plate's edge and along the line"},
			{job.TrimOnEdge, "on the edge", "no pierce: easier on the nozzle, and the way for plate too thick to pierce"}},
		get: func(j *job.Job) job.TrimStart { return j.Layout.TrimStart }, put: func(j *job.Job, v job.TrimStart) { j.Layout.TrimStart = v },
		why: "A pierce in the skeleton finds metal wherever exactly the plate's edge lies. A start on the edge needs the edge where the job has it, within a millimetre; the plate is touched off on the line, a little way in."}))
}
