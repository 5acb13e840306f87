//go:build !unix

package tui

import "os"

// tryLock cannot tell here whether another wizard runs: every slot is free,
// and a recovery file is offered also while its wizard lives.
func tryLock(*os.File) bool { return true }

func canSuspend() bool { return false }
