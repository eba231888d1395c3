package discord

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"ledgerline/studio"
)

// listen gives what the gateway said to the receiver, one thing after the
// other, and reads back the places where something may have been missed.
func (b *Bot) listen(ctx context.Context) {
	back := newBacklog()
	for ctx.Err() == nil {
		e, ok := b.heard.take()
		if ok {
			b.persist(ctx, "hearing "+e.kind, func() error { return b.hear(ctx, e, back) })
			continue
		}
		pause := b.catchUpNext(ctx, back)
		if pause == 0 {
			continue
		}
		timer := time.NewTimer(pause)
		select {
		case <-ctx.Done():
		case <-b.heard.more:
		case <-timer.C:
		}
		timer.Stop()
	}
}

// persist does something until it succeeds, can't succeed, or ctx is done.
func (b *Bot) persist(ctx context.Context, doing string, do func() error) {
	for failures := 1; ; failures++ {
		err := do()
		if err == nil || ctx.Err() != nil {
			return
		}
		again, after := retry(err)
		if !again {
			b.cfg.Log.Error("discord: given up", "doing", doing, "err", err)
			return
		}
		if after == 0 {
			after = min(backoff(failures, b.cfg.Random())/4, 5*time.Second)
		}
		b.cfg.Log.Warn("discord: trying again", "doing", doing, "in", after, "err", err)
		sleep(ctx, after)
	}
}

// retry reports whether it makes sense to do again what failed with err, and
// how long Discord wants us to wait, if it said.
func retry(err error) (again bool, after time.Duration) {
	var e *studio.SendError
	if errors.As(sendError("", err), &e) {
		return !e.Permanent && e.Blocked.ID == "", e.After
	}
	return true, 0
}

// hear takes one event. What it returns an error for is heard again.
func (b *Bot) hear(ctx context.Context, e event, back *backlog) error {
	switch e.kind {
	case "READY":
		lines, err := b.privateLines(ctx)
		back.add(lines...)
		return err
	case "GUILD_CREATE":
		return b.hearServer(ctx, e.raw, back)
	case "MESSAGE_CREATE", "MESSAGE_UPDATE":
		var n note
		if err := json.Unmarshal(e.raw, &n); err != nil {
			b.cfg.Log.Error("discord: event not understood", "kind", e.kind, "err", err)
			return nil
		}
		if err := b.catchUpFirst(ctx, back, &n); err != nil {
			return err
		}
		if e.kind == "MESSAGE_UPDATE" {
			return b.hearEdit(ctx, &n, n.Guild == "")
		}
		return b.hearNew(ctx, &n, n.Guild == "")
	case "MESSAGE_DELETE", "MESSAGE_DELETE_BULK":
		return b.hearDeletion(ctx, e.raw)
	case "MESSAGE_REACTION_ADD", "MESSAGE_REACTION_REMOVE":
		var r reaction
		if err := json.Unmarshal(e.raw, &r); err != nil {
			b.cfg.Log.Error("discord: event not understood", "kind", e.kind, "err", err)
			return nil
		}
		return b.hearReaction(ctx, &r, e.kind == "MESSAGE_REACTION_ADD", b.cfg.Now())
	}
	return nil
}

// hearNew takes a message that is new.
func (b *Bot) hearNew(ctx context.Context, n *note, private bool) error {
	ours, err := b.concerns(ctx, n, private)
	if err != nil {
		return err
	}
	if ours {
		m, err := b.message(ctx, n, private)
		if err != nil {
			return err
		}
		if err := b.cfg.Receiver.Receive(ctx, m); err != nil {
			return err
		}
	}
	b.marks.read(n.Channel, n.ID)
	return nil
}

// hearEdit takes the new text of a message. Discord reports other changes in
// the same way (a link that was unfolded, a message that was pinned), which have
// no time of editing, or an old one.
func (b *Bot) hearEdit(ctx context.Context, n *note, private bool) error {
	if n.Edited == nil || !human(n) {
		return nil
	}
	known, err := b.happenings(ctx, n.ID)
	if err != nil {
		return err
	}
	if len(known) == 0 {
		if ours, err := b.concerns(ctx, n, private); err != nil || !ours {
			return err
		}
	}
	m, err := b.message(ctx, n, private)
	if err != nil {
		return err
	}
	m.Happening, m.Revision = studio.Edited, n.Edited.UTC().Format(time.RFC3339Nano)
	m.At = n.Edited.UTC()
	return b.cfg.Receiver.Receive(ctx, m)
}

// hearServer has the places of the studios on a server read back, and the threads
// that are open in their channels: something may have been said there.
func (b *Bot) hearServer(ctx context.Context, raw json.RawMessage, back *backlog) error {
	var g struct {
		Channels []channel `json:"channels"`
		Threads  []channel `json:"threads"`
	}
	if err := json.Unmarshal(raw, &g); err != nil {
		b.cfg.Log.Error("discord: event not understood", "kind", "GUILD_CREATE", "err", err)
		return nil
	}
	for _, c := range g.Channels {
		places, err := b.placesOf(ctx, c.ID)
		if err != nil {
			return err
		}
		back.add(places...)
	}
	for _, c := range g.Threads {
		b.rooms.keep(c)
		at, err := b.studioPlace(ctx, c.ID)
		if err != nil {
			return err
		}
		if at.known {
			back.add(studio.Address{Platform: Platform, Channel: c.ID})
		}
	}
	return nil
}

