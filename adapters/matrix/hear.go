package matrix

import (
	"cmp"
	"context"
	"errors"
	"html"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// hear takes one event of a room. What it returns an error for is heard again.
func (b *Bot) hear(ctx context.Context, s *session, evt *event.Event, next *position) error {
	if evt.StateKey != nil {
		return nil
	}
	if evt.Sender == s.UserID {
		b.sent.seen(evt)
		return nil
	}
	evt.Type.Class = event.MessageEventType
	if err := evt.Content.ParseRaw(evt.Type); err != nil && !errors.Is(err, event.ErrContentAlreadyParsed) {
		return nil // of a kind that is not for us, or not well formed
	}
	if evt.Type == event.EventEncrypted {
		return b.hearLocked(ctx, s, evt, next)
	}
	return b.hearOpen(ctx, s, evt, next)
}

// hearOpen takes an event that is in the clear.
func (b *Bot) hearOpen(ctx context.Context, s *session, evt *event.Event, next *position) error {
	switch evt.Type {
	case event.EventMessage:
		return b.hearMessage(ctx, s, evt)
	case event.EventReaction:
		return b.hearReaction(ctx, s, evt)
	case event.EventRedaction:
		return b.hearRedaction(ctx, evt, next)
	}
	return nil
}

// hearMessage takes a message or an edit of one: text, and recordings with the
// words beside them. What other programs say, which is called a notice, is left
// alone.
func (b *Bot) hearMessage(ctx context.Context, s *session, evt *event.Event) error {
	c := evt.Content.AsMessage()
	brings := c.MsgType == event.MsgAudio || c.MsgType == event.MsgFile
	if c.MsgType != event.MsgText && !brings {
		return nil
	}
	if original := c.RelatesTo.GetReplaceID(); original != "" {
		return b.hearEdit(ctx, s, evt, original)
	}
	m, ours, err := b.message(ctx, s, evt)
	if err != nil || !ours {
		return err
	}
	switch {
	case !brings:
		m.Text = s.words(c)
	case c.GetCaption() != "":
		m.Text = s.words(c)
		fallthrough
	default:
		m.Files = filesOf(evt, c)
	}
	b.sent.taps.put(evt.ID, evt.ID)
	return b.cfg.Receiver.Receive(ctx, m)
}

// message returns an event as a message without its text, and whether it is for
// the bot: said on a private line, in a thread that is a studio's channel, or in
// a studio's room naming the bot or answering it.
func (b *Bot) message(ctx context.Context, s *session, evt *event.Event) (m studio.Message, ours bool, err error) {
	rel := relation(evt)
	at := place{evt.RoomID, rel.GetThreadParent()}
	m = studio.Message{
		Platform: Platform, ID: evt.ID.String(), Happening: studio.Written,
		Author:  studio.Account{Platform: Platform, ID: evt.Sender.String()},
		Channel: at.String(), Private: b.lines.has(evt.RoomID, evt.Sender),
		At: time.UnixMilli(evt.Timestamp).UTC(),
	}
	ours = m.Private
	if !m.Private {
		var known bool
		var channel place
		if channel, ours, known, err = b.studioPlace(ctx, s, at, evt); err != nil || !known {
			return m, false, err
		}
		m.ToUs = s.named(evt)
		if at.room = channel.room; channel != at {
			m.Parent = channel.String()
		}
		m.Channel = at.String()
	}
	m.ReplyTo, err = b.answered(ctx, s, evt.RoomID, rel, &ours)
	return m, ours, err
}

func relation(evt *event.Event) *event.RelatesTo {
	if r, ok := evt.Content.Parsed.(event.Relatable); ok {
		return r.OptionalGetRelatesTo()
	}
	return nil
}

// studioPlace returns the channel of a studio that a place is, or is in, and
// whether the event is for the bot by being said there or naming it.
func (b *Bot) studioPlace(ctx context.Context, s *session, at place, evt *event.Event) (channel place, ours, known bool, err error) {
	if at.thread != "" {
		if channel, known, err := b.channelAt(ctx, at); err != nil || known {
			return channel, true, known, err
		}
	}
	channel, known, err = b.channelAt(ctx, place{room: at.room})
	return channel, s.named(evt), known, err
}

// answered returns the post or message that an event answers: what it replies
// to, or what its thread hangs from if that is a post. ours is set if that is a
// post of the bot.
func (b *Bot) answered(ctx context.Context, s *session, room id.RoomID, rel *event.RelatesTo, ours *bool) (string, error) {
	reply, root := rel.GetNonFallbackReplyTo(), rel.GetThreadParent()
	for _, to := range []id.EventID{reply, root} {
		if to == "" {
			continue
		}
		own, err := b.ownEvent(ctx, s, room, to)
		if err != nil {
			return "", err
		}
		if own != nil {
			*ours = true
			return own.First.String(), nil
		}
	}
	return reply.String(), nil
}

// hearEdit takes the new text of a message. An edit of somebody else's message
// is none.
func (b *Bot) hearEdit(ctx context.Context, s *session, evt *event.Event, original id.EventID) error {
	c := evt.Content.AsMessage()
	if c.NewContent == nil || c.NewContent.MsgType != event.MsgText {
		return nil
	}
	known, err := b.heard(ctx, original)
	if err != nil {
		return err
	}
	m, ours, err := b.message(ctx, s, evt)
	if err != nil {
		return err
	}
	if len(known) > 0 {
		first := known[0]
		ours = first.Author == m.Author && b.moves.same(placeOf(first.Channel).room, evt.RoomID)
		m.Channel, m.Parent, m.Private, m.ReplyTo = first.Channel, first.Parent, first.Private, first.ReplyTo
	}
	if !ours {
		return nil
	}
	m.ID, m.Happening, m.Revision = original.String(), studio.Edited, evt.ID.String()
	m.Text = s.words(c.NewContent)
	return b.cfg.Receiver.Receive(ctx, m)
}

// hearRedaction takes back a message or a quick answer, if it was stored.
// Whoever took it back, it is its author's.
func (b *Bot) hearRedaction(ctx context.Context, evt *event.Event, next *position) error {
	gone := evt.Content.AsRedaction().Redacts
	if gone == "" {
		gone = evt.Redacts
	}
	next.unlocked(gone)
	known, err := b.heard(ctx, gone)
	if err != nil || len(known) == 0 || !b.moves.same(placeOf(known[0].Channel).room, evt.RoomID) {
		return err
	}
	first := known[0]
	return b.cfg.Receiver.Receive(ctx, studio.Message{
		Platform: Platform, ID: gone.String(), Happening: studio.Deleted, Author: first.Author,
		Channel: first.Channel, Parent: first.Parent, Private: first.Private, ReplyTo: first.ReplyTo,
		At: time.UnixMilli(evt.Timestamp).UTC(),
	})
}

// hearReaction takes a reaction that is one of the quick answers of a post.
func (b *Bot) hearReaction(ctx context.Context, s *session, evt *event.Event) error {
	rel := relation(evt)
	i := choiceOf(rel.GetAnnotationKey())
	if i < 0 || rel.GetAnnotationID() == "" {
		return nil
	}
	m, _, err := b.message(ctx, s, evt)
	if err != nil {
		return err
	}
	known := m.Private
	if !known {
		if known, err = b.studioAt(ctx, placeOf(cmp.Or(m.Parent, m.Channel))); err != nil || !known {
			return err
		}
	}
	own, err := b.ownEvent(ctx, s, evt.RoomID, rel.GetAnnotationID())
	if err != nil || own == nil || i >= len(own.Choices) {
		return err
	}
	m.Text, m.ReplyTo = own.Choices[i], own.First.String()
	b.sent.taps.put(evt.ID, rel.GetAnnotationID())
	return b.cfg.Receiver.Receive(ctx, m)
}

// words returns the text of a message without what a reply repeats of the
// message it answers, and without the bot's name at its beginning.
func (s *session) words(c *event.MessageEventContent) string {
	text := c.Body
	if c.RelatesTo.GetReplyTo() != "" {
		text = event.TrimReplyFallbackText(text)
	}
	text = strings.TrimSpace(text)
	for _, name := range s.calls() {
		if rest, called := cutName(text, name); called {
			return rest
		}
	}
	return text
}

// calls returns what people call the bot by, the longest first.
func (s *session) calls() []string {
	local := s.UserID.Localpart()
	all := []string{s.UserID.String(), "@" + local, local}
	if s.name != "" {
		all = append(all, "@"+s.name, s.name)
	}
	slices.SortStableFunc(all, func(x, y string) int { return len(y) - len(x) })
	return all
}

// cutName cuts a name, and what parts it from the rest, off the beginning.
func cutName(text, name string) (rest string, called bool) {
	if len(text) < len(name) || !strings.EqualFold(text[:len(name)], name) {
		return text, false
	}
	rest = text[len(name):]
	if rest != "" && !strings.ContainsRune(":,", rune(rest[0])) && !unicode.IsSpace(rune(rest[0])) {
		return text, false
	}
	return strings.TrimLeft(rest, ":, \t\n"), true
}

// named reports whether an event names the bot.
func (s *session) named(evt *event.Event) bool {
	c := evt.Content.AsMessage()
	if c.NewContent != nil {
		c = c.NewContent
	}
	if c.Mentions != nil {
		return c.Mentions.Has(s.UserID) || strings.HasPrefix(c.Body, s.UserID.String()) || s.calledOut(c.Body)
	}
	me := s.UserID.String()
	for _, link := range []string{me, url.PathEscape(me), url.QueryEscape(me)} {
		if strings.Contains(c.FormattedBody, "https://matrix.to/#/"+html.EscapeString(link)+`"`) {
			return true
		}
	}
	if strings.Contains(c.Body, me) {
		return true
	}
	rest, called := cutName(c.Body, s.name)
	return called && s.name != "" && len(rest) < len(c.Body)
}

// calledOut reports whether a text begins by calling the bot: with its name and a
// colon or comma, as who types a name rather than picking it from her app's list.
func (s *session) calledOut(text string) bool {
	for _, name := range s.calls() {
		if len(text) > len(name) && strings.EqualFold(text[:len(name)], name) && strings.ContainsRune(":,", rune(text[len(name)])) {
			return true
		}
	}
	return false
}

// hearLocked takes an event of an encrypted room. One whose key has not come is
// kept for later.
func (b *Bot) hearLocked(ctx context.Context, s *session, evt *event.Event, next *position) error {
	private := b.lines.has(evt.RoomID, evt.Sender)
	if !private {
		if known, err := b.studioAt(ctx, place{room: evt.RoomID}); err != nil || !known {
			return err
		}
	}
	if s.keys == nil {
		b.tell(ctx, studio.Finding{
			What: words.Phrase{ID: "matrix.cannot-read", With: words.With{"who": evt.Sender, "room": evt.RoomID}},
			Do:   advice("matrix.sealed"),
		})
		return nil
	}
	open, err := s.unlock(ctx, evt)
	switch {
	case errors.Is(err, errNoKey):
		next.lock(evt, b.cfg.Now())
		return nil
	case err != nil && ctx.Err() != nil:
		return err
	case err != nil:
		b.tell(ctx, unreadable(evt.Sender, evt.RoomID))
		b.cfg.Log.Error("matrix: event not unlocked", "event", evt.ID, "err", err)
		return nil
	}
	return b.hearOpen(ctx, s, open, next)
}
