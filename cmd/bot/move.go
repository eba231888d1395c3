package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"

	"ledgerline/adapters/database/postgres"
	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
)

// A keeper is a store that is open until it is closed.
type keeper interface {
	studio.Store
	Close() error
}

// openStore opens the database: a file, or one of PostgreSQL's by its URL.
func openStore(ctx context.Context, database string) (keeper, error) {
	if postgres.IsURL(database) {
		return postgres.Open(ctx, database)
	}
	return sqlite.Open(ctx, database)
}

// moveCmd moves everything from a file into PostgreSQL.
type moveCmd struct {
	Database string `help:"File that keeps everything. No program may be at work on it." default:"ledgerline.db"`
	To       string `arg:"" help:"URL of an empty PostgreSQL database: postgres://user@host/name. Its password is taken from the environment, PGPASSWORD." placeholder:"URL"`
}

func (c *moveCmd) Run(ctx context.Context, out io.Writer) error {
	if !postgres.IsURL(c.To) {
		return fmt.Errorf("%q is no URL of a PostgreSQL database: write, for example, postgres://bot@127.0.0.1/ledgerline", c.To)
	}
	store, err := postgres.Open(ctx, c.To)
	if err != nil {
		return err
	}
	rows, err := move(ctx, c.Database, store)
	if err = errors.Join(err, store.Close()); err != nil {
		return err
	}
	total := 0
	for _, table := range slices.Sorted(maps.Keys(rows)) {
		total += rows[table]
		fmt.Fprintf(out, "%s: %d\n", table, rows[table])
	}
	fmt.Fprintf(out, "Moved and read back: %d rows are the same. The file is as it was; keep it until all is well.\n", total)
	return nil
}

func move(ctx context.Context, file string, to *postgres.Store) (map[string]int, error) {
	load, err := postgres.NewLoad(ctx, to)
	if err != nil {
		return nil, err
	}
	if err := sqlite.CopyOut(ctx, file, load); err != nil {
		return nil, errors.Join(err, load.Drop())
	}
	return load.Keep()
}
