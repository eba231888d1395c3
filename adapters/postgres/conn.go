package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// readers is how many View transactions run at the same time.
const readers = 4

// A pool holds connections that no transaction is using.
type pool chan *conn

func newPool(db *sql.DB, size int, claims bool) pool {
	p := make(pool, size)
	for range size {
		p <- &conn{db: db, claims: claims}
	}
	return p
}

// drain waits for every connection and closes it.
func (p pool) drain() error {
	var errs []error
	for range cap(p) {
		errs = append(errs, (<-p).close())
	}
	return errors.Join(errs...)
}

// A conn is one connection and the statements prepared on it. It is opened when
// it is first needed, and opened anew after a failure that leaves it in doubt.
type conn struct {
	db         *sql.DB
	claims     bool      // it holds the claim on the database while it is open
	raw        *sql.Conn // nil while closed
	statements map[string]*sql.Stmt
}

// claim is the advisory lock that says that a program is working on a database.
const claim = 0x4C444752 // "LDGR"

// open opens the connection, with the claim if it is to have it. That of a
// connection of ours which was cut a moment ago may take a while to end.
func (c *conn) open(ctx context.Context) error {
	if c.raw != nil {
		return nil
	}
	raw, err := c.db.Conn(ctx)
	if err != nil {
		return fmt.Errorf("opening a connection: %w", err)
	}
	c.raw, c.statements = raw, map[string]*sql.Stmt{}
	if !c.claims {
		return nil
	}
	const tries, pause = 10, 100 * time.Millisecond
	for range tries {
		var mine bool
		if err := raw.QueryRowContext(ctx, `SELECT pg_try_advisory_lock($1)`, claim).Scan(&mine); err != nil {
			return errors.Join(fmt.Errorf("claiming the database: %w", err), c.close())
		}
		if mine {
			return nil
		}
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
	return errors.Join(errTaken, c.close())
}

// begin starts a transaction with the given statement.
func (c *conn) begin(ctx context.Context, statement string) error {
	if err := c.open(ctx); err != nil {
		return err
	}
	if _, err := c.raw.ExecContext(ctx, statement); err != nil {
		return errors.Join(fmt.Errorf("beginning a transaction: %w", err), c.close())
	}
	return nil
}

// commit keeps what the transaction did. It is not cut short by the context of
// the transaction: a commit that took place must not be reported as failed.
func (c *conn) commit(ctx context.Context) error {
	if _, err := c.raw.ExecContext(context.WithoutCancel(ctx), "COMMIT"); err != nil {
		return errors.Join(fmt.Errorf("committing: %w", err), c.close())
	}
	return nil
}

// rollback undoes what the transaction did; a connection that is closed rolls
// back.
func (c *conn) rollback(ctx context.Context) error {
	if _, err := c.raw.ExecContext(context.WithoutCancel(ctx), "ROLLBACK"); err != nil {
		return c.close()
	}
	return nil
}

// statement returns the query as a prepared statement.
func (c *conn) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	if s := c.statements[query]; s != nil {
		return s, nil
	}
	s, err := c.raw.PrepareContext(ctx, numbered(query))
	if err != nil {
		return nil, err
	}
	c.statements[query] = s
	return s, nil
}

// numbered returns a query with $1 for ?1, and for each ? the next number.
func numbered(query string) string {
	var out strings.Builder
	n := 0
	for i := 0; i < len(query); i++ {
		if query[i] != '?' {
			out.WriteByte(query[i])
			continue
		}
		out.WriteByte('$')
		if i+1 < len(query) && '0' <= query[i+1] && query[i+1] <= '9' {
			continue
		}
		n++
		out.WriteString(strconv.Itoa(n))
	}
	return out.String()
}

// close closes the connection for good, not back into the pool of its DB, where
// a transaction might still be open on it.
func (c *conn) close() error {
	if c.raw == nil {
		return nil
	}
	_ = c.raw.Raw(func(any) error { return driver.ErrBadConn })
	c.raw, c.statements = nil, nil
	return nil
}
