package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// fromFlags reads --at and --line; given says that one of them is there.
func fromFlags(f flags) (from planner.From, given bool, err error) {
	at, line := f.one("at"), f.one("line")
	if s := f.one("program"); s != "" {
		if line == "" {
			return from, true, usagef("--program says which program a --line is of")
		}
		if from.Program, err = parseCount("program", s); err != nil {
			return from, true, err
		}
	}
	switch {
	case at != "" && line != "":
		return from, false, usagef("--at and --line say the same: give one of them")
	case at != "":
		from.Cut, err = parseCount("at", at)
	case line != "":
		from.Line, err = parseCount("line", line)
	default:
		return from, f.has("at") || f.has("line"), nil
	}
	return from, true, err
}

// resume writes a program that leaves out what is cut already.
func resume(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("resume takes one job file")
	}
	from, given, err := fromFlags(f)
	if err != nil {
		return err
	}
	if !given || from == (planner.From{}) {
		return usagef("resume needs --at CUT, the first cut that was not begun, or --line N, the line at which the machine stopped")
	}
	name := f.rest[0]
	j, whole, faults, err := planned(w, name, f)
	if err != nil {
		return err
	}
	if err := sameProgram(name, j, whole); err != nil {
		return err
	}
	p, more := planner.TakeUp(j, whole, from)
	if err := complain(w, more); err != nil {
		return err
	}
	faults = append(faults, more...)
	dir := f.one("o")
	if dir == "" {
		dir = filepath.Dir(name)
	}
	outputs, err := planner.Outputs(j, stem(name), from.Tag(), []*planner.Program{p})
	if err != nil {
		return err
	}
	var entries []bundle.Entry
	for _, o := range outputs {
		entries = append(entries, bundle.Entry{Name: o.Name, Data: o.Text})
	}
	if err := bundle.Replace(presets.Folder(dir), entries); err != nil {
		return fmt.Errorf("save: %w", err)
	}
	return planReport(w, f, j, []*planner.Program{p}, dir, outputs, faults)
}

// sameProgram refuses to count cuts and lines in programs that are not those
// that were run.
func sameProgram(name string, j job.Job, p *planner.Program) error {
	outputs, err := planner.Outputs(j, stem(name), "", []*planner.Program{p})
	if err != nil {
		return err
	}
	for _, o := range outputs {
		if o.Dry {
			continue
		}
		program := filepath.Join(filepath.Dir(name), o.Name)
		text, err := presets.ReadFile(program, maxProgram)
		if errors.Is(err, fs.ErrNotExist) {
			continue // cut from a copy elsewhere
		}
		if err != nil {
			return fmt.Errorf("open the program: %w", err)
		}
		if !bytes.Equal(text, o.Text) {
			return fmt.Errorf("%s: is not what this job plans now, so its cuts and lines do not count here. Put back the job as it was when the program was saved", plain.Clean(program))
		}
	}
	return nil
}
