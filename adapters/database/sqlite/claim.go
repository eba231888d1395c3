package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"
)

// A claim says that a program is working on a database file, so that no second
// one does. It is a lock that SQLite holds on an empty file beside the database:
// that works wherever SQLite does, and ends with the process, however it ends.
// The empty file is left where it is. Were it removed, one program could hold a
// lock on a file that the next one no longer finds.
type claim struct {
	db   *sql.DB
	conn *sql.Conn
}

// claimSettings make a program that follows on another wait a moment for its end.
const claimSettings = "_busy_timeout=1000"

// takeClaim claims the database at path, or says that another program has.
func takeClaim(ctx context.Context, path string) (*claim, error) {
	file, err := create(path + ".lock")
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", fileName(file)+"?"+claimSettings)
	if err != nil {
		return nil, err
	}
	c := &claim{db: db}
	if c.conn, err = db.Conn(ctx); err == nil {
		_, err = c.conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil {
		return nil, errors.Join(explainClaim(path, err), c.release())
	}
	return c, nil
}

func explainClaim(path string, err error) error {
	var e *driver.Error
	if errors.As(err, &e) && e.Code()&0xff == codes.SQLITE_BUSY {
		return fmt.Errorf("database %s: another Ledgerline is running on it: stop that one first, or give another path", path)
	}
	return explain(path, err)
}

// release lets another program claim the database. A nil claim is none.
func (c *claim) release() error {
	if c == nil {
		return nil
	}
	var err error
	if c.conn != nil {
		err = c.conn.Close()
	}
	return errors.Join(err, c.db.Close())
}
