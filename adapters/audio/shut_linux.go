package audio

import (
	"errors"
	"runtime/debug"
	"syscall"
)

// shutIn sets limits to this process and those it starts: seconds of processor,
// memory that is written to, size and number of files.
func shutIn() error {
	debug.SetMemoryLimit(memory * 2 / 3)
	limit := func(what int, most uint64) error {
		return syscall.Setrlimit(what, &syscall.Rlimit{Cur: most, Max: most})
	}
	return errors.Join(
		limit(syscall.RLIMIT_CPU, uint64(processTime.Seconds())),
		limit(syscall.RLIMIT_DATA, memory),
		limit(syscall.RLIMIT_FSIZE, 64<<20),
		limit(syscall.RLIMIT_NOFILE, 64),
		limit(syscall.RLIMIT_CORE, 0),
	)
}
