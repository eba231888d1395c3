package discord

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

const (
	// Discord shows an interaction as failed that is not answered within three
	// seconds. storeTime leaves one of them for the answer to arrive.
	answerTime = 3 * time.Second
	storeTime  = 2 * time.Second
)

// Types of answer to an interaction.
const (
	answerWords      = 4
	answerNothing    = 6 // taken; the message stays as it is
	answerCompletion = 8
)

type callback struct {
	Type int           `json:"type"`
	Data *callbackData `json:"data,omitempty"`
}

type callbackData struct {
	Content string        `json:"content,omitempty"`
	Flags   int           `json:"flags,omitempty"`
	Allowed *mentions     `json:"allowed_mentions,omitempty"`
	Choices *[]completion `json:"choices,omitempty"`
}

type completion struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// interactions answers what people do with buttons and commands, each by itself,
// until ctx is done.
func (b *Bot) interactions(ctx context.Context) {
	var answering sync.WaitGroup
	defer answering.Wait()
	for {
		e, ok := b.acts.take()
		if ok {
			answering.Go(func() { b.interact(ctx, e.raw) })
			continue
		}
		select {
		case <-ctx.Done():
			return
		case <-b.acts.more:
		}
	}
}

// interact answers a pressed button, a slash command, or a command being typed.
func (b *Bot) interact(ctx context.Context, raw json.RawMessage) {
	var i interaction
	if err := json.Unmarshal(raw, &i); err != nil {
		b.cfg.Log.Error("discord: event not understood", "kind", "INTERACTION_CREATE", "err", err)
		return
	}
	if i.User.ID == "" {
		i.User = i.Member.User
	}
	switch i.Type {
	case pressed:
		b.press(ctx, &i)
	case slashed:
		b.slash(ctx, &i)
	case completed:
		b.complete(ctx, &i)
	}
}

// said returns an interaction as a message.
func (i *interaction) said(id, text string) studio.Message {
	return studio.Message{
		Platform: Platform, ID: id, Happening: studio.Written,
		Author:  studio.Account{Platform: Platform, ID: i.User.ID},
		Channel: i.Channel, Private: i.Guild == "",
		Text: text, At: timeOf(i.ID),
	}
}

// press takes a pressed button as a reply to the post with the text of its
// choice.
func (b *Bot) press(ctx context.Context, i *interaction) {
	if i.Message == nil {
		return
	}
	replyTo, text, err := b.pressed(ctx, i)
	if err != nil || text == "" {
		b.cfg.Log.Error("discord: button not read", "err", err)
		b.respond(ctx, i, onlyFor(i.voice().Say("discord.broken", nil)))
		return
	}
	m := i.said("press/"+i.Message.ID+"/"+i.ID, text)
	m.ReplyTo = replyTo
	b.take(ctx, i, m, callback{Type: answerNothing})
}

// pressed returns the post whose button was pressed and the text of the choice.
func (b *Bot) pressed(ctx context.Context, i *interaction) (post, text string, err error) {
	n, text, ok := choiceOf(i.Data.CustomID)
	if !ok {
		return "", "", fmt.Errorf("custom id %q", i.Data.CustomID)
	}
	if post, err = b.postOf(ctx, i.Message); err != nil || text != "" {
		return post, text, err
	}
	p, known, err := b.postKnownAs(ctx, post)
	if known && n < len(p.Choices) {
		return post, p.Choices[n].Text, nil
	}
	if all := i.Message.choices(); err == nil && n < len(all) {
		return post, all[n].Text, nil // its label
	}
	return post, "", err
}

// take offers a message until it is stored, and answers the interaction as soon
// as it is; with words if that takes too long.
func (b *Bot) take(ctx context.Context, i *interaction, m studio.Message, answer callback) {
	stored := make(chan struct{})
	go func() {
		defer close(stored)
		b.persist(ctx, "storing an interaction", func() error { return b.store(ctx, m) })
	}()
	defer func() { <-stored }()
	timer := time.NewTimer(storeTime)
	defer timer.Stop()
	select {
	case <-stored:
		b.respond(ctx, i, answer)
	case <-timer.C:
		b.respond(ctx, i, onlyFor(i.voice().Say("discord.slow", nil)))
	}
}

// store offers what was done in a channel, with the channel that its thread is
// in.
func (b *Bot) store(ctx context.Context, m studio.Message) error {
	if !m.Private {
		at, err := b.studioPlace(ctx, m.Channel)
		if err != nil {
			return err
		}
		m.Parent = at.parent
	}
	return b.cfg.Receiver.Receive(ctx, m)
}

// onlyFor answers with words that only the person who acted sees.
func onlyFor(text string) callback {
	none := nobody()
	return callback{Type: answerWords, Data: &callbackData{Content: clip(escape(text), contentLimit), Flags: onlyForYou | noPreviews, Allowed: &none}}
}

// respond answers an interaction, trying again while there is time.
func (b *Bot) respond(ctx context.Context, i *interaction, answer callback) {
	ctx, cancel := context.WithTimeout(ctx, answerTime)
	defer cancel()
	url := discordgo.EndpointInteractionResponse(i.ID, i.Token)
	for failures := 1; ; failures++ {
		err := b.request(ctx, http.MethodPost, url, interactionBucket, answer, nil)
		if err == nil {
			return
		}
		again, after := retry(err)
		if !again || !sleep(ctx, max(after, 100*time.Millisecond)) {
			b.cfg.Log.Warn("discord: interaction not answered", "code", code(err), "attempts", failures)
			return
		}
	}
}

// slash takes a slash command as if it had been written.
func (b *Bot) slash(ctx context.Context, i *interaction) {
	text := "/" + i.Data.Name
	for _, a := range argsOf(b.command(i.Data.Name).Args) {
		for _, o := range i.Data.Options {
			if o.Name == a.name {
				text += " " + strings.TrimSpace(o.words())
			}
		}
	}
	own := cmp.Or(b.command(i.Data.Name).In[i.voice().Lang()].Name, i.Data.Name)
	said := i.voice().Say("discord.taken", words.With{"command": own + strings.TrimPrefix(text, "/"+i.Data.Name)})
	if i.Guild != "" {
		said += "\n" + i.voice().Say("discord.answer-comes", nil)
	}
	b.take(ctx, i, i.said("slash/"+i.ID, text), onlyFor(said))
}

// complete offers completions of the option being typed.
func (b *Bot) complete(ctx context.Context, i *interaction) {
	choices := []completion{}
	for _, c := range b.completions(ctx, i) {
		if c = oneLine(c); c != "" && size(c) <= completionLimit && len(choices) < completionsLimit {
			choices = append(choices, completion{c, c})
		}
	}
	b.respond(ctx, i, callback{Type: answerCompletion, Data: &callbackData{Choices: &choices}})
}

func (b *Bot) completions(ctx context.Context, i *interaction) []string {
	if b.cfg.Completer == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, storeTime)
	defer cancel()
	who := studio.Account{Platform: Platform, ID: i.User.ID}
	for _, o := range i.Data.Options {
		for _, a := range argsOf(b.command(i.Data.Name).Args) {
			if o.Focused && o.Name == a.name {
				return b.cfg.Completer.Complete(ctx, who, i.Data.Name, a.about, o.words())
			}
		}
	}
	return nil
}

// Limits of Discord on what is offered while a command is typed.
const (
	completionLimit  = 100 // characters
	completionsLimit = 25
)
