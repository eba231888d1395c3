package matrix

import (
	"ledgerline/studio"
	"ledgerline/studio/words"

	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// Times that an event whose key has not come is waited for.
const (
	askAfter  = 10 * time.Second // then the sender's devices are asked for it
	tellAfter = 2 * time.Minute  // then somebody is told
	keepFor   = 30 * 24 * time.Hour

	mostLocked = 1000
)

func unreadable(by id.UserID, room id.RoomID) studio.Finding {
	return studio.Finding{
		What: words.Phrase{ID: "matrix.unreadable", With: words.With{"who": by, "room": room}},
		Do:   advice("matrix.log-in-again"),
	}
}

// lock keeps an event until its key comes.
func (p *position) lock(evt *event.Event, now time.Time) {
	known := slices.ContainsFunc(p.Locked, func(l locked) bool { return l.ID == evt.ID })
	if !known && len(p.Locked) < mostLocked {
		p.Locked = append(p.Locked, locked{Room: evt.RoomID, ID: evt.ID, Since: now})
	}
}

// unlocked no longer waits for an event.
func (p *position) unlocked(gone id.EventID) {
	p.Locked = slices.DeleteFunc(p.Locked, func(l locked) bool { return l.ID == gone })
}

// readLate looks again at the events whose keys had not come: when keys may have
// come, and from time to time.
func (b *Bot) readLate(ctx context.Context, s *session, next *position, keysCame bool) error {
	if s.keys == nil {
		return nil
	}
	waiting := slices.Clone(next.Locked)
	for i := range waiting {
		l := &waiting[i]
		age := b.cfg.Now().Sub(l.Since)
		if !keysCame && (age < askAfter || l.Asked) && (age < tellAfter || l.Told) && age < keepFor {
			continue
		}
		done, err := b.readOneLate(ctx, s, l, next, age)
		if err != nil {
			return err
		}
		next.unlocked(l.ID)
		if !done && age < keepFor {
			next.Locked = append(next.Locked, *l)
		}
	}
	return nil
}

// readOneLate tries to read one event again, and does what is next about it.
func (b *Bot) readOneLate(ctx context.Context, s *session, l *locked, next *position, age time.Duration) (done bool, err error) {
	evt, err := b.fetch(ctx, s, l.Room, l.ID)
	if err != nil || evt == nil {
		return evt == nil, err
	}
	open, err := s.unlock(ctx, evt)
	switch {
	case err == nil:
		return true, b.hearOpen(ctx, s, open, next)
	case !errors.Is(err, errNoKey):
		b.tell(ctx, unreadable(evt.Sender, evt.RoomID))
		return true, nil
	}
	if age >= askAfter && !l.Asked {
		l.Asked = true
		if err := s.keys.request(ctx, evt); err != nil {
			b.cfg.Log.Warn("matrix: key not asked for", "err", err)
		}
	}
	if age >= tellAfter && !l.Told {
		l.Told = true
		b.tell(ctx, unreadable(evt.Sender, evt.RoomID))
	}
	return false, nil
}

// fetch asks for one event; nil if it is gone or not for the bot to see.
func (b *Bot) fetch(ctx context.Context, s *session, room id.RoomID, want id.EventID) (*event.Event, error) {
	evt, err := s.GetEvent(ctx, room, want)
	if errors.Is(err, mautrix.MNotFound) || errors.Is(err, mautrix.MForbidden) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("asking for an event: %w", err)
	}
	evt.RoomID = room
	evt.Type.Class = event.MessageEventType
	_ = evt.Content.ParseRaw(evt.Type)
	return evt, nil
}
