package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Run follows the bot's rooms and gives what it hears to the receiver, until ctx
// is done. It goes on through failures of every kind; those that a person must
// put right are told to [Config.Tell]. Of several programs that share the store one
// follows, and sends; the next takes over when it ends.
func (b *Bot) Run(ctx context.Context) error {
	for ctx.Err() == nil {
		held, release, err := b.cfg.Store.Hold(ctx, string(Platform))
		if err == nil {
			mine, stop := context.WithCancel(ctx)
			lost := context.AfterFunc(held, stop)
			b.run(mine)
			lost()
			stop()
			release()
		} else if !errors.Is(err, studio.ErrHeld) {
			b.cfg.Log.Warn("matrix: waiting for the store", "err", err)
		}
		sleep(ctx, time.Second)
	}
	return nil
}

// run follows until ctx is done.
func (b *Bot) run(ctx context.Context) {
	for failures := 0; ctx.Err() == nil; failures++ {
		began := b.cfg.Now()
		err := b.serve(ctx)
		if ctx.Err() != nil {
			return
		}
		if b.cfg.Now().Sub(began) > longestPause {
			failures = 0
		}
		b.gate.set(nil, err)
		b.report(ctx, err, failures)
		sleep(ctx, b.pause(failures, err))
	}
}

// report says why the bot is not connected. That it was logged out is not worth
// telling if it has a password to log in again.
func (b *Bot) report(ctx context.Context, err error, failures int) {
	b.cfg.Log.Warn("matrix: not connected; trying again", "err", err)
	if failures == 0 && b.cfg.Password != "" {
		return
	}
	var e *studio.SendError
	if errors.As(sendError("connecting", err), &e) && e.Blocked.ID != "" {
		b.tell(ctx, studio.Finding{What: notConnected, Do: e.Blocked})
	}
}

var notConnected = words.Phrase{ID: "matrix.not-connected"}

// longestPause is the longest time between two attempts.
const longestPause = 2 * time.Minute

// pause returns how long to wait after a failure: as the server asked, or
// doubling from a second; with up to a quarter more by chance.
func (b *Bot) pause(failures int, err error) time.Duration {
	d := min(time.Second<<min(failures, 10), longestPause)
	var e *studio.SendError
	if errors.As(sendError("", err), &e) && e.After > 0 {
		d = e.After
	}
	return d + time.Duration(b.cfg.Random()*float64(d)/4)
}

func sleep(ctx context.Context, d time.Duration) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	}
}

// serve connects and follows until the log-in no longer holds.
func (b *Bot) serve(ctx context.Context) (err error) {
	s, err := b.connect(ctx)
	if err != nil {
		return err
	}
	work, stop := context.WithCancel(ctx)
	tapped := make(chan struct{})
	go func() { b.setTaps(work, s); close(tapped) }()
	defer func() {
		b.gate.set(nil, err)
		stop()
		<-tapped
		err = errors.Join(err, s.close())
	}()
	return b.follow(work, s)
}

// follow asks the server again and again what has happened.
func (b *Bot) follow(ctx context.Context, s *session) error {
	pos, err := b.loadPosition(ctx)
	if err != nil {
		return err
	}
	b.sent.remember(pos.Sent)
	b.rooms.seal(pos.Sealed...)
	b.moves.remember(pos.Moved)
	wait := time.Duration(0)
	for failures := 0; ctx.Err() == nil; {
		err := b.step(ctx, s, pos, wait)
		switch {
		case ctx.Err() != nil:
			return nil
		case err == nil:
			failures, wait = 0, syncTimeout
			b.told.again(notConnected.String())
			if open, _ := b.gate.look(); open == nil {
				b.gate.set(s, nil)
			}
		case errors.Is(err, mautrix.MUnknownToken) || errors.Is(err, mautrix.MUserDeactivated):
			return err
		default:
			b.cfg.Log.Warn("matrix: not followed; trying again", "err", err)
			sleep(ctx, b.pause(failures, err))
			failures, wait = failures+1, 0
		}
	}
	return nil
}

// step takes what has happened since the position, and moves it on.
func (b *Bot) step(ctx context.Context, s *session, pos *position, wait time.Duration) error {
	resp, err := s.FullSyncRequest(ctx, mautrix.ReqSync{
		Timeout: int(wait.Milliseconds()), Since: pos.Since, FilterID: syncFilter, SetPresence: event.PresenceOnline,
	})
	if err != nil {
		return fmt.Errorf("following: %w", err)
	}
	next := pos.clone()
	next.Since = resp.NextBatch
	if err := b.take(ctx, s, resp, next, pos.Since); err != nil {
		return err
	}
	next.Sent, next.Sealed, next.Moved = b.sent.list(), b.rooms.encrypted(), b.moves.list()
	if err := b.keepPosition(ctx, pos, next); err != nil {
		return err
	}
	*pos = *next
	return nil
}

// syncFilter leaves out what the bot does not need.
const syncFilter = `{"presence":{"not_types":["*"]},"account_data":{"types":["m.direct"]},` +
	`"room":{"timeline":{"limit":50},"state":{"lazy_load_members":true},"ephemeral":{"not_types":["*"]},"account_data":{"not_types":["*"]}}}`

