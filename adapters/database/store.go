package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"ledgerline/studio"
)

// A Dialect is what one kind of database does in its own way. All fields but
// Shared and Passing are needed.
type Dialect struct {
	Write, Read string // statements that begin a transaction that writes, or only reads

	// Adapt returns a query in the words of the database.
	Adapt func(query string) string

	// Text returns a text that may hold any byte as a value for a column of such.
	Text func(string) any

	// Shared says that several programs may work on one database, and that work is
	// claimed by locks. Otherwise this program has it for itself.
	Shared bool

	// Passing reports whether a failure of the database is none of what was done,
	// and may be over soon; nil: none is.
	Passing func(error) bool
}

// A Store is a database of studios. Its methods may be called from any goroutine.
type Store struct {
	dialect         Dialect
	readDB, writeDB *sql.DB
	readers, writer pool
	names           names

	closing sync.Once
	closed  chan struct{} // closed by Close
}

// New returns a store that writes over one connection of writeDB, over several if
// it is shared, and reads over connections of readDB, which may be the same. It
// closes both. Nothing is opened yet.
func New(writeDB, readDB *sql.DB, d Dialect) *Store {
	s := &Store{dialect: d, writeDB: writeDB, readDB: readDB, closed: make(chan struct{})}
	s.writer, s.readers = newPool(writeDB, 1, s), newPool(readDB, readers, s)
	if d.Shared {
		s.writer = newPool(writeDB, writers, s)
	}
	return s
}

// What is returned for what comes too late.
var (
	ErrClosed = errors.New("the store is closed")
	ErrOver   = errors.New("the transaction is over")
)

// Update implements [studio.Store]. It waits for its turn to write. fn must not
// call Update: it might wait for itself.
//
// After a failure of the database nothing more is done in the transaction, and
// Update returns that failure, even if fn does not.
func (s *Store) Update(ctx context.Context, fn func(studio.Tx) error) error {
	return s.run(ctx, s.writer, s.dialect.Write, fn)
}

// View implements [studio.Store]. fn sees the store as it was when it first
// read, and can't write.
func (s *Store) View(ctx context.Context, fn func(studio.Tx) error) error {
	return s.run(ctx, s.readers, s.dialect.Read, fn)
}

func (s *Store) run(ctx context.Context, p pool, begin string, fn func(studio.Tx) error) error {
	c, giveBack, err := s.take(ctx, p)
	if err != nil {
		return err
	}
	defer giveBack()
	if err := c.Begin(ctx, begin); err != nil {
		return s.explain(err)
	}
	t := &tx{ctx: ctx, conn: c}
	keep := false
	defer func() { // also after a panic, or the end of the goroutine
		t.failed = ErrOver
		if !keep {
			_ = c.Rollback(ctx)
		}
	}()
	if err := t.do(fn); err != nil {
		if t.failed != nil {
			err = s.explain(err)
		}
		return err
	}
	keep = true
	return s.explain(c.Commit(ctx))
}

// explain adds to a failure of the database that it may be over soon.
func (s *Store) explain(err error) error {
	if err != nil && s.dialect.Passing != nil && s.dialect.Passing(err) {
		return fmt.Errorf("%w: %w", studio.ErrAgain, err)
	}
	return err
}

// Writer waits for the connection that writes and opens it, for what no
// transaction of the store can do. It must be given back.
func (s *Store) Writer(ctx context.Context) (c *Conn, giveBack func(), err error) {
	return s.open(ctx, s.writer)
}

// Reader does the same with one that reads.
func (s *Store) Reader(ctx context.Context) (c *Conn, giveBack func(), err error) {
	return s.open(ctx, s.readers)
}

func (s *Store) open(ctx context.Context, p pool) (c *Conn, giveBack func(), err error) {
	if c, giveBack, err = s.take(ctx, p); err != nil {
		return nil, nil, err
	}
	if err := c.open(ctx); err != nil {
		giveBack()
		return nil, nil, err
	}
	return c, giveBack, nil
}

// take waits for a connection of the pool.
func (s *Store) take(ctx context.Context, p pool) (c *Conn, giveBack func(), err error) {
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	select {
	case <-s.closed:
		return nil, nil, ErrClosed
	default:
	}
	select {
	case c := <-p:
		return c, func() { p <- c }, nil
	case <-s.closed:
		return nil, nil, ErrClosed
	case <-ctx.Done():
		return nil, nil, ctx.Err()
	}
}

// Prepared returns the queries that were prepared so far. It waits for the
// transactions under way.
func (s *Store) Prepared() (queries []string) {
	for _, p := range []pool{s.readers, s.writer} {
		for range cap(p) {
			c := <-p
			queries = slices.AppendSeq(queries, maps.Keys(c.statements))
			p <- c
		}
	}
	return queries
}

// Close waits for the transactions under way, then closes the database. Later
// transactions fail.
func (s *Store) Close() (err error) {
	s.closing.Do(func() {
		close(s.closed)
		// The writer last: in SQLite who closes last tidies the write-ahead log away.
		s.readers.drain()
		if s.readDB != s.writeDB {
			err = s.readDB.Close()
		}
		s.writer.drain()
		if err = errors.Join(err, s.writeDB.Close()); err != nil {
			err = fmt.Errorf("closing the database: %w", err)
		}
	})
	return err
}
