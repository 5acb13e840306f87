package main

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// alignJob keeps in the job how the stock lies, as it was typed, and says what
// comes of it. Without points it says what the job holds.
func alignJob(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("align takes one job file")
	}
	name := f.rest[0]
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return err
	}
	given, err := alignment(f, &j)
	if err != nil {
		return err
	}
	if !j.Alignment.Given() {
		if given {
			if err := saveTables(name, j, "alignment"); err != nil {
				return err
			}
			_, err := fmt.Fprintln(w.tables(), "the stock lies as drawn; plan writes the programs anew")
			return err
		}
		return usagef("align needs --at X,Y twice, --hole FEATURE=X,Y twice, or --clear")
	}
	p, more := planner.Plan(context.Background(), j, loops)
	if err := complain(w, append(faults, more...)); err != nil {
		return err
	}
	if given {
		if err := saveTables(name, j, "alignment"); err != nil {
			return err
		}
	}
	r := planner.LieReport(j, p.Lie)
	return emit(w, f, r, r.Table)
}

// alignment takes over what was typed; given says that anything was.
func alignment(f flags, j *job.Job) (given bool, err error) {
	a := job.Alignment{Most: j.Alignment.Most}
	if f.has("clear") {
		j.Alignment = job.Alignment{}
		return true, nil
	}
	if s := f.one("edge"); s != "" {
		if a.Edge = job.Edge(s); !contains(job.Edges(), a.Edge) {
			return false, usagef("--edge %q: must be one of %v", plain.Clean(s), job.Edges())
		}
	}
	for _, list := range []struct {
		name string
		to   *[]geom.Point
	}{{"at", &a.Points}, {"next", &a.Next}} {
		for _, s := range f.values[list.name] {
			q, err := place(s, j.Units)
			if err != nil {
				return false, usagef("--%s %v", list.name, err)
			}
			*list.to = append(*list.to, q)
		}
	}
	for _, s := range f.values["hole"] {
		id, at, ok := strings.Cut(s, "=")
		q, err := place(at, j.Units)
		if !ok || id == "" || err != nil {
			return false, usagef("--hole %q: must be FEATURE=X,Y, such as p1.h1=120.5,48", plain.Clean(s))
		}
		a.Holes = append(a.Holes, job.Located{Feature: id, At: q})
	}
	if s := f.one("most"); s != "" {
		deg, err := unit.ParseNumber(s)
		if a.Most = deg * math.Pi / 180; err != nil || job.AlignTurn.Check(a.Most, j.Units) != nil {
			return false, usagef("--most %q: must be an angle in degrees, %s", plain.Clean(s), job.AlignTurn.Range().Text(j.Units))
		}
	}
	a.Sure = f.has("sure")
	edges, holes := len(a.Points)+len(a.Next) > 0, len(a.Holes) > 0
	switch {
	case edges && holes:
		return false, usagef("align takes points on edges (--at, --next) or located holes (--hole), not both")
	case edges:
		a.By = job.AlignEdges
	case holes:
		a.By = job.AlignHoles
	default:
		if f.has("sure") || f.has("most") || a.Edge != "" { // of what the job has
			j.Alignment.Most, j.Alignment.Sure = a.Most, a.Sure
			if a.Edge != "" {
				j.Alignment.Edge = a.Edge
			}
			return true, nil
		}
		return false, nil
	}
	j.Alignment = a
	return true, nil
}

// place reads X,Y in the job's own units, unless a unit stands behind a number.
func place(s string, in unit.System) (geom.Point, error) {
	x, y, ok := strings.Cut(s, ",")
	var q geom.Point
	for i, part := range []string{x, y} {
		v, err := unit.ParseLength(part, in)
		if err == nil {
			err = job.AlignPoint.Check(v, in)
		}
		if !ok || err != nil {
			return q, fmt.Errorf("%q: must be X,Y in %s, such as 12.5,40", plain.Clean(s), in)
		}
		if i == 0 {
			q.X = v
		} else {
			q.Y = v
		}
	}
	return q, nil
}

func contains[T comparable](all []T, v T) bool {
	for _, x := range all {
		if x == v {
			return true
		}
	}
	return false
}

// saveTables writes some tables of the job into its file; all else stays as
// it stands there.
func saveTables(name string, j job.Job, tables ...string) error {
	text, err := presets.ReadFile(name, jobfile.MaxJob)
	if err != nil {
		return err
	}
	text, faults := jobfile.Rewrite(text, j, tables...)
	if faults.Bad() {
		return faults.Err()
	}
	if err := bundle.Replace(presets.Folder(filepath.Dir(name)), []bundle.Entry{{Name: filepath.Base(name), Data: text}}); err != nil {
		return fmt.Errorf("save: %w", err)
	}
	return nil
}
