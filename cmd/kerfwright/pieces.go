package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strconv"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

// pieces tells how many blanks of a job are cut, and keeps the count.
func pieces(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("pieces takes one job file")
	}
	name := f.rest[0]
	j, src, faults := openJob(name)
	if err := complain(w, faults); err != nil {
		return err
	}
	if j.Stock.Hold != job.Blank {
		return fmt.Errorf("%s: the job cuts a plate; pieces are counted for blanks in a fixture", plain.Clean(name))
	}
	of := planner.Pieces(j)
	if s := f.one("done"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n > of {
			return usagef("--done %q: must be a whole number from 0 to %d", plain.Clean(s), of)
		}
		j.Stock.Fixture.Done = n
		text, err := presets.ReadFile(name, jobfile.MaxJob)
		if err != nil {
			return err
		}
		text, faults := jobfile.Recount(text, j)
		if err := complain(w, faults); err != nil {
			return err
		}
		dir := presets.Folder(filepath.Dir(name))
		if err := bundle.Replace(dir, []bundle.Entry{{Name: filepath.Base(name), Data: text}}); err != nil {
			return fmt.Errorf("save: %w", err)
		}
		// What cannot be read shows now, not at the table next week.
		_, faults = planner.Read(context.Background(), j, src)
		if err := complain(w, faults); err != nil {
			return err
		}
	}
	r := report.Pieces{Done: j.Stock.Fixture.Done, Of: of, Run: of - j.Stock.Fixture.Done}
	return emit(w, f, r, func(out io.Writer) error {
		_, err := fmt.Fprintf(out, "%d of %d pieces are cut, %d are left: plan makes the program for those\n", r.Done, r.Of, r.Run)
		return err
	})
}
