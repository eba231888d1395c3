package discord

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"ledgerline/studio"
)

// there is what a look back found still there.
type there struct {
	oldest   string          // the first message that was found; "" if none was
	messages map[string]bool // by id
	looked   map[string]bool // posts of ours of which all reactions are in reacted
	reacted  map[string]bool // by reactionKey
}

func newThere(notes []note) *there {
	t := &there{messages: map[string]bool{}, looked: map[string]bool{}, reacted: map[string]bool{}}
	for _, n := range notes {
		t.messages[n.ID] = true
	}
	if len(notes) > 0 {
		t.oldest = notes[0].ID
	}
	return t
}

// takenBack reports whether a stored message or reaction is gone. Where nothing at
// all was found nothing is missed: of a channel of which the bot may not read the
// history Discord shows an empty one.
func (t *there) takenBack(id string) bool {
	if isMessage(id) {
		return !t.messages[id] && t.oldest != "" && later(id, t.oldest)
	}
	message, user, emoji, ok := reactionOf(id)
	return ok && t.looked[message] && !t.reacted[reactionKey(message, user, emoji)]
}

func reactionKey(message, user, emoji string) string {
	return "react/" + message + "/" + user + "/" + plainEmoji(emoji)
}

// reactionOf returns the parts of the id of a reaction.
func reactionOf(id string) (message, user, emoji string, ok bool) {
	parts := strings.Split(id, "/")
	if len(parts) != 5 || parts[0] != "react" {
		return "", "", "", false
	}
	return parts[1], parts[2], parts[3], true
}

// lookedBack is how many messages of a place are checked for being there still.
const lookedBack = 200

// hearTakenBack takes back what was said at a place and is gone.
func (b *Bot) hearTakenBack(ctx context.Context, place studio.Address, there *there) error {
	var said []studio.Said
	err := b.cfg.Store.View(ctx, func(tx studio.Tx) (err error) {
		said, err = tx.Transcript(place, lookedBack)
		return err
	})
	if err != nil {
		return fmt.Errorf("looking for what was said: %w", err)
	}
	for _, s := range slices.Backward(said) {
		if s.Message == nil || s.Deleted || !there.takenBack(s.Message.ID) {
			continue
		}
		m := s.Message.Message
		m.Happening, m.Revision, m.Text, m.At = studio.Deleted, "", "", b.cfg.Now()
		if err := b.cfg.Receiver.Receive(ctx, m); err != nil {
			return err
		}
	}
	return nil
}
