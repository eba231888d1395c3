package discord

import (
	"context"
	"fmt"
	"net/http"
	"sync"

	"github.com/bwmarrin/discordgo"
)

// rooms are the channels that Discord was asked about. What is used of them
// never changes.
type rooms struct {
	mu    sync.Mutex
	known map[string]channel
}

func newRooms() *rooms { return &rooms{known: map[string]channel{}} }

func (r *rooms) get(ctx context.Context, b *Bot, id string) (channel, error) {
	r.mu.Lock()
	c, ok := r.known[id]
	r.mu.Unlock()
	if ok {
		return c, nil
	}
	c, err := b.getChannel(ctx, id)
	if err != nil {
		return c, err
	}
	r.keep(c)
	return c, nil
}

func (r *rooms) keep(c channel) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.known[c.ID] = c
}

func (b *Bot) getChannel(ctx context.Context, id string) (c channel, err error) {
	err = b.request(ctx, http.MethodGet, discordgo.EndpointChannel(id), discordgo.EndpointChannel(id), nil, &c)
	if err != nil {
		err = fmt.Errorf("asking about a channel: %w", err)
	}
	return c, err
}
