package main

import (
	"context"
	"fmt"
	"path/filepath"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

func prove(w world, f flags) error {
	if len(f.rest) < 1 || len(f.rest) > 2 {
		return usagef("proof takes a job file and at most one program")
	}
	from, resumed, err := fromFlags(f)
	if err != nil {
		return err
	}
	if resumed && len(f.rest) < 2 {
		return usagef("--at and --line are for a program that resume wrote: name it")
	}
	name := f.rest[0]
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return err
	}
	if j, err = onPlate(j, f); err != nil {
		return err
	}
	program := programName(name, j)
	if len(f.rest) == 2 {
		program = f.rest[1]
	}
	set, err := setOf(program)
	if err != nil {
		return err
	}
	dry := planner.IsDry(program, set[0].text)
	verdict, more := proof.Result{}, fault.List(nil)
	if resumed {
		verdict, more = planner.ProveResumed(context.Background(), j, loops, set[0].text, dry, from, set.then()...)
	} else {
		verdict, more = planner.Prove(context.Background(), j, loops, set[0].text, dry, set.then()...)
	}
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	r := set.report(verdict, program, len(f.rest) == 2)
	for i, p := range set {
		if len(f.rest) == 2 && !p.named || len(f.rest) < 2 && i > 0 {
			continue // told with the first
		}
		for _, m := range ofTheJob(name, j, p.path, p.text, len(f.rest) < 2) {
			r.OK = r.OK && m.Severity != fault.Error
			r.Findings = append(r.Findings, report.Finding{Line: m.Line, Text: m.Severity.String() + ": " + m.Error()})
		}
	}
	if err := emit(w, f, r, r.Table); err != nil {
		return err
	}
	if !r.OK {
		return fmt.Errorf("%s: not proved, %d findings", plain.Clean(program), len(r.Findings))
	}
	return nil
}

// ofTheJob says whether a program belongs to the job as it is: by the sums of
// the last save if it lies among its files, by the mark in its head if not.
func ofTheJob(name string, j job.Job, program string, text []byte, whole bool) fault.List {
	var out fault.List
	dir, named := filepath.Dir(name), false
	if same, err := sameFolder(dir, filepath.Dir(program)); err == nil && same {
		for _, m := range bundle.Mixed(presets.Folder(dir), filepath.Base(name), j) {
			if whole || m.File == filepath.Base(program) {
				out.Add(m)
				named = named || m.File == filepath.Base(program)
			}
		}
	}
	if !named {
		out = append(out, bundle.Stale(fault.Where{File: plain.Clean(filepath.Base(program))}, text, filepath.Base(name), j)...)
	}
	return out
}

// written is a program that lies on the disk.
type written struct {
	path  string
	text  []byte
	named bool // by the call
}

// programs are those that cut a job together.
type programs []written

// setOf reads a program and, where it says that it is one of several, the
// others from beside it.
func setOf(name string) (programs, error) {
	text, err := presets.ReadFile(name, maxProgram)
	if err != nil {
		return nil, fmt.Errorf("open the program: %w", err)
	}
	part, of := planner.SetOf(text)
	var out programs
	for k := 1; k <= of; k++ {
		if k == part {
			out = append(out, written{name, text, true})
			continue
		}
		other := planner.Sibling(filepath.Base(name), part, of, k)
		if other == "" {
			return nil, fmt.Errorf("%s: says that it is program %d of %d, and its name does not: the others cannot be found. Give it its own name back", plain.Clean(name), part, of)
		}
		path := filepath.Join(filepath.Dir(name), other)
		text, err := presets.ReadFile(path, maxProgram)
		if err != nil {
			return nil, fmt.Errorf("%s is program %d of %d, and only all of them cut the job: %w", plain.Clean(filepath.Base(name)), part, of, err)
		}
		out = append(out, written{path, text, false})
	}
	return out, nil
}

// then are the texts of all but the first.
func (set programs) then() [][]byte {
	var out [][]byte
	for _, p := range set[1:] {
		out = append(out, p.text)
	}
	return out
}

// report tells what the proof found: of the one program that was named, or of
// all.
func (set programs) report(v proof.Result, name string, one bool) report.Proof {
	r := planner.ProofReport(v)
	if len(set) < 2 {
		return r
	}
	r.Findings, r.OK = []report.Finding{}, true
	elsewhere := 0
	for _, f := range v.Findings {
		if p := set[f.Program]; !one || p.named {
			r.OK = r.OK && f.Severity < fault.Error
			r.Findings = append(r.Findings, report.Finding{File: filepath.Base(p.path), Line: f.Line, Feature: f.Feature, Text: f.Severity.String() + ": " + f.Text})
		} else if f.Severity == fault.Error {
			elsewhere++
		}
	}
	if elsewhere > 0 {
		r.OK = false
		r.Findings = append(r.Findings, report.Finding{File: filepath.Base(name), Text: fmt.Sprintf("error: the other programs of the job have %d findings: prove them all, without naming one", elsewhere)})
	}
	return r
}
