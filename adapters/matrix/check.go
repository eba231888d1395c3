package matrix

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Check looks at the log-in, at encryption, and at the room of every studio. It
// may be used while another program runs the bot: with a password it logs in for
// itself, and out again.
func (b *Bot) Check(ctx context.Context) []studio.Finding {
	s, err := b.logIn(ctx, "")
	if err != nil {
		return []studio.Finding{notAnswered("The bot could not log in", err)}
	}
	if b.cfg.Password != "" {
		defer s.Logout(context.WithoutCancel(ctx))
	}
	all := []studio.Finding{studio.Fine(fmt.Sprintf("The bot is logged in as %s.", s.UserID))}
	all = append(all, b.checkEncryption(ctx, s))
	if pos, err := b.loadPosition(ctx); err == nil {
		b.moves.remember(pos.Moved)
	}
	channels, err := b.channels(ctx)
	if err != nil {
		return append(all, studio.ToDo("The studios could not be read: "+err.Error()+".", "See that the database is there and may be read."))
	}
	for _, at := range channels {
		all = append(all, b.checkRoom(ctx, s, at))
	}
	if len(channels) == 0 {
		all = append(all, studio.Fine("No studio has a room on Matrix; private lines work without one."))
	}
	return all
}

// notAnswered turns a failed request into a finding.
func notAnswered(what string, err error) studio.Finding {
	var e *studio.SendError
	if errors.As(sendError(what, err), &e) && e.Blocked.ID != "" {
		return studio.Finding{What: words.Plain(what + "."), Do: e.Blocked}
	}
	return studio.ToDo(
		fmt.Sprintf("%s: the homeserver did not answer as it should (%v).", what, err),
		"See that the address of the homeserver is right and that this machine reaches it, and check again in a minute.",
	)
}

// channels returns the places on Matrix of all studios.
func (b *Bot) channels(ctx context.Context) ([]place, error) {
	known := map[place]bool{}
	err := b.cfg.Store.View(ctx, func(tx studio.Tx) error {
		all, err := tx.Studios()
		for _, st := range all {
			for _, c := range st.Channels {
				if c.Platform == Platform && c.Channel != "" {
					known[placeOf(c.Channel)] = true
				}
			}
		}
		return err
	})
	return slices.SortedFunc(maps.Keys(known), func(x, y place) int { return strings.Compare(x.String(), y.String()) }), err
}

func (b *Bot) checkEncryption(ctx context.Context, s *session) studio.Finding {
	switch {
	case !Encrypts || b.cfg.Keys == "":
		return studio.Fine("This program was built or set up without encryption: it works in rooms that are not encrypted.")
	case b.cfg.Password != "":
		// Asked about is the device of the bot, not that of this log-in.
		device, err := b.mark(ctx, deviceMark)
		if err == nil && device == "" {
			return studio.Fine("The bot has no keys for encrypted rooms yet; it makes them when it is started.")
		}
		if err != nil {
			return notAnswered("The bot's device could not be looked at", err)
		}
		s.DeviceID = id.DeviceID(device)
	}
	err := checkKeys(ctx, s.Client, b.cfg.Keys)
	if errors.Is(err, errLostKeys) && b.cfg.Password != "" {
		return studio.Finding{What: lostKeys.What, Do: words.Plain("Start the bot: it makes a new device by itself.")}
	}
	if errors.Is(err, errLostKeys) {
		return studio.Finding{What: words.Plain("The keys for encrypted rooms do not belong to the bot's device."), Do: advice("matrix.lost-token")}
	}
	if errors.Is(err, errUnverified) {
		return unverified
	}
	if err != nil {
		return notAnswered("The keys for encrypted rooms could not be looked at", err)
	}
	return studio.Fine("The keys for encrypted rooms are in order.")
}

// checkRoom looks at one studio's room.
func (b *Bot) checkRoom(ctx context.Context, s *session, at place) studio.Finding {
	name := at.room.String()
	var err error
	if at.room, err = b.roomNow(ctx, s, at.room); err != nil {
		return notAnswered("The room "+name+" could not be found", err)
	}
	r, err := ask(ctx, s.Client, at.room)
	if err != nil {
		return notAnswered("The bot is not in the room "+name, err)
	}
	switch r.members[s.UserID] {
	case event.MembershipJoin:
	case event.MembershipInvite:
		return studio.ToDo("The bot is invited to the room "+name+" and has not joined it.", "Start the bot: it joins by itself.")
	default:
		return studio.Finding{What: words.Plain("The bot is not in the room " + name + "."), Do: advice("matrix.room")}
	}
	if r.encryption != nil && (!Encrypts || b.cfg.Keys == "") {
		return studio.Finding{What: words.Plain("The room " + name + " is encrypted, and the bot can't read or write there."), Do: advice("matrix.sealed")}
	}
	lacks, err := b.lacks(ctx, s, at, r)
	if err != nil {
		return notAnswered("The bot's rights in the room "+name+" could not be read", err)
	}
	if len(lacks) > 0 {
		return studio.ToDo(
			fmt.Sprintf("In the room %s the bot may not %s.", name, strings.Join(lacks, ", nor ")),
			"Open the room's settings, Roles and Permissions, and give the bot a role that may.",
		)
	}
	return studio.Fine("The bot has all it needs in the room " + name + ".")
}

// lacks returns what the bot needs and may not do in a room.
func (b *Bot) lacks(ctx context.Context, s *session, at place, r *room) (all []string, err error) {
	var levels event.PowerLevelsEventContent
	if err := s.StateEvent(ctx, at.room, event.StatePowerLevels, "", &levels); err != nil && !errors.Is(err, mautrix.MNotFound) {
		return nil, err
	}
	mine := levels.GetUserLevel(s.UserID)
	message := event.EventMessage
	if r.encryption != nil {
		message = event.EventEncrypted
	}
	if mine < levels.GetEventLevel(message) {
		all = append(all, "send messages")
	}
	if mine < levels.GetEventLevel(event.EventReaction) {
		all = append(all, "send reactions")
	}
	if at.thread == "" {
		return all, nil
	}
	if evt, err := b.fetch(ctx, s, at.room, at.thread); err != nil || evt == nil {
		return append(all, "see the message that the thread hangs from"), err
	}
	return all, nil
}
