package sqlite

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// A backup may lie for years on a disk that changes a bit of it. SQLite would
// not notice one in a row; a sum beside the file does.

// sumEnding is what follows the name of a backup in the name of its sum.
const sumEnding = ".sha256"

// writeSum writes the sum of the file part beside the name it will have.
func writeSum(part, name string) error {
	sum, err := sumOf(part)
	if err != nil {
		return err
	}
	line := sum + "  " + filepath.Base(name) + "\n"
	if err := os.WriteFile(name+sumEnding, []byte(line), 0o600); err != nil {
		return err
	}
	return flush(name + sumEnding)
}

// checkSum fails if there is a sum beside a backup, and it is another one.
func checkSum(backup string) error {
	line, err := os.ReadFile(backup + sumEnding)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	want, _, _ := strings.Cut(string(line), " ")
	got, err := sumOf(backup)
	if err == nil && got != want {
		err = fmt.Errorf("backup %s: the file is damaged (it is not what its sum says): take another backup", backup)
	}
	return err
}

func sumOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("there is no file %s: give the path of a backup", path)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
