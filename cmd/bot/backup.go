package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ledgerline/adapters/database/sqlite"
)

// backupCmd copies a database, whether a program is at work on it or not.
type backupCmd struct {
	To       string `arg:"" help:"New file, or a folder in which to make one named after the time." placeholder:"FILE"`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
}

func (c *backupCmd) Run(ctx context.Context, out io.Writer) error {
	to := c.To
	if info, err := os.Stat(to); err == nil && info.IsDir() {
		base := strings.TrimSuffix(filepath.Base(c.Database), filepath.Ext(c.Database))
		to = filepath.Join(to, base+time.Now().UTC().Format("-20060102T150405Z.db"))
	}
	held, err := sqlite.BackUp(ctx, c.Database, to)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s: in order: %s\n", to, holds(held))
	return nil
}

// restoreCmd puts a backup in the place of a database that is gone.
type restoreCmd struct {
	Backup   string `arg:"" help:"File that “bot backup” or “bot run --backups” has made."`
	Database string `help:"File to make of it. It must not be there yet." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
}

func (c *restoreCmd) Run(ctx context.Context, out io.Writer) error {
	held, err := sqlite.Restore(ctx, c.Backup, c.Database)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s: in order: %s\n", c.Database, holds(held))
	return nil
}

// holds says what a database holds.
func holds(h sqlite.Holding) string {
	words := []string{fmt.Sprintf("schema %d", h.Schema)}
	for _, table := range slices.Sorted(maps.Keys(h.Rows)) {
		if n := h.Rows[table]; n > 0 && !strings.HasPrefix(table, "goose") {
			words = append(words, fmt.Sprintf("%s %d", table, n))
		}
	}
	return strings.Join(words, ", ")
}
