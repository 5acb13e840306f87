//go:build unix

package presets

import (
	"os"

	"golang.org/x/sys/unix"
)

// tryLock takes the file's lock for this open file, and reports whether it was
// free. The system gives it back when the process ends, however it ends.
func tryLock(f *os.File) bool {
	return unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil
}
