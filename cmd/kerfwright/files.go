package main

import (
	"fmt"
	"path/filepath"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/presets"
)

// maxProgram is the largest program that is opened, in bytes.
const maxProgram = 256 << 20

// openJob reads a job file. Its drawings are read from beside it, or from the
// copies in it.
func openJob(name string) (job.Job, *keep.Source, fault.List) {
	text, err := presets.ReadFile(name, jobfile.MaxJob)
	if err != nil {
		return job.Job{}, nil, fault.From(fmt.Errorf("open the job: %w", err), fault.Where{})
	}
	j, faults := jobfile.Decode(name, text)
	return j, keep.In(j, presets.DrawingsIn(filepath.Dir(name))), faults
}

// ask is what the command line may say about how drawings are read.
func readOptions(f flags) (job.Drawing, error) {
	var d job.Drawing
	var err error
	if s := f.one("units"); s != "" {
		if d.Units, err = parseUnits(s); err != nil {
			return d, err
		}
	}
	if s := f.one("page"); s != "" {
		if d.Page, err = parseCount("page", s); err != nil {
			return d, err
		}
	}
	return d, nil
}

// keepLayers turns --layer NAME into words on every layer of the drawing: the
// ones named are cut, the others ignored. A name that the drawing lacks is an
// error that lists those it has.
func keepLayers(l *drawing.Loops, names []string) ([]job.Layer, error) {
	var out []job.Layer
	found := map[string]bool{}
	var have []string
	for _, info := range l.Layers {
		use := job.LayerIgnore
		for _, n := range names {
			if n == info.Name.String() {
				use, found[n] = job.LayerCut, true
			}
		}
		have = append(have, info.Name.String())
		out = append(out, job.Layer{Name: info.Name, Use: use})
	}
	for _, n := range names {
		if !found[n] {
			return nil, fmt.Errorf("no layer %q: the drawing has %q", n, have)
		}
	}
	return out, nil
}
