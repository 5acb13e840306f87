package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

// errTold ends a command whose faults have been printed already.
var errTold = errors.New("")

// complain prints every Error, one line each, worst first, and returns the
// error that ends the command; nil if there is none.
func complain(w world, faults fault.List) error {
	bad := faults.At(fault.Error)
	for _, f := range bad {
		fmt.Fprintln(w.complaints(), f.Error())
	}
	if len(bad) > 0 {
		return errTold
	}
	return nil
}

// lines returns the warnings and notes of a list, for a report.
func lines(faults fault.List) []string {
	out := []string{}
	for _, f := range faults.Sorted() {
		if f.Severity != fault.Error {
			out = append(out, f.Severity.String()+": "+f.Error())
		}
	}
	return out
}

// emit prints a report as JSON or as its table.
func emit(w world, f flags, v any, table func(io.Writer) error) error {
	if f.has("json") {
		return report.JSON(w.out, v)
	}
	return table(w.tables())
}

func inspect(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("inspect takes one drawing")
	}
	d, err := readOptions(f)
	if err != nil {
		return err
	}
	d.File = f.rest[0]
	defer sparing(d.File)()
	j := job.Job{Units: d.Units, Drawings: []job.Drawing{d}}
	if j.Units == 0 {
		j.Units = 1
	}
	l, faults, err := readWith(w, &j, f)
	if err != nil {
		return err
	}
	r, more := planner.Inspect(l, j)
	faults = append(faults, more...)
	r.Warnings = lines(faults)
	// A drawing without a part is still a drawing that can be looked at.
	for _, e := range faults.At(fault.Error) {
		r.Warnings = append([]string{"error: " + e.Error()}, r.Warnings...)
	}
	if f.has("json") {
		return report.JSON(w.out, r)
	}
	if err := r.Table(w.tables()); err != nil {
		return err
	}
	return sketch(w, l)
}

// sparing asks the garbage collector to keep the process under six times the
// size of a large drawing, at about a third more time, until the function
// that it returns is called.
func sparing(name string) func() {
	const small = 16 << 20
	info, err := os.Stat(name)
	if err != nil || info.Size() < small {
		return func() {}
	}
	was := debug.SetMemoryLimit(info.Size() / 2 * 9) // what the collector does not count takes the rest
	return func() { debug.SetMemoryLimit(was) }
}

// readWith reads the only drawing of j with the options of the call.
func readWith(w world, j *job.Job, f flags) (*drawing.Loops, fault.List, error) {
	src := presets.DrawingsIn(".")
	read := func() (*drawing.Loops, fault.List) {
		all, faults := planner.Read(context.Background(), *j, src)
		return all[0], faults
	}
	l, faults := read()
	if err := complain(w, faults); err != nil {
		return nil, nil, err
	}
	if names := f.values["layer"]; len(names) > 0 {
		layers, err := keepLayers(l, names)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", plain.Clean(j.Drawings[0].File), err)
		}
		j.Drawings[0].Layers = layers
		if l, faults = read(); faults.Bad() {
			return nil, nil, complain(w, faults)
		}
	}
	for _, s := range f.values["scale"] {
		scale, err := knownLength(l, *j, s)
		if err != nil {
			return nil, nil, err
		}
		j.Drawings[0].Scale = scale
		if l, faults = read(); faults.Bad() {
			return nil, nil, complain(w, faults)
		}
	}
	return l, faults, nil
}

