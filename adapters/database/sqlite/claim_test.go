package sqlite

import (
	"bufio"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// TestClaimedFileIsRefused opens a file that another process has claimed, and
// again once that process was killed.
func TestClaimedFileIsRefused(t *testing.T) {
	path := studioFile(t)
	cmd, out := start(t, "hold", path)
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "held\n" {
		t.Fatalf("the other process said %q, %v", line, err)
	}
	before := contents(t, path)
	refused(t, path, path, "another Ledgerline is running on it", "stop that one first")
	if contents(t, path) != before {
		t.Error("the file was changed")
	}
	kill(t, cmd)
	openFile(t, path)
}

// TestClaimEndsWithTheStore opens a file twice in one process.
func TestClaimEndsWithTheStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "studio.db")
	first := openFile(t, path)
	refused(t, path, "another Ledgerline is running on it")
	if err := first.Update(t.Context(), settle); err != nil {
		t.Errorf("the store whose file was asked for: %v", err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	openFile(t, path)
}

// A refused file is claimed by nobody afterwards.
func TestRefusedFileIsNotClaimed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "recipes.db")
	execute(t, path, `CREATE TABLE recipe (name TEXT)`)
	for range 2 {
		refused(t, path, "another program: give")
	}
}

func TestClaimIsPrivateAndEmpty(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no permission bits")
	}
	path := filepath.Join(t.TempDir(), "studio.db")
	openFile(t, path)
	info, err := os.Stat(path + ".lock")
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm() != 0o600 || info.Size() != 0 {
		t.Errorf("the file of the claim has mode %v and %d bytes, want one for the owner alone and none", info.Mode(), info.Size())
	}
}

// TestDamagedFileIsRefused overwrites each page but the first, which holds the
// header, in its turn.
func TestDamagedFileIsRefused(t *testing.T) {
	const pageSize = 4096 // SQLite's own choice for a new file
	path := studioFile(t)
	good := contents(t, path)
	for page := pageSize; page < len(good); page += pageSize {
		bad := []byte(good)
		for i := range pageSize {
			bad[page+i] = byte(i*7 + 3)
		}
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		refused(t, path, path, "is damaged", "the latest backup")
	}
	if err := os.WriteFile(path, []byte(good), 0o600); err != nil {
		t.Fatal(err)
	}
	checkIntegrity(t, openFile(t, path))
}
