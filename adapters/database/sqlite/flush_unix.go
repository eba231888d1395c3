//go:build !windows

package sqlite

import (
	"errors"
	"os"
)

// flushFolder flushes the names in a folder to the disk.
func flushFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
