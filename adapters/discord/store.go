package discord

import (
	"context"
	"errors"
	"fmt"

	"ledgerline/studio"
)

// What the bot asks the store.

// happenings returns what is stored of a message.
func (b *Bot) happenings(ctx context.Context, id string) (all []studio.Stored, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		all, err = tx.Happenings(Platform, id)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("looking a message up: %w", err)
	}
	return all, nil
}

// lastStored returns the id of the last message stored from a channel; "" if
// there is none.
func (b *Bot) lastStored(ctx context.Context, channel string) (id string, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		id, err = tx.LastNumbered(Platform, channel)
		if errors.Is(err, studio.ErrNotFound) {
			id, err = "", nil
		}
		return err
	})
	if err != nil {
		return "", fmt.Errorf("looking how far a channel was read: %w", err)
	}
	return id, nil
}

// lineMark is the name under which the store keeps the channel of the private
// line to an account.
func lineMark(account string) string { return "discord/line/" + account }

// keptLine returns the channel of the private line to an account; "" if none is
// known.
func (b *Bot) keptLine(ctx context.Context, account string) (id string, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		if id, err = tx.Mark(lineMark(account)); errors.Is(err, studio.ErrNotFound) {
			id, err = "", nil
		}
		return err
	})
	if err != nil {
		return "", fmt.Errorf("looking a private line up: %w", err)
	}
	return id, nil
}

func (b *Bot) keepLine(ctx context.Context, account, channel string) error {
	err := b.cfg.Store.Update(ctx, func(tx studio.Tx) error { return tx.PutMark(lineMark(account), channel) })
	if err != nil {
		return fmt.Errorf("keeping a private line: %w", err)
	}
	return nil
}

// postKnownAs returns the post that Discord knows by an id.
func (b *Bot) postKnownAs(ctx context.Context, id string) (p studio.Post, known bool, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		q, err := tx.PostKnownAs(Platform, id)
		if errors.Is(err, studio.ErrNotFound) {
			return nil
		}
		p, known = q.Post, err == nil
		return err
	})
	if err != nil {
		return p, false, fmt.Errorf("looking a post up: %w", err)
	}
	return p, known, nil
}

// studioAt reports whether a channel is that of a studio.
func (b *Bot) studioAt(ctx context.Context, channel string) (known bool, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		_, err := tx.StudioAt(studio.Address{Platform: Platform, Channel: channel})
		if errors.Is(err, studio.ErrNotFound) {
			return nil
		}
		known = err == nil
		return err
	})
	if err != nil {
		return false, fmt.Errorf("looking a channel up: %w", err)
	}
	return known, nil
}

// places returns the channels and threads of all studios on Discord, and the private lines
// of all their members' accounts.
func (b *Bot) places(ctx context.Context) (all []studio.Address, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		all = nil
		studios, err := tx.Studios()
		if err != nil {
			return err
		}
		for _, st := range studios {
			for _, a := range st.Places() {
				if a.Platform == Platform && a.Channel != "" {
					all = append(all, a)
				}
			}
			members, err := tx.Members(st.ID)
			if err != nil {
				return err
			}
			for _, m := range members {
				all = append(all, linesOf(m)...)
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("looking for the studios' channels: %w", err)
	}
	return all, nil
}

func linesOf(m studio.Member) (all []studio.Address) {
	for _, a := range m.Accounts {
		if a.Platform == Platform {
			all = append(all, studio.Address{Platform: Platform, Account: a.ID})
		}
	}
	return all
}