func newJob(w world, f flags) error {
	j, err := jobOf(f)
	if err != nil {
		return err
	}
	lib, faults := library(w)
	out := f.one("o")
	dir := filepath.Dir(out)
	for _, name := range f.rest {
		d, err := readOptions(f)
		if err != nil {
			return err
		}
		if d.File, err = relative(dir, name); err != nil {
			return err
		}
		if n := f.one("quantity"); n != "" {
			if d.Quantity, err = parseCount("quantity", n); err != nil {
				return err
			}
		}
		if t := f.one("turns"); t != "" {
			if d.Turns = job.Turning(t); !slices.Contains(job.Turnings(), d.Turns) {
				return usagef("--turns %q: must be one of %v", plain.Clean(t), job.Turnings())
			}
		}
		j.Drawings = append(j.Drawings, d)
	}
	if s := f.one("stock"); s != "" {
		if err := stockFrom(w, s, &j.Stock); err != nil {
			return err
		}
	}
	if err := fromLibrary(lib, &j, f); err != nil {
		return err
	}
	bands, more := shopBands(w)
	j.Rules.Holes, faults = bands, append(faults, more...)
	src := keep.In(j, presets.DrawingsIn(dir))
	loops, more := planner.Read(context.Background(), j, src)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	if f.has("apart") {
		apart, more := planner.Apart(j, loops)
		faults = append(faults, more...)
		j, loops = apart.Job, apart.Loops
	}
	tree, more := planner.Features(j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	j.Layout.Share = f.has("share")
	if f.has("nest") {
		nested, more := planner.Nest(context.Background(), j, loops)
		faults = append(faults, more...)
		if err := complain(w, faults); err != nil {
			return err
		}
		j.Layout.Places, j.Layout.Method = nested.Places, job.MethodNest
	}
	j, more = src.Stamp(j)
	faults = append(faults, more...)
	if err := saveJob(out, j); err != nil {
		return err
	}
	r := report.New{Job: out, Features: planner.FeatureReport(tree, true), Warnings: lines(faults)}
	return emit(w, f, r, r.Table)
}

func plan(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("plan takes one job file")
	}
	name := f.rest[0]
	j, src, faults := openJob(name)
	if err := complain(w, faults); err != nil {
		return err
	}
	src.Anew = f.has("take-changed")
	loops, more, err := readAll(w, j, src)
	faults = append(faults, more...)
	if err != nil {
		return err
	}
	was := j
	if src.Anew {
		if m, ok := whatMoved(j, src, loops); ok {
			var told []string
			j, told = m.Carry(j)
			faults = append(faults, planner.Carried(m, told)...)
		}
	}
	kept, more := src.Stamp(j)
	faults = append(faults, more...)
	j.Layout.Plate = 0
	plates, more := planner.Plates(context.Background(), j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	dir := f.one("o")
	if dir == "" {
		dir = filepath.Dir(name)
	}
	files, err := savePrograms(dir, name, was, kept, plates)
	if err != nil {
		return err
	}
	if names, err := presets.Folder(dir).Names(); err == nil {
		faults = append(faults, planner.Leftovers(names, j, stem(name), files)...)
	}
	return planReport(w, f, j, plates, dir, files, faults)
}

// planReport prints the plan of every plate with what it costs.
func planReport(w world, f flags, j job.Job, plates []*planner.Program, dir string, files []planner.Output, faults fault.List) error {
	prices, more := shopPrices(w)
	var r report.Plan
	var all []string
	for i, p := range plates {
		more = append(more, setLasts(w, p)...)
		one := p.Plan
		var names []string
		for _, o := range files {
			if o.Plate == max(1, p.Plate) {
				names = append(names, filepath.Join(dir, o.Name))
			}
		}
		for k := range one.Cuts {
			one.Cuts[k].File = filepath.Base(names[2*p.Cuts[k].Program])
		}
		all = append(all, names...)
		one.Cost = planner.CostReport(planner.Cost(j.On(max(1, p.Plate)), p, prices), prices)
		if i == 0 {
			r = one
			continue
		}
		one.Files, one.Warnings = names, []string{}
		r.Others = append(r.Others, one)
	}
	r.Files, r.Warnings = all, lines(append(faults, more...))
	return emit(w, f, r, r.Table)
}

// planned opens a job, reads its drawings and plans it. Any Error ends it.
func planned(w world, name string, f flags) (job.Job, *planner.Program, fault.List, error) {
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return j, nil, nil, err
	}
	if j, err = onPlate(j, f); err != nil {
		return j, nil, nil, err
	}
	p, more := planner.Plan(context.Background(), j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return j, nil, nil, err
	}
	return j, p, faults, nil
}

// onPlate is the job as it is on the plate that --plate names, the first
// without it.
func onPlate(j job.Job, f flags) (job.Job, error) {
	n := 1
	if s := f.one("plate"); s != "" {
		var err error
		if n, err = parseCount("plate", s); err != nil {
			return j, err
		}
	}
	return j.On(n), nil
}

func opened(w world, name string) (job.Job, []*drawing.Loops, fault.List, error) {
	j, src, faults := openJob(name)
	if err := complain(w, faults); err != nil {
		return j, nil, nil, err
	}
	loops, more, err := readAll(w, j, src)
	return j, loops, append(faults, more...), err
}

// readAll reads the drawings of a job.
func readAll(w world, j job.Job, src *keep.Source) ([]*drawing.Loops, fault.List, error) {
	loops, faults := planner.Read(context.Background(), j, src)
	faults = append(faults, src.Told()...)
	if m, ok := whatMoved(j, src, loops); ok && !src.Anew {
		const lines = 20 // of what moved; a drawing that was made anew has no end of them
		faults = append(faults, m.Notes(j, lines)...)
	}
	return loops, faults, complain(w, faults)
}

func relative(dir, name string) (string, error) {
	if _, err := os.Stat(name); err != nil {
		return "", fmt.Errorf("open the drawing: %w", err)
	}
	if !plain.IsClean(name) {
		return "", fmt.Errorf("%s: the file's name holds control characters: rename it", plain.Clean(name))
	}
	a, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	b, err := filepath.Abs(name)
	if err != nil {
		return "", err
	}
	return filepath.Rel(a, b)
}
