package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"ledgerline/adapters/database"
	"ledgerline/studio"
)

var _ studio.Store = (*Store)(nil)

// A Store is a database of a PostgreSQL server. Its methods may be called from
// any goroutine.
type Store struct {
	*database.Store
	db     *sql.DB
	claims claims
}

func newStore(db *sql.DB) *Store {
	return &Store{db: db, Store: database.New(db, db, database.Dialect{
		Write: "BEGIN", Read: "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
		Adapt:  adapted,
		Text:   func(s string) any { return []byte(s) },
		Shared: true, Passing: passing,
	})}
}

// passing reports whether a failure says that the server or the way to it is out
// of order, or that it ended a transaction for the sake of another.
func passing(err error) bool {
	var e *pgconn.PgError
	if !errors.As(err, &e) {
		return true // it was not the server that refused
	}
	switch e.Code[:2] {
	case "08", "40", "53", "55", "57": // connection, rollback, resources, state, intervention
		return true
	}
	return false
}

// Close gives up what is held, waits for the transactions under way, and closes
// the database. Later transactions fail.
func (s *Store) Close() error {
	s.claims.drop()
	return s.Store.Close()
}

// ours leaves out of a query what only tells SQLite how to go about it.
var ours = strings.NewReplacer(" INDEXED BY outbox_waiting", "", "CROSS JOIN", "JOIN")

// adapted returns a query with $1 for ?1, and for each ? the next number.
func adapted(query string) string {
	query = ours.Replace(query)
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

// Scrub writes the tables anew, without what was removed from them.
func (s *Store) Scrub(ctx context.Context) error {
	c, giveBack, err := s.Writer(ctx)
	if err != nil {
		return err
	}
	defer giveBack()
	if _, err := c.Raw.ExecContext(ctx, `VACUUM FULL`); err != nil {
		c.Close()
		return fmt.Errorf("writing the database anew: %w", err)
	}
	return nil
}
