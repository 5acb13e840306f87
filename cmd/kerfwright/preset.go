package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// preset lists, shows, shares and changes process presets.
func preset(w world, f flags) error {
	verbs := []string{"list", "show", "learn", "compare", "retire", "export", "import"}
	if len(f.rest) == 0 || !slices.Contains(verbs, f.rest[0]) {
		return usagef("preset takes one of %v", verbs)
	}
	verb := f.rest[0]
	if takesFile := verb == "export" || verb == "import"; takesFile != (len(f.rest) == 2) || len(f.rest) > 2 {
		return usagef("preset %s takes %s", verb, map[bool]string{true: "one file", false: "no file"}[takesFile])
	}
	switch verb {
	case "import":
		return presetImport(w, f, f.rest[1])
	case "list", "export":
		q, units, err := cutOf(f)
		if err != nil {
			return err
		}
		q.Retired = f.has("retired")
		lib, faults := library(w)
		found := lib.Search(q)
		if verb == "export" {
			return presetExport(w, f, f.rest[1], found, units)
		}
		tellWarnings(w, faults)
		return presetList(w, f, found, units)
	}
	q, units, err := wholeCut(f, "preset "+verb)
	if err != nil {
		return err
	}
	lib, _ := library(w)
	pr, n, err := lib.Lookup(q.Material, q.Thickness, q.Amps)
	if err != nil {
		return err
	}
	switch verb {
	case "show":
		return presetShow(w, f, q, pr, n, units)
	case "compare":
		return presetCompare(w, f, lib, q, n, units)
	}
	p := n.Thinner
	if !n.Exact {
		// Between two presets: the figures between them become one of their own.
		p = presets.Preset{Material: q.Material, Thickness: q.Thickness, Process: pr}
	}
	s, err := shopStore(w)
	if err != nil {
		return err
	}
	if verb == "retire" {
		if !n.Exact {
			return fmt.Errorf("there is no preset of its own at %s: nothing to retire", units.Length(q.Thickness))
		}
		was := p
		p.Retired = true
		saved, err := s.EditPreset(was, p, units)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s is retired: kept, and no longer offered. To bring it back: kerfwright store undo %s\n", p.Name(), saved.Item)
		return nil
	}
	return presetLearn(w, f, s, p, units)
}

// tellWarnings tells of the shop's own files that could not be read.
func tellWarnings(w world, faults fault.List) {
	for _, x := range faults.At(fault.Warning) {
		fmt.Fprintln(w.complaints(), x.Error())
	}
}

func presetRow(p presets.Preset, in unit.System) report.Preset {
	r := report.Preset{Name: p.Process.Preset.String(), Material: string(p.Material), Thickness: p.Thickness, Amps: p.Process.Amps, Feed: p.Process.Feed,
		Kerf: p.Process.Kerf, State: string(p.Process.State), Own: p.Own, Retired: p.Retired, File: p.File}
	r.ThicknessText, r.FeedText, r.KerfText = in.Length(p.Thickness), in.Feed(p.Process.Feed), in.Length(p.Process.Kerf)
	return r
}

func presetList(w world, f flags, found []presets.Preset, in unit.System) error {
	r := report.Presets{Presets: []report.Preset{}}
	for _, p := range found {
		r.Presets = append(r.Presets, presetRow(p, in))
	}
	return emit(w, f, r, r.Table)
}

func presetShow(w world, f flags, q presets.Query, pr job.Process, n presets.Neighbours, in unit.System) error {
	p := n.Thinner
	beside := []presets.Preset{n.Thinner}
	if !n.Exact {
		beside = append(beside, n.Thicker)
		p = presets.Preset{Material: q.Material, Thickness: q.Thickness, Process: pr}
	}
	r := report.PresetShown{Preset: presetRow(p, in), Note: n.Text(in), Lines: []report.Pair{}, Beside: []report.Preset{}}
	for _, l := range p.Lines(in) {
		r.Lines = append(r.Lines, report.Pair{Name: l.Name, Value: l.Value})
	}
	for _, g := range p.Figures {
		r.Lines = append(r.Lines, report.Pair{Name: "  " + g.Of, Value: fmt.Sprintf("%s; %s %s", g.From, g.By, g.At)})
	}
	for _, b := range beside {
		r.Beside = append(r.Beside, presetRow(b, in))
	}
	return emit(w, f, r, r.Table)
}

