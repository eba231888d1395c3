package discord

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
)

const (
	// firstLook is how far back a channel is read from which nothing was ever
	// stored.
	firstLook = 24 * time.Hour

	// reactionLook is how old a post may be for its reactions to be read back.
	reactionLook = 48 * time.Hour

	pagesLimit = 50 // pages of history read back at most, of 100 messages each

	idle = time.Minute // how long listen sleeps when there is nothing to do
)

// marks are the last messages that this process read, by channel. They go
// further than what is stored: not all that is said is for the bot. Only listen
// uses them.
type marks map[string]string

func (m marks) read(channel, id string) {
	if later(id, m[channel]) {
		m[channel] = id
	}
}

// A backlog is a list of places where something may have been said that was not
// heard.
type backlog struct {
	places []studio.Address // in order; those that are not on the list any more too
	listed map[studio.Address]bool
}

func newBacklog() *backlog { return &backlog{listed: map[studio.Address]bool{}} }

// add puts places on the list that are not there.
func (l *backlog) add(places ...studio.Address) {
	for _, a := range places {
		if !l.listed[a] {
			l.listed[a] = true
			l.places = append(l.places, a)
		}
	}
}

// remove takes a place off the list and reports whether it was there.
func (l *backlog) remove(a studio.Address) bool {
	was := l.listed[a]
	delete(l.listed, a)
	return was
}

// next takes the first place off the list, if there is one.
func (l *backlog) next() (a studio.Address, ok bool) {
	for len(l.places) > 0 && !ok {
		a, l.places = l.places[0], l.places[1:]
		ok = l.remove(a)
	}
	return a, ok
}

// catchUpNext reads the next place of the list back. It returns how long to wait
// before the next.
func (b *Bot) catchUpNext(ctx context.Context, back *backlog) (pause time.Duration) {
	place, any := back.next()
	if !any {
		return idle
	}
	err := b.catchUpAt(ctx, place)
	if err == nil || ctx.Err() != nil {
		return 0
	}
	again, after := retry(err)
	if !again {
		b.cfg.Log.Warn("discord: a channel can't be read back", "err", err)
		return 0
	}
	back.add(place)
	return max(after, time.Second/2)
}

// catchUpFirst reads back the place that a note was written in, if that is still
// to be done.
func (b *Bot) catchUpFirst(ctx context.Context, back *backlog, n *note) error {
	place := studio.Address{Platform: Platform, Channel: n.Channel}
	if n.Guild == "" {
		place = studio.Address{Platform: Platform, Account: n.Author.ID}
	}
	if !back.remove(place) {
		return nil
	}
	if n.Guild == "" {
		b.lines.keep(n.Author.ID, n.Channel)
	}
	err := b.catchUpAt(ctx, place)
	if again, _ := retry(err); err != nil && again {
		back.add(place)
		return err
	}
	return nil
}

func (b *Bot) catchUpAt(ctx context.Context, place studio.Address) error {
	channel, err := b.channelOf(ctx, place)
	if err != nil {
		return fmt.Errorf("opening a private line: %w", err)
	}
	return b.catchUp(ctx, place, channel)
}

// catchUp offers what was written, edited, answered by reaction and taken back
// at a place since it was last read.
func (b *Bot) catchUp(ctx context.Context, place studio.Address, channel string) error {
	since, err := b.readUpTo(ctx, channel)
	if err != nil {
		return err
	}
	notes, err := b.readBack(ctx, channel, since)
	if err != nil {
		return err
	}
	there := newThere(notes)
	for i := range notes {
		n := &notes[i]
		n.Channel = channel
		if err := b.hearMissed(ctx, n, since, place.Account != "", there); err != nil {
			return err
		}
	}
	return b.hearTakenBack(ctx, place, there)
}

func (b *Bot) hearMissed(ctx context.Context, n *note, since string, private bool, there *there) error {
	switch me, err := b.whoami(ctx); {
	case err != nil:
		return err
	case n.Author.ID == me:
		b.marks.read(n.Channel, n.ID)
		return b.hearMissedReactions(ctx, n, private, there)
	case later(n.ID, since):
		return b.hearNew(ctx, n, private)
	}
	return b.hearEdit(ctx, n, private)
}

// readUpTo returns the last message of a channel that needs no reading.
func (b *Bot) readUpTo(ctx context.Context, channel string) (string, error) {
	since, err := b.lastStored(ctx, channel)
	if err != nil {
		return "", err
	}
	if later(b.marks[channel], since) {
		since = b.marks[channel]
	}
	if since == "" {
		since = idAt(b.cfg.Now().Add(-firstLook))
	}
	return since, nil
}

// readBack returns the messages of a channel after since, and some before,
// oldest first.
func (b *Bot) readBack(ctx context.Context, channel, since string) (notes []note, err error) {
	before := ""
	for range pagesLimit {
		page, err := b.history(ctx, channel, before)
		if err != nil {
			return nil, fmt.Errorf("reading a channel back: %w", err)
		}
		notes = append(notes, page...)
		if len(page) < historyPage || !later(page[len(page)-1].ID, since) {
			slices.Reverse(notes)
			return notes, nil
		}
		before = page[len(page)-1].ID
	}
	b.cfg.Log.Error("discord: too much was said in a channel to read all of it back", "messages", len(notes))
	slices.Reverse(notes)
	return notes, nil
}

// hearMissedReactions offers the reactions to a post of ours that may be quick
// answers.
func (b *Bot) hearMissedReactions(ctx context.Context, n *note, private bool, there *there) error {
	if b.cfg.Now().Sub(timeOf(n.ID)) > reactionLook {
		return nil
	}
	there.looked[n.ID] = true
	for _, r := range n.Reactions {
		if r.Emoji.ID != nil || !meansSomething(r.Emoji.Name) || r.Count == 1 && r.Me {
			continue
		}
		users, err := b.reacted(ctx, n, r.Emoji.Name)
		if err != nil {
			return err
		}
		if len(users) == reactorsPage {
			there.looked[n.ID] = false // there may be more
		}
		for _, u := range users {
			there.reacted[reactionKey(n.ID, u.ID, r.Emoji.Name)] = true
			one := &reaction{User: u.ID, Channel: n.Channel, Message: n.ID, Author: n.Author.ID, Emoji: r.Emoji}
			one.Member.User = u
			if !private {
				one.Guild = unnamedGuild
			}
			// When it was set is not known: the time of the post puts it on the
			// day that the post is about.
			if err := b.hearReaction(ctx, one, true, timeOf(n.ID)); err != nil {
				return err
			}
		}
	}
	return nil
}

// unnamedGuild stands for the server of a channel where it does not matter
// which.
const unnamedGuild = "0"

// reactorsPage is how many of those who reacted Discord names at once at most.
const reactorsPage = 100

// reacted returns who reacted to a message with an emoji.
func (b *Bot) reacted(ctx context.Context, n *note, emoji string) (users []user, err error) {
	u := discordgo.EndpointMessageReactions(n.Channel, n.ID, url.PathEscape(emoji)) + fmt.Sprint("?limit=", reactorsPage)
	err = b.request(ctx, http.MethodGet, u, discordgo.EndpointChannel(n.Channel)+"/reactions#users", nil, &users)
	if err != nil {
		return nil, fmt.Errorf("asking who reacted: %w", err)
	}
	return users, nil
}
