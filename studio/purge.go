package studio

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// ShortestKeep is the shortest time for which words can be kept: replies speak
// of days up to a month back, and are edited later.
const ShortestKeep = 60 * 24 * time.Hour

// purge removes, once a day, the words of messages and posts that have been kept
// long enough. The log, which was read from them, stays.
func (s *Service) purge(ctx context.Context) error {
	now := s.now()
	if s.keep == 0 || now.Sub(s.purged) < 24*time.Hour && !now.Before(s.purged) {
		return nil
	}
	_, release, err := s.store.Hold(ctx, "purge")
	if errors.Is(err, ErrHeld) {
		return nil // another program does
	}
	if err != nil {
		return err
	}
	defer release()
	n := 0
	err = s.store.Update(ctx, func(tx Tx) (err error) {
		n, err = tx.PurgeWords(now.Add(-max(s.keep, ShortestKeep)))
		return err
	})
	if err != nil {
		return fmt.Errorf("removing words that were kept long enough: %w", err)
	}
	s.purged = now
	if n > 0 {
		s.log.Info("old messages and posts removed", "count", n)
	}
	return nil
}
