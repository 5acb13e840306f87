package main

import (
	"context"
	"io"
	"math"
	"strconv"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// mark adds a text to a job, or takes all of them back, and says what the job
// marks.
func mark(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("mark takes one job file")
	}
	name := f.rest[0]
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return err
	}
	change := false
	if f.has("clear") {
		j.Texts, change = nil, true
	}
	if s := f.one("text"); s != "" {
		t, err := textOf(f, s, j)
		if err != nil {
			return err
		}
		j.Texts, change = append(j.Texts, t), true
	}
	if (len(j.Texts) > 0 || f.has("process")) && j.Mark.Feed == 0 {
		j.Mark, change = presets.MarkStart(j.Machine.MaxFeed), true
	}
	p, more := planner.Plan(context.Background(), j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	if change {
		if err := saveTables(name, j, "mark", "texts"); err != nil {
			return err
		}
	}
	r := report.Marks{Warnings: lines(faults), Texts: len(j.Texts)}
	for _, c := range p.Cuts {
		if p.Tree.Features[c.Feature].Rule == "mark" {
			r.Strokes++
			r.Length += c.Path.Length()
		}
	}
	return emit(w, f, r, func(out io.Writer) error { return r.Table(out) })
}

func textOf(f flags, say string, j job.Job) (job.Text, error) {
	t := job.Text{Say: plain.Of(say), Height: 10}
	if len(j.Drawings) > 0 {
		t.Drawing = 1
	}
	if s := f.one("drawing"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n > len(j.Drawings) {
			return t, usagef("--drawing %q: must be a whole number from 0 (the stock) to %d", plain.Clean(s), len(j.Drawings))
		}
		t.Drawing = n
	}
	if f.one("at") == "" {
		return t, usagef("--text needs --at X,Y: the lower left of its first letter")
	}
	q, err := place(f.one("at"), j.Units)
	if err != nil {
		return t, usagef("--at %v", err)
	}
	t.X, t.Y = q.X, q.Y
	if s := f.one("height"); s != "" {
		if t.Height, err = unit.ParseLength(s, j.Units); err != nil || job.TextHeight.Check(t.Height, j.Units) != nil {
			return t, usagef("--height %q: must be %s", plain.Clean(s), job.TextHeight.Range().Text(j.Units))
		}
	}
	if s := f.one("angle"); s != "" {
		deg, err := unit.ParseNumber(s)
		if t.Angle = deg * math.Pi / 180; err != nil || job.TextAngle.Check(t.Angle, j.Units) != nil {
			return t, usagef("--angle %q: must be an angle in degrees", plain.Clean(s))
		}
	}
	return t, nil
}
