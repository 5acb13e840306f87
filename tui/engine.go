package tui

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// real is the planner, the presets and the disk.
type real struct {
	lib   *presets.Library
	notes fault.List
	rules shopRules
	reads sync.Map // *drawing.Loops -> keep.Read, what it was read from
	moves sync.Map // *drawing.Loops -> planner.Moves, what became of it since
	bytes sync.Map // SHA-256 -> those bytes, once for each state of a drawing
}

// RealEngine is the planner and the presets, with the shop's own presets from
// the user's configuration folder.
func RealEngine() Engine {
	e := &real{}
	dir, err := presets.UserFolder(os.Getenv)
	if err != nil {
		e.notes = fault.From(err, fault.Where{Entity: "presets"})
		e.lib, _ = presets.Load(nil)
		e.rules.readBands(presets.HoleBands(nil))
		return e.mild()
	}
	e.lib, e.notes = presets.OpenStore(dir).Load()
	e.notes = append(e.notes, e.rules.readBands(presets.OpenStore(dir).HoleBands())...)
	return e.mild()
}

// mild turns errors in the shop's own files into warnings: what could not be
// read is left out, and the job can be made without it.
func (e *real) mild() *real {
	for i := range e.notes {
		e.notes[i].Severity = min(e.notes[i].Severity, fault.Warning)
	}
	return e
}

func (e *real) Notes() fault.List { return e.notes }

func (e *real) Read(ctx context.Context, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	src := keep.In(j, presets.DrawingsIn(dir))
	loops, faults := planner.Read(ctx, j, src)
	for i, d := range j.Drawings {
		if r, ok := src.Read(d.File); loops[i] != nil && ok && d.Shape == nil {
			data, _ := e.bytes.LoadOrStore(r.Sum, r.Data)
			r.Data = data.([]byte)
			e.reads.Store(loops[i], r)
		}
	}
	faults = append(faults, src.Told()...)
	if !src.Moved() {
		return loops, faults
	}
	if now, bad := planner.Read(ctx, j, src.Now()); !bad.Bad() {
		m := planner.WhatMoved(j, loops, now)
		for _, l := range loops {
			if l != nil {
				e.moves.Store(l, m)
			}
		}
		const lines = 20 // of what moved; the drawing's page has them all
		faults = append(faults, m.Notes(j, lines)...)
	}
	return loops, faults
}

func (e *real) Moved(loops []*drawing.Loops) (planner.Moves, bool) {
	for _, l := range loops {
		if m, ok := e.moves.Load(l); ok {
			return m.(planner.Moves), true
		}
	}
	return planner.Moves{}, false
}

// readOf returns what loops were read from; ok is false for a typed shape and
// where nothing was read.
func (e *real) readOf(l *drawing.Loops) (r keep.Read, ok bool) {
	v, ok := e.reads.Load(l)
	if ok {
		r = v.(keep.Read)
	}
	return r, ok
}

func (e *real) Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List) {
	return planner.Features(j, loops)
}

func (e *real) Ready(j job.Job) fault.List { return planner.Ready(j) }

func (e *real) Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*planner.Program, fault.List) {
	return planner.Plan(ctx, j, loops)
}

func (e *real) Nest(ctx context.Context, j job.Job, loops []*drawing.Loops) (planner.Nested, fault.List) {
	return planner.Nest(ctx, j, loops)
}

func (e *real) Offcuts(s job.Stock) []Offcut {
	root, err := presets.UserFolder(os.Getenv)
	if err != nil {
		return nil
	}
	all, _ := presets.OpenStore(root).Remnants()
	var out []Offcut
	for _, r := range all {
		if r.Fits(s) {
			st := r.Stock(s)
			b := planner.StockBox(st)
			kept, _, _ := strings.Cut(r.Kept, "T")
			out = append(out, Offcut{r.Name.String(), fmt.Sprintf("%.0f x %.0f mm within, of %s, put away %s", b.Width(), b.Height(), r.Job, kept), st})
		}
	}
	return out
}

func (e *real) Checks(j job.Job, p *planner.Program, faults fault.List) []Check {
	all := planner.Checks(j, p, faults)
	c, known := e.Plausible(j)
	if !known {
		c.Verdict, c.Do = planner.Warn, "Enter the arc voltage if it is known."
	}
	all = append(all, c)
	trust := Check{ID: "preset", Title: "trust in the figures", Figure: shortState(j.Process.State), Limit: shortState(job.Proved),
		Why: "figures that were never cut with here are a start, not a setting"}
	switch {
	case j.Process.State == "":
		trust.Figure, trust.Verdict, trust.Do = "typed, not from a preset", planner.Warn, "Prove them with a test cut on scrap of the same plate."
	case j.Process.State.Trust() < job.Proved.Trust():
		trust.Verdict, trust.Do = planner.Warn, "Prove them with a test cut on scrap of the same plate."
	}
	all = append(all, trust)
	if c, ok := consumablesCheck(p); ok {
		all = append(all, c)
	}
	told := Check{ID: "told", Title: "told by the planner", Figure: "no warnings", Why: "what was mended, moved or left open in the drawing and the plan"}
	if n := len(faults.At(fault.Warning)); n > 0 {
		told.Figure, told.Verdict, told.Do = count(n, "warning"), planner.Warn, "t shows them all."
	}
	return append(all, told)
}

