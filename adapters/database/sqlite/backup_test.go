package sqlite

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// TestBackUpWhileWriting backs a file up while it is written to, again and again:
// every copy must be whole, and hold whole transactions.
func TestBackUpWhileWriting(t *testing.T) {
	path := studioFile(t)
	s := openFile(t, path)
	stop, ended := make(chan struct{}), make(chan error, 1)
	go func() {
		for {
			select {
			case <-stop:
				ended <- nil
				return
			default:
			}
			if err := writeAll(s, func() {}); err != nil {
				ended <- err
				return
			}
		}
	}()
	last := -1
	for i := range 5 {
		to := filepath.Join(t.TempDir(), fmt.Sprint(i, ".db"))
		held, err := BackUp(t.Context(), path, to)
		if err != nil {
			t.Fatal(err)
		}
		restored := filepath.Join(t.TempDir(), "restored.db")
		if _, err := Restore(t.Context(), to, restored); err != nil {
			t.Fatal(err)
		}
		n := written(t, openFile(t, restored))
		if n != held.Rows["inbox"] || n < last {
			t.Errorf("%d transactions in the copy, %d messages counted, %d in the copy before", n, held.Rows["inbox"], last)
		}
		last = n
	}
	close(stop)
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if last < 1 {
		t.Error("nothing was written meanwhile, so nothing was tried")
	}
}

func TestRestoreRefuses(t *testing.T) {
	path := studioFile(t)
	s := openFile(t, path)
	backup := filepath.Join(t.TempDir(), "backup.db")
	if _, err := BackUp(t.Context(), path, backup); err != nil {
		t.Fatal(err)
	}
	refuses := func(what, backup, to string, parts ...string) {
		t.Helper()
		_, err := Restore(t.Context(), backup, to)
		if err == nil {
			t.Errorf("%s: restored", what)
			return
		}
		for _, part := range parts {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: the error lacks %q: %v", what, part, err)
			}
		}
	}
	refuses("over a live file", backup, path, "another Ledgerline is running on it")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	before := contents(t, path)
	refuses("over a file", backup, path, "is there already", "move it away")
	if contents(t, path) != before {
		t.Error("the file was changed")
	}
	free := filepath.Join(t.TempDir(), "studio.db")
	refuses("no backup", filepath.Join(t.TempDir(), "none.db"), free, "there is no file")

	log := free + "-wal"
	if err := os.WriteFile(log, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	refuses("over the log of another file", backup, free, log, "move it away")
	if err := os.Remove(log); err != nil {
		t.Fatal(err)
	}

	damaged := filepath.Join(t.TempDir(), "damaged.db")
	bad := []byte(contents(t, backup))
	bad[len(bad)-100] ^= 1 // in the body of a row, or in nothing at all
	refusesBytes := func(what string) {
		t.Helper()
		if err := os.WriteFile(damaged, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		refuses(what, damaged, free, "damaged", "take another backup")
	}
	if err := copyFile(backup+sumEnding, damaged+sumEnding); err != nil {
		t.Fatal(err)
	}
	refusesBytes("a backup with one bit changed")
	if err := os.Remove(damaged + sumEnding); err != nil {
		t.Fatal(err)
	}
	for i := range 4096 {
		bad[3*4096+i] = byte(i*7 + 3)
	}
	refusesBytes("a backup with a page overwritten, and no sum")
	newer := filepath.Join(t.TempDir(), "newer.db")
	if err := copyFile(backup, newer); err != nil {
		t.Fatal(err)
	}
	execute(t, newer, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (4711, 1)`)
	refuses("a backup of a newer schema", newer, free, "newer Ledgerline")
	recipes := filepath.Join(t.TempDir(), "recipes.db")
	execute(t, recipes, `CREATE TABLE recipe (name TEXT)`)
	refuses("another program's file", recipes, free, "another program")
	if _, err := os.Stat(free); err == nil {
		t.Error("a refused restore left a file")
	}
}

func TestBackUpRefuses(t *testing.T) {
	path := studioFile(t)
	if _, err := BackUp(t.Context(), path, path); err == nil || !strings.Contains(err.Error(), "is there already") {
		t.Errorf("a backup over the database itself: %v", err)
	}
	if _, err := BackUp(t.Context(), path+"x", path+"y"); err == nil || !strings.Contains(err.Error(), "there is no database") {
		t.Errorf("a backup of nothing: %v", err)
	}
	if left, _ := filepath.Glob(path + "*.part"); len(left) > 0 {
		t.Errorf("a refused backup left %v", left)
	}
}

// A year of days, with the clock set back once: one backup a day, and only the
// newest are kept.
func TestBackupsOnSchedule(t *testing.T) {
	path := studioFile(t)
	now := time.Date(2026, 3, 2, 3, 0, 0, 0, time.UTC)
	folder := filepath.Join(t.TempDir(), "backups")
	b := &Backups{
		Database: path, Folder: folder, Every: 24 * time.Hour, Keep: 5,
		Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler),
	}
	other := filepath.Join(folder, "notes.txt")
	for hour := range 20 * 24 {
		if err := b.Tend(t.Context()); err != nil {
			t.Fatal(err)
		}
		if hour == 0 {
			if err := os.WriteFile(other, []byte("mine"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		now = now.Add(time.Hour)
		all, err := b.list()
		if err != nil {
			t.Fatal(err)
		}
		if want := min(5, hour/24+1); len(all) != want {
			t.Fatalf("after %d hours there are %d backups, want %d", hour, len(all), want)
		}
	}
	if age := now.Sub(b.Latest()); age > 24*time.Hour {
		t.Errorf("the latest backup is %v old", age)
	}
	if _, err := os.Stat(other); err != nil {
		t.Errorf("a file that is no backup: %v", err)
	}
	now = now.AddDate(0, -1, 0)
	if err := b.Tend(t.Context()); err != nil {
		t.Fatal(err)
	}
	if age := now.Sub(b.Latest()); age != 0 {
		t.Errorf("the clock was set back a month, and the latest backup is %v old", age)
	}
	restored := filepath.Join(t.TempDir(), "restored.db")
	all, _ := b.list()
	if _, err := Restore(t.Context(), all[len(all)-1], restored); err != nil {
		t.Fatal(err)
	}
	err := openFile(t, restored).View(t.Context(), func(tx studio.Tx) error { _, err := tx.Studio("harbour-row"); return err })
	if err != nil {
		t.Error(err)
	}
}
