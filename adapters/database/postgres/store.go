package postgres

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgerline/adapters/database"
	"ledgerline/studio"
)

var _ studio.Store = (*Store)(nil)

// A Store is a database of a PostgreSQL server. Its methods may be called from
// any goroutine. Its writing connection holds the claim.
type Store struct {
	*database.Store
	db *sql.DB
}

func newStore(db *sql.DB) *Store {
	return &Store{db: db, Store: database.New(db, db, database.Dialect{
		Write: "BEGIN", Read: "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
		Adapt: adapted,
		Text:  func(s string) any { return []byte(s) },
		Claim: claimFor,
	})}
}

// claim is the advisory lock that says that a program is working on a database.
const claim = 0x4C444752 // "LDGR"

// claimFor has a connection claim the database. The claim of a connection of ours
// which was cut a moment ago may take a while to end.
func claimFor(ctx context.Context, raw *sql.Conn) error {
	const tries, pause = 10, 100 * time.Millisecond
	for range tries {
		var mine bool
		if err := raw.QueryRowContext(ctx, `SELECT pg_try_advisory_lock($1)`, claim).Scan(&mine); err != nil {
			return fmt.Errorf("claiming the database: %w", err)
		}
		if mine {
			return nil
		}
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
	return errTaken
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
