package discord

import (
	"context"
	"errors"
	"fmt"
	"slices"

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

// placesOf returns the channels and threads on Discord of the studio that has a
// channel.
func (b *Bot) placesOf(ctx context.Context, channel string) (all []studio.Address, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		st, err := tx.StudioAt(studio.Address{Platform: Platform, Channel: channel})
		if errors.Is(err, studio.ErrNotFound) {
			return nil
		}
		all = placesHere(&st)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("looking for the studio of a channel: %w", err)
	}
	return all, nil
}

func placesHere(st *studio.Studio) []studio.Address {
	return slices.DeleteFunc(st.Places(), func(a studio.Address) bool { return a.Platform != Platform || a.Channel == "" })
}

// places returns the channels and threads of all studios on Discord.
func (b *Bot) places(ctx context.Context) (all []studio.Address, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		studios, err := tx.Studios()
		for i := range studios {
			all = append(all, placesHere(&studios[i])...)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("looking for the studios' channels: %w", err)
	}
	return all, nil
}

// privateLines returns the private lines of all members' accounts.
func (b *Bot) privateLines(ctx context.Context) (all []studio.Address, err error) {
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		accounts, err := tx.AccountsOn(Platform)
		for _, a := range accounts {
			all = append(all, studio.Address{Platform: Platform, Account: a.ID})
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("looking for the members' accounts: %w", err)
	}
	return all, nil
}
