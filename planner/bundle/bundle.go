// Package bundle writes the files of one save, all or none, into a folder
// that is handed in. Texts come in; either every file is replaced, the job
// file last and carrying the SHA-256 of the others, or every file is as it
// was. It never decides what the texts say and never opens a path by itself.
//
// The order is: refuse what must not be replaced; write every text to a
// temporary file in the same folder, check its length, make it durable; then
// rename, the programs first and the job file last; then make the folder
// durable. Several renames are not one: killed in between, a save leaves two
// good sets mixed. Mixed recognises that, from the sums in the job file.
// Where there is no job file yet, it comes first and is made durable before
// the programs: they would be without the sums to know them by.
package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
)

// Kind is what stands under a name in a folder, without following links.
type Kind int

const (
	Absent    Kind = iota
	Regular        // a file that may be replaced
	Protected      // a file that its owner made read-only
	Link           // a symbolic link
	Other          // a folder, a pipe, a device
)

// Dir is one folder. Names are base names.
type Dir interface {
	// Kind says what a name stands for.
	Kind(name string) (Kind, error)
	// Temp makes a new, empty file under an unused name that IsTemp knows.
	Temp(name string) (File, error)
	// Rename puts a file in place of another, in one step.
	Rename(from, to string) error
	Remove(name string) error
	// Read returns a regular file's bytes, without following a link.
	Read(name string) ([]byte, error)
	// Names lists the folder.
	Names() ([]string, error)
	// Sync makes renames and removals durable.
	Sync() error
}

// File is a file being written.
type File interface {
	Name() string
	Write(p []byte) (int, error)
	// Size returns the bytes that the file holds, as the folder sees it.
	Size() (int64, error)
	// Sync makes what was written durable.
	Sync() error
	Close() error
}

// Temporary files are called .kerfwright-NAME-RANDOM.part.
const (
	tempPrefix = ".kerfwright-"
	tempSuffix = ".part"
)

// TempName returns the name of a temporary file for name. random must be
// letters and digits.
func TempName(name, random string) string { return tempPrefix + name + "-" + random + tempSuffix }

// IsTemp reports whether a file is a temporary one for name.
func IsTemp(file, name string) bool {
	random, found := strings.CutPrefix(file, tempPrefix+name+"-")
	random, ends := strings.CutSuffix(random, tempSuffix)
	return found && ends && random != "" && !strings.Contains(random, "-")
}

// Entry is one file of a save.
type Entry struct {
	Name string // base name
	Data []byte
}

// Sum returns an entry's name and SHA-256.
func (e Entry) Sum() job.FileSum {
	h := sha256.Sum256(e.Data)
	return job.FileSum{Name: e.Name, SHA256: hex.EncodeToString(h[:])}
}

// Save writes the programs and, last, the job under name, which then carries
// the sums of the programs. It returns the job as written. On an error
// nothing was changed, unless the error is a *Torn, which says what was.
func Save(d Dir, name string, j job.Job, programs []Entry) (job.Job, error) {
	j.Files = nil
	for _, p := range programs {
		j.Files = append(j.Files, p.Sum())
	}
	text, faults := jobfile.Encode(j)
	if faults.Bad() {
		return job.Job{}, faults.Err()
	}
	kind, err := d.Kind(name)
	if err != nil {
		return job.Job{}, fmt.Errorf("save %s: %w", name, err)
	}
	if kind == Absent {
		return j, replace(d, append([]Entry{{name, text}}, programs...), true)
	}
	return j, replace(d, append(slices.Clone(programs), Entry{name, text}), false)
}

// Torn is the error of a save that failed half-way and could not be taken
// back, or whose last step failed: the disk may hold what it names.
type Torn struct {
	New  []string // files that are of this save
	Old  []string // files that are as before
	Lost bool     // all are new, but may be lost if the power fails now
	Err  error    // what failed first
	Undo error    // what failed when it was taken back; nil if Lost
}

func (t *Torn) Error() string {
	if t.Lost {
		return fmt.Sprintf("save: every file is written, but the folder could not be made durable: %v. Save again before the power goes", t.Err)
	}
	if len(t.New) == 0 {
		return fmt.Sprintf("%v; every file is as before, but that could not be made durable: %v. Save again before the power goes", t.Err, t.Undo)
	}
	return fmt.Sprintf("%v; taking it back failed too: %v. Of this save: %s. As before: %s. Do not run a program of the set; save again",
		t.Err, t.Undo, strings.Join(t.New, ", "), strings.Join(t.Old, ", "))
}

