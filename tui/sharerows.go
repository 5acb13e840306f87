package tui

import (
	"math"

	"example.org/kerfwright/planner/job"
)

// shareRows ask whether one cut may part two straight edges.
func (m *Model) shareRows() []row {
	l := m.d.Job.Layout
	on := flag("share", "part by one cut", l.Share, func(d *Draft, v bool) { d.Job.Layout.Share = v },
		"Rows then lay straight-sided parts one kerf apart, two rows deep at most: each part is pierced in scrap, and its cut ends in the open kerf. Less length, time and plate; the pierces stay. "+
			"One part of each pair keeps the square side, the other gets the bevel; a part that is loose lies a kerf from the next cut and may tip into the torch; heat gathers. Not for parts with tabs or with faces to keep clean.")
	if p := m.res.prog; l.Share && p != nil && m.res.busy == "" {
		on.note = "none here"
		if x := p.Plan.Shared; x != nil {
			on.note = "saves " + m.d.Job.Units.Length(math.Round(x.Length))
		}
	}
	rows := []row{on}
	if l.Share {
		rows = append(rows, m.num(num{field: job.LayoutShare, label: "  from a length of", empty: "rule: " + m.d.Job.Units.Length(job.ShareFromRule),
			get:  func(j *job.Job) (float64, bool) { return j.Layout.ShareFrom, j.Layout.ShareFrom != 0 },
			put:  func(j *job.Job, v float64) { j.Layout.ShareFrom = v },
			none: func(j *job.Job) { j.Layout.ShareFrom = 0 },
			why:  "Two edges that lie side by side over less than this are cut each by itself."}))
	}
	return rows
}