// Plausible holds the process against the energy balance and practice.
func (e *real) Plausible(j job.Job) (Check, bool) {
	c := Check{ID: "plausible", Title: "melts the kerf", Why: "power to heat and melt the metal of the kerf against the power of the arc"}
	v := presets.Plausible(j.Stock.Material, j.Stock.Thickness, j.Process)
	if !v.Known {
		c.Figure = "not worked out: unknown " + strings.Join(v.Missing, ", ")
		return c, false
	}
	u := j.Units
	c.Figure = fmt.Sprintf("takes %s %% of the arc", unit.Number(100*v.Needed, 0))
	if v.To > 0 && v.From > 0 {
		c.Limit = fmt.Sprintf("practice %s to %s", u.Feed(v.From), u.Feed(v.To))
	} else {
		c.Limit = "all of it melts " + u.Feed(v.Limit)
	}
	faults := v.Faults(u).Sorted()
	if len(faults) == 0 {
		return c, true
	}
	f := faults[0]
	c.Verdict = planner.Warn
	if f.Severity == fault.Error {
		c.Verdict = planner.Fail
	}
	c.Why, c.Do = f.What, f.Do
	return c, true
}

// Checklist is what the presets know of cautions, each tied to the part of
// the job that it rests on.
func (e *real) Checklist(j job.Job, p *planner.Program) []Item {
	stations := map[presets.Station]Station{presets.AtPlate: AtPlate, presets.AtTorch: AtTorch, presets.AtSupply: AtSupply,
		presets.AtPC: AtPC, presets.OnPerson: OnPerson}
	var out []Item
	if it, ok := lifting(j, p); ok {
		it.RestsOn = sum(fmt.Appendf(nil, "%q", []any{it.ID, it.Text, it.Figure, fmt.Sprintf("%+v", j.Stock)}))
		out = append(out, it)
	}
	for _, c := range presets.Cautions(j.Stock.Material, j.Stock.Surface, j.Stock.Under, j.Process.Amps) {
		at, ok := stations[c.Where]
		if !ok {
			at = OnPerson // a station that is not known here is still asked for
		}
		// All rest on their own words. What is seen at the plate rests on the
		// stock, what is set at torch and supply on the process, and what is
		// done at the PC on every byte of both programs.
		rests := []any{c.ID, c.Text, c.Figure}
		switch at {
		case AtPlate:
			rests = append(rests, fmt.Sprintf("%+v", j.Stock), j.Machine.Name)
		case AtTorch, AtSupply:
			pr := j.Process
			rests = append(rests, pr.Amps, pr.Gas, pr.Pressure, pr.GasFlow, j.Stock.Material, j.Stock.Thickness)
		case AtPC:
			for _, f := range p.Files() {
				rests = append(rests, sum(f.Text), sum(f.Dry))
			}
		case OnPerson:
			rests = append(rests, j.Process.Amps)
		}
		it := Item{ID: c.ID, Station: at, Text: c.Text, Figure: c.Figure, Why: c.Source, RestsOn: sum(fmt.Appendf(nil, "%q", rests))}
		figures(&it, j, p)
		out = append(out, it)
	}
	return out
}

func sum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}

func (e *real) Amps(m job.Material, thickness float64) []float64 { return e.lib.Amps(m, thickness) }

func (e *real) Lookup(j job.Job) (Preset, error) {
	s := j.Stock
	switch {
	case s.Material == "" || s.Thickness == 0:
		return Preset{}, errors.New("material and thickness come first, on stage 1")
	case j.Process.Amps == 0:
		return Preset{}, errors.New("the current comes first")
	}
	p, n, err := e.lib.Lookup(s.Material, s.Thickness, j.Process.Amps)
	var none *presets.NoPreset
	if errors.As(err, &none) {
		return Preset{}, errors.New(none.Text(j.Units))
	}
	if err != nil {
		return Preset{}, err
	}
	out := Preset{Process: p, Note: n.Text(j.Units) + knownFigures(n, j.Units), Beside: []Neighbor{{n.Thinner.Thickness, n.Thinner.Process}}}
	if !n.Exact {
		out.Beside = append(out.Beside, Neighbor{n.Thicker.Thickness, n.Thicker.Process})
	}
	return out, nil
}

func (e *real) Machines() []job.Machine { return e.lib.Machines() }

