package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"ledgerline/adapters/database"
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
	c, giveBack, err := store.Reader(ctx)
	if err == nil {
		err = copyOut(ctx, c, to)
		giveBack()
	}
	return errors.Join(err, store.Close())
}

func copyOut(ctx context.Context, c *database.Conn, to Taker) (err error) {
	if err := c.Begin(ctx, dialect().Read); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Rollback(ctx)) }()
	names, err := tablesOf(ctx, c)
	for _, name := range names {
		if err == nil {
			err = copyTable(ctx, c, name, to)
		}
	}
	return err
}

// tablesOf returns the names of the tables, in the order in which they were made.
func tablesOf(ctx context.Context, c *database.Conn) (names []string, err error) {
	const tables = `
		SELECT name FROM sqlite_schema
		WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%' ORDER BY rowid`
	rows, err := c.Raw.QueryContext(ctx, tables)
	if err != nil {
		return nil, fmt.Errorf("listing the tables: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	err = eachRow(rows, 1, func(row []any) error {
		names = append(names, row[0].(string))
		return nil
	})
	return names, err
}

func copyTable(ctx context.Context, c *database.Conn, name string, to Taker) (err error) {
	// A table's name can't be a parameter; these come from the schema.
	quoted := `"` + strings.ReplaceAll(name, `"`, `""`) + `"`
	rows, err := c.Raw.QueryContext(ctx, `SELECT * FROM `+quoted)
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
