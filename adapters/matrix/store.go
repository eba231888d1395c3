package matrix

import (
	"context"
	"errors"
	"fmt"

	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

func (p place) address() studio.Address {
	return studio.Address{Platform: Platform, Channel: p.String()}
}

// studioAt reports whether a place is that of a studio.
func (b *Bot) studioAt(ctx context.Context, p place) (known bool, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		_, err := tx.StudioAt(p.address())
		known = err == nil
		return found(err)
	})
	if err != nil {
		return false, fmt.Errorf("looking for the studio of a room: %w", err)
	}
	return known, nil
}

// heard returns what was stored of a message, oldest first.
func (b *Bot) heard(ctx context.Context, event id.EventID) (all []studio.Stored, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		all, err = tx.Happenings(Platform, event.String())
		return found(err)
	})
	if err != nil {
		return nil, fmt.Errorf("looking for a message: %w", err)
	}
	return all, nil
}

// postKnownAs returns the post that was sent under an id.
func (b *Bot) postKnownAs(ctx context.Context, event id.EventID) (p studio.Queued, known bool, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		p, err = tx.PostKnownAs(Platform, event.String())
		known = err == nil
		return found(err)
	})
	if err != nil {
		return p, false, fmt.Errorf("looking for a post: %w", err)
	}
	return p, known, nil
}

// found takes that something is not in the store for an answer.
func found(err error) error {
	if errors.Is(err, studio.ErrNotFound) {
		return nil
	}
	return err
}
