package presets

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"example.org/kerfwright/planner/bundle"
)

// disk is what a store lies on: folders below one root, a clock, and a lock
// that one session at a time holds. Tests put one in that fails.
type disk interface {
	// dir returns a folder by its path below the root, with slashes; "" is the
	// root itself. It need not exist.
	dir(folder string) bundle.Dir
	// make makes a folder with those above it, durably.
	make(folder string) error
	// lock waits until no other session writes, and returns what gives the
	// lock back.
	lock() (release func(), err error)
	now() time.Time
}

// lockFile lies in the store's root. It is never removed: who removes a lock
// file may remove the one that another session just took.
const lockFile = ".lock"

// lockWait is how long a session waits for another to finish writing. A write
// takes milliseconds; who waits longer meets a session that hangs.
const lockWait = 5 * time.Second

// realDisk is a folder of this computer.
type realDisk struct{ root string }

func (d realDisk) dir(folder string) bundle.Dir {
	return Folder(filepath.Join(d.root, filepath.FromSlash(folder)))
}

func (d realDisk) now() time.Time { return time.Now() }

// make makes the folders that are missing from the top down, and makes each
// durable in the one above it.
func (d realDisk) make(folder string) error {
	path := filepath.Join(d.root, filepath.FromSlash(folder))
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		return nil
	case err == nil:
		return fmt.Errorf("%s is no folder", path)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	above := filepath.Dir(path)
	if above == path {
		return fmt.Errorf("%s cannot be made", path)
	}
	if err := (realDisk{above}).make(""); err != nil {
		return err
	}
	if err := os.Mkdir(path, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return Folder(above).Sync()
}

func (d realDisk) lock() (func(), error) {
	if err := d.make(""); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(filepath.Join(d.root, lockFile), os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	const step = 20 * time.Millisecond
	for waited := time.Duration(0); !tryLock(f); waited += step {
		if waited >= lockWait {
			f.Close()
			return nil, fmt.Errorf("another session has been writing to the store for %v: wait for it, or end it, and try again", lockWait)
		}
		time.Sleep(step)
	}
	return func() { f.Close() }, nil // closing gives the lock back, and so does the end of the process
}
