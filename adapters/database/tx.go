package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"ledgerline/studio"
)

// A tx is a transaction. Its methods are in the files of what they keep.
type tx struct {
	ctx    context.Context
	conn   *Conn
	failed error // once set, nothing more is done
}

// text returns a text that may hold any byte, as the database takes it.
func (t *tx) text(s string) any { return t.conn.store.dialect.Text(s) }

// do runs fn and returns its error, or that of the database. SQLite gives a
// transaction up by itself after some failures; what followed would be kept
// statement by statement.
func (t *tx) do(fn func(studio.Tx) error) error {
	if err := fn(t); err != nil {
		return err
	}
	if t.failed != nil {
		return t.failed
	}
	return t.ctx.Err()
}

// fail notes the first failure of the database.
func (t *tx) fail(err error) error {
	if t.failed == nil {
		t.failed = err
	}
	return err
}

// exec runs a statement that returns no rows, and returns how many it changed.
func (t *tx) exec(query string, args ...any) (changed int64, err error) {
	if t.failed != nil {
		return 0, t.failed
	}
	s, err := t.conn.statement(t.ctx, query)
	if err != nil {
		return 0, t.fail(err)
	}
	res, err := s.ExecContext(t.ctx, args...)
	if err != nil {
		return 0, t.fail(err)
	}
	return res.RowsAffected()
}

// A scanner is a row.
type scanner interface{ Scan(dest ...any) error }

// one returns the row that a query finds, or ErrNotFound.
func one[T any](t *tx, scan func(scanner) (T, error), query string, args ...any) (T, error) {
	return first(many(t, scan, query, args...))
}

// first returns the first of things, or ErrNotFound.
func first[T any](all []T, err error) (T, error) {
	if err == nil && len(all) == 0 {
		err = studio.ErrNotFound
	}
	if err != nil {
		var none T
		return none, err
	}
	return all[0], nil
}

func isNotFound(err error) bool { return errors.Is(err, studio.ErrNotFound) }

// many returns the rows that a query finds.
func many[T any](t *tx, scan func(scanner) (T, error), query string, args ...any) (all []T, err error) {
	if t.failed != nil {
		return nil, t.failed
	}
	s, err := t.conn.statement(t.ctx, query)
	if err != nil {
		return nil, t.fail(err)
	}
	rows, err := s.QueryContext(t.ctx, args...)
	if err != nil {
		return nil, t.fail(err)
	}
	defer func() {
		if closeErr := rows.Close(); closeErr != nil && err == nil {
			err = t.fail(closeErr)
		}
	}()
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	if err := rows.Err(); err != nil {
		return nil, t.fail(err)
	}
	return all, nil
}

// scalar scans a row of one column.
func scalar[T any](row scanner) (v T, err error) {
	err = row.Scan(&v)
	return v, err
}

// doing says what was being done when err happened; no error stays none.
func doing(err error, format string, args ...any) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf(format+": %w", append(args, err)...)
}

// orNull returns SQL's null for the zero value.
func orNull[T comparable](v T) sql.Null[T] {
	var zero T
	return sql.Null[T]{V: v, Valid: v != zero}
}
