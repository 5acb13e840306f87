package presets

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"example.org/kerfwright/planner/bundle"
)

// Folder is a folder on disk, for package bundle. The path is opened as it is
// said; the files in it are never reached through a link.
type Folder string

var _ bundle.Dir = Folder("")

// maxReplaced is the largest file that a save reads so that it can put it
// back, in bytes: far above any program. A larger one is not ours.
const maxReplaced = 256 << 20

func (d Folder) path(name string) string { return filepath.Join(string(d), name) }

// Kind says what a name stands for, without following a link.
func (d Folder) Kind(name string) (bundle.Kind, error) {
	info, err := os.Lstat(d.path(name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return bundle.Absent, nil
	case err != nil:
		return bundle.Other, err
	case info.Mode()&fs.ModeSymlink != 0:
		return bundle.Link, nil
	case !info.Mode().IsRegular():
		return bundle.Other, nil
	case info.Mode().Perm()&0o200 == 0:
		return bundle.Protected, nil
	}
	return bundle.Regular, nil
}

// Temp makes a new file beside name.
func (d Folder) Temp(name string) (bundle.File, error) {
	const tries = 100 // a name is taken once in 2^80
	for range tries {
		temp := bundle.TempName(name, rand.Text()[:16])
		f, err := os.OpenFile(d.path(temp), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		return diskFile{f, temp}, nil
	}
	return nil, fmt.Errorf("no free name for a temporary file in %s", d)
}

// Rename puts a file in place of another.
func (d Folder) Rename(from, to string) error { return os.Rename(d.path(from), d.path(to)) }

// Remove removes one file.
func (d Folder) Remove(name string) error { return os.Remove(d.path(name)) }

// Read returns a regular file's bytes. A link put in its place since Kind was
// asked is noticed: what was opened must be what stands there.
func (d Folder) Read(name string) ([]byte, error) {
	stands, err := os.Lstat(d.path(name))
	if err != nil {
		return nil, err
	}
	if !stands.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no regular file", name)
	}
	f, err := os.Open(d.path(name))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	opened, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case !os.SameFile(stands, opened):
		return nil, fmt.Errorf("%s was exchanged while it was read", name)
	case opened.Size() > maxReplaced:
		return nil, fmt.Errorf("%s holds %d bytes, at most %d are read", name, opened.Size(), maxReplaced)
	}
	return io.ReadAll(io.LimitReader(f, maxReplaced))
}

// Names lists the folder.
func (d Folder) Names() ([]string, error) {
	f, err := os.Open(string(d))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return f.Readdirnames(-1)
}

// Sync makes renames and removals durable. A file system that has no such
// thing for folders, as some network ones, is taken at its word.
func (d Folder) Sync() error {
	f, err := os.Open(string(d))
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}

// diskFile is a temporary file on disk.
type diskFile struct {
	*os.File
	name string
}

func (f diskFile) Name() string { return f.name }

func (f diskFile) Size() (int64, error) {
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}
