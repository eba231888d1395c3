package discord

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"

	"github.com/bwmarrin/discordgo"
)

// identity is who the bot is: its user and its application.
type identity struct {
	mu        sync.Mutex
	user, app string
	roles     map[string]bool // that a server made for the bot alone
	known     chan struct{}   // closed once app is known
}

func newIdentity() *identity { return &identity{roles: map[string]bool{}, known: make(chan struct{})} }

// learn takes it from the event that opens a session.
func (i *identity) learn(raw json.RawMessage) {
	var ready struct {
		User        user `json:"user"`
		Application struct {
			ID string `json:"id"`
		} `json:"application"`
	}
	if json.Unmarshal(raw, &ready) != nil {
		return
	}
	i.mu.Lock()
	defer i.mu.Unlock()
	i.user = ready.User.ID
	if i.app == "" && ready.Application.ID != "" {
		i.app = ready.Application.ID
		close(i.known)
	}
}

// learnRole takes from the description of a server which role it made for the
// bot. People pick it by mistake when they mean to name the bot: it has the same
// name.
func (i *identity) learnRole(raw json.RawMessage) {
	var g struct {
		Roles []struct {
			ID   string `json:"id"`
			Tags struct {
				Bot string `json:"bot_id"`
			} `json:"tags"`
		} `json:"roles"`
	}
	if json.Unmarshal(raw, &g) != nil {
		return
	}
	i.mu.Lock()
	defer i.mu.Unlock()
	for _, r := range g.Roles {
		if r.Tags.Bot != "" && r.Tags.Bot == i.user {
			i.roles[r.ID] = true
		}
	}
}

// named reports whether a note names the bot, or its role.
func (i *identity) named(n *note) bool {
	i.mu.Lock()
	defer i.mu.Unlock()
	for _, u := range n.Mentions {
		if u.ID == i.user {
			return true
		}
	}
	for _, r := range n.Roles {
		if i.roles[r] {
			return true
		}
	}
	return false
}

// withoutName returns the text without the mention of the bot that it begins
// with.
func (i *identity) withoutName(text string) string {
	i.mu.Lock()
	defer i.mu.Unlock()
	text = strings.TrimSpace(text)
	mentions := []string{"<@" + i.user + ">", "<@!" + i.user + ">"}
	for r := range i.roles {
		mentions = append(mentions, "<@&"+r+">")
	}
	for _, m := range mentions {
		if rest, named := strings.CutPrefix(text, m); named {
			return strings.TrimLeft(rest, " \t\n,:")
		}
	}
	return text
}

// application waits until the application is known.
func (i *identity) application(ctx context.Context) (string, bool) {
	select {
	case <-ctx.Done():
		return "", false
	case <-i.known:
		i.mu.Lock()
		defer i.mu.Unlock()
		return i.app, true
	}
}

// whoami returns the id of the bot's user.
func (b *Bot) whoami(ctx context.Context) (string, error) {
	b.self.mu.Lock()
	id := b.self.user
	b.self.mu.Unlock()
	if id != "" {
		return id, nil
	}
	var me user
	if err := b.request(ctx, http.MethodGet, discordgo.EndpointUser("@me"), discordgo.EndpointUser("@me"), nil, &me); err != nil {
		return "", fmt.Errorf("asking who the bot is: %w", err)
	}
	b.self.mu.Lock()
	defer b.self.mu.Unlock()
	b.self.user = me.ID
	return me.ID, nil
}
