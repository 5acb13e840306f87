package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
)

// editJob makes one edit on what the drawings give, or takes one back, and lists
// all that the job has.
func editJob(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("edit takes one job file")
	}
	name := f.rest[0]
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return err
	}
	made, err := editOf(f, j)
	if err != nil {
		return err
	}
	changed := made != nil
	switch {
	case made != nil:
		j.Edits = planner.WithEdit(j.Edits, *made)
	case f.has("clear"):
		for len(j.Edits) > 0 {
			j, changed = planner.WithoutEdit(j, len(j.Edits)), true
		}
	case f.has("back"):
		n, err := strconv.Atoi(f.one("back"))
		if err != nil || n < 1 || n > len(j.Edits) {
			return usagef("--back %q: must be the number of an edit, of which there are %d", plain.Clean(f.one("back")), len(j.Edits))
		}
		j, changed = planner.WithoutEdit(j, n), true
	}
	tree, more := planner.Features(j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	if changed {
		if err := saveTables(name, j, "edits", "overrides"); err != nil {
			return err
		}
	}
	r := report.Edits{Edits: []report.Edit{}, Along: []string{}, Look: []string{}, Warnings: lines(faults)}
	for i, l := range planner.EditLines(j, tree) {
		e := report.Edit{N: l.N, Do: string(j.Edits[i].Do), On: l.On, What: l.What, Note: j.Edits[i].Note.String()}.Said(l.Before, l.After)
		if done := tree.Done[i]; done.OK {
			if l.Before != "" {
				e.Before = editSize(done.Before)
			}
			if l.After != "" {
				e.After = editSize(done.After)
			}
		}
		r.Edits = append(r.Edits, e)
	}
	if made != nil {
		along, look := planner.EditFollows(j, tree, *made)
		r.Along, r.Look = append(r.Along, along...), append(r.Look, look...)
	}
	return emit(w, f, r, r.Table)
}

func editSize(s feature.Size) *report.EditSize {
	out := &report.EditSize{Width: s.Width, Height: s.Height, Diameter: s.Diameter, Length: s.Length}
	if s.Featured {
		out.At = &[2]float64{s.At.X, s.At.Y}
	}
	return out
}

// editOf is the edit that the options ask for, nil if they ask for none.
func editOf(f flags, j job.Job) (*job.Edit, error) {
	var e *job.Edit
	asked := 0
	for _, do := range []string{"turn", "mirror", "scale", "correct", "diameter", "length", "move", "delete", "hole", "slot", "back", "clear"} {
		if asked += len(f.values[do]); len(f.values[do]) == 0 || do == "back" || do == "clear" {
			continue
		}
		on, figures, _ := strings.Cut(f.one(do), "=")
		if on == "" || plain.Clean(on) != on {
			return nil, usagef("--%s %q: it begins with a part or a feature, such as p1 or p1.h2", do, plain.Clean(on))
		}
		made, err := editFrom(do, on, figures, f, j)
		if err != nil {
			return nil, err
		}
		made.Note = plain.Of(f.one("note"))
		e = &made
	}
	if asked > 1 {
		return nil, usagef("edit makes one edit at a time")
	}
	for _, of := range []struct{ option, to string }{{"other-hand", "mirror"}, {"sure", "mirror"}, {"x", "correct"}, {"y", "correct"}} {
		if f.has(of.option) && !f.has(of.to) {
			return nil, usagef("--%s goes with --%s", of.option, of.to)
		}
	}
	return e, nil
}

func editFrom(do, on, figures string, f flags, j job.Job) (job.Edit, error) {
	e := job.Edit{Do: job.EditKind(do), On: on}
	numbers := func(form string, fields ...job.Field) ([]float64, error) {
		return editNumbers(do, on, figures, form, j.Units, fields)
	}
	switch do {
	case "turn":
		v, err := numbers("PART=DEG", job.EditAngle)
		if err != nil {
			return e, err
		}
		e.Angle = v[0]
	case "mirror":
		if !f.has("other-hand") || !f.has("sure") {
			return e, usagef("--mirror %s makes the part of the other hand, and it is asked twice: say --other-hand and --sure if that is wanted", plain.Clean(on))
		}
		e.Sure = true
	case "scale":
		v, err := numbers("PART=FACTOR", job.EditFactor)
		if err != nil {
			return e, err
		}
		e.Factor = v[0]
	case "correct":
		for _, axis := range []struct {
			name            string
			drawn, measured *float64
		}{{"x", &e.DrawnX, &e.MeasuredX}, {"y", &e.DrawnY, &e.MeasuredY}} {
			if s := f.one(axis.name); s != "" {
				v, err := editNumbers(axis.name, "", s, "DRAWN,MEASURED", j.Units, []job.Field{job.EditSize, job.EditSize})
				if err != nil {
					return e, err
				}
				*axis.drawn, *axis.measured = v[0], v[1]
			}
		}
		if e.DrawnX+e.DrawnY == 0 {
			return e, usagef("--correct %s needs --x DRAWN,MEASURED, --y DRAWN,MEASURED or both", plain.Clean(on))
		}
	case "diameter", "length":
		field := job.EditBore
		if do == "length" {
			field = job.EditOverall
		}
		v, err := numbers("FEATURE="+strings.ToUpper(do[:1]), field)
		if err != nil {
			return e, err
		}
		if do == "length" {
			e.Length = v[0]
		} else {
			e.Diameter = v[0]
		}
	case "move":
		v, err := numbers("FEATURE=X,Y", job.EditAt, job.EditAt)
		if err != nil {
			return e, err
		}
		e.X, e.Y = v[0], v[1]
	case "hole":
		v, err := numbers("PART=X,Y,D", job.EditAt, job.EditAt, job.EditBore)
		if err != nil {
			return e, err
		}
		e.Do, e.On, e.X, e.Y, e.Diameter = job.EditAdd, feature.NextAdded(on, j.Edits), v[0], v[1], v[2]
	case "slot":
		if strings.Count(figures, ",") == 3 {
			figures += ",0"
		}
		v, err := numbers("PART=X,Y,L,W,DEG", job.EditAt, job.EditAt, job.EditOverall, job.EditAcross, job.EditAngle)
		if err != nil {
			return e, err
		}
		e.Do, e.On, e.X, e.Y, e.Length, e.Width, e.Angle = job.EditAdd, feature.NextAdded(on, j.Edits), v[0], v[1], v[2], v[3], v[4]
	}
	return e, nil
}

// editNumbers reads figures with commas between them; lengths are in the
// job's units unless a unit stands behind them, angles in degrees.
func editNumbers(option, on, figures, form string, in unit.System, fields []job.Field) ([]float64, error) {
	parts := strings.Split(figures, ",")
	bad := func(why string) error {
		typed := figures
		if on != "" {
			typed = on + "=" + figures
		}
		return usagef("--%s %q: must be %s%s", option, plain.Clean(typed), form, why)
	}
	if len(parts) != len(fields) {
		return nil, bad("")
	}
	var out []float64
	for i, s := range parts {
		field := fields[i]
		var v float64
		var err error
		switch field.Range().Dim {
		case job.Angle:
			v, err = unit.ParseNumber(s)
			v *= math.Pi / 180
		case job.Pure:
			v, err = unit.ParseNumber(s)
		default:
			v, err = unit.ParseLength(s, in)
		}
		if err == nil {
			err = field.Check(v, in)
		}
		if err != nil {
			return nil, bad(fmt.Sprintf("; %s: %v", plain.Clean(s), err))
		}
		out = append(out, v)
	}
	return out, nil
}
