package discord

import (
	"context"
	"fmt"
	"strings"
	"time"

	"ledgerline/studio"
)

// quick are the emoji that give the choices of a routine, in their order: played
// it all, part of it, a rest day, can't today. Elsewhere only the number of a
// choice is taken, since a thumb may mean anything there.
var quick = map[string]int{
	"✅": 0, "✔": 0, "👍": 0, "💯": 0,
	"🌗": 1, "🌓": 1, "🤏": 1,
	"😴": 2, "💤": 2, "🛌": 2,
	"❌": 3, "🚫": 3, "👎": 3,
}

// plainEmoji returns an emoji without what only changes its looks.
func plainEmoji(name string) string {
	return strings.Map(func(r rune) rune {
		if r == '\uFE0F' || '\U0001F3FB' <= r && r <= '\U0001F3FF' {
			return -1
		}
		return r
	}, name)
}

// numberOf returns the number that an emoji shows on a key, from 1; 0 if it is
// none.
func numberOf(emoji string) int {
	digit, isKey := strings.CutSuffix(emoji, "\u20E3")
	switch {
	case isKey && len(digit) == 1 && '1' <= digit[0] && digit[0] <= '9':
		return int(digit[0] - '0')
	case emoji == "🔟":
		return 10
	}
	return 0
}

// meansSomething reports whether an emoji may be a quick answer.
func meansSomething(name string) bool {
	name = plainEmoji(name)
	_, ok := quick[name]
	return ok || numberOf(name) > 0
}

// chosen returns the choice that an emoji gives on a post.
func chosen(name string, p studio.Post) (studio.Choice, bool) {
	name = plainEmoji(name)
	i := numberOf(name) - 1
	if at, ok := quick[name]; ok && p.Kind == studio.RoutinePost {
		i = at
	}
	if i < 0 || i >= len(p.Choices) {
		return studio.Choice{}, false
	}
	return p.Choices[i], p.Choices[i].Text != ""
}

// hearReaction takes a reaction to a post of ours as a quick answer, or takes
// that answer back.
func (b *Bot) hearReaction(ctx context.Context, r *reaction, added bool, at time.Time) error {
	me, err := b.whoami(ctx)
	if err != nil {
		return err
	}
	ours := isMessage(r.Message) && (r.Author == "" || r.Author == me)
	if !ours || r.User == "" || r.User == me || r.Member.User.Bot || r.Emoji.ID != nil || !meansSomething(r.Emoji.Name) {
		return nil
	}
	var in place
	if r.Guild != "" {
		if in, err = b.studioPlace(ctx, r.Channel); err != nil || !in.known {
			return err
		}
	}
	id, post, err := b.postReactedTo(ctx, r)
	if err != nil || id == "" {
		return err
	}
	choice, ok := chosen(r.Emoji.Name, post)
	if !ok {
		return nil
	}
	m := studio.Message{
		Platform: Platform, Happening: studio.Written, At: at,
		Author:  studio.Account{Platform: Platform, ID: r.User},
		Channel: r.Channel, Parent: in.parent, Private: r.Guild == "", Text: choice.Text, ReplyTo: id,
	}
	known := false
	if m.ID, known, err = b.reactionID(ctx, r); err != nil {
		return err
	}
	if !added {
		if !known {
			return nil
		}
		m.Happening, m.Text = studio.Deleted, ""
	}
	return b.cfg.Receiver.Receive(ctx, m)
}

// postReactedTo returns the post that was reacted to, and its id; "" if it is
// none of ours. A post that the outbox does not know yet is read from its
// buttons.
func (b *Bot) postReactedTo(ctx context.Context, r *reaction) (id string, p studio.Post, err error) {
	if p, known, err := b.postKnownAs(ctx, r.Message); known || err != nil {
		return r.Message, p, err
	}
	n, err := b.getMessage(ctx, r.Channel, r.Message)
	if again, _ := retry(err); err != nil && !again {
		return "", p, nil // it is gone
	}
	if err != nil {
		return "", p, err
	}
	if me, err := b.whoami(ctx); err != nil || n.Author.ID != me {
		return "", p, err
	}
	if id, err = b.postOf(ctx, &n); err != nil {
		return "", p, err
	}
	p, known, err := b.postKnownAs(ctx, id)
	if !known {
		p.Choices = n.choices()
	}
	return id, p, err
}

// mostChoices is more than a post has.
const mostChoices = 1000

// choices returns the choices that the buttons of a message hold, each at its
// place among those of the post; the others are empty.
func (n *note) choices() (all []studio.Choice) {
	for _, r := range n.Components {
		for _, but := range r.Buttons {
			i, text, ok := choiceOf(but.CustomID)
			if !ok || i > mostChoices {
				continue
			}
			if text == "" {
				text = but.Label
			}
			for len(all) <= i {
				all = append(all, studio.Choice{})
			}
			all[i] = studio.Choice{Label: but.Label, Text: text}
		}
	}
	return all
}

// reactionID returns the id of a reaction, which has a number at its end, since
// the same one may be set again after it was taken back: the first number that
// is not stored as taken back. known says whether that one is stored as set.
func (b *Bot) reactionID(ctx context.Context, r *reaction) (id string, known bool, err error) {
	for n := 0; ; n++ {
		id = fmt.Sprintf("%s/%d", reactionKey(r.Message, r.User, r.Emoji.Name), n)
		all, err := b.happenings(ctx, id)
		if err != nil {
			return "", false, err
		}
		gone := false
		for _, h := range all {
			gone = gone || h.Happening == studio.Deleted
		}
		if !gone {
			return id, len(all) > 0, nil
		}
	}
}