func (e *real) List(dir string) ([]Entry, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var out []Entry
	for _, d := range entries {
		if strings.HasPrefix(d.Name(), ".") {
			continue
		}
		// Links are followed here: a folder of drawings is often one.
		info, err := os.Stat(filepath.Join(dir, d.Name()))
		if err != nil {
			continue
		}
		en := Entry{Name: d.Name(), Dir: info.IsDir(), Size: info.Size()}
		if info.Mode().IsRegular() {
			en.Kind = kindOf(d.Name())
		}
		out = append(out, en)
	}
	return out, nil
}

func (e *real) Open(path string) (job.Job, fault.List) {
	name := plain.Clean(filepath.Base(path))
	text, err := presets.ReadFile(path, jobfile.MaxJob)
	if err != nil {
		return job.Job{}, fault.From(fmt.Errorf("open the job: %w", err), fault.Where{})
	}
	j, faults := jobfile.Decode(name, text)
	if faults.Bad() {
		return j, faults
	}
	// A set of two saves may not be cut from; it may be saved anew.
	for _, f := range bundle.Mixed(presets.Folder(filepath.Dir(path)), filepath.Base(path), j) {
		f.Severity = min(f.Severity, fault.Warning)
		faults.Add(f)
	}
	return j, faults
}

func (e *real) Files(dir, name string, j job.Job, p *planner.Program) []Target {
	there := func(name string) bool {
		_, err := os.Lstat(filepath.Join(dir, name))
		return err == nil
	}
	add := func(out []Target, name, what string) []Target { return append(out, Target{name, what, there(name)}) }
	out := add(nil, name+".toml", "job")
	n := job.FileName{Stem: name}
	if p != nil && len(p.Files()) > 1 && max(1, p.Plate) == 1 {
		for n.Part, n.Of = 1, len(p.Files()); n.Part <= n.Of; n.Part++ {
			program, dry := j.Machine.Program.Pair(n)
			out = add(add(out, program, fmt.Sprintf("program %d", n.Part)), dry, "its dry run")
		}
	} else {
		program, dry := j.Machine.Program.Pair(n)
		out = add(add(out, program, "program"), dry, "dry run")
	}
	plates := 1
	if p != nil { // plates that rows go on to are known only to the plan
		plates = p.Plates
	}
	for _, pl := range j.Layout.Places {
		plates = max(plates, pl.Plate)
	}
	for n := 2; n <= plates; n++ {
		program, dry := j.Machine.Program.Pair(job.FileName{Stem: name, Plate: n})
		out = add(add(out, program, fmt.Sprintf("plate %d", n)), dry, "its dry run")
	}
	return append(out, e.parted(dir, name, j, plates)...)
}

// parted lists what lies where programs of further plates may go if they are
// parted: into how many is known when they are planned, which is when they are
// saved.
func (e *real) parted(dir, name string, j job.Job, plates int) []Target {
	limit := j.Machine.Program
	if plates < 2 || limit.MaxLines == 0 && limit.MaxBytes == 0 {
		return nil
	}
	names, err := presets.Folder(dir).Names()
	if err != nil {
		return nil
	}
	var out []Target
	slices.Sort(names)
	for _, file := range names {
		n, ours := limit.Parse(name, file)
		if ours && n.Part > 0 && n.Plate >= 2 && n.Plate <= plates {
			out = append(out, Target{file, fmt.Sprintf("part of plate %d", n.Plate), true})
		}
	}
	return out
}

func (e *real) Save(ctx context.Context, dir, name string, j job.Job, loops []*drawing.Loops, p *planner.Program) ([]string, fault.List, error) {
	if !p.Verdict.OK || !p.DryVerdict.OK {
		return nil, nil, errors.New("the proof does not pass")
	}
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	j = cloneJob(j)
	j, told := keep.Stamp(j, func(i int) (keep.Read, bool) { return e.readOf(loops[i]) })
	jobFile := name + ".toml"
	plates, faults := []*planner.Program{p}, fault.List(nil)
	if p.Plates > 1 {
		plates, faults = planner.Plates(ctx, j, loops) // the first once more, so that all are of one job
	}
	if faults.Bad() || len(plates) < p.Plates {
		return nil, nil, fmt.Errorf("not every plate can be planned: %w", faults.Err())
	}
	j.Layout.Plate = 0
	paths := []string{filepath.Join(dir, jobFile)}
	for i, q := range plates {
		if !q.Verdict.OK || !q.DryVerdict.OK {
			return nil, nil, fmt.Errorf("the proof of plate %d does not pass", i+1)
		}
	}
	outputs, err := planner.Outputs(j, name, "", plates)
	if err != nil {
		return nil, nil, err
	}
	var entries []bundle.Entry
	for _, o := range outputs {
		entries = append(entries, bundle.Entry{Name: o.Name, Data: o.Text})
		paths = append(paths, filepath.Join(dir, o.Name))
	}
	if _, err := bundle.Save(presets.Folder(dir), jobFile, j, entries); err != nil {
		return nil, nil, err
	}
	if names, err := presets.Folder(dir).Names(); err == nil {
		told = append(told, planner.Leftovers(names, j, name, outputs)...)
	}
	return paths, told, nil
}
