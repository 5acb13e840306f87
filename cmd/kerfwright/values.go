package main

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

func parseUnits(s string) (unit.System, error) {
	u, err := unit.Parse(s)
	if err != nil {
		return 0, usagef("--units: %v", err)
	}
	return u, nil
}

func parseCount(name, s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		return 0, usagef("--%s %q: must be a whole number from 1", name, s)
	}
	return n, nil
}

// length reads an option in mm, or in inches if it ends in "in".
func length(f flags, name string, field job.Field) (float64, error) {
	s := f.one(name)
	if s == "" {
		return 0, nil
	}
	v, err := unit.ParseLength(s, unit.MM)
	if err != nil {
		return 0, usagef("--%s: %v", name, err)
	}
	if err := field.Check(v, unit.MM); err != nil {
		return 0, usagef("--%s %s: %v", name, plain.Clean(s), err)
	}
	return v, nil
}

// jobOf makes the part of a new job that the options alone decide.
func jobOf(f flags) (job.Job, error) {
	var j job.Job
	var err error
	if len(f.rest) == 0 {
		return j, usagef("new takes one drawing or more")
	}
	for _, need := range []string{"o", "material", "thickness", "sheet", "amps"} {
		if f.one(need) == "" && !(need == "sheet" && (f.has("blank") || f.has("stock") || f.has("disc"))) {
			return j, usagef("new needs --%s", need)
		}
	}
	out := f.one("o")
	if filepath.Ext(out) != ".toml" {
		return j, usagef("-o %s: a job file's name ends in .toml", plain.Clean(out))
	}
	j.Name = plain.Of(stem(out))
	if n := f.one("name"); n != "" {
		j.Name = plain.Of(n)
	}
	j.Units = unit.MM
	if s := f.one("units"); s != "" {
		if j.Units, err = parseUnits(s); err != nil {
			return j, err
		}
	}
	st := &j.Stock
	st.Hold, st.Zero = job.Plate, job.LowerLeft
	if f.has("blank") {
		st.Hold = job.Blank
	}
	st.Material = job.Material(f.one("material"))
	if !slices.Contains(job.Materials(), st.Material) {
		return j, usagef("--material %q: must be one of %v", f.one("material"), job.Materials())
	}
	if s := f.one("surface"); s != "" {
		if st.Surface = job.Surface(s); !slices.Contains(job.Surfaces(), st.Surface) {
			return j, usagef("--surface %q: must be one of %v", s, job.Surfaces())
		}
	}
	if st.Thickness, err = length(f, "thickness", job.StockThickness); err != nil {
		return j, err
	}
	if s := f.one("sheet"); s != "" {
		if st.Width, st.Height, err = sheetSize(s); err != nil {
			return j, err
		}
	}
	if s := f.one("disc"); s != "" {
		d, err := unit.ParseLength(s, unit.MM)
		if err == nil {
			err = job.ShapeDiameter.Check(d, unit.MM)
		}
		if err != nil {
			return j, usagef("--disc %q: %v", plain.Clean(s), err)
		}
		disc := job.NewShape(job.ShapeDisc).With(job.ShapeDiameter, d)
		st.Shape = &disc
	}
	if s := f.one("sheets"); s != "" {
		if st.Sheets, err = parseCount("sheets", s); err != nil {
			return j, err
		}
		if err := job.StockSheets.Check(float64(st.Sheets), unit.MM); err != nil {
			return j, usagef("--sheets %v", err)
		}
	}
	if err := trimFrom(f.one("trim"), &j.Layout); err != nil {
		return j, err
	}
	if j.Layout.Gap, err = length(f, "gap", job.LayoutGap); err != nil {
		return j, err
	}
	if j.Layout.Margin, err = length(f, "margin", job.LayoutMargin); err != nil {
		return j, err
	}
	amps, err := strconv.ParseFloat(f.one("amps"), 64)
	if err != nil || job.ProcessAmps.Check(amps, unit.MM) != nil {
		return j, usagef("--amps %q: must be a current in A", f.one("amps"))
	}
	j.Process.Amps = amps
	return j, nil
}

// sheetSize reads WxH, in mm or with "in" behind either or both.
func sheetSize(s string) (w, h float64, err error) {
	a, b, ok := strings.Cut(strings.ToLower(s), "x")
	if !ok {
		return 0, 0, usagef("--sheet %q: must be WIDTHxHEIGHT, such as 1000x500 or 48inx24in", s)
	}
	for i, part := range [2]string{a, b} {
		v, err := unit.ParseLength(part, unit.MM)
		field := [2]job.Field{job.StockWidth, job.StockHeight}[i]
		if err == nil {
			err = field.Check(v, unit.MM)
		}
		if err != nil {
			return 0, 0, usagef("--sheet %q: %v", s, err)
		}
		if i == 0 {
			w = v
		} else {
			h = v
		}
	}
	return w, h, nil
}

