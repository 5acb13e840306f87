package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
)

// Largest files that are opened, in bytes.
const (
	maxDrawing = 512 << 20 // bytes
	maxJob     = 64 << 20
)

// folder hands the planner drawings by the paths that a job names, seen from
// the job's own folder.
type folder string

func (f folder) Drawing(name string) ([]byte, error) {
	if !filepath.IsAbs(name) {
		name = filepath.Join(string(f), name)
	}
	return readFile(name, maxDrawing)
}

// readFile reads a regular file of at most the given bytes.
func readFile(name string, most int64) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder", name)
	case info.Size() > most:
		return nil, fmt.Errorf("%s holds %d bytes, at most %d are read", name, info.Size(), most)
	}
	return io.ReadAll(io.LimitReader(file, most))
}

// openJob reads a job file.
func openJob(name string) (job.Job, folder, fault.List) {
	text, err := readFile(name, maxJob)
	if err != nil {
		return job.Job{}, "", fault.From(fmt.Errorf("open the job: %w", err), fault.Where{})
	}
	j, faults := jobfile.Decode(name, text)
	return j, folder(filepath.Dir(name)), faults
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
