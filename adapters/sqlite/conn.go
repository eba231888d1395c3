package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
)

// readers is how many View transactions run at the same time.
const readers = 4

// A pool holds connections that no transaction is using.
type pool chan *conn

func newPool(db *sql.DB, size int) pool {
	p := make(pool, size)
	for range size {
		p <- &conn{db: db}
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
	raw        *sql.Conn // nil while closed
	statements map[string]*sql.Stmt
}

// begin starts a transaction with the given statement.
func (c *conn) begin(ctx context.Context, statement string) error {
	if c.raw == nil {
		raw, err := c.db.Conn(ctx)
		if err != nil {
			return fmt.Errorf("opening a connection: %w", err)
		}
		c.raw, c.statements = raw, map[string]*sql.Stmt{}
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

// rollback undoes what the transaction did. SQLite has undone it already after
// some failures, and says so by an error; a connection that is closed rolls back.
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
	s, err := c.raw.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	c.statements[query] = s
	return s, nil
}

// close closes the connection for good, not back into the pool of its DB, where
// a transaction might still be open on it.
func (c *conn) close() error {
	if c.raw == nil {
		return nil
	}
	var errs []error
	for _, s := range c.statements {
		errs = append(errs, s.Close())
	}
	_ = c.raw.Raw(func(any) error { return driver.ErrBadConn })
	c.raw, c.statements = nil, nil
	return errors.Join(errs...)
}
