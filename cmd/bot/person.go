package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"ledgerline/adapters/charts"
	"ledgerline/adapters/database/postgres"
	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/studio"
)

// exportCmd writes all that is kept of one member.
type exportCmd struct {
	Member   string `arg:"" help:"Id of the member in the file of her studio."`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	To       string `help:"New file to write to; by default MEMBER.json." placeholder:"FILE"`
}

func (c *exportCmd) Run(ctx context.Context, out io.Writer) error {
	if c.To == "" {
		c.To = c.Member + ".json"
	}
	return withCopy(ctx, c.Database, func(s studio.Store) error {
		e, err := serviceOn(s).Export(ctx, studio.MemberID(c.Member))
		if err != nil {
			return noMember(err, c.Member, c.Database)
		}
		if err := writeJSON(c.To, e); err != nil {
			return fmt.Errorf("writing the export: %w", err)
		}
		fmt.Fprintf(out, "Written to %s: %d messages, %d posts, %d reports, %d routines. It is for that person alone.\n",
			c.To, len(e.Messages), len(e.Posts), len(e.Log), len(e.Routines))
		return nil
	})
}

// eraseCmd removes one member.
type eraseCmd struct {
	Member   string `arg:"" help:"Id of the member in the file of her studio."`
	Database string `help:"File that keeps everything. No program may be at work on it." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	Good     bool   `name:"for-good" help:"Says that it is meant: there is no way back but a backup."`
}

func (c *eraseCmd) Run(ctx context.Context, out io.Writer) error {
	if !c.Good {
		return fmt.Errorf("that removes %s with the whole log; if it is meant, add --for-good", c.Member)
	}
	if err := isThere(c.Database); err != nil {
		return err
	}
	store, err := openStore(ctx, c.Database)
	if err != nil {
		return err
	}
	err = noMember(serviceOn(store).Erase(ctx, studio.MemberID(c.Member)), c.Member, c.Database)
	if err = errors.Join(err, store.Close()); err != nil {
		return err
	}
	fmt.Fprintln(out, "Erased. Take that member out of the file of the studio too, and think of the backups.")
	return nil
}

// noMember says so of an error, if it is that a member was not found.
func noMember(err error, member, database string) error {
	if errors.Is(err, studio.ErrNotFound) {
		return fmt.Errorf("there is no member %q in %s; write the id that the file of the studio gives her", member, database)
	}
	return err
}

// deedsCmd lists what teachers, assistants and guardians had the program do.
type deedsCmd struct {
	Studio   string `arg:"" help:"Id of the studio."`
	Database string `help:"File that keeps everything." default:"ledgerline.db" env:"LEDGERLINE_DATABASE"`
	Last     int    `help:"How many, counted from the last." default:"100000"`
}

func (c *deedsCmd) Run(ctx context.Context, out io.Writer) error {
	return withCopy(ctx, c.Database, func(s studio.Store) error {
		return s.View(ctx, func(tx studio.Tx) error {
			if _, err := tx.Studio(studio.StudioID(c.Studio)); errors.Is(err, studio.ErrNotFound) {
				return fmt.Errorf("there is no studio %q in %s; write the id that its file gives it", c.Studio, c.Database)
			}
			all, err := tx.Deeds(studio.StudioID(c.Studio), c.Last)
			lines := json.NewEncoder(out)
			for _, d := range all {
				err = errors.Join(err, lines.Encode(d))
			}
			return err
		})
	})
}

// withCopy does something on a copy of a database, on which a program may be at
// work. PostgreSQL needs no copy: it lets others read meanwhile.
func withCopy(ctx context.Context, database string, do func(studio.Store) error) error {
	if postgres.IsURL(database) {
		store, err := postgres.OpenToRead(database)
		if err != nil {
			return err
		}
		return errors.Join(do(store), store.Close())
	}
	if err := isThere(database); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "ledgerline-copy-")
	if err != nil {
		return fmt.Errorf("making a folder for a copy: %w", err)
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "copy.db")
	if _, err := sqlite.BackUp(ctx, database, file); err != nil {
		return err
	}
	store, err := sqlite.Open(ctx, file)
	if err != nil {
		return err
	}
	return errors.Join(do(store), store.Close())
}

// serviceOn returns a service that talks with nobody.
func serviceOn(s studio.Store) *studio.Service {
	return studio.New(studio.Config{
		Store: s, Drawer: charts.New(nil), Now: time.Now, Log: slog.New(slog.DiscardHandler),
		Books: func(studio.StudioID) *routine.Catalogue { return &routine.Catalogue{} },
	})
}