// library loads the presets, embedded and the shop's own. A broken file of
// the shop's is told and passed over.
func library(w world) (*presets.Library, fault.List) {
	root, err := presets.UserFolder(w.env)
	if err != nil {
		var none fs.FS
		lib, faults := presets.Load(none)
		return lib, faults
	}
	lib, faults := presets.OpenStore(root).Load()
	for i := range faults {
		faults[i].Severity = min(faults[i].Severity, fault.Warning)
	}
	return lib, faults
}

// shopBands are the hole bands that the shop keeps as its own; none if it has
// not kept any. A file with a fault in it is told and left out.
func shopBands(w world) ([]job.HoleRule, fault.List) {
	root, err := presets.UserFolder(w.env)
	if err != nil {
		return nil, nil
	}
	bands, own, faults := presets.OpenStore(root).HoleBands()
	for i := range faults {
		faults[i].Severity = min(faults[i].Severity, fault.Warning)
	}
	if !own {
		return nil, faults
	}
	return bands, faults
}

// shopPrices loads the shop's own prices. A list with a fault in it is told and
// passed over.
func shopPrices(w world) (cost.Prices, fault.List) {
	root, err := presets.UserFolder(w.env)
	if err != nil {
		return cost.Prices{}, nil
	}
	p, faults := presets.OpenStore(root).Prices()
	for i := range faults {
		faults[i].Severity = min(faults[i].Severity, fault.Warning)
	}
	return p, faults
}

// fromLibrary looks up the process and the machine.
func fromLibrary(lib *presets.Library, j *job.Job, f flags) error {
	p, _, err := lib.Lookup(j.Stock.Material, j.Stock.Thickness, j.Process.Amps)
	if err != nil {
		return err
	}
	j.Process = p.Rounded(j.Units)
	machines := lib.Machines()
	if name := f.one("machine"); name != "" {
		m, ok := lib.Machine(name)
		if !ok {
			var have []string
			for _, m := range machines {
				have = append(have, m.Name.String())
			}
			return fmt.Errorf("no machine profile %q: there are %q", plain.Clean(name), have)
		}
		j.Machine = m
		return nil
	}
	name := presets.DefaultMachine
	if j.Units == unit.Inch {
		name = presets.DefaultInchMachine
	}
	m, ok := lib.Machine(name)
	if !ok {
		return fmt.Errorf("no machine profile %q", name)
	}
	j.Machine = m
	return nil
}

func cautions(j job.Job) []string {
	var out []string
	for _, c := range presets.Cautions(j.Stock.Material, j.Stock.Surface, j.Stock.Under, j.Process.Amps) {
		line := c.Text
		if c.Figure != "" {
			line += " (" + c.Figure + ")"
		}
		out = append(out, line)
	}
	return out
}

// knownLength turns FEATURE=LENGTH into the drawing's scale: the length is
// the true diameter of a hole, the length of a slot, else the larger side.
func knownLength(l *drawing.Loops, j job.Job, s string) (float64, error) {
	id, text, ok := strings.Cut(s, "=")
	if !ok {
		return 0, usagef("--scale %q: must be FEATURE=LENGTH, such as p1.h1=12.5", plain.Clean(s))
	}
	want, err := unit.ParseLength(text, j.Units)
	if err != nil || want <= 0 {
		return 0, usagef("--scale %q: the length must be over 0", plain.Clean(s))
	}
	tree, _ := planner.Features(j, []*drawing.Loops{l})
	i := tree.Find(id)
	if i < 0 {
		return 0, fmt.Errorf("--scale: the drawing has no feature %q; inspect lists them", plain.Clean(id))
	}
	f := tree.Features[i]
	drawn := max(f.Width, f.Height)
	if f.Diameter > 0 {
		drawn = max(f.Diameter, f.Length)
	}
	old := j.Drawings[0].Scale
	if old == 0 {
		old = 1
	}
	fit, err := drawing.FitScale([]drawing.Measured{{Name: "--scale " + f.ID, Drawn: drawn, True: want}})
	if err != nil {
		return 0, err
	}
	return old * fit.Factor, nil
}

// trimFrom reads --trim: x, y or corner, and where.
func trimFrom(s string, l *job.Layout) error {
	if s == "" {
		return nil
	}
	kind, places, typed := strings.Cut(s, "=")
	l.Trim = job.Trimming(kind)
	if !slices.Contains(job.Trimmings(), l.Trim) {
		return usagef("--trim %q: must be x, y or corner", plain.Clean(s))
	}
	if !typed {
		return nil
	}
	to := map[job.Trimming][]*job.Opt{job.TrimX: {&l.TrimX}, job.TrimY: {&l.TrimY}, job.TrimCorner: {&l.TrimX, &l.TrimY}}[l.Trim]
	all := strings.Split(places, ",")
	if len(all) != len(to) {
		return usagef("--trim %q: %s takes %d lengths", plain.Clean(s), kind, len(to))
	}
	for i, p := range all {
		v, err := unit.ParseLength(p, unit.MM)
		if err == nil {
			err = job.LayoutTrimX.Check(v, unit.MM)
		}
		if err != nil {
			return usagef("--trim %q: %v", plain.Clean(s), err)
		}
		*to[i] = job.Of(v)
	}
	return nil
}
