package planner

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/shape"
)

// Read opens and reads every drawing of the job, and makes its typed shapes.
// Entries of one drawing share what was read once; its faults come once. A
// drawing that cannot be read leaves a nil entry and at least one Error.
func Read(ctx context.Context, j job.Job, src Sources) ([]*drawing.Loops, fault.List) {
	var faults fault.List
	out := make([]*drawing.Loops, len(j.Drawings))
	first := map[string]int{} // entries that read the same text in the same way share what is read
	for i, d := range j.Drawings {
		if d.Shape != nil {
			loops, more := shape.In(*d.Shape, j.Units)
			if loops != nil {
				loops.Name = PartName(d)
			}
			faults = append(faults, more...)
			out[i] = loops
			continue
		}
		o := ReadOptions(j, i)
		way := fmt.Sprintf("%q %#v", d.File, o)
		if k, ok := first[way]; ok {
			out[i] = out[k]
			continue
		}
		first[way] = i
		data, err := src.Drawing(d.File)
		if err != nil {
			do := "Check that it can be read."
			if errors.Is(err, fs.ErrNotExist) {
				do = "Put the drawing back beside the job, or choose another."
			}
			faults.Errorf(fault.Where{File: d.File}, "drawing-open", do, "the drawing does not open: %v", err)
			continue
		}
		loops, more := drawing.Read(ctx, data, o)
		faults = append(faults, more...)
		out[i] = loops
	}
	return out, faults
}

// ReadOptions returns how the job wants its drawing i read.
func ReadOptions(j job.Job, i int) drawing.Options {
	d := j.Drawings[i]
	return drawing.Options{
		Name: plain.Of(d.File), Units: d.Units, Scale: d.Scale, Page: d.Page, Layers: d.Layers,
		Gap: d.Gap, Fit: j.Rules.WithDefaults().Tolerance,
	}
}

// Features sorts the job's drawings into parts and features, with the rules
// and the operator's overrides applied.
func Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List) {
	names, only := make([]plain.Text, len(j.Drawings)), make([]int, len(j.Drawings))
	for i, d := range j.Drawings {
		names[i], only[i] = PartName(d), d.Part
	}
	return feature.Build(feature.Input{
		Drawings: loops, Names: names, Only: only, Stock: j.Stock, Process: j.Process, Rules: j.Rules, Edits: j.Edits, Overrides: j.Overrides, Units: j.Units,
	})
}

// PartName returns what a drawing's part is called: the name given, or the
// file's own without folder and ending and, of several, which it is, or what
// shape it is.
func PartName(d job.Drawing) plain.Text {
	if !d.Name.Empty() {
		return d.Name
	}
	if d.Shape != nil {
		return plain.Of(string(d.Shape.Kind))
	}
	base := path.Base(d.File)
	base = base[:len(base)-len(path.Ext(base))]
	if d.Part > 0 {
		base += fmt.Sprint(" ", d.Part)
	}
	return plain.Of(base)
}
