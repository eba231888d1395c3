package matrix

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// answerInvites joins the rooms that the bot is invited to by somebody it may
// follow. The other invitations wait: their senders may become known.
func (b *Bot) answerInvites(ctx context.Context, s *session, next *position) error {
	for _, room := range slices.Sorted(maps.Keys(next.Invited)) {
		in := next.Invited[room]
		ok, err := b.admits(ctx, room, in.By)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		switch _, err := s.JoinRoomByID(ctx, room); {
		case errors.Is(err, mautrix.MForbidden) || errors.Is(err, mautrix.MNotFound):
			b.cfg.Log.Info("matrix: an invitation no longer holds", "room", room)
		case err != nil:
			b.cfg.Log.Warn("matrix: not joined; trying again", "room", room, "err", err)
			continue
		default:
			if err := b.joined(ctx, s, room, in); err != nil {
				return err
			}
		}
		delete(next.Invited, room)
	}
	return nil
}

// admits reports whether an invitation is accepted: to a studio's room from
// anybody, to any other from an account that a member has, or that the host
// admits.
func (b *Bot) admits(ctx context.Context, room id.RoomID, by id.UserID) (ok bool, err error) {
	if ok, err = b.studioAt(ctx, place{room: room}); ok || err != nil {
		return ok, err
	}
	err = b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		members, err := tx.MembersWith(studio.Account{Platform: Platform, ID: by.String()})
		ok = len(members) > 0
		return err
	})
	if err != nil {
		return false, fmt.Errorf("looking for whom an invitation is from: %w", err)
	}
	if ok || b.cfg.Admit == nil {
		return ok, nil
	}
	return b.cfg.Admit(ctx, by.String())
}

// joined makes a room that the bot has just joined a private line, if it is one.
func (b *Bot) joined(ctx context.Context, s *session, room id.RoomID, in invited) error {
	b.rooms.forget(room)
	channel, err := b.studioAt(ctx, place{room: room})
	if err != nil || channel {
		return err
	}
	if !in.Direct {
		r, err := b.rooms.get(ctx, s.Client, room)
		if err != nil || len(r.members) > 2 {
			return err
		}
	}
	return b.lines.add(ctx, s.Client, room, in.By)
}
