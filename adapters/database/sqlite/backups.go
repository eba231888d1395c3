package sqlite

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"
)

// Backups makes backups of a database file into a folder, one every so often, and
// removes those that are older than the newest few.
type Backups struct {
	Database string
	Folder   string
	Every    time.Duration    // between one and the next
	Keep     int              // how many are kept
	Now      func() time.Time // the clock
	Log      *slog.Logger

	latest atomic.Int64 // seconds from 1970 to the last that was made here
}

// stamp is how a backup is named after its time, in UTC.
const stamp = "20060102T150405Z"

// Latest returns when the last backup was made, or the zero time.
func (b *Backups) Latest() time.Time {
	if at := b.latest.Load(); at != 0 {
		return time.Unix(at, 0)
	}
	return time.Time{}
}

// Run makes backups as they come due, until ctx is done. One that fails is
// logged and tried again.
func (b *Backups) Run(ctx context.Context) {
	const look = time.Minute
	for ctx.Err() == nil {
		if err := b.Tend(ctx); err != nil && ctx.Err() == nil {
			b.Log.Error("no backup was made; trying again", "err", err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(look):
		}
	}
}

// Tend makes a backup if one is due, and removes those that are too many.
func (b *Backups) Tend(ctx context.Context) error {
	all, err := b.list()
	if err != nil {
		return err
	}
	now := b.Now().UTC()
	if len(all) > 0 {
		newest := b.timeOf(all[len(all)-1])
		b.latest.Store(newest.Unix())
		if age := now.Sub(newest); 0 <= age && age < b.Every {
			return nil
		}
	}
	name := filepath.Join(b.Folder, b.prefix()+now.Format(stamp)+".db")
	held, err := BackUp(ctx, b.Database, name)
	if err != nil {
		return err
	}
	b.latest.Store(now.Unix())
	b.Log.Info("backup made and verified", "file", filepath.Base(name), "messages", held.Rows["inbox"], "entries", held.Rows["entry"])
	return b.prune(append(all, name))
}

// prune removes all but the newest backups.
func (b *Backups) prune(all []string) error {
	slices.Sort(all)
	var errs []error
	for _, old := range all[:max(0, len(all)-max(1, b.Keep))] {
		errs = append(errs, os.Remove(old), removed(old+sumEnding))
	}
	return errors.Join(errs...)
}

// prefix begins the name of every backup of the database.
func (b *Backups) prefix() string {
	base := filepath.Base(b.Database)
	return strings.TrimSuffix(base, filepath.Ext(base)) + "-"
}

// list returns the backups in the folder, oldest first, and makes the folder if
// there is none.
func (b *Backups) list() ([]string, error) {
	if err := os.MkdirAll(b.Folder, 0o700); err != nil {
		return nil, fmt.Errorf("folder for backups: %w", err)
	}
	entries, err := os.ReadDir(b.Folder)
	if err != nil {
		return nil, fmt.Errorf("looking at the backups: %w", err)
	}
	var all []string
	for _, e := range entries {
		name := filepath.Join(b.Folder, e.Name())
		if !b.timeOf(name).IsZero() {
			all = append(all, name)
		}
	}
	slices.Sort(all)
	return all, nil
}

// timeOf returns when the backup of that name was made; zero if the file is none.
func (b *Backups) timeOf(path string) time.Time {
	name, ok := strings.CutPrefix(filepath.Base(path), b.prefix())
	name, isDB := strings.CutSuffix(name, ".db")
	at, err := time.Parse(stamp, name)
	if !ok || !isDB || err != nil {
		return time.Time{}
	}
	return at
}
