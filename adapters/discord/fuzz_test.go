package discord

import (
	"context"
	"encoding/json"
	"log/slog"
	"testing"
	"time"

	"ledgerline/studio"
)

// FuzzEvent hears whatever the gateway might say. Nothing may make the bot fall
// over, and what it passes on names a message and its author.
func FuzzEvent(f *testing.F) {
	for kind, raw := range map[string]string{
		"MESSAGE_CREATE":          `{"id":"5","channel_id":"7","author":{"id":"9"},"content":"1 clean","type":19,"message_reference":{"message_id":"4"}}`,
		"MESSAGE_UPDATE":          `{"id":"5","channel_id":"7","author":{"id":"9"},"content":"<@1> x","edited_timestamp":"2026-03-02T07:00:00.000000+00:00"}`,
		"MESSAGE_DELETE":          `{"id":"5","channel_id":"7"}`,
		"MESSAGE_DELETE_BULK":     `{"ids":["5","6"],"channel_id":"7"}`,
		"MESSAGE_REACTION_ADD":    `{"user_id":"9","channel_id":"7","message_id":"5","emoji":{"id":null,"name":"✅"}}`,
		"MESSAGE_REACTION_REMOVE": `{"user_id":"9","channel_id":"7","message_id":"5","emoji":{"id":null,"name":"1️⃣"}}`,
		"READY":                   `{"user":{"id":"1"},"application":{"id":"2"}}`,
		"GUILD_CREATE":            `{"id":"3","roles":[{"id":"4","tags":{"bot_id":"1"}}]}`,
	} {
		f.Add(kind, []byte(raw))
	}
	f.Fuzz(func(t *testing.T, kind string, raw []byte) {
		if !json.Valid(raw) {
			return // the library drops the connection
		}
		bot, err := New(Config{
			Token: "x", API: "http://127.0.0.1:1/api", Store: empty{}, Receiver: strict{t},
			Now: time.Now, Random: func() float64 { return 0 }, Log: slog.New(slog.DiscardHandler),
		})
		if err != nil {
			t.Fatal(err)
		}
		bot.self.user = "1"
		bot.event(shard{0, 1}, kind, raw)
		for e, ok := bot.heard.take(); ok; e, ok = bot.heard.take() {
			bot.hear(t.Context(), e, newBacklog()) // an error means that it would be heard again
		}
	})
}

// empty is a store with nothing in it.
type empty struct{ studio.Store }

func (empty) View(_ context.Context, fn func(studio.Tx) error) error { return fn(nothing{}) }

type nothing struct{ studio.Tx }

func (nothing) Happenings(studio.Platform, string) ([]studio.Stored, error) { return nil, nil }
func (nothing) PostKnownAs(studio.Platform, string) (studio.Queued, error) {
	return studio.Queued{}, studio.ErrNotFound
}
func (nothing) StudioAt(studio.Address) (studio.Studio, error) {
	return studio.Studio{}, studio.ErrNotFound
}
func (nothing) AccountsOn(studio.Platform) ([]studio.Account, error) { return nil, nil }

// strict wants every message to say whose it is.
type strict struct{ t *testing.T }

func (s strict) Receive(_ context.Context, m studio.Message) error {
	if m.Author.ID == "" || m.ID == "" || m.Platform != Platform {
		s.t.Errorf("heard %+v", m)
	}
	return nil
}