// take takes one answer of the server. What was said before the bot's very first
// start is not heard.
func (b *Bot) take(ctx context.Context, s *session, resp *mautrix.RespSync, next *position, since string) error {
	if s.keys != nil {
		s.keys.hear(ctx, resp, since)
	}
	b.takeAccountData(resp)
	if err := b.findAliases(ctx, s); err != nil {
		return err
	}
	for _, room := range slices.Sorted(maps.Keys(resp.Rooms.Leave)) {
		if err := b.left(ctx, room); err != nil {
			return err
		}
	}
	for _, room := range slices.Sorted(maps.Keys(resp.Rooms.Join)) {
		if err := b.takeRoom(ctx, s, room, resp.Rooms.Join[room], next, since); err != nil {
			return fmt.Errorf("in room %s: %w", room, err)
		}
	}
	for room, in := range resp.Rooms.Invite {
		next.invite(s, room, in)
	}
	if err := b.answerInvites(ctx, s, next); err != nil {
		return err
	}
	return b.readLate(ctx, s, next, len(resp.ToDevice.Events) > 0)
}

func (b *Bot) takeAccountData(resp *mautrix.RespSync) {
	for _, evt := range resp.AccountData.Events {
		if evt.Type.Type != event.AccountDataDirectChats.Type {
			continue
		}
		direct := event.DirectChatsEventContent{}
		if err := json.Unmarshal(evt.Content.VeryRaw, &direct); err == nil {
			b.lines.set(direct)
		}
	}
}

// left notes that the bot is no longer in a room.
func (b *Bot) left(ctx context.Context, room id.RoomID) error {
	b.rooms.forget(room)
	channel, err := b.studioAt(ctx, place{room: room})
	if err == nil && channel && b.moves.now(room) == room {
		b.tell(ctx, studio.Finding{
			What: words.Phrase{ID: "matrix.left-room", With: words.With{"room": room}},
			Do:   advice("matrix.room"),
		})
	}
	return err
}

// takeRoom takes what has happened in one room.
func (b *Bot) takeRoom(ctx context.Context, s *session, id id.RoomID, in *mautrix.SyncJoinedRoom, next *position, since string) error {
	for _, evt := range in.State.Events {
		if err := b.note(ctx, s, id, evt); err != nil {
			return err
		}
	}
	if in.Timeline.Limited {
		b.rooms.forget(id) // who came and went is not told in full
	}
	events := in.Timeline.Events
	for _, evt := range events {
		if err := b.note(ctx, s, id, evt); err != nil {
			return err
		}
	}
	if since == "" {
		return nil
	}
	private := b.lines.holds(id)
	if joined := lastJoin(s, events); joined >= 0 && !private {
		events = events[joined:]
	} else if in.Timeline.Limited {
		missed, err := b.missed(ctx, s, id, in.Timeline.PrevBatch, since)
		if err != nil {
			return err
		}
		events = append(missed, events...)
	}
	for _, evt := range events {
		evt.RoomID = id
		if err := b.hear(ctx, s, evt, next); err != nil {
			return err
		}
	}
	return nil
}

// lastJoin returns which of the events is the bot's own last joining; -1 if none
// is.
func lastJoin(s *session, events []*event.Event) int {
	for i, evt := range slices.Backward(events) {
		if evt.Type.Type == event.StateMember.Type && evt.GetStateKey() == s.UserID.String() && membership(evt) == event.MembershipJoin {
			if evt.Unsigned.PrevContent == nil || evt.Unsigned.PrevContent.Raw["membership"] != string(event.MembershipJoin) {
				return i
			}
		}
	}
	return -1
}

func membership(evt *event.Event) event.Membership {
	m, _ := evt.Content.Raw["membership"].(string)
	return event.Membership(m)
}

// note minds what an event of state changes.
func (b *Bot) note(ctx context.Context, s *session, room id.RoomID, evt *event.Event) error {
	evt.RoomID = room
	if evt.StateKey == nil {
		return nil
	}
	evt.Type.Class = event.StateEventType
	switch evt.Type {
	case event.StateEncryption:
		b.rooms.seal(room)
		b.rooms.forget(room)
	case event.StateTombstone:
		return b.upgraded(ctx, s, room, evt)
	case event.StateMember:
		b.rooms.moved(room, id.UserID(evt.GetStateKey()), membership(evt))
		_ = evt.Content.ParseRaw(evt.Type)
		if s.keys != nil {
			s.keys.moved(ctx, evt)
		}
		return b.noteLine(ctx, s, evt)
	}
	return nil
}

// noteLine makes sure that a private line is known as one which the bot opened
// and was interrupted before it could note it.
func (b *Bot) noteLine(ctx context.Context, s *session, evt *event.Event) error {
	m := evt.Content.AsMember()
	if evt.Sender != s.UserID || m.Membership != event.MembershipInvite || !m.IsDirect {
		return nil
	}
	return b.lines.add(ctx, s.Client, evt.RoomID, id.UserID(evt.GetStateKey()))
}

const (
	pageSize    = 100
	mostMissing = 50 * pageSize // events of one room
)

// missed returns what happened in a room between two points that the server left
// out, oldest first.
func (b *Bot) missed(ctx context.Context, s *session, room id.RoomID, from, to string) ([]*event.Event, error) {
	var all []*event.Event
	for from != "" {
		page, err := s.Messages(ctx, room, from, to, mautrix.DirectionBackward, nil, pageSize)
		if err != nil {
			return nil, fmt.Errorf("reading what was missed: %w", err)
		}
		all = append(all, page.Chunk...)
		if len(page.Chunk) == 0 || page.End == from {
			break
		}
		from = page.End
		if len(all) >= mostMissing {
			b.tell(ctx, studio.Finding{
				What: words.Phrase{ID: "matrix.away", With: words.With{"number": len(all), "room": room}},
				Do:   advice("matrix.look-through"),
			})
			break
		}
	}
	slices.Reverse(all)
	return all, nil
}
