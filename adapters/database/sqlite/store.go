package sqlite

import (
	"database/sql"
	"errors"
	"sync"

	"ledgerline/adapters/database"
	"ledgerline/studio"
)

var _ studio.Store = (*Store)(nil)

// A Store is a database file. Its methods may be called from any goroutine.
// [database.Store.Update] waits up to ten seconds for another program.
type Store struct {
	*database.Store
	readDB, writeDB *sql.DB
	own             *claim // nil: other programs may work on the file
	closing         sync.Once
}

// dialect is SQLite's. The queries of package database are written in its words.
func dialect() database.Dialect {
	return database.Dialect{
		Write: "BEGIN IMMEDIATE", Read: "BEGIN",
		Adapt: func(query string) string { return query },
		Text:  func(s string) any { return s },
	}
}

// Close waits for the transactions under way, then closes the file. Later
// transactions fail.
func (s *Store) Close() (err error) {
	s.closing.Do(func() { err = errors.Join(s.Store.Close(), s.own.release()) })
	return err
}