func (t *Torn) Unwrap() error { return t.Err }

// Replace puts every entry in place, in order; the last one is the one that
// makes the set whole. On an error nothing was changed, unless it is a *Torn.
func Replace(d Dir, entries []Entry) error { return replace(d, entries, false) }

// replace is Replace; led says that the first entry must be on the disk before
// any other, and stay as long as one of them is.
func replace(d Dir, entries []Entry, led bool) error {
	if err := refuse(d, entries); err != nil {
		return err
	}
	s := saving{dir: d, entries: entries, led: led}
	if err := s.prepare(); err != nil {
		s.discard()
		return err
	}
	if err := s.commit(); err != nil {
		return err
	}
	s.sweep()
	return nil
}

// refuse looks at what would be replaced, before anything is written.
func refuse(d Dir, entries []Entry) error {
	for i, e := range entries {
		if err := jobfile.BaseName(e.Name); err != nil || e.Name == "" {
			return fmt.Errorf("save %q: must be the name of a file in the folder", e.Name)
		}
		for _, other := range entries[:i] {
			if strings.EqualFold(other.Name, e.Name) {
				return fmt.Errorf("save %s: two files of one save have this name", e.Name)
			}
		}
		kind, err := d.Kind(e.Name)
		switch {
		case err != nil:
			return fmt.Errorf("save %s: %w", e.Name, err)
		case kind == Link:
			return fmt.Errorf("save %s: a link to another file has this name, and a save would cut it. Remove the link or choose another name", e.Name)
		case kind == Protected:
			return fmt.Errorf("save %s: the file is read-only. Allow writing or choose another name", e.Name)
		case kind == Other:
			return fmt.Errorf("save %s: a folder or device has this name. Choose another name", e.Name)
		}
	}
	return nil
}

// saving is one Replace.
type saving struct {
	dir     Dir
	entries []Entry
	led     bool
	temps   []string // names of temporary files not yet renamed, by entry
	before  []old
}

// old is what stood under a name before.
type old struct {
	there bool
	data  []byte
}

// prepare writes every temporary file, and reads what it is going to replace.
func (s *saving) prepare() error {
	for _, e := range s.entries {
		kind, err := s.dir.Kind(e.Name)
		if err != nil {
			return fmt.Errorf("save %s: %w", e.Name, err)
		}
		var o old
		if o.there = kind != Absent; o.there {
			if o.data, err = s.dir.Read(e.Name); err != nil {
				return fmt.Errorf("save %s: read the old file: %w", e.Name, err)
			}
		}
		s.before = append(s.before, o)
	}
	for _, e := range s.entries {
		temp, err := write(s.dir, e)
		if temp != "" {
			s.temps = append(s.temps, temp)
		}
		if err != nil {
			return fmt.Errorf("save %s: %w", e.Name, err)
		}
	}
	return nil
}

// write writes one temporary file and makes it durable. It returns its name
// as soon as there is one.
func write(d Dir, e Entry) (name string, err error) {
	f, err := d.Temp(e.Name)
	if err != nil {
		return "", err
	}
	name = f.Name()
	closed := false
	defer func() {
		if !closed {
			f.Close()
		}
	}()
	n, err := f.Write(e.Data)
	if err != nil {
		return name, err
	}
	if n != len(e.Data) {
		return name, fmt.Errorf("only %d of %d bytes were written", n, len(e.Data))
	}
	if err := f.Sync(); err != nil {
		return name, err
	}
	size, err := f.Size()
	if err != nil {
		return name, err
	}
	if size != int64(len(e.Data)) {
		return name, fmt.Errorf("the file holds %d bytes, %d were written", size, len(e.Data))
	}
	closed = true
	return name, f.Close()
}

// discard removes the temporary files that are left.
func (s *saving) discard() {
	for _, t := range s.temps {
		s.dir.Remove(t)
	}
}

// commit renames, and takes it back if that fails half-way.
func (s *saving) commit() error {
	for i, e := range s.entries {
		done := i
		err := s.dir.Rename(s.temps[0], e.Name)
		if err == nil {
			s.temps, done = s.temps[1:], i+1
			if s.led && i == 0 {
				err = s.dir.Sync()
			}
		}
		if err != nil {
			err = fmt.Errorf("save %s: %w", e.Name, err)
			s.discard()
			return s.undo(done, err)
		}
	}
	if err := s.dir.Sync(); err != nil {
		return &Torn{New: names(s.entries), Lost: true, Err: err}
	}
	return nil
}

