package matrix

import (
	"context"
	"errors"
	"sync"

	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// A tap is a mark below a post that a person can tap for a quick answer.
type tap struct {
	room  id.RoomID
	below id.EventID
	key   string
	txn   string
}

// taps are the marks to be set, in order. They come after the posts: where a
// server lets the bot do little, words go first.
type taps struct {
	mu    sync.Mutex
	queue []tap
	more  chan struct{}
}

// mostTaps is how many marks may wait; a card beyond has none.
const mostTaps = 20000

func newTaps() *taps { return &taps{more: make(chan struct{}, 1)} }

func (t *taps) add(one tap) {
	t.mu.Lock()
	if len(t.queue) < mostTaps {
		t.queue = append(t.queue, one)
	}
	t.mu.Unlock()
	select {
	case t.more <- struct{}{}:
	default:
	}
}

func (t *taps) next() (one tap, ok bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.queue) == 0 {
		return one, false
	}
	one, t.queue = t.queue[0], t.queue[1:]
	return one, true
}

// setTaps sets the marks that wait, until ctx is done.
func (b *Bot) setTaps(ctx context.Context, s *session) {
	for ctx.Err() == nil {
		if one, ok := b.taps.next(); ok {
			b.setTap(ctx, s, one)
			continue
		}
		select {
		case <-ctx.Done():
		case <-b.taps.more:
		}
	}
}

// setTap sets one mark; it waits as long as the server wants, and tries a few
// times.
func (b *Bot) setTap(ctx context.Context, s *session, one tap) {
	for failures := 0; ctx.Err() == nil; failures++ {
		if wait := b.hold.left(); wait > 0 {
			sleep(ctx, wait)
		}
		_, err := b.react(ctx, s, one.room, one.below, one.key, one.txn)
		b.hold.mind(err)
		var e *studio.SendError
		switch {
		case err == nil || errorIs(err, "M_DUPLICATE_ANNOTATION"):
			return
		case errors.As(sendError("setting a mark", err), &e) && (e.Permanent || e.Blocked.ID != "" || failures >= 10 && e.After == 0):
			b.cfg.Log.Warn("matrix: mark not set", "err", err)
			return
		}
		sleep(ctx, b.pause(failures, err))
	}
}
