package postgres

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"ledgerline/migrations"
)

// IsURL reports whether a database is named by a URL of PostgreSQL's.
func IsURL(s string) bool {
	return strings.HasPrefix(s, "postgres://") || strings.HasPrefix(s, "postgresql://")
}

// Open opens the database that a URL names (postgres://user@host/name) and brings
// it to the shape this program wants. Other programs may be at work on it. It
// refuses, in one sentence and without touching it, one that a newer program has
// written.
func Open(ctx context.Context, address string) (*Store, error) {
	s, err := OpenToRead(address)
	if err != nil {
		return nil, err
	}
	if err := s.prepare(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("database %s: %w", named(address), err), s.Close())
	}
	return s, nil
}

// OpenToRead opens a database as it is: it is brought to no shape.
func OpenToRead(address string) (*Store, error) {
	config, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, fmt.Errorf("database %s: %w", named(address), err)
	}
	// What the program held is free as soon as the server knows that it is gone. Of
	// a machine without power it would hear nothing for hours.
	for name, value := range map[string]string{"tcp_keepalives_idle": "5", "tcp_keepalives_interval": "2", "tcp_keepalives_count": "3"} {
		if _, set := config.RuntimeParams[name]; !set {
			config.RuntimeParams[name] = value
		}
	}
	return newStore(stdlib.OpenDB(*config)), nil
}

// prepare takes the steps that the database has not taken, one program at a time.
func (s *Store) prepare(ctx context.Context) error {
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectPostgres, s.db, migrations.Postgres(),
		goose.WithLogger(goose.NopLogger()), goose.WithDisableGlobalRegistry(true), goose.WithSessionLocker(locker))
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