// undo puts back the first n files.
func (s *saving) undo(n int, first error) error {
	t := &Torn{Err: first, Old: names(s.entries[n:])}
	for i := n - 1; i >= 0; i-- {
		e, o := s.entries[i], s.before[i]
		if s.led && i == 0 && len(t.New) > 0 { // what is left of this save is known by it
			t.New = append(t.New, e.Name)
			continue
		}
		if err := s.restore(e.Name, o); err != nil {
			t.Undo = err
			t.New = append(t.New, e.Name)
			continue
		}
		t.Old = append(t.Old, e.Name)
	}
	if err := s.dir.Sync(); err != nil && t.Undo == nil {
		t.Undo = err
	}
	if t.Undo != nil {
		return t
	}
	return first
}

func (s *saving) restore(name string, o old) error {
	if !o.there {
		return s.dir.Remove(name)
	}
	temp, err := write(s.dir, Entry{name, o.data})
	if err == nil {
		err = s.dir.Rename(temp, name)
	}
	if err != nil && temp != "" {
		s.dir.Remove(temp)
	}
	return err
}

// sweep removes temporary files that a killed save of the same names left.
// What it cannot remove does no harm.
func (s *saving) sweep() {
	all, err := s.dir.Names()
	if err != nil {
		return
	}
	for _, file := range all {
		for _, e := range s.entries {
			if IsTemp(file, e.Name) {
				s.dir.Remove(file)
			}
		}
	}
}

func names(entries []Entry) []string {
	var all []string
	for _, e := range entries {
		all = append(all, e.Name)
	}
	return all
}

// Codes of the faults that say that a program is not of the job beside it.
const (
	CodeMixed = "set-mixed"     // it is not the file that the job was saved with
	CodeStale = "program-stale" // it was written for another state of the job
)

// Stale compares the sum of a job that a program carries in its head with the
// job. An Error says that the program was written for another state of the
// job; a Warning, that it does not say for which. name is the job file's.
func Stale(at fault.Where, text []byte, name string, j job.Job) fault.List {
	var l fault.List
	carries, line := jobfile.SumIn(text)
	want := jobfile.Sum(j)
	switch at.Line = line; {
	case want == "": // no job that could be saved
	case carries == "":
		l.Warnf(at, "program-unmarked", "Plan the job again if you are not sure.", "carries no job sum: for which state of %s it was written cannot be told", name)
	case carries != want:
		l.Errorf(at, CodeStale, "Do not run it: plan the job again, check it and save.", "was written for another state of %s: it carries the job sum %.8s, the job's is %.8s",
			name, carries, want)
	}
	return l
}

// Mixed compares the files beside a job file with the sums that it carries.
// Each file that is missing or differs is an Error that names it: the set is
// of two saves, or was changed by hand, and may not be cut from. A file that
// is as it was saved may still be stale, where the job was changed since. A
// job that carries no sums was never saved with a program, and gives none.
func Mixed(d Dir, name string, j job.Job) fault.List {
	var l fault.List
	const do = "Do not run it: open the job, check it and save again."
	for _, f := range j.Files {
		at := fault.Where{File: f.Name}
		kind, err := d.Kind(f.Name)
		switch {
		case err != nil:
			l.Errorf(at, CodeMixed, do, "cannot be looked at: %v", err)
			continue
		case kind == Absent:
			l.Errorf(at, CodeMixed, do, "is missing beside %s, which was saved with it", name)
			continue
		case kind == Link || kind == Other:
			l.Errorf(at, CodeMixed, do, "is no regular file, but %s was saved with one", name)
			continue
		}
		data, err := d.Read(f.Name)
		if err != nil {
			l.Errorf(at, CodeMixed, do, "cannot be read: %v", err)
			continue
		}
		if got := (Entry{f.Name, data}).Sum().SHA256; got != f.SHA256 {
			l.Errorf(at, CodeMixed, do, "is not the file that %s was saved with (SHA-256 %.8s, not %.8s): a save was cut short, or the file was changed since",
				name, got, f.SHA256)
			continue
		}
		l = append(l, Stale(at, data, name, j).At(fault.Error)...)
	}
	return l
}
