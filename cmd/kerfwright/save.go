package main

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
)

// stem is a job file's name without folder and ending.
func stem(name string) string {
	base := filepath.Base(name)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// programName is where a job's program lies, or the first of them.
func programName(name string, j job.Job) string {
	n := job.FileName{Stem: stem(name), Plate: j.Layout.Plate}
	program := j.Machine.Program.Name(n)
	saved := func(name string) bool {
		return slices.ContainsFunc(j.Files, func(f job.FileSum) bool { return f.Name == name })
	}
	for n.Part, n.Of = 1, 2; n.Of <= 99 && len(j.Files) > 0 && !saved(program); n.Of++ {
		if first := j.Machine.Program.Name(n); saved(first) {
			program = first
		}
	}
	return filepath.Join(filepath.Dir(name), program)
}

// savePrograms writes the programs of every plate, all or none. In the job's own folder the
// job file is stamped with their sums in the same save, and with the copies of
// its drawings, which kept has.
func savePrograms(dir, name string, j, kept job.Job, plates []*planner.Program) ([]planner.Output, error) {
	outputs, err := planner.Outputs(j, stem(name), "", plates)
	if err != nil {
		return nil, err
	}
	var entries []bundle.Entry
	for _, o := range outputs {
		entries = append(entries, bundle.Entry{Name: o.Name, Data: o.Text})
	}
	if same, err := sameFolder(dir, filepath.Dir(name)); err != nil {
		return nil, err
	} else if same {
		stamp, err := stampedJob(name, j, kept, entries)
		if err != nil {
			return nil, err
		}
		entries = append(entries, stamp...)
	}
	if err := bundle.Replace(presets.Folder(dir), entries); err != nil {
		return nil, fmt.Errorf("save: %w", err)
	}
	return outputs, nil
}

// stampedJob is the job file with the programs' sums and the drawings' copies;
// nothing if it carries them already.
func stampedJob(name string, j, kept job.Job, programs []bundle.Entry) ([]bundle.Entry, error) {
	kept.Files = nil
	for _, e := range programs {
		kept.Files = append(kept.Files, e.Sum())
	}
	var tables []string
	if !slices.Equal(j.Files, kept.Files) {
		tables = append(tables, "files")
	}
	if !slices.Equal(j.Kept, kept.Kept) {
		tables = append(tables, "kept")
	}
	if !slices.EqualFunc(j.Drawings, kept.Drawings, func(a, b job.Drawing) bool { return a.SHA256 == b.SHA256 }) {
		tables = append(tables, "drawings")
	}
	// What goes along to a drawing that was taken as it is now.
	for _, t := range []struct {
		name    string
		was, is any
	}{{"edits", j.Edits, kept.Edits}, {"overrides", j.Overrides, kept.Overrides}, {"texts", j.Texts, kept.Texts}, {"alignment", j.Alignment, kept.Alignment}, {"layout", j.Layout.Places, kept.Layout.Places}} {
		if !reflect.DeepEqual(t.was, t.is) {
			tables = append(tables, t.name)
		}
	}
	if len(tables) == 0 {
		return nil, nil
	}
	text, err := presets.ReadFile(name, jobfile.MaxJob)
	if err != nil {
		return nil, err
	}
	text, faults := jobfile.Rewrite(text, kept, tables...)
	if faults.Bad() {
		return nil, faults.Err()
	}
	return []bundle.Entry{{Name: filepath.Base(name), Data: text}}, nil
}

func sameFolder(a, b string) (bool, error) {
	ia, err := os.Stat(a)
	if err != nil {
		return false, fmt.Errorf("save: %w", err)
	}
	ib, err := os.Stat(b)
	if err != nil {
		return false, fmt.Errorf("save: %w", err)
	}
	return os.SameFile(ia, ib), nil
}

func saveText(name string, text []byte) error {
	return bundle.Replace(presets.Folder(filepath.Dir(name)), []bundle.Entry{{Name: filepath.Base(name), Data: text}})
}

// saveJob writes a new job file. One that is there already stays.
func saveJob(name string, j job.Job) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s: the file is there already: choose another name or remove it", name)
	}
	text, faults := jobfile.Encode(j)
	if faults.Bad() {
		return faults.Err()
	}
	return saveText(name, text)
}
