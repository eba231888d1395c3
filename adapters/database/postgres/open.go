package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"ledgerline/migrations"
)

// IsURL reports whether a database is named by a URL of PostgreSQL's.
func IsURL(s string) bool {
	return strings.HasPrefix(s, "postgres://") || strings.HasPrefix(s, "postgresql://")
}

var errTaken = errors.New("another Ledgerline is running on it: stop that one first, or start this one with --standby")

// Open opens the database that a URL names (postgres://user@host/name) and brings
// it to the shape this program wants. It refuses, in one sentence and without
// touching it, one that another running program has open and one that a newer
// program has written.
func Open(ctx context.Context, address string) (*Store, error) { return open(ctx, address, false) }

// OpenWaiting does the same, but waits until no other program has the database
// open.
func OpenWaiting(ctx context.Context, address string) (*Store, error) {
	return open(ctx, address, true)
}

// OpenToRead opens a database on which a program may be at work. It is not
// claimed, and brought to no shape; an Update claims it.
func OpenToRead(address string) (*Store, error) {
	db, err := sql.Open("pgx", address)
	if err != nil {
		return nil, fmt.Errorf("database %s: %w", named(address), err)
	}
	return newStore(db), nil
}

func open(ctx context.Context, address string, wait bool) (*Store, error) {
	fail := func(err error) error { return fmt.Errorf("database %s: %w", named(address), err) }
	db, err := sql.Open("pgx", address)
	if err != nil {
		return nil, fail(err)
	}
	s := newStore(db)
	for {
		err = s.prepare(ctx)
		if !wait || !errors.Is(err, errTaken) || ctx.Err() != nil {
			break
		}
		select {
		case <-ctx.Done():
		case <-time.After(time.Second):
		}
	}
	if err != nil {
		return nil, errors.Join(fail(err), s.Close())
	}
	return s, nil
}

// prepare claims the database, with the connection that writes, and takes the
// steps that it has not taken.
func (s *Store) prepare(ctx context.Context) error {
	_, giveBack, err := s.Writer(ctx)
	if err != nil {
		return err
	}
	defer giveBack()
	p, err := goose.NewProvider(goose.DialectPostgres, s.db, migrations.Postgres(),
		goose.WithLogger(goose.NopLogger()), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("reading the migrations: %w", err)
	}
	have, err := p.GetDBVersion(ctx)
	if err != nil {
		return fmt.Errorf("reading the schema version: %w", err)
	}
	steps := p.ListSources()
	if known := steps[len(steps)-1].Version; have > known {
		return fmt.Errorf("a newer Ledgerline has written it (schema %d, this program knows %d): run the newer program, or restore the backup from before the upgrade", have, known)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("bringing the database up to date: %w", err)
	}
	return nil
}

// named returns an address without the password in it.
func named(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "of PostgreSQL"
	}
	return u.Redacted()
}
