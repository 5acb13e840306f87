package presets

import (
	"cmp"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
)

// Where presets and profiles lie, in the embedded files and in the user's folder.
const (
	processFolder = "process"
	machineFolder = "machines"
)

// DefaultMachine is the profile that serves where nobody has chosen one.
const DefaultMachine = "plain-mm"

// DefaultInchMachine is the same for a shop that works in inches.
const DefaultInchMachine = "plain-inch"

// Library is every preset and every machine profile, the user's own in place
// of ours where they speak of the same thing. It does not change.
type Library struct {
	presets  []Preset      // by material, current, thickness
	machines []job.Machine // ours first, then the user's own, by name
}

// Load reads the embedded presets and profiles, and those in the user's
// folder; nil is no folder. A file with a fault is left out and told with
// file and line; the others stay.
func Load(user fs.FS) (*Library, fault.List) {
	l := &Library{}
	if faults := l.add(embedded, false); faults.Bad() {
		panic("presets: internal: " + faults.Err().Error())
	}
	var faults fault.List
	if user != nil {
		faults = l.add(user, true)
	}
	slices.SortStableFunc(l.presets, func(a, b Preset) int {
		return cmp.Or(slices.Index(job.Materials(), a.Material)-slices.Index(job.Materials(), b.Material),
			cmp.Compare(a.Process.Amps, b.Process.Amps), cmp.Compare(a.Thickness, b.Thickness))
	})
	return l, faults
}

func (l *Library) add(from fs.FS, own bool) fault.List {
	var faults fault.List
	each(from, processFolder, &faults, func(name string, text []byte) fault.List {
		if !own && name == "process/ranges.toml" {
			return nil
		}
		found, faults := decodePresets(name, text)
		if !faults.Bad() {
			for _, p := range found {
				if p.Own = own; own {
					p.File = name
				}
				l.put(p)
			}
		}
		return faults
	})
	each(from, machineFolder, &faults, func(name string, text []byte) fault.List {
		m, faults := DecodeMachine(name, text)
		if !faults.Bad() {
			l.putMachine(m)
		}
		return faults
	})
	return faults
}

// each hands every TOML file of a folder to read, in the order of names. A
// folder that is not there holds nothing.
func each(from fs.FS, folder string, faults *fault.List, read func(name string, text []byte) fault.List) {
	entries, err := fs.ReadDir(from, folder)
	if err != nil {
		if _, missing := fs.Stat(from, folder); missing == nil {
			faults.Warnf(fault.Where{File: folder}, "preset-folder", "Check the folder's permissions.", "cannot be read: %v", err)
		}
		return
	}
	for _, e := range entries {
		name := path.Join(folder, e.Name())
		if path.Ext(name) != ".toml" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		text, err := readSmall(from, name)
		if err != nil {
			faults.Errorf(fault.Where{File: name}, "preset-file", "Correct or remove the file.", "cannot be read: %v", err)
			continue
		}
		*faults = append(*faults, read(name, text)...)
	}
}

// readSmall reads a regular file no larger than a job file may be. Anything
// else, such as a pipe that nobody feeds, would be waited for.
func readSmall(from fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(from, name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("is no regular file")
	case info.Size() > jobfile.MaxSize:
		return nil, fmt.Errorf("%d bytes long, at most %d are read", info.Size(), jobfile.MaxSize)
	}
	return fs.ReadFile(from, name)
}

// put adds a preset in place of one for the same cut.
func (l *Library) put(p Preset) {
	for i, q := range l.presets {
		if q.cuts(p) {
			l.presets[i] = p
			return
		}
	}
	l.presets = append(l.presets, p)
}

func (l *Library) putMachine(m job.Machine) {
	for i, q := range l.machines {
		if q.Name == m.Name {
			l.machines[i] = m
			return
		}
	}
	l.machines = append(l.machines, m)
}

// Processes returns the presets for a material, by current and thickness.
func (l *Library) Processes(m job.Material) []Preset {
	var all []Preset
	for _, p := range l.presets {
		if p.Material == m {
			all = append(all, p)
		}
	}
	return all
}

// Machines returns every machine profile.
func (l *Library) Machines() []job.Machine { return slices.Clone(l.machines) }

// Machine returns the profile of a name.
func (l *Library) Machine(name string) (m job.Machine, ok bool) {
	for _, m := range l.machines {
		if m.Name.String() == name {
			return m, true
		}
	}
	return job.Machine{}, false
}

// DecodeMachine reads a machine profile: units, and a table [machine]. What is
// wrong with its templates is told with the line on which it stands.
func DecodeMachine(file string, text []byte) (job.Machine, fault.List) {
	var units unit.System
	var m job.Machine
	var wrong []gcode.Problem
	faults := jobfile.Read(file, text, func(f *jobfile.Form) {
		shapeMachine(f, &units, &m)
		wrong = gcode.Problems(m)
		for i := range wrong {
			p := &wrong[i]
			key := strings.ReplaceAll(p.Template, "-", "_")
			p.File = file
			p.Where.Line, p.Column = f.Line(p.Line-1, "machine", "program", key)
		}
	})
	// A text that does not read at all is told once.
	if !faults.Bad() {
		for _, p := range wrong {
			faults.Add(p.Fault)
		}
	}
	return m, faults
}

// EncodeMachine writes a machine profile, its numbers in the given units.
func EncodeMachine(m job.Machine, units unit.System) ([]byte, fault.List) {
	return jobfile.Write([]string{"A Kerfwright machine profile."},
		func(f *jobfile.Form) { shapeMachine(f, &units, &m) })
}

func shapeMachine(f *jobfile.Form, units *unit.System, m *job.Machine) {
	if _, ok := f.Version(machineFormat); !ok {
		return
	}
	f.Units(units)
	f.Table("machine", func() { jobfile.ShapeMachine(f, m) })
	if m.Name.Empty() {
		f.Missing("machine.name")
	}
}
