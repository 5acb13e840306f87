//go:build !unix

package presets

import "os"

// tryLock cannot keep another session out here: two that write one file at
// the same moment are told apart only by what is read before the write.
func tryLock(*os.File) bool { return true }
