package discord

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
)

// Send delivers a post and returns the id of its first message. Called again
// with the same key after a failure, it goes on where it stopped.
func (b *Bot) Send(ctx context.Context, d studio.Delivery) (id string, err error) {
	if d.To.Platform != Platform {
		return "", &studio.SendError{Permanent: true, Err: fmt.Errorf("post for platform %q given to Discord", d.To.Platform)}
	}
	id, err = b.sendTo(ctx, d)
	if d.To.Account != "" && code(err) == codeUnknownChannel {
		if err := b.forgetLine(ctx, d.To.Account); err != nil {
			return "", err
		}
		id, err = b.sendTo(ctx, d)
	}
	return id, sendError("sending", err)
}

func (b *Bot) sendTo(ctx context.Context, d studio.Delivery) (id string, err error) {
	to, err := b.channelOf(ctx, d.To)
	if err != nil {
		return "", sendError("opening a private line", err)
	}
	if answered := messageOf(d.ReplyTo); d.Brief && answered != "" {
		id, err = b.mark(ctx, to, answered, d.Key)
		if err == nil || !wordsInstead(err) {
			return id, err
		}
	}
	return b.sendParts(ctx, to, d)
}

// sendParts sends the messages of a post that were not sent yet.
func (b *Bot) sendParts(ctx context.Context, to string, d studio.Delivery) (id string, err error) {
	p := b.parts.of(d.Key)
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, m := range messages(d) {
		if i < len(p.sent) {
			continue
		}
		m.Nonce, m.Enforce = nonce(d.Key, i), true
		m.Reference = referenceTo(messageOf(d.ReplyTo))
		if i > 0 {
			m.Reference = referenceTo(p.sent[0])
		}
		id, err := b.sendOnce(ctx, to, m, p, d)
		if err != nil {
			return "", err
		}
		p.sent = append(p.sent, id)
	}
	b.parts.done(d.Key, p.sent)
	return p.sent[0], nil
}

// sendOnce sends one message. After an attempt that may have succeeded, or if
// another program may have sent it and been killed, it looks first whether the
// message is there: Discord minds nonces for some minutes only.
func (b *Bot) sendOnce(ctx context.Context, to string, m outgoing, p *progress, d studio.Delivery) (id string, err error) {
	since := p.unsure
	if since.IsZero() && d.Again {
		since = d.QueuedAt
	}
	if !since.IsZero() {
		id, err := b.find(ctx, to, m, since)
		if err != nil {
			return "", fmt.Errorf("looking whether it was sent: %w", err)
		}
		if id != "" {
			p.unsure = time.Time{}
			return id, nil
		}
	}
	began := b.cfg.Now()
	id, err = b.create(ctx, to, m)
	switch {
	case err == nil:
		p.unsure = time.Time{}
	case unsure(err) && p.unsure.IsZero():
		p.unsure = began
	}
	return id, err
}

// find looks for a message of ours that was sent at or after the given time, and
// is not known as part of another post.
func (b *Bot) find(ctx context.Context, to string, m outgoing, since time.Time) (id string, err error) {
	me, err := b.whoami(ctx)
	if err != nil {
		return "", err
	}
	page, err := b.history(ctx, to, "")
	if err != nil {
		return "", err
	}
	oldest := idAt(since.Add(-clockSlack))
	for _, n := range page {
		if n.Author.ID != me || !later(n.ID, oldest) || b.parts.knows(n.ID) || !n.shows(m) {
			continue
		}
		if _, known, err := b.postKnownAs(ctx, n.ID); err != nil || !known {
			return n.ID, err
		}
	}
	return "", nil
}

// clockSlack is how far this machine's clock may be from Discord's.
const clockSlack = 2 * time.Minute

// shows reports whether a message shows what m would.
func (n *note) shows(m outgoing) bool {
	var nonce string
	if json.Unmarshal(n.Nonce, &nonce) == nil && nonce != "" {
		return nonce == m.Nonce
	}
	if (n.Reference == nil) != (m.Reference == nil) || n.Reference != nil && n.Reference.Message != m.Reference.Message {
		return false
	}
	return n.Content == m.Content && slices.EqualFunc(n.Embeds, m.Embeds, func(a, b embed) bool {
		return a.Title == b.Title && a.Description == b.Description && slices.Equal(a.Fields, b.Fields)
	})
}

func referenceTo(message string) *reference {
	if message == "" {
		return nil
	}
	return &reference{Message: message}
}

// nonce returns the nonce of one message of a post: at most 25 characters.
func nonce(k studio.Key, part int) string {
	sum := sha256.Sum256([]byte(string(k) + "\x00" + strconv.Itoa(part)))
	return base64.RawURLEncoding.EncodeToString(sum[:18])
}

// messageOf returns the message on Discord that an id is about: itself, or the
// one whose button was pressed or that was reacted to; "" if there is none.
func messageOf(id string) string {
	kind, rest, made := strings.Cut(id, "/")
	if !made {
		kind, rest = "", id
	}
	message, _, _ := strings.Cut(rest, "/")
	if (kind == "" || kind == "press" || kind == "react") && isMessage(message) {
		return message
	}
	return ""
}

// receiptMark is the reaction that stands for a receipt without words.
const receiptMark = "✅"

// mark reacts to a message instead of answering it. A message that is gone needs
// no mark.
func (b *Bot) mark(ctx context.Context, channel, message string, k studio.Key) (id string, err error) {
	u := discordgo.EndpointMessageReaction(channel, message, url.PathEscape(receiptMark), "@me")
	err = b.request(ctx, http.MethodPut, u, discordgo.EndpointChannel(channel)+"/reactions", nil, nil)
	if code(err) == codeUnknownMessage {
		err = nil
	}
	return "mark/" + message + "/" + nonce(k, 0), err
}

// wordsInstead reports whether a mark was refused where words may not be.
func wordsInstead(err error) bool {
	switch code(err) {
	case codeReactionsFull, codeReactionRefused, codeNoPermission:
		return true
	}
	return false
}
