package main

import (
	"math/rand/v2"
	"os"
	"slices"
	"syscall"
)

// An unflushed is what a machine holds of files, apart from what it has flushed
// to the disk. That a file was made or removed is taken as flushed at once.
type unflushed struct {
	kept   map[string][]byte // what is safe of each file that was changed, by name
	random *rand.Rand
}

// meet notes what is safe of a file before a call changes it.
func (u *unflushed) meet(name string, number uint64) {
	_, known := u.kept[name]
	switch {
	case number == syscall.SYS_UNLINK:
		delete(u.kept, name)
	case !known || number == syscall.SYS_FSYNC || number == syscall.SYS_FDATASYNC:
		if data, err := os.ReadFile(name); err == nil {
			u.kept[name] = data
		}
	}
}

// takeBack makes the files what the disk may hold once the power is back: of
// each block of 512 bytes what is safe, or what was written since.
func (u *unflushed) takeBack() {
	share := []float64{0, 0.5, 0.9}[u.random.IntN(3)] // of the blocks that got to the disk by themselves
	for name, safe := range u.kept {
		now, err := os.ReadFile(name)
		if err != nil {
			continue // it was removed
		}
		if err := os.WriteFile(name, u.mix(safe, now, share), 0o600); err != nil {
			panic(err) // the test can't go on
		}
	}
}

func (u *unflushed) mix(safe, now []byte, share float64) []byte {
	const block = 512
	mixed := slices.Clone(safe)
	if u.random.Float64() < share && len(now) != len(safe) {
		mixed = append(mixed[:min(len(safe), len(now))], make([]byte, max(0, len(now)-len(safe)))...)
	}
	for at := 0; at < min(len(mixed), len(now)); at += block {
		if u.random.Float64() < share {
			end := min(at+block, len(mixed), len(now))
			copy(mixed[at:end], now[at:end])
		}
	}
	return mixed
}