// presetCompare holds the preset for a cut against the one at --with.
func presetCompare(w world, f flags, lib *presets.Library, q presets.Query, n presets.Neighbours, in unit.System) error {
	a, b := n.Thinner, n.Thicker
	if s := f.one("with"); s != "" {
		t, err := unit.ParseLength(s, unit.MM)
		if err != nil {
			return usagef("--with: %v", err)
		}
		_, m, err := lib.Lookup(q.Material, t, q.Amps)
		if err != nil {
			return err
		}
		b = m.Thinner
	} else if n.Exact {
		return usagef("preset compare needs --with T, the thickness of the other one")
	}
	r := report.Comparison{A: a.Name(), B: b.Name(), Differences: []report.Difference{}}
	for _, d := range presets.Compare(a, b, in) {
		r.Differences = append(r.Differences, report.Difference{Name: d.Name, A: d.A, B: d.B})
	}
	return emit(w, f, r, r.Table)
}

func presetExport(w world, f flags, name string, found []presets.Preset, units unit.System) error {
	if len(found) == 0 {
		return fmt.Errorf("no preset is like that: nothing to export")
	}
	text, faults := presets.ExportPresets(found, units)
	if err := complain(w, faults); err != nil {
		return err
	}
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s: the file is there already: choose another name or remove it", plain.Clean(name))
	}
	if err := bundle.Replace(presets.Folder(filepath.Dir(name)), []bundle.Entry{{Name: filepath.Base(name), Data: text}}); err != nil {
		return err
	}
	r := report.Shared{File: name, Presets: len(found), Names: []string{}}
	return emit(w, f, r, func(out io.Writer) error {
		_, err := fmt.Fprintf(out, "%s: %d presets\n", plain.Clean(name), len(found))
		return err
	})
}

// presetImport takes presets over that the shop has no own one for; --replace
// takes them all, and the history keeps what they replace.
func presetImport(w world, f flags, name string) error {
	text, err := presets.ReadFile(name, jobfile.MaxSize)
	if err != nil {
		return fmt.Errorf("open the presets: %w", err)
	}
	all, faults := presets.ImportPresets(name, text)
	if err := complain(w, faults); err != nil {
		return err
	}
	s, err := shopStore(w)
	if err != nil {
		return err
	}
	lib, _ := s.Load()
	r := report.Shared{File: name, Names: []string{}, Kept: []string{}}
	units := unit.MM
	if u := f.one("units"); u != "" {
		if units, err = parseUnits(u); err != nil {
			return err
		}
	}
	for _, p := range all {
		_, n, err := lib.Lookup(p.Material, p.Thickness, p.Process.Amps)
		if err == nil && n.Exact && n.Thinner.Own && n.Thinner.Thickness == p.Thickness && !f.has("replace") {
			r.Kept = append(r.Kept, p.Name())
			continue
		}
		if _, err := s.SavePreset(p, units); err != nil {
			return err
		}
		r.Presets++
		r.Names = append(r.Names, p.Name())
	}
	return emit(w, f, r, r.Table)
}

// presetLearn prints what the cut log says of a preset; --accept takes it over.
func presetLearn(w world, f flags, s presets.Store, p presets.Preset, in unit.System) error {
	runs, faults := s.Runs()
	sets, more := s.Sets()
	for _, x := range append(faults, more...) {
		fmt.Fprintln(w.complaints(), x.Error())
	}
	by := f.one("by")
	if f.has("accept") && by == "" {
		return usagef("--accept needs --by NAME: who says so stands in the preset")
	}
	prop := presets.Propose(p, runs, sets, plain.Of(by), time.Now().Format(time.RFC3339), in)
	r := report.Proposal{Preset: p.Name(), Runs: prop.Runs, Changes: []report.Change{}, Told: append([]string{}, prop.Told...)}
	for _, c := range prop.Changes {
		r.Changes = append(r.Changes, report.Change{Figure: c.Figure, Was: c.Was, Now: c.Now, Why: c.Why})
	}
	if f.has("accept") && len(prop.Changes) > 0 {
		saved, err := s.EditPreset(prop.Was, prop.Now, in)
		if err != nil {
			return err
		}
		r.Accepted, r.File = true, saved.Item.String()
		if t := saved.Told(); t != "" {
			r.Told = append(r.Told, t)
		}
	}
	return emit(w, f, r, r.Table)
}
