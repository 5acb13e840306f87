package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// logCut records what was seen after a run of a job, or lists the cut log.
func logCut(w world, f flags) error {
	s, err := shopStore(w)
	if err != nil {
		return err
	}
	switch len(f.rest) {
	case 0:
		return logList(w, f, s)
	case 1:
	default:
		return usagef("log takes one job file")
	}
	j, p, _, err := planned(w, f.rest[0], f)
	if err != nil {
		return err
	}
	r := presets.RunOf(j, p.Tree, p.Plan.Pierces, p.Plan.Times.ArcOn+p.Plan.Times.Pierce)
	r.At = time.Now().Format(time.RFC3339)
	if err := logOptions(&r, f, j.Units); err != nil {
		return err
	}
	sets, _ := s.Sets()
	if set, ok := presets.Fitted(sets); ok && r.Set.Empty() {
		r.Set = set.Name
	}
	if r, err = s.LogRun(r, j.Units); err != nil {
		return err
	}
	out := report.Run{ID: r.ID, Job: r.Job.String(), At: r.At, Starts: r.Starts, ArcOn: r.ArcOn, Set: r.Set.String()}
	for _, l := range r.Looks {
		if l.Measured > 0 {
			out.Measured++
		}
		if l.Dross != "" {
			out.Looked++
		}
	}
	return emit(w, f, out, func(to io.Writer) error {
		_, err := fmt.Fprintf(to, "kept as %s: %d sizes measured, %d edges looked at. What it says: kerfwright preset learn --material %s --thickness %s --amps %s\n",
			out.ID, out.Measured, out.Looked, r.Material, unit.Shortest(r.Thickness), unit.Shortest(r.Process.Amps))
		return err
	})
}

// setLasts warns if the fitted consumables would not last for a program.
func setLasts(w world, p *planner.Program) fault.List {
	s, err := shopStore(w)
	if err != nil {
		return nil
	}
	sets, _ := s.Sets()
	if len(sets) == 0 {
		return nil
	}
	runs, _ := s.Runs()
	return presets.Lasts(sets, runs, p.Plan.Pierces, p.Plan.Times.ArcOn+p.Plan.Times.Pierce).Faults()
}

// logOptions puts what the call says on the run.
func logOptions(r *presets.Run, f flags, in unit.System) error {
	r.By, r.Notes, r.Set = plain.Of(f.one("by")), plain.Of(f.one("notes")), plain.Of(f.one("set"))
	r.Changed = f.has("changed")
	if s := f.one("volts"); s != "" {
		v, err := unit.ParseNumber(s)
		if err == nil {
			err = job.ProcessVolts.Check(v, in)
		}
		if err != nil {
			return usagef("--volts %q: %v", plain.Clean(s), err)
		}
		r.Volts = job.Of(v)
	}
	if s := f.one("lost"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || job.LogLost.Check(float64(n), in) != nil {
			return usagef("--lost %q: must be a whole number from 0", plain.Clean(s))
		}
		r.Lost = n
	}
	for _, s := range f.values["size"] {
		at, text, ok := strings.Cut(s, "=")
		v, err := unit.ParseLength(text, in)
		if !ok || err != nil {
			return usagef("--size %q: must be FEATURE.SIDE=LENGTH, such as p1.outline.width=60.12", plain.Clean(s))
		}
		if err := job.LogSize.Check(v, in); err != nil {
			return usagef("--size %q: %v", plain.Clean(s), err)
		}
		found := looks(r, at)
		if len(found) != 1 {
			return usagef("--size %q: there is no such size. There are: %s", plain.Clean(s), strings.Join(lookNames(r), ", "))
		}
		found[0].Measured = v
	}
	for _, s := range f.values["dross"] {
		at, word, ok := strings.Cut(s, "=")
		if !ok {
			at, word = "", s // all edges
		}
		if !slices.Contains(learn.Drosses(), learn.Dross(word)) {
			return usagef("--dross %q: must be FEATURE=WORD or WORD for all, WORD one of %v", plain.Clean(s), learn.Drosses())
		}
		found := looks(r, at)
		if len(found) == 0 {
			return usagef("--dross %q: there is no such feature. There are: %s", plain.Clean(s), strings.Join(lookNames(r), ", "))
		}
		for _, l := range found {
			l.Dross = learn.Dross(word)
		}
	}
	for _, s := range f.values["bevel"] {
		at, text, ok := strings.Cut(s, "=")
		deg, err := unit.ParseNumber(text)
		rad := deg * math.Pi / 180
		if !ok || err != nil || job.LogBevel.Check(rad, in) != nil {
			return usagef("--bevel %q: must be FEATURE=DEGREES within 45, over 0 where more is cut away on top", plain.Clean(s))
		}
		found := looks(r, at)
		if len(found) == 0 {
			return usagef("--bevel %q: there is no such feature", plain.Clean(s))
		}
		found[0].Bevel = job.Of(rad)
	}
	return nil
}

