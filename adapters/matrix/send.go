package matrix

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

// errLimited is why nothing is sent while the server wants us to wait.
var errLimited = errors.New("the homeserver wants fewer requests")

// Send delivers a post and returns the id of its first event. It waits a few
// seconds, if it must, for the bot to connect.
func (b *Bot) Send(ctx context.Context, d studio.Delivery) (eventID string, err error) {
	if d.To.Platform != Platform {
		return "", &studio.SendError{Permanent: true, Err: fmt.Errorf("post for platform %q given to Matrix", d.To.Platform)}
	}
	s, err := b.gate.pass(ctx)
	if err != nil {
		return "", sendError("connecting", err)
	}
	if wait := b.hold.left(); wait > 0 {
		return "", &studio.SendError{After: wait, Everywhere: true, Err: errLimited}
	}
	at, answered, err := b.where(ctx, s, &d.Post)
	if err == nil && d.Brief && answered != "" {
		eventID, err = b.setMark(ctx, s, at.room, answered, d.Key)
	} else if err == nil {
		eventID, err = b.sendParts(ctx, s, at, answered, d)
	}
	b.hold.mind(err)
	return eventID, sendError("sending", err)
}

// where returns where a post goes, and the event there that it answers, if any.
func (b *Bot) where(ctx context.Context, s *session, p *studio.Post) (at place, answered id.EventID, err error) {
	var said place
	if p.ReplyTo != "" {
		known, err := b.heard(ctx, id.EventID(p.ReplyTo))
		if err != nil {
			return at, "", err
		}
		if len(known) > 0 {
			said = placeOf(known[0].Channel)
		}
	}
	if p.To.Channel != "" {
		at = placeOf(p.To.Channel)
		if at.room, err = b.roomNow(ctx, s, at.room); err != nil {
			return at, "", err
		}
	}
	said.room = b.moves.now(said.room)
	if p.To.Account != "" {
		room, err := b.lineTo(ctx, s, id.UserID(p.To.Account), said.room)
		if err != nil {
			return at, "", err
		}
		if at = (place{room: room}); said.room == room {
			at = said
		}
	}
	if p.ReplyTo == "" || said.room != "" && said.room != at.room {
		return at, "", nil
	}
	answered, err = b.answerable(ctx, s, at.room, id.EventID(p.ReplyTo))
	return at, answered, err
}

// answerable returns the event to be answered instead of one that may be a
// reaction: the one that it is below. It returns "" if there is none any more.
func (b *Bot) answerable(ctx context.Context, s *session, room id.RoomID, want id.EventID) (id.EventID, error) {
	if below, known := b.sent.taps.get(want); known {
		return below, nil
	}
	evt, err := b.fetch(ctx, s, room, want)
	if err != nil || evt == nil {
		return "", err
	}
	if evt.Type == event.EventReaction {
		want = relation(evt).GetAnnotationID()
	}
	b.sent.taps.put(evt.ID, want)
	return want, nil
}

// receiptMark is the reaction that stands for a receipt without words.
const receiptMark = "✅"

// setMark reacts to an event instead of answering it.
func (b *Bot) setMark(ctx context.Context, s *session, room id.RoomID, answered id.EventID, k studio.Key) (string, error) {
	txn := transaction(k, "mark")
	set, err := b.react(ctx, s, room, answered, receiptMark, txn)
	if errorIs(err, "M_DUPLICATE_ANNOTATION") {
		return "mark/" + txn, nil
	}
	return set.String(), err
}

func (b *Bot) react(ctx context.Context, s *session, room id.RoomID, to id.EventID, key, txn string) (id.EventID, error) {
	content := &event.ReactionEventContent{RelatesTo: *(&event.RelatesTo{}).SetAnnotation(to, key)}
	return b.sendEvent(ctx, s, room, event.EventReaction, txn, content)
}

func errorIs(err error, code string) bool {
	var answer mautrix.HTTPError
	return errors.As(err, &answer) && errorCode(answer) == code
}

// sendParts sends the events of a post, and has the marks of its quick answers
// set below the last of its words.
func (b *Bot) sendParts(ctx context.Context, s *session, at place, answered id.EventID, d studio.Delivery) (string, error) {
	var first, last id.EventID
	for i, part := range parts(d) {
		part.RelatesTo = relates(at, answered)
		answered = "" // the other parts follow
		part.Note.First = first
		sent, err := b.sendPart(ctx, s, at.room, transaction(d.Key, strconv.Itoa(i)), part)
		if err != nil {
			return "", err
		}
		if first == "" {
			first = sent
		}
		if part.png == nil {
			last = sent
		}
		b.sent.own.put(sent, &ownEvent{First: first, Choices: part.Note.Choices})
	}
	for i := range min(len(d.Choices), len(choiceKeys)) {
		b.taps.add(tap{at.room, last, choiceKeys[i], transaction(d.Key, "tap"+strconv.Itoa(i))})
	}
	return first.String(), nil
}

// relates returns how a new event at a place relates to others.
func relates(at place, answered id.EventID) *event.RelatesTo {
	if at.thread == "" && answered == "" {
		return nil
	}
	rel := &event.RelatesTo{}
	if at.thread != "" {
		rel.SetThread(at.thread, at.thread)
	}
	if answered != "" {
		rel.SetReplyTo(answered)
	}
	return rel
}

func (b *Bot) sendPart(ctx context.Context, s *session, room id.RoomID, txn string, p *part) (id.EventID, error) {
	if known := b.sent.under(txn); known != "" {
		return known, nil
	}
	if p.png != nil {
		if err := b.upload(ctx, s, room, p); err != nil {
			return "", err
		}
	}
	return b.sendEvent(ctx, s, room, event.EventMessage, txn, p)
}

// sendEvent sends an event, locked if the room is encrypted. Reactions are in
// the clear everywhere.
func (b *Bot) sendEvent(ctx context.Context, s *session, room id.RoomID, t event.Type, txn string, content any) (id.EventID, error) {
	if known := b.sent.under(txn); known != "" {
		return known, nil
	}
	if t != event.EventReaction {
		r, err := b.rooms.get(ctx, s.Client, room)
		if err != nil {
			return "", err
		}
		if r.members[s.UserID] != event.MembershipJoin {
			return "", &studio.SendError{Blocked: advice("matrix.room"), Err: errors.New("the bot is not in the room")}
		}
		if r.encryption != nil {
			if t, content, err = s.lock(ctx, room, t, content); err != nil {
				return "", err
			}
		}
	}
	resp, err := s.SendMessageEvent(ctx, room, t, content, mautrix.ReqSendEvent{TransactionID: txn})
	if err != nil {
		return "", err
	}
	b.sent.add(txn, resp.EventID)
	return resp.EventID, nil
}

// lock returns content as it is sent to an encrypted room.
func (s *session) lock(ctx context.Context, room id.RoomID, t event.Type, content any) (event.Type, any, error) {
	if s.keys == nil {
		return t, nil, &studio.SendError{Blocked: advice("matrix.sealed"), Err: errors.New("the room is encrypted")}
	}
	locked, err := s.keys.lock(ctx, room, t, content)
	if err != nil {
		return t, nil, fmt.Errorf("encrypting: %w", err)
	}
	return event.EventEncrypted, locked, nil
}

// transaction returns the transaction id of one part of a post. It says nothing
// about the post to who reads the server's log.
func transaction(k studio.Key, part string) string {
	sum := sha256.Sum256([]byte(string(k) + "\x00" + part))
	return base64.RawURLEncoding.EncodeToString(sum[:18])
}
