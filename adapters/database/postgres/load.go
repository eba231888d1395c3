package postgres

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ledgerline/adapters/database"
)

// A Load is a transaction that fills an empty database with the rows of another
// store. Nothing of it is kept before [Load.Keep] has found everything to be
// there.
type Load struct {
	ctx      context.Context
	conn     *database.Conn // nil once it is kept or dropped
	giveBack func()

	table   string
	columns []string
	kinds   []string // types of the columns
	put     *sql.Stmt
	sums    map[string]*sum // of what was given, by table
	order   []string        // of the tables
}

// A sum stands for the rows of a table, in whatever order.
type sum struct {
	Rows   int
	digest [4]uint64
}

// NewLoad begins to fill the store, which must hold no studio yet.
func NewLoad(ctx context.Context, s *Store) (*Load, error) {
	c, giveBack, err := s.Writer(ctx)
	if err != nil {
		return nil, err
	}
	l := &Load{ctx: ctx, conn: c, giveBack: giveBack, sums: map[string]*sum{}}
	if err := c.Begin(ctx, "BEGIN"); err != nil {
		giveBack()
		return nil, err
	}
	var studios int
	if _, err := c.Raw.ExecContext(ctx, `LOCK TABLE studio IN EXCLUSIVE MODE`); err != nil { // against other programs
		return nil, errors.Join(err, l.Drop())
	}
	err = c.Raw.QueryRowContext(ctx, `SELECT count(*) FROM studio`).Scan(&studios)
	if err == nil && studios > 0 {
		err = fmt.Errorf("there are %d studios in the database already: give one that is empty", studios)
	}
	if err == nil {
		_, err = c.Raw.ExecContext(ctx, `DELETE FROM log_count`)
	}
	if err != nil {
		return nil, errors.Join(err, l.Drop())
	}
	return l, nil
}

// Drop gives up what was filled in.
func (l *Load) Drop() error {
	if l.conn == nil {
		return nil
	}
	err := l.conn.Rollback(l.ctx)
	l.conn = nil
	l.giveBack()
	return err
}

// Table begins with a table.
func (l *Load) Table(name string, columns []string) (err error) {
	l.table, l.columns = name, slices.Clone(columns)
	l.sums[name], l.order = &sum{}, append(l.order, name)
	if l.kinds, err = l.kindsOf(name, columns); err != nil {
		return fmt.Errorf("table %s: %w", name, err)
	}
	var quoted, marks []string
	for i, c := range columns {
		quoted, marks = append(quoted, quote(c)), append(marks, fmt.Sprint("$", i+1))
	}
	// Names can't be parameters; these come from the schema of the other store.
	l.put, err = l.conn.Raw.PrepareContext(l.ctx, "INSERT INTO "+quote(name)+" ("+strings.Join(quoted, ", ")+") VALUES ("+strings.Join(marks, ", ")+")")
	return err
}

func quote(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

// kindsOf returns the types of columns.
func (l *Load) kindsOf(table string, columns []string) (kinds []string, err error) {
	for _, c := range columns {
		var kind string
		const query = `SELECT data_type FROM information_schema.columns WHERE table_schema = current_schema() AND table_name = $1 AND column_name = $2`
		if err := l.conn.Raw.QueryRowContext(l.ctx, query, table, c).Scan(&kind); err != nil {
			return nil, fmt.Errorf("column %s: %w", c, err)
		}
		kinds = append(kinds, kind)
	}
	return kinds, nil
}

// Row fills in a row.
func (l *Load) Row(values []any) error {
	l.sums[l.table].add(values)
	here := slices.Clone(values)
	for i, v := range here {
		switch v := v.(type) {
		case int64:
			if l.kinds[i] == "boolean" {
				here[i] = v != 0
			}
		case string:
			if l.kinds[i] == "bytea" {
				here[i] = []byte(v)
			}
		}
	}
	if _, err := l.put.ExecContext(l.ctx, here...); err != nil {
		return fmt.Errorf("a row of table %s: %w", l.table, err)
	}
	return nil
}

// Keep reads everything back, compares it with what was given, and keeps it. It
// returns the number of rows by table.
func (l *Load) Keep() (rows map[string]int, err error) {
	defer func() { err = errors.Join(err, l.Drop()) }() // unless it was kept
	rows = map[string]int{}
	for _, table := range l.order {
		got, err := l.sumOf(table)
		if err != nil {
			return nil, fmt.Errorf("reading table %s back: %w", table, err)
		}
		if *got != *l.sums[table] {
			return nil, fmt.Errorf("table %s holds %d rows that are not the %d that were given", table, got.Rows, l.sums[table].Rows)
		}
		rows[table] = got.Rows
	}
	if err := l.countOn(); err != nil {
		return nil, err
	}
	err = l.conn.Commit(l.ctx)
	l.conn = nil
	l.giveBack()
	return rows, err
}

// sumOf returns the sum of what is in a table.
func (l *Load) sumOf(table string) (*sum, error) {
	found, err := l.conn.Raw.QueryContext(l.ctx, `SELECT * FROM `+quote(table))
	if err != nil {
		return nil, err
	}
	defer found.Close()
	columns, err := found.Columns()
	if err != nil {
		return nil, err
	}
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	s := &sum{}
	for found.Next() {
		if err := found.Scan(into...); err != nil {
			return nil, err
		}
		s.add(values)
	}
	return s, found.Err()
}

// countOn lets the numbers of new rows go on after the highest there is.
func (l *Load) countOn() error {
	const query = `
		SELECT table_name, column_name FROM information_schema.columns
		WHERE table_schema = current_schema() AND is_identity = 'YES' AND table_name NOT LIKE 'goose%'`
	found, err := l.conn.Raw.QueryContext(l.ctx, query)
	if err != nil {
		return err
	}
	var names [][2]string
	for found.Next() {
		var n [2]string
		if err := found.Scan(&n[0], &n[1]); err != nil {
			return errors.Join(err, found.Close())
		}
		names = append(names, n)
	}
	if err := errors.Join(found.Err(), found.Close()); err != nil {
		return err
	}
	if _, err := l.conn.Raw.ExecContext(l.ctx, `SELECT setval('log_number', (SELECT last + 1 FROM log_count), false)`); err != nil {
		return fmt.Errorf("numbering the log: %w", err)
	}
	for _, n := range names {
		_, err := l.conn.Raw.ExecContext(l.ctx, `SELECT setval(pg_get_serial_sequence($1, $2), (SELECT coalesce(max(`+quote(n[1])+`), 0) + 1 FROM `+quote(n[0])+`), false)`, n[0], n[1])
		if err != nil {
			return fmt.Errorf("numbering table %s: %w", n[0], err)
		}
	}
	return nil
}

// add adds a row: the SHA-256 sum of its values, which is the same for a truth
// value and 0 or 1, and for text and its bytes.
func (s *sum) add(values []any) {
	h := sha256.New()
	for _, v := range values {
		switch v := v.(type) {
		case nil:
			h.Write([]byte{0})
		case bool:
			n := int64(0)
			if v {
				n = 1
			}
			fmt.Fprintf(h, "n%d;", n)
		case int64:
			fmt.Fprintf(h, "n%d;", v)
		case []byte:
			fmt.Fprintf(h, "t%d:%s;", len(v), v)
		default:
			text := fmt.Sprint(v)
			fmt.Fprintf(h, "t%d:%s;", len(text), text)
		}
	}
	digest := h.Sum(nil)
	for i := range s.digest {
		s.digest[i] += binary.LittleEndian.Uint64(digest[8*i:])
	}
	s.Rows++
}