// looks finds what FEATURE, or FEATURE.SIDE, stands for; "" is everything.
func looks(r *presets.Run, at string) []*presets.Look {
	var all []*presets.Look
	for i := range r.Looks {
		l := &r.Looks[i]
		if at == "" || at == l.Feature || at == l.Feature+"."+l.Side {
			all = append(all, l)
		}
	}
	return all
}

func lookNames(r *presets.Run) []string {
	var all []string
	for _, l := range r.Looks {
		all = append(all, l.Feature+"."+l.Side)
	}
	return all
}

func logList(w world, f flags, s presets.Store) error {
	runs, faults := s.Runs()
	for _, x := range faults {
		fmt.Fprintln(w.complaints(), x.Error())
	}
	r := report.Runs{Runs: []report.Run{}}
	for _, x := range runs {
		out := report.Run{ID: x.ID, Job: x.Job.String(), At: x.At, Starts: x.Starts, ArcOn: x.ArcOn, Set: x.Set.String()}
		for _, l := range x.Looks {
			if l.Measured > 0 {
				out.Measured++
			}
			if l.Dross != "" {
				out.Looked++
			}
		}
		r.Runs = append(r.Runs, out)
	}
	return emit(w, f, r, r.Table)
}

// consumables tells what the fitted set has behind it, or fits a new one.
func consumables(w world, f flags) error {
	if len(f.rest) > 0 {
		return usagef("consumables takes no file")
	}
	s, err := shopStore(w)
	if err != nil {
		return err
	}
	if name := f.one("fit"); name != "" {
		why := presets.SetEnd(f.one("old"))
		if why == "" {
			why = presets.SetWorn
		}
		if !slices.Contains(presets.SetEnds(), why) {
			return usagef("--old %q: must be one of %v", plain.Clean(string(why)), presets.SetEnds())
		}
		if err := s.FitSet(presets.Set{Name: plain.Of(name), Fitted: time.Now().Format(time.RFC3339)}, why); err != nil {
			return err
		}
	}
	sets, faults := s.Sets()
	runs, more := s.Runs()
	for _, x := range append(faults, more...) {
		fmt.Fprintln(w.complaints(), x.Error())
	}
	r := report.Consumables{Sets: []report.Set{}}
	for _, set := range sets {
		wear := presets.WearOf(set, runs)
		r.Sets = append(r.Sets, report.Set{Name: set.Name.String(), Fitted: set.Fitted, Ended: set.Ended, Why: string(set.Why), Starts: wear.Starts, ArcOn: wear.ArcOn})
	}
	life := presets.LifeOfSets(sets, runs)
	r.Worn = life.Starts.N
	if life.Starts.N > 0 {
		r.LifeStarts, r.LifeHours = life.Starts.Mean, life.Hours.Mean
		r.CountOn = fmt.Sprintf("count on %s starts and %s h of arc", unit.Number(life.Starts.Prudent(), 0), unit.Number(life.Hours.Prudent(), 1))
	}
	return emit(w, f, r, r.Table)
}
