//go:build !linux

package audio

import "runtime/debug"

// shutIn has the garbage collected early. Other systems than Linux set no limit
// that holds; the process is still ended when its time is over.
func shutIn() error {
	debug.SetMemoryLimit(memory * 2 / 3)
	return nil
}
