package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"

	"ledgerline/studio"
)

var _ studio.Store = (*Store)(nil)

// A Store is a database. Its methods may be called from any goroutine.
type Store struct {
	db              *sql.DB
	readers, writer pool

	closing sync.Once
	closed  chan struct{} // closed by Close
}

var (
	errClosed = errors.New("the store is closed")
	errOver   = errors.New("the transaction is over")
)

// Update implements [studio.Store]. It waits for its turn to write. fn must not
// call Update: it would wait for itself.
//
// After a failure of the database nothing more is done in the transaction, and
// Update returns that failure, even if fn does not.
func (s *Store) Update(ctx context.Context, fn func(studio.Tx) error) error {
	return s.run(ctx, s.writer, "BEGIN", fn)
}

// View implements [studio.Store]. fn sees the store as it was when it first
// read, and can't write.
func (s *Store) View(ctx context.Context, fn func(studio.Tx) error) error {
	return s.run(ctx, s.readers, "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY", fn)
}

func (s *Store) run(ctx context.Context, p pool, begin string, fn func(studio.Tx) error) (err error) {
	c, err := s.take(ctx, p)
	if err != nil {
		return err
	}
	defer func() { p <- c }()
	if err := c.begin(ctx, begin); err != nil {
		return err
	}
	t := &tx{ctx: ctx, conn: c}
	keep := false
	defer func() { // also after a panic, or the end of the goroutine
		t.failed = errOver
		if keep {
			return
		}
		if rollbackErr := c.rollback(ctx); rollbackErr != nil {
			err = errors.Join(err, rollbackErr)
		}
	}()
	if err := t.do(fn); err != nil {
		return err
	}
	keep = true
	return c.commit(ctx)
}

// take waits for a connection of the pool.
func (s *Store) take(ctx context.Context, p pool) (*conn, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case <-s.closed:
		return nil, errClosed
	default:
	}
	select {
	case c := <-p:
		return c, nil
	case <-s.closed:
		return nil, errClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Close waits for the transactions under way, then closes the connections, and
// with them the claim. Later transactions fail.
func (s *Store) Close() (err error) {
	s.closing.Do(func() {
		close(s.closed)
		err = errors.Join(s.readers.drain(), s.writer.drain(), s.db.Close())
		if err != nil {
			err = fmt.Errorf("closing the database: %w", err)
		}
	})
	return err
}
