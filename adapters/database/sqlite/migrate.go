package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"

	"ledgerline/migrations"
)

// applicationID is what the first migration writes into the file's header.
const applicationID = 0x4C444752 // "LDGR"

// checkOwner refuses a file that is some other program's database.
func checkOwner(ctx context.Context, db *sql.DB, path string) error {
	var id, tables int
	const query = `
		SELECT (SELECT application_id FROM pragma_application_id), count(*)
		FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%'`
	if err := db.QueryRowContext(ctx, query).Scan(&id, &tables); err != nil {
		return fmt.Errorf("looking at the database: %w", err)
	}
	if id == applicationID || id == 0 && tables == 0 {
		return nil
	}
	return notOurs(path)
}

// checkVersion refuses a file that a newer program has migrated.
func checkVersion(ctx context.Context, db *sql.DB, path string) error {
	var versioned bool
	const find = `SELECT count(*) FROM sqlite_schema WHERE name = 'goose_db_version'`
	if err := db.QueryRowContext(ctx, find).Scan(&versioned); err != nil || !versioned {
		return err
	}
	var have int64
	const version = `SELECT coalesce(max(version_id), 0) FROM goose_db_version`
	if err := db.QueryRowContext(ctx, version).Scan(&have); err != nil {
		return fmt.Errorf("reading the schema version: %w", err)
	}
	p, err := newProvider(db, migrations.SQLite())
	if err != nil {
		return err
	}
	if known := newest(p); have > known {
		return fmt.Errorf("database %s: a newer Ledgerline has written it (schema %d, this program knows %d): run the newer program, or restore the backup from before the upgrade", path, have, known)
	}
	return nil
}

// migrate takes those of the steps that the database has not taken.
func migrate(ctx context.Context, db *sql.DB, steps fs.FS) error {
	p, err := newProvider(db, steps)
	if err != nil {
		return err
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("bringing the database up to date: %w", err)
	}
	return nil
}

func newProvider(db *sql.DB, steps fs.FS) (*goose.Provider, error) {
	p, err := goose.NewProvider(goose.DialectSQLite3, db, steps,
		goose.WithLogger(goose.NopLogger()), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return nil, fmt.Errorf("reading the migrations: %w", err)
	}
	return p, nil
}

// newest returns the version that all steps together lead to.
func newest(p *goose.Provider) int64 {
	steps := p.ListSources()
	return steps[len(steps)-1].Version
}
