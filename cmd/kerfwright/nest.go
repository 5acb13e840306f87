package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

// nestJob lays the job's parts out by their true shapes and writes the places
// into the job file.
func nestJob(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("nest takes one job file")
	}
	name := f.rest[0]
	j, loops, faults, err := opened(w, name)
	if err != nil {
		return err
	}
	if f.has("clear") {
		j.Layout.Places = slices.DeleteFunc(slices.Clone(j.Layout.Places), func(p job.Place) bool { return !p.Lock })
		j.Layout.Method = ""
		if err := saveTables(name, j, "layout"); err != nil {
			return err
		}
		_, err := fmt.Fprintln(w.tables(), "places taken back; parts lie in rows again, but for those that are locked")
		return err
	}
	for _, o := range []struct {
		name string
		put  func(int)
	}{{"rounds", func(n int) { j.Layout.Rounds = n }}, {"seed", func(n int) { j.Layout.Seed = int64(n) }}, {"sheets", func(n int) { j.Stock.Sheets = n }}} {
		if s := f.one(o.name); s != "" {
			n, err := parseCount(o.name, s)
			if err != nil {
				return err
			}
			o.put(n)
		}
	}
	tables := []string{"layout", "stock"}
	if f.has("apart") {
		apart, more := planner.Apart(j, loops)
		faults = append(faults, more...)
		j, loops, tables = apart.Job, apart.Loops, append(tables, "drawings", "edits", "overrides", "texts")
	}
	out, more := planner.Nest(context.Background(), j, loops)
	faults = append(faults, more...)
	if err := complain(w, faults); err != nil {
		return err
	}
	j.Layout.Places, j.Layout.Method = out.Places, job.MethodNest
	if err := saveTables(name, j, tables...); err != nil {
		return err
	}
	r := report.Nest{Job: name, How: out.How, Plates: out.Plates, Used: out.Length, Density: out.Density, Rounds: out.Rounds, Gap: out.Gap,
		Places: placesOf(out.Places), Warnings: lines(faults)}
	return emit(w, f, r, r.Table)
}

func placesOf(places []job.Place) []report.Place {
	out := []report.Place{}
	for _, p := range places {
		out = append(out, report.Place{Drawing: p.Drawing + 1, X: p.X, Y: p.Y, Angle: p.Angle, Mirror: p.Mirror, Plate: max(1, p.Plate), Lock: p.Lock})
	}
	return out
}

// remnant lists what lies in the rack, or keeps what is left of a job's plate.
func remnant(w world, f flags) error {
	root, err := presets.UserFolder(w.env)
	if err != nil {
		return err
	}
	store := presets.OpenStore(root)
	if used := f.one("used"); used != "" {
		all, _ := store.Remnants()
		r, ok := presets.Named(all, used)
		if !ok {
			return fmt.Errorf("no remnant %q in the store; remnant lists them", plain.Clean(used))
		}
		r.Used = time.Now().Format(time.RFC3339)
		if _, err := store.SaveRemnant(r, 1); err != nil {
			return err
		}
		_, err := fmt.Fprintf(w.tables(), "%s is used up; it is offered no more\n", plain.Clean(r.Name.String()))
		return err
	}
	if len(f.rest) == 0 {
		all, faults := store.Remnants()
		var out report.Remnants
		for _, r := range all {
			if r.Used == "" {
				out.All = append(out.All, remnantReport(r, ""))
			}
		}
		out.Warnings = lines(faults)
		return emit(w, f, out, out.Table)
	}
	if len(f.rest) != 1 {
		return usagef("remnant takes one job file, or nothing to list what is kept")
	}
	j, p, faults, err := planned(w, f.rest[0], f)
	if err != nil {
		return err
	}
	pieces, err := planner.Remnants(j, p)
	if err != nil {
		return err
	}
	out := report.Remnants{Warnings: lines(faults)}
	label := f.one("name")
	for _, r := range presets.LeftOf(j, planner.EdgesOf(pieces), label, time.Now().Format(time.RFC3339)) {
		where := ""
		if label != "" {
			saved, err := store.SaveRemnant(r, j.Units)
			if err != nil {
				return err
			}
			where = filepath.Join(root, saved.Item.String())
		}
		out.All = append(out.All, remnantReport(r, where))
	}
	return emit(w, f, out, out.Table)
}

func remnantReport(r presets.Remnant, file string) report.Remnant {
	m, _ := layout.MetalOf(r.Stock(job.Stock{}), 1)
	return report.Remnant{Name: r.Name.String(), Material: string(r.Material), Thickness: r.Thickness, Width: m.Box.Width(), Height: m.Box.Height(),
		Area: m.Area(), Kept: r.Kept, Job: r.Job.String(), File: file}
}

// stockFrom puts on the table what --stock names: a remnant of the store, or
// the closed lines of a drawing.
func stockFrom(w world, s string, st *job.Stock) error {
	if ext := strings.ToLower(filepath.Ext(s)); ext == ".dxf" || ext == ".svg" || ext == ".pdf" {
		j := job.Job{Units: 1, Drawings: []job.Drawing{{File: s}}}
		loops, faults := planner.Read(context.Background(), j, presets.DrawingsIn("."))
		if err := complain(w, faults); err != nil {
			return err
		}
		return outlineOf(loops[0], filepath.Base(s), st)
	}
	root, err := presets.UserFolder(w.env)
	if err != nil {
		return err
	}
	all, _ := presets.OpenStore(root).Remnants()
	r, ok := presets.Named(all, s)
	if !ok {
		var have []string
		for _, r := range all {
			if r.Fits(*st) {
				have = append(have, r.Name.String())
			}
		}
		return fmt.Errorf("no remnant %q in the store: of this metal there are %q", plain.Clean(s), have)
	}
	if !r.Fits(*st) {
		return fmt.Errorf("remnant %q is %s %.4g mm, or used up: the job wants %s %.4g mm", plain.Clean(s), r.Material, r.Thickness, st.Material, st.Thickness)
	}
	thick := st.Thickness
	*st = r.Stock(*st)
	st.Thickness = thick
	return nil
}

// outlineOf takes the closed lines of a drawing as an offcut.
func outlineOf(l *drawing.Loops, name string, st *job.Stock) error {
	var paths []geom.Path
	for _, c := range l.Closed {
		if c.Use == job.LayerCut {
			paths = append(paths, c.Path)
		}
	}
	if len(paths) == 0 {
		return fmt.Errorf("%s: no closed line to take for the offcut's edge", plain.Clean(name))
	}
	st.Outline, st.From = layout.RingsOf(paths), plain.Of(name)
	if _, faults := layout.MetalOf(*st, 1); faults.Bad() {
		return fmt.Errorf("%s: %w", plain.Clean(name), faults.Err())
	}
	return nil
}