// hearDeletion takes back messages that are gone. Discord does not say whose
// they were: those that were never stored are left alone.
func (b *Bot) hearDeletion(ctx context.Context, raw json.RawMessage) error {
	var d deletion
	if err := json.Unmarshal(raw, &d); err != nil {
		b.cfg.Log.Error("discord: event not understood", "kind", "MESSAGE_DELETE", "err", err)
		return nil
	}
	if d.ID != "" {
		d.IDs = append(d.IDs, d.ID)
	}
	for _, id := range d.IDs {
		known, err := b.happenings(ctx, id)
		if err != nil {
			return err
		}
		if len(known) == 0 {
			continue
		}
		m := studio.Message{
			Platform: Platform, ID: id, Happening: studio.Deleted, Author: known[0].Author,
			Channel: known[0].Channel, Parent: known[0].Parent, Private: known[0].Private,
			ReplyTo: known[0].ReplyTo, At: b.cfg.Now(),
		}
		if err := b.cfg.Receiver.Receive(ctx, m); err != nil {
			return err
		}
	}
	return nil
}

// message returns a note as the studio reads it.
func (b *Bot) message(ctx context.Context, n *note, private bool) (studio.Message, error) {
	replyTo, err := b.answered(ctx, n)
	if err != nil {
		return studio.Message{}, err
	}
	if _, err := b.whoami(ctx); err != nil {
		return studio.Message{}, err
	}
	m := studio.Message{
		Platform: Platform, ID: n.ID, Happening: studio.Written,
		Author:  studio.Account{Platform: Platform, ID: n.Author.ID},
		Channel: n.Channel, Private: private,
		Text: b.self.withoutName(n.Content), ReplyTo: replyTo, At: timeOf(n.ID), Files: n.files(),
	}
	if private {
		return m, nil
	}
	at, err := b.studioPlace(ctx, n.Channel)
	m.Parent, m.ToUs = at.parent, b.self.named(n)
	return m, err
}

// human reports whether a person wrote the note.
func human(n *note) bool {
	whole := isMessage(n.ID) && n.Author.ID != "" && n.Channel != ""
	return whole && !n.Author.Bot && n.Webhook == "" && (n.Type == plainMessage || n.Type == replyMessage)
}

// concerns reports whether the note is for the bot: written on a private line;
// or in a studio's channel, in a thread, as a reply to the bot, or naming it.
func (b *Bot) concerns(ctx context.Context, n *note, private bool) (bool, error) {
	if !human(n) {
		return false, nil
	}
	if private {
		return true, nil
	}
	me, err := b.whoami(ctx)
	if err != nil {
		return false, err
	}
	said := n.Answered != nil && n.Answered.Author.ID == me
	said = said || b.self.named(n)
	at, err := b.studioPlace(ctx, n.Channel)
	return at.known && (said || at.parent != ""), err
}

// A place is a channel outside the private lines.
type place struct {
	parent string // of a thread: the channel it is in
	known  bool   // it, or its parent, is that of a studio
}

// studioPlace says what kind of place a channel is.
func (b *Bot) studioPlace(ctx context.Context, id string) (at place, err error) {
	if at.known, err = b.studioAt(ctx, id); err != nil {
		return at, err
	}
	c, err := b.rooms.get(ctx, b, id)
	if again, _ := retry(err); err != nil && !again {
		return at, nil // nothing more is to be learned of it
	}
	if err != nil || !c.thread() {
		return at, err
	}
	at.parent = c.Parent
	if !at.known {
		at.known, err = b.studioAt(ctx, c.Parent)
	}
	return at, err
}

// answered returns the post that a note replies to, or that its thread was begun
// from: Discord gives such a thread the id of the message.
func (b *Bot) answered(ctx context.Context, n *note) (string, error) {
	switch {
	case n.Type != replyMessage || n.Reference == nil:
		_, known, err := b.postKnownAs(ctx, n.Channel)
		if !known {
			return "", err
		}
		return n.Channel, err
	case n.Answered == nil:
		return n.Reference.Message, nil
	}
	return b.postOf(ctx, n.Answered)
}

// postOf returns the id under which the outbox knows the post that a message of
// ours belongs to. The later messages of a long post refer to its first.
func (b *Bot) postOf(ctx context.Context, n *note) (string, error) {
	if first := b.parts.firstOf(n.ID); first != "" {
		return first, nil
	}
	if n.Reference == nil {
		return n.ID, nil
	}
	for _, id := range []string{n.ID, n.Reference.Message} {
		_, known, err := b.postKnownAs(ctx, id)
		if known || err != nil {
			return id, err
		}
	}
	return n.ID, nil
}
