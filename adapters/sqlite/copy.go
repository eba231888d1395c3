package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// A Taker takes the rows of a database into another store.
type Taker interface {
	// Table begins with a table. Those that rows refer to come before it.
	Table(name string, columns []string) error
	// Row takes a row of the table, its values as SQLite has them: int64, string
	// or nil.
	Row(values []any) error
}

// CopyOut gives all rows of the database file at path to a taker. It claims the
// file, so that no program writes to it meanwhile, and checks it first.
func CopyOut(ctx context.Context, path string, to Taker) error {
	store, err := Open(ctx, path)
	if err != nil {
		return err
	}
	c, err := store.take(ctx, store.readers)
	if err == nil {
		err = copyOut(ctx, c, to)
		store.readers <- c
	}
	return errors.Join(err, store.Close())
}

func copyOut(ctx context.Context, c *conn, to Taker) error {
	if err := c.begin(ctx, "BEGIN"); err != nil {
		return err
	}
	const tables = `
		SELECT name FROM sqlite_schema
		WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%' ORDER BY rowid`
	t := &tx{ctx: ctx, conn: c}
	names, err := many(t, scalar[string], tables) // in the order in which they were made
	for _, name := range names {
		if err == nil {
			err = copyTable(ctx, c, name, to)
		}
	}
	return errors.Join(err, c.rollback(ctx))
}

func copyTable(ctx context.Context, c *conn, name string, to Taker) (err error) {
	// A table's name can't be a parameter; these come from the schema.
	quoted := `"` + strings.ReplaceAll(name, `"`, `""`) + `"`
	rows, err := c.raw.QueryContext(ctx, `SELECT * FROM `+quoted)
	if err != nil {
		return fmt.Errorf("reading table %s: %w", name, err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	if err := to.Table(name, columns); err != nil {
		return err
	}
	return eachRow(rows, len(columns), to.Row)
}

func eachRow(rows *sql.Rows, columns int, do func([]any) error) error {
	values, into := make([]any, columns), make([]any, columns)
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if err := do(values); err != nil {
			return err
		}
	}
	return rows.Err()
}
