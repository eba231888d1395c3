package discord

import (
	"context"
	"net/http"
	"sync"

	"github.com/bwmarrin/discordgo"

	"ledgerline/studio"
)

// channelOf returns the channel of an address. The private line to an account
// is opened once and remembered, in the store too: opening one is a request more,
// and a morning of many students has none to spare.
func (b *Bot) channelOf(ctx context.Context, a studio.Address) (string, error) {
	if a.Account == "" {
		return a.Channel, nil
	}
	if id := b.lines.to(a.Account); id != "" {
		return id, nil
	}
	kept, err := b.keptLine(ctx, a.Account)
	if err != nil || kept != "" {
		b.lines.keep(a.Account, kept)
		return kept, err
	}
	var line channel
	body := map[string]string{"recipient_id": a.Account}
	err = b.request(ctx, http.MethodPost, discordgo.EndpointUserChannels("@me"), discordgo.EndpointUserChannels(""), body, &line)
	if err != nil {
		return "", err
	}
	b.lines.keep(a.Account, line.ID)
	return line.ID, b.keepLine(ctx, a.Account, line.ID)
}

// forgetLine has the private line to an account opened anew.
func (b *Bot) forgetLine(ctx context.Context, account string) error {
	b.lines.keep(account, "")
	return b.keepLine(ctx, account, "")
}

// lines are the private lines that were opened, by account.
type lines struct {
	mu      sync.Mutex
	channel map[string]string
}

func newLines() *lines { return &lines{channel: map[string]string{}} }

func (l *lines) to(account string) string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.channel[account]
}

func (l *lines) keep(account, channel string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.channel[account] = channel
}
