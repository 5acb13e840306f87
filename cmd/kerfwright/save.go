package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
)

// stem is a job file's name without folder and ending.
func stem(name string) string {
	base := filepath.Base(name)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// programBase is the base name of a job's program, or of its dry run.
func programBase(name string, j job.Job, dry bool) string {
	ext := j.Machine.Program.Extension
	if ext == "" {
		ext = "nc"
	}
	if dry {
		return stem(name) + "-dry." + ext
	}
	return stem(name) + "." + ext
}

func programName(name string, j job.Job, dry bool) string {
	return filepath.Join(filepath.Dir(name), programBase(name, j, dry))
}

// savePrograms writes both programs, all or none. In the job's own folder the
// job file is stamped with their sums in the same save.
func savePrograms(dir, name string, j job.Job, p *planner.Program) ([]string, error) {
	entries := []bundle.Entry{{Name: programBase(name, j, false), Data: p.Text}, {Name: programBase(name, j, true), Data: p.Dry}}
	files := []string{filepath.Join(dir, entries[0].Name), filepath.Join(dir, entries[1].Name)}
	if same, err := sameFolder(dir, filepath.Dir(name)); err != nil {
		return nil, err
	} else if same {
		stamp, err := stampedJob(name, j, entries)
		if err != nil {
			return nil, err
		}
		entries = append(entries, stamp...)
	}
	if err := bundle.Replace(presets.Folder(dir), entries); err != nil {
		return nil, fmt.Errorf("save: %w", err)
	}
	return files, nil
}

// stampedJob is the job file with the programs' sums; nothing if it carries
// them already.
func stampedJob(name string, j job.Job, programs []bundle.Entry) ([]bundle.Entry, error) {
	old := j.Files
	j.Files = nil
	same := len(old) == len(programs)
	for i, e := range programs {
		j.Files = append(j.Files, e.Sum())
		same = same && old[i] == j.Files[i]
	}
	if same {
		return nil, nil
	}
	text, err := readFile(name, maxJob)
	if err != nil {
		return nil, err
	}
	text, faults := jobfile.Restamp(text, j)
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

// stamped notes the SHA-256 of every drawing in the job.
func stamped(j job.Job, src folder) (job.Job, error) {
	for i := range j.Drawings {
		sum, err := sumOf(src, j.Drawings[i].File)
		if err != nil {
			return j, err
		}
		j.Drawings[i].SHA256 = sum
	}
	return j, nil
}

func sumOf(src folder, file string) (string, error) {
	data, err := src.Drawing(file)
	if err != nil {
		return "", err
	}
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:]), nil
}

// changedDrawings warns of drawings that are not as they were when the job
// was saved.
func changedDrawings(j job.Job, src folder) fault.List {
	var faults fault.List
	for _, d := range j.Drawings {
		if sum, err := sumOf(src, d.File); d.SHA256 != "" && err == nil && sum != d.SHA256 {
			faults.Warnf(fault.Where{File: d.File}, "drawing-changed", "Look at every feature again before cutting.", "the drawing has changed since the job was saved")
		}
	}
	return faults
}
