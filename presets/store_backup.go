package presets

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/jobfile"
)

// A backup is a gzipped tar file (POSIX.1-1988 ustar, RFC 1952) of every file
// of the store with its history.

// Limits of a backup that is read. A store that needs more is not one.
const (
	maxBackupFiles = 200_000
	maxBackupSize  = 256 << 20 // bytes unpacked; common practice, no source
)

// Backup writes the whole store to out: files, histories and what was moved
// aside. No session writes meanwhile. It returns how many files it holds.
func (s Store) Backup(out io.Writer) (files int, err error) {
	err = s.locked(func() error {
		z := gzip.NewWriter(out)
		t := tar.NewWriter(z)
		err := s.each("", func(i Item, data []byte) error {
			files++
			h := &tar.Header{Name: i.String(), Mode: 0o644, Size: int64(len(data)), Format: tar.FormatPAX}
			if err := t.WriteHeader(h); err != nil {
				return err
			}
			_, err := t.Write(data)
			return err
		})
		return errors.Join(err, t.Close(), z.Close())
	})
	if err != nil {
		return 0, fmt.Errorf("back up the store: %w", err)
	}
	return files, nil
}

// each hands every regular file below a folder to do, in order of names.
func (s Store) each(folder string, do func(i Item, data []byte) error) error {
	d := s.disk.dir(folder)
	all, err := d.Names()
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	slices.Sort(all)
	for _, name := range all {
		if strings.HasPrefix(name, ".") {
			continue
		}
		kind, err := d.Kind(name)
		if err != nil {
			return err
		}
		switch kind {
		case bundle.Regular, bundle.Protected:
			data, err := d.Read(name)
			if err != nil {
				return err
			}
			if err := do(Item{folder, name}, data); err != nil {
				return err
			}
		case bundle.Other:
			sub := path.Join(folder, name)
			if strings.Count(sub, "/") > 4 {
				continue
			}
			if err := s.each(sub, do); err != nil && !errors.Is(err, errNoFolder) {
				return err
			}
		}
	}
	return nil
}

// errNoFolder: a pipe or device lies in the store; it is no file of it.
var errNoFolder = errors.New("no folder")

// Restored says what a restore did.
type Restored struct {
	Same    int    // files that were as in the backup already
	Put     []Item // written; what stood there is in the history
	Kept    []Item // in the store but not in the backup: left as they are
	History int    // versions added to histories
}

// Restore puts every file of a backup back. The backup is read whole and
// checked before anything is written; what it replaces goes into the history,
// what it does not speak of stays. Cut short, it is simply run again.
func (s Store) Restore(in io.Reader) (Restored, error) {
	files, err := readBackup(in)
	if err != nil {
		return Restored{}, fmt.Errorf("read the backup: %w", err)
	}
	var r Restored
	err = s.locked(func() error {
		inBackup := map[Item]bool{}
		for _, f := range files {
			if past, ok := pastItem(f.item); ok {
				added, err := s.addVersion(past, f.item.Name, f.data)
				if err != nil {
					return err
				}
				r.History += added
				continue
			}
			inBackup[f.item] = true
			old, err := s.read(f.item)
			if err != nil {
				return fmt.Errorf("%s: %w", f.item, err)
			}
			if old != nil && bytes.Equal(old, f.data) {
				r.Same++
				continue
			}
			if err := s.change(f.item, func([]byte) ([]byte, error) { return f.data, nil }); err != nil {
				return err
			}
			r.Put = append(r.Put, f.item)
		}
		return s.each("", func(i Item, _ []byte) error {
			if _, past := pastItem(i); !past && !inBackup[i] {
				r.Kept = append(r.Kept, i)
			}
			return nil
		})
	})
	if err != nil {
		return r, fmt.Errorf("restore the store: %w. Nothing is lost: what was replaced is in the history. Run it again", err)
	}
	return r, nil
}

// pastItem returns the file whose history a path belongs to.
func pastItem(i Item) (Item, bool) {
	below, ok := strings.CutPrefix(i.Folder+"/", historyFolder+"/")
	if !ok {
		return Item{}, false
	}
	folder, name := path.Split(strings.TrimSuffix(below, "/"))
	return Item{strings.TrimSuffix(folder, "/"), name}, true
}

// addVersion puts a version of a backup into a history that does not hold it.
func (s Store) addVersion(i Item, name string, data []byte) (int, error) {
	d := s.disk.dir(i.history())
	all, names, err := s.versions(i)
	if err != nil {
		return 0, err
	}
	v, ok := parseVersion(name)
	if !ok {
		return 0, nil
	}
	for k := range all {
		if old, err := d.Read(names[k]); err == nil && bytes.Equal(old, data) {
			return 0, nil
		}
	}
	if slices.ContainsFunc(all, func(w Version) bool { return w.N == v.N }) {
		v.N = all[len(all)-1].N + 1 // another state has the number
	}
	if err := s.disk.make(i.history()); err != nil {
		return 0, err
	}
	return 1, bundle.Replace(d, []bundle.Entry{{Name: versionName(v.N, v.At, path.Ext(i.Name)), Data: data}})
}

type backupFile struct {
	item Item
	data []byte
}

// readBackup reads a whole backup into memory and refuses one that is cut
// short, damaged, too large, or that names anything outside a store.
func readBackup(in io.Reader) ([]backupFile, error) {
	z, err := gzip.NewReader(in)
	if err != nil {
		return nil, fmt.Errorf("is no backup of a store: %w", err)
	}
	limited := &io.LimitedReader{R: z, N: maxBackupSize}
	t := tar.NewReader(limited)
	var out []backupFile
	seen := map[Item]bool{}
	for {
		h, err := t.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, tooLarge(limited, err)
		}
		folder, name := path.Split(h.Name)
		i := Item{strings.TrimSuffix(folder, "/"), name}
		inside := i
		if past, ok := pastItem(i); ok {
			inside = past
			if _, ok := parseVersion(name); !ok {
				return nil, fmt.Errorf("%q is no version of a file", h.Name)
			}
		}
		switch {
		case h.Typeflag != tar.TypeReg:
			return nil, fmt.Errorf("%q is no regular file", h.Name)
		case inside.check() != nil || jobfile.BaseName(name) != nil || strings.Count(i.Folder, "/") > 4:
			return nil, fmt.Errorf("%q lies outside a store", h.Name)
		case h.Size > jobfile.MaxSize:
			return nil, fmt.Errorf("%q holds %d bytes, at most %d are read", h.Name, h.Size, jobfile.MaxSize)
		case seen[i]:
			return nil, fmt.Errorf("%q is there twice", h.Name)
		case len(out) >= maxBackupFiles:
			return nil, fmt.Errorf("more than %d files", maxBackupFiles)
		}
		seen[i] = true
		data, err := io.ReadAll(t)
		if err != nil {
			return nil, tooLarge(limited, err)
		}
		out = append(out, backupFile{i, data})
	}
	// The sum of RFC 1952 stands at the very end.
	if _, err := io.Copy(io.Discard, limited); err != nil {
		return nil, tooLarge(limited, err)
	}
	if limited.N <= 0 {
		return nil, tooLarge(limited, nil)
	}
	if len(out) == 0 {
		return nil, errors.New("holds no file")
	}
	return out, nil
}

func tooLarge(l *io.LimitedReader, err error) error {
	if l.N <= 0 {
		return fmt.Errorf("larger than %d bytes", maxBackupSize)
	}
	return fmt.Errorf("cut short or damaged: %w", err)
}
