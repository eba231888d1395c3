package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"fmt"
	"sync"
	"time"

	"ledgerline/studio"
)

// look is how often it is looked whether the connection that holds is there, and
// patience how long that may take.
const (
	look     = time.Second
	patience = 5 * time.Second
)

// claims are the names that a program holds: advisory locks of one connection,
// which the server gives up when the connection ends. A transaction that lasts as
// long would keep the server from tidying its tables.
type claims struct {
	mu   sync.Mutex
	raw  *sql.Conn // nil: not open
	lost context.CancelFunc
	held context.Context // while raw is open

	shared map[string]bool // names of what this program is counted in
}

// Hold implements [studio.Store].
func (s *Store) Hold(ctx context.Context, name string) (held context.Context, release func(), err error) {
	c := &s.claims
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.open(ctx, s.db); err != nil {
		return nil, nil, err
	}
	var mine bool
	if err := c.ask(&mine, `SELECT pg_try_advisory_lock(hashtextextended($1, 0))`, name); err != nil {
		return nil, nil, err
	}
	if !mine {
		return nil, nil, studio.ErrHeld
	}
	raw := c.raw
	return c.held, sync.OnceFunc(func() { c.release(raw, name) }), nil
}

// release gives up a name that is held once by a connection, if that is still
// there.
func (c *claims) release(raw *sql.Conn, name string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.raw == raw {
		var was bool
		_ = c.ask(&was, `SELECT pg_advisory_unlock(hashtextextended($1, 0))`, name) // or the connection is closed
	}
}

// Programs implements [studio.Store]: whoever shares something shares a lock.
func (s *Store) Programs(ctx context.Context, name string) (n int, err error) {
	c := &s.claims
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.open(ctx, s.db); err != nil {
		return 0, err
	}
	if !c.shared[name] {
		var none any
		if err := c.ask(&none, `SELECT pg_advisory_lock_shared(hashtextextended($1, 1))`, name); err != nil {
			return 0, err
		}
		c.shared[name] = true
	}
	const query = `
		SELECT count(*) FROM pg_locks AS l, hashtextextended($1, 1) AS key
		WHERE l.locktype = 'advisory' AND l.granted AND l.objsubid = 1
			AND l.classid::bigint = (key >> 32) & 4294967295 AND l.objid::bigint = key & 4294967295
			AND l.database = (SELECT oid FROM pg_database WHERE datname = current_database())`
	err = c.ask(&n, query, name)
	return n, err
}

// open opens the connection if there is none. The caller holds mu, as with the
// methods below.
func (c *claims) open(ctx context.Context, db *sql.DB) error {
	if c.raw != nil {
		return nil
	}
	raw, err := db.Conn(ctx)
	if err != nil {
		return fmt.Errorf("opening a connection: %w", err)
	}
	c.raw, c.shared = raw, map[string]bool{}
	c.held, c.lost = context.WithCancel(context.Background())
	go c.watch(c.held)
	return nil
}

// ask asks the connection for one value, and gives it up with all that it holds if
// it does not answer. It is not cut short: that would end the connection.
func (c *claims) ask(into any, query string, args ...any) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := c.raw.QueryRowContext(ctx, query, args...).Scan(into); err != nil {
		c.close()
		return fmt.Errorf("%w: claiming: %w", studio.ErrAgain, err)
	}
	return nil
}

func (c *claims) close() {
	c.lost()
	_ = c.raw.Raw(func(any) error { return driver.ErrBadConn }) // for good, not back into the pool
	c.raw = nil
}

// watch looks again and again whether the connection is there.
func (c *claims) watch(held context.Context) {
	for {
		select {
		case <-held.Done():
			return
		case <-time.After(look):
		}
		c.mu.Lock()
		if held.Err() == nil {
			var one int
			_ = c.ask(&one, `SELECT 1`)
		}
		c.mu.Unlock()
	}
}

// drop gives up all that is held.
func (c *claims) drop() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.raw != nil {
		c.close()
	}
}
