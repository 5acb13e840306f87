package presets

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/jobfile"
)

// How the store keeps what is written to it:
//
//   - One session at a time writes: each write takes the store's lock, reads
//     what stands there, changes that, and gives the lock back. Two sessions
//     never overwrite one another's change unseen: see Merge for what happens
//     when both changed the same preset.
//   - Before a file is replaced or removed, what it held goes into its history
//     (history/FOLDER/NAME/), durably. Nothing is ever taken out of a history.
//   - A file is replaced in one step by a durable one (package bundle). Killed
//     at any moment, it is the old one or the new one.
//   - A file that cannot be read is somebody's work: it is moved aside under a
//     name of its own when its place is needed, and never written over.

// historyFolder holds the history of every file.
const historyFolder = "history"

// asideSuffix marks what was moved aside; a number follows.
const asideSuffix = ".damaged-"

// Item names one file of the store: a folder below the root with slashes, ""
// for the root itself, and a base name.
type Item struct{ Folder, Name string }

func (i Item) String() string { return path.Join(i.Folder, i.Name) }

// ParseItem reads "process/mild-steel-45a-3mm.toml". It refuses what leads out
// of the store, or into its history.
func ParseItem(s string) (Item, error) {
	folder, name := path.Split(path.Clean(strings.ReplaceAll(s, `\`, "/")))
	i := Item{strings.TrimSuffix(folder, "/"), name}
	if err := i.check(); err != nil {
		return Item{}, fmt.Errorf("%q: %w", s, err)
	}
	return i, nil
}

func (i Item) check() error {
	if err := jobfile.BaseName(i.Name); err != nil || i.Name == "" {
		return errors.New("must be a file of the store, such as process/mild-steel-45a-3mm.toml")
	}
	if i.Folder == "" {
		return nil
	}
	for k, part := range strings.Split(i.Folder, "/") {
		if jobfile.BaseName(part) != nil || part == "" || k == 0 && part == historyFolder {
			return errors.New("must be a file of the store, such as process/mild-steel-45a-3mm.toml")
		}
	}
	return nil
}

// history is the folder of an item's history.
func (i Item) history() string { return path.Join(historyFolder, i.Folder, i.Name) }

// Version is one earlier state of a file.
type Version struct {
	N    int       // from 1, growing
	At   time.Time // when it was replaced or removed
	Data []byte
}

// errUnchanged says that an edit found nothing to do.
var errUnchanged = errors.New("unchanged")

// locked runs do while this session alone writes.
func (s Store) locked(do func() error) error {
	release, err := s.disk.lock()
	if err != nil {
		return fmt.Errorf("the store %s: %w", s.root, err)
	}
	defer release()
	return do()
}

// Change replaces one file by what edit makes of it. Edit gets what stands
// there, nil if nothing does; no other session writes meanwhile. An error of
// edit leaves everything as it is.
func (s Store) Change(i Item, edit func(old []byte) ([]byte, error)) error {
	if err := i.check(); err != nil {
		return fmt.Errorf("save in the store: %w", err)
	}
	return s.locked(func() error { return s.change(i, edit) })
}

// change is Change for whoever holds the lock.
func (s Store) change(i Item, edit func(old []byte) ([]byte, error)) error {
	old, err := s.read(i)
	if err != nil {
		return fmt.Errorf("save %s: read the old file: %w", i, err)
	}
	now, err := edit(old)
	switch {
	case errors.Is(err, errUnchanged):
		return nil
	case err != nil:
		return err
	case old != nil && bytes.Equal(old, now):
		return nil
	}
	if old != nil {
		if err := s.remember(i, old); err != nil {
			return fmt.Errorf("save %s: %w", i, err)
		}
	}
	return s.put(i, now)
}

// put writes a file into its folder, which it makes.
func (s Store) put(i Item, data []byte) error {
	if err := s.disk.make(i.Folder); err != nil {
		return fmt.Errorf("save %s: %w", i, err)
	}
	return bundle.Replace(s.disk.dir(i.Folder), []bundle.Entry{{Name: i.Name, Data: data}})
}

// read returns what a file holds, nil if it is not there.
func (s Store) read(i Item) ([]byte, error) {
	d := s.disk.dir(i.Folder)
	switch kind, err := d.Kind(i.Name); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case kind == bundle.Absent:
		return nil, nil
	}
	data, err := d.Read(i.Name)
	if data == nil && err == nil {
		data = []byte{}
	}
	return data, err
}

// Read returns what a file of the store holds; an error if it is not there.
func (s Store) Read(i Item) ([]byte, error) {
	if err := i.check(); err != nil {
		return nil, err
	}
	data, err := s.read(i)
	if err == nil && data == nil {
		err = fs.ErrNotExist
	}
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", i, err)
	}
	return data, nil
}

// Remove takes a file out of the store. Its history keeps what it held.
func (s Store) Remove(i Item) error {
	if err := i.check(); err != nil {
		return err
	}
	return s.locked(func() error {
		old, err := s.read(i)
		if err != nil || old == nil {
			return err
		}
		if err := s.remember(i, old); err != nil {
			return fmt.Errorf("remove %s: %w", i, err)
		}
		d := s.disk.dir(i.Folder)
		if err := d.Remove(i.Name); err != nil {
			return fmt.Errorf("remove %s: %w", i, err)
		}
		return d.Sync()
	})
}

// names lists the TOML files of a folder, sorted; none if it is not there.
func (s Store) names(folder string) ([]string, error) {
	all, err := s.disk.dir(folder).Names()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(n string) bool { return path.Ext(n) != ".toml" || strings.HasPrefix(n, ".") })
	slices.Sort(all)
	return all, nil
}

// setAside moves a file that cannot be read out of the way, and returns the
// name that it has now. The lock is held.
func (s Store) setAside(i Item) (string, error) {
	d := s.disk.dir(i.Folder)
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s%s%d", i.Name, asideSuffix, n)
		switch kind, err := d.Kind(name); {
		case err != nil:
			return "", err
		case kind != bundle.Absent:
			continue
		}
		if err := d.Rename(i.Name, name); err != nil {
			return "", err
		}
		return name, d.Sync()
	}
}

// replaceWhole puts a text in place of a file that has one fixed name. What
// stood there goes into the history; if it cannot be read, it is moved aside.
func (s Store) replaceWhole(i Item, text []byte, readable func(old []byte) bool) (Saved, error) {
	saved := Saved{Item: i}
	err := s.locked(func() error {
		old, err := s.read(i)
		if err != nil {
			return err
		}
		if old != nil && !readable(old) {
			if saved.Aside, err = s.setAside(i); err != nil {
				return fmt.Errorf("%s cannot be read and could not be moved aside: %w", i, err)
			}
		}
		return s.change(i, func([]byte) ([]byte, error) { return text, nil })
	})
	return saved, err
}
