package database

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
)

// readers is how many View transactions run at the same time.
const readers = 4

// writers is how many Update transactions run at the same time where they claim
// what they work on.
const writers = 8

// A pool holds connections that no transaction is using.
type pool chan *Conn

func newPool(db *sql.DB, size int, s *Store) pool {
	p := make(pool, size)
	for range size {
		p <- &Conn{db: db, store: s}
	}
	return p
}

// drain waits for every connection and closes it.
func (p pool) drain() {
	for range cap(p) {
		(<-p).Close()
	}
}

// A Conn is one connection and the statements prepared on it. It is opened when
// it is first needed, and opened anew after a failure that leaves it in doubt.
type Conn struct {
	// Raw is the connection itself, while it is open.
	Raw *sql.Conn

	db         *sql.DB
	store      *Store
	statements map[string]*sql.Stmt
}

// open opens the connection, if it is closed.
func (c *Conn) open(ctx context.Context) error {
	if c.Raw != nil {
		return nil
	}
	raw, err := c.db.Conn(ctx)
	if err != nil {
		return fmt.Errorf("opening a connection: %w", err)
	}
	c.Raw, c.statements = raw, map[string]*sql.Stmt{}
	return nil
}

// Begin starts a transaction with the given statement.
func (c *Conn) Begin(ctx context.Context, statement string) error {
	if err := c.open(ctx); err != nil {
		return err
	}
	if _, err := c.Raw.ExecContext(ctx, statement); err != nil {
		c.Close()
		return fmt.Errorf("beginning a transaction: %w", err)
	}
	return nil
}

// Commit keeps what the transaction did. It is not cut short by the context of
// the transaction: a commit that took place must not be reported as failed.
func (c *Conn) Commit(ctx context.Context) error {
	if _, err := c.Raw.ExecContext(context.WithoutCancel(ctx), "COMMIT"); err != nil {
		c.Close()
		return fmt.Errorf("committing: %w", err)
	}
	return nil
}

// Rollback undoes what the transaction did. It is undone also if Rollback fails:
// SQLite has undone it already after some failures, and says so by an error; and
// the connection is closed then, which rolls back.
func (c *Conn) Rollback(ctx context.Context) error {
	if _, err := c.Raw.ExecContext(context.WithoutCancel(ctx), "ROLLBACK"); err != nil {
		c.Close()
		return fmt.Errorf("rolling back: %w", err)
	}
	return nil
}

// statement returns the query as a prepared statement.
func (c *Conn) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	if s := c.statements[query]; s != nil {
		return s, nil
	}
	s, err := c.Raw.PrepareContext(ctx, c.store.dialect.Adapt(query))
	if err != nil {
		return nil, err
	}
	c.statements[query] = s
	return s, nil
}

// Close closes the connection for good, not back into the pool of its DB, where
// a transaction might still be open on it. What fails in that does not matter
// any more.
func (c *Conn) Close() {
	if c.Raw == nil {
		return
	}
	for _, s := range c.statements {
		_ = s.Close()
	}
	_ = c.Raw.Raw(func(any) error { return driver.ErrBadConn })
	c.Raw, c.statements = nil, nil
}
