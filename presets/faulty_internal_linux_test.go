package presets

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"example.org/kerfwright/planner/bundle"
)

// faulty is a real disk that counts every call that the store makes of it,
// and lets one of them, or all from one on, go wrong.
type faulty struct {
	realDisk
	n    *int
	fail func(n int, call string) error // nil error: go on
	half bool                           // a failing write has written half
	die  int                            // the call at which the process ends; 0 is none
}

func (d faulty) call(format string, args ...any) error {
	*d.n++
	if *d.n == d.die {
		syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	}
	if d.fail == nil {
		return nil
	}
	return d.fail(*d.n, fmt.Sprintf(format, args...))
}

func (d faulty) dir(folder string) bundle.Dir {
	return faultyDir{Folder(filepath.Join(d.root, folder)), d}
}

func (d faulty) make(folder string) error {
	if err := d.call("make %s", folder); err != nil {
		return err
	}
	return d.realDisk.make(folder)
}

func (d faulty) lock() (func(), error) {
	if err := d.call("lock"); err != nil {
		return nil, err
	}
	return d.realDisk.lock()
}

// now stands still, so that a run can be repeated byte for byte.
func (d faulty) now() time.Time { return time.Date(2026, 5, 4, 10, 20, 30, 0, time.UTC) }

type faultyDir struct {
	Folder
	d faulty
}

func (f faultyDir) Kind(name string) (bundle.Kind, error) {
	if err := f.d.call("kind %s", name); err != nil {
		return 0, err
	}
	return f.Folder.Kind(name)
}

func (f faultyDir) Temp(name string) (bundle.File, error) {
	if err := f.d.call("temp %s", name); err != nil {
		return nil, err
	}
	file, err := f.Folder.Temp(name)
	return faultyFile{file, f.d}, err
}

func (f faultyDir) Rename(from, to string) error {
	if err := f.d.call("rename to %s", to); err != nil {
		return err
	}
	return f.Folder.Rename(from, to)
}

func (f faultyDir) Remove(name string) error {
	if err := f.d.call("remove %s", name); err != nil {
		return err
	}
	return f.Folder.Remove(name)
}

func (f faultyDir) Read(name string) ([]byte, error) {
	if err := f.d.call("read %s", name); err != nil {
		return nil, err
	}
	return f.Folder.Read(name)
}

func (f faultyDir) Names() ([]string, error) {
	if err := f.d.call("names"); err != nil {
		return nil, err
	}
	return f.Folder.Names()
}

func (f faultyDir) Sync() error {
	if err := f.d.call("sync folder"); err != nil {
		return err
	}
	return f.Folder.Sync()
}

type faultyFile struct {
	bundle.File
	d faulty
}

func (f faultyFile) Write(p []byte) (int, error) {
	// A process that dies, or a disk that fills up, leaves half.
	if f.d.die == *f.d.n+1 || f.d.half && f.d.fail != nil && f.d.fail(*f.d.n+1, "write") != nil {
		f.File.Write(p[:len(p)/2])
	}
	if err := f.d.call("write"); err != nil {
		return len(p) / 2, err
	}
	return f.File.Write(p)
}

func (f faultyFile) Sync() error {
	if err := f.d.call("sync file"); err != nil {
		return err
	}
	return f.File.Sync()
}

func (f faultyFile) Size() (int64, error) {
	if err := f.d.call("size"); err != nil {
		return 0, err
	}
	return f.File.Size()
}

func (f faultyFile) Close() error {
	err := f.File.Close()
	return errors.Join(f.d.call("close"), err)
}
