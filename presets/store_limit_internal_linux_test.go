package presets

import (
	"os/signal"
	"syscall"
)

// limitFiles lets no file of this process grow beyond a size; the write that
// would is told, and does not end the process.
func limitFiles(bytes uint64) {
	signal.Ignore(syscall.SIGXFSZ)
	limit := syscall.Rlimit{Cur: bytes, Max: bytes}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		panic(err)
	}
}
