//go:build unix

package tui

import (
	"os"

	"golang.org/x/sys/unix"
)

// tryLock takes the file's lock for this process, and reports whether it was free.
func tryLock(f *os.File) bool {
	return unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil
}

// canSuspend reports whether a stopped wizard could be woken again: started as
// `ssh -t host kerfwright` its process group is the session leader's, and the
// system drops the signal that would stop it.
func canSuspend() bool {
	sid, err := unix.Getsid(0)
	return err == nil && unix.Getpgrp() != sid
}
