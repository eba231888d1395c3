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
	_, known, err = b.channelAt(ctx, p)
	return known, err
}

// channelAt returns a place as the studio that has it calls it: by the room's
// alias, or the id it had before it was upgraded.
func (b *Bot) channelAt(ctx context.Context, p place) (channel place, known bool, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		for _, name := range b.moves.called(p.room) {
			channel = place{name, p.thread}
			_, err := tx.StudioAt(channel.address())
			if known = err == nil; known || found(err) != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return p, false, fmt.Errorf("looking for the studio of a room: %w", err)
	}
	if !known {
		channel = p
	}
	return channel, known, nil
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
