package sqlite

import (
	"context"
	"errors"
	"fmt"
	"time"

	"ledgerline/adapters/database"
)

// Scrub writes the file anew, without the pages and parts of pages that hold
// what was removed, and cuts off the write-ahead log.
func (s *Store) Scrub(ctx context.Context) error {
	c, giveBack, err := s.Writer(ctx)
	if err != nil {
		return err
	}
	defer giveBack()
	if _, err := c.Raw.ExecContext(ctx, `VACUUM`); err != nil {
		c.Close()
		return fmt.Errorf("writing the database anew: %w", err)
	}
	return cutLog(ctx, c)
}

// cutLog empties the write-ahead log. Readers that are at work keep it a while.
func cutLog(ctx context.Context, c *database.Conn) error {
	const tries, pause = 100, 100 * time.Millisecond
	for range tries {
		var busy, frames, moved int
		if err := c.Raw.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &frames, &moved); err != nil {
			c.Close()
			return fmt.Errorf("emptying the write-ahead log: %w", err)
		}
		if busy == 0 {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(pause):
		}
	}
	return errors.New("emptying the write-ahead log: somebody reads without an end")
}
