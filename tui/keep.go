package tui

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// Recovery files lie in the state folder, one for each running wizard. They
// hold a whole draft, also one that is not yet a job that could be saved, so
// they are JSON of the draft and not a job file. The copies of the drawings do
// not change while a draft is worked on, and are large: they lie in a file of
// their own, that is written once, so that a key costs no more than its draft.

// keepVersion is written into every recovery file.
const keepVersion = 1

// kept is a recovery file.
type kept struct {
	Version  int
	At       string // RFC 3339
	Dir      string
	Name     string
	Operator plain.Text
	Stage    int
	Job      job.Job
}

// Found is a recovery file that no running wizard holds.
type Found struct {
	Path  string
	At    time.Time
	Draft *Draft
	Err   error // why it cannot be read; Draft is nil then
}

// StateDir returns the folder for recovery files and crash notes:
// $XDG_STATE_HOME/kerfwright or ~/.local/state/kerfwright.
func StateDir() (string, error) {
	if d := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(d) {
		return filepath.Join(d, "kerfwright"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("find a place for the recovery file: %w", err)
	}
	return filepath.Join(home, ".local", "state", "kerfwright"), nil
}

// keeper writes the recovery file of one wizard. Its lock says that the
// wizard lives; the system takes the lock away when the process ends, however
// it ends.
type keeper struct {
	dir  string
	path string
	lock *os.File
	now  func() time.Time

	mu     sync.Mutex
	last   uint64 // generation written
	laid   bool   // the copies beside it are those of beside
	beside []job.Kept
	wrote  bool
	gone   bool // dropped: nothing more is written
}

// newKeeper takes a free slot in dir.
func newKeeper(dir string, now func() time.Time) (*keeper, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder for the recovery file: %w", err)
	}
	for n := 1; n <= 99; n++ {
		path := filepath.Join(dir, fmt.Sprintf("draft-%02d.json", n))
		if _, err := os.Stat(path); err == nil {
			continue // left by another; it is offered, never overwritten
		}
		f, err := os.OpenFile(path+".lock", os.O_CREATE|os.O_RDWR, 0o600)
		if err != nil {
			return nil, fmt.Errorf("lock the recovery file: %w", err)
		}
		if !tryLock(f) {
			f.Close()
			continue
		}
		if _, err := os.Stat(path); err == nil { // written in between
			f.Close()
			continue
		}
		return &keeper{dir: dir, path: path, lock: f, now: now}, nil
	}
	return nil, errors.New("99 recovery files lie in " + plain.Clean(dir) + ": take them up or delete them")
}

// write puts the draft on the disk: a temporary file, then a rename. An older
// generation never replaces a newer one.
func (k *keeper) write(d *Draft) (string, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.gone || k.wrote && d.Gen <= k.last {
		return k.path, nil
	}
	j := d.Job
	if !k.laid || !slices.Equal(k.beside, j.Kept) { // the copies first: a draft never names what is not there
		if err := writeCopies(k.path, j.Kept); err != nil {
			return "", fmt.Errorf("write the recovery file: %w", err)
		}
		k.laid, k.beside = true, j.Kept
	}
	j.Kept = nil
	b, err := json.MarshalIndent(kept{keepVersion, k.now().Format(time.RFC3339), d.Dir, d.Name, d.Operator, d.Stage, j}, "", " ")
	if err != nil {
		return "", fmt.Errorf("write the recovery file: %w", err)
	}
	if err := replace(k.path, b); err != nil {
		return "", fmt.Errorf("write the recovery file: %w", err)
	}
	k.last, k.wrote = d.Gen, true
	return k.path, nil
}

// replace writes a file so that its name shows the old bytes or the new ones.
func replace(path string, b []byte) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".draft-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(b); err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// forget removes the recovery file: the work is saved or given up. A later
// edit may write it again.
func (k *keeper) forget(gen uint64) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.last, k.wrote, k.laid = gen, true, false
	if err := removeKept(k.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("remove the recovery file: %w", err)
	}
	return nil
}

// copiesFile is where the copies of a recovery file's drawings lie.
func copiesFile(path string) string { return strings.TrimSuffix(path, ".json") + ".copies" }

func writeCopies(path string, all []job.Kept) error {
	if len(all) == 0 {
		if err := os.Remove(copiesFile(path)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		return nil
	}
	b, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return replace(copiesFile(path), b)
}

// readCopies returns the copies that lie beside a recovery file.
// Copies that cannot be read are none: the drawing itself may be there.
func readCopies(path string) []job.Kept {
	text, err := presets.ReadFile(copiesFile(path), keptMax)
	if err != nil {
		return nil
	}
	var all []job.Kept
	if json.Unmarshal(text, &all) != nil {
		return nil
	}
	return all
}

// removeKept removes a recovery file and what lies beside it.
func removeKept(path string) error {
	err := os.Remove(path)
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		os.Remove(copiesFile(path)) // without its draft it is never read
	}
	return err
}

// close gives the slot free. A recovery file that is there stays.
func (k *keeper) close() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.gone = true
	k.lock.Close()
}

// find returns the recovery files in dir that no running wizard holds, newest
// first.
func find(dir string) []Found {
	names, _ := filepath.Glob(filepath.Join(dir, "draft-[0-9][0-9].json"))
	var out []Found
	for _, name := range names {
		if held(name + ".lock") {
			continue
		}
		f := Found{Path: name}
		f.Draft, f.At, f.Err = readKept(name)
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(a, b Found) int {
		if c := b.At.Compare(a.At); c != 0 {
			return c
		}
		return strings.Compare(a.Path, b.Path)
	})
	return out
}

func held(lock string) bool {
	f, err := os.OpenFile(lock, os.O_RDWR, 0o600)
	if err != nil {
		return false
	}
	defer f.Close()
	return !tryLock(f)
}

// keptMax is the largest recovery file that is read: a thousand times what a
// large job takes.
const keptMax = 64 << 20

func readKept(path string) (*Draft, time.Time, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, time.Time{}, err
	}
	if info.Size() > keptMax {
		return nil, info.ModTime(), fmt.Errorf("%d bytes: no recovery file is over %d", info.Size(), keptMax)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, info.ModTime(), err
	}
	var v struct{ Version int }
	if err := json.Unmarshal(b, &v); err != nil {
		return nil, info.ModTime(), fmt.Errorf("damaged: %w", err)
	}
	if v.Version != keepVersion {
		return nil, info.ModTime(), fmt.Errorf("written by another version of the program (%d, this one writes %d)", v.Version, keepVersion)
	}
	var k kept
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&k); err != nil {
		return nil, info.ModTime(), fmt.Errorf("damaged: %w", err)
	}
	at, err := time.Parse(time.RFC3339, k.At)
	if err != nil {
		at = info.ModTime()
	}
	k.Job.Kept = readCopies(path)
	return &Draft{Job: k.Job, Dir: k.Dir, Name: k.Name, Operator: k.Operator, Stage: k.Stage}, at, nil
}
