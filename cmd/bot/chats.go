package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"ledgerline/adapters/discord"
	"ledgerline/adapters/matrix"
	"ledgerline/adapters/metrics"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// chatFlags are the chats beside the room. One is used if it is given a way to
// log in.
type chatFlags struct {
	Discord struct {
		Token string `help:"Token of the bot account. Set it in the environment." env:"LEDGERLINE_DISCORD_TOKEN" secret:""`
		API   string `help:"Address of the platform, if it is not Discord's own." env:"LEDGERLINE_DISCORD_API" hidden:""`

		Shards    int     `help:"Shards that the bot's servers are divided into, the same for all programs; 0: as many as Discord advises." env:"LEDGERLINE_DISCORD_SHARDS"`
		PerSecond float64 `help:"Requests a second that Discord allows the bot." default:"50" env:"LEDGERLINE_DISCORD_PER_SECOND"`
	} `embed:"" prefix:"discord-"`
	Matrix struct {
		Homeserver string `help:"Address of the server, such as https://matrix.example.org." env:"LEDGERLINE_MATRIX_HOMESERVER" placeholder:"URL"`
		User       string `help:"Account of the bot, such as @bot:example.org." env:"LEDGERLINE_MATRIX_USER" placeholder:"ID"`
		Password   string `help:"Its password. Set it in the environment." env:"LEDGERLINE_MATRIX_PASSWORD" secret:""`
		Token      string `help:"Or its access token. Set it in the environment." env:"LEDGERLINE_MATRIX_TOKEN" secret:""`
		Recovery   string `name:"recovery-key" help:"Recovery key of the account, with which it vouches for the bot's device. Set it in the environment." env:"LEDGERLINE_MATRIX_RECOVERY_KEY" secret:""`
		Encrypt    bool   `help:"Make private lines encrypted. Needs a build with -tags goolm." env:"LEDGERLINE_MATRIX_ENCRYPT"`
	} `embed:"" prefix:"matrix-"`
}

// A liveChat is a chat that is connected while Run runs.
type liveChat interface {
	studio.Chat
	Run(ctx context.Context) error
	Check(ctx context.Context) []studio.Finding
}

// A switchboard is what chats are given.
type switchboard struct {
	store    studio.Store
	database string // path of its file
	receiver studio.Receiver
	now      func() time.Time
	log      *slog.Logger
	service  func() *studio.Service // once there is one
	metrics  *metrics.Board
}

// open makes the chats that the flags give a way to log in to. Nothing is
// connected yet.
func (f *chatFlags) open(s switchboard) ([]liveChat, error) {
	var chats []liveChat
	if f.Discord.Token != "" {
		bot, err := discord.New(discord.Config{
			Token: f.Discord.Token, API: f.Discord.API, Store: s.store, Receiver: s.receiver, Now: s.now, Random: random, Log: s.log,
			Commands: studio.Commands(), Completer: s, Shards: f.Discord.Shards, PerSecond: f.Discord.PerSecond,
		})
		if err != nil {
			return nil, err
		}
		chats = append(chats, bot)
	}
	if f.Matrix.Homeserver != "" {
		if !matrix.Encrypts {
			s.log.Warn("this build has no encrypted Matrix rooms; build it with -tags goolm for them")
		}
		bot, err := matrix.New(matrix.Config{
			Homeserver: f.Matrix.Homeserver, User: f.Matrix.User, Password: f.Matrix.Password, Token: f.Matrix.Token,
			Store: s.store, Receiver: s.receiver, Now: s.now, Random: random, Log: s.log,
			Keys: s.database, RecoveryKey: f.Matrix.Recovery, Encrypt: f.Matrix.Encrypt,
			// Whoever has a code must be able to bring it.
			Admit: func(context.Context, string) (bool, error) { return true, nil },
			Tell:  func(ctx context.Context, finding studio.Finding) { s.trouble(ctx, matrix.Platform, finding) },
		})
		if err != nil {
			return nil, err
		}
		chats = append(chats, bot)
	}
	return chats, nil
}

// Complete completes an argument of a command, by the service.
func (s switchboard) Complete(ctx context.Context, who studio.Account, command, arg, partial string) []string {
	return s.service().Complete(ctx, who, command, arg, partial)
}

// trouble tells the log, and the teachers by another way, what is wrong with a
// chat.
func (s switchboard) trouble(ctx context.Context, p studio.Platform, f studio.Finding) {
	s.log.Error("trouble with a chat", "platform", p, "do", f.Do.String()) // what it is may name a person
	s.metrics.Trouble(p)
	if err := s.service().Trouble(ctx, p, f); err != nil {
		s.log.Error("teachers not told of it", "platform", p, "err", err)
	}
}

// connect keeps a chat running until ctx is done. One that ends by itself can't
// be helped by trying again at once: its teachers are told, and it is tried
// again after a while.
func (s switchboard) connect(ctx context.Context, chat liveChat) {
	for ctx.Err() == nil {
		err := chat.Run(ctx)
		if ctx.Err() != nil {
			return
		}
		if err == nil {
			err = errors.New("it ended without a reason")
		}
		finding := studio.Finding{
			What: words.Phrase{ID: "trouble.lost", With: words.With{"platform": chat.Platform()}},
			Do:   words.Phrase{ID: "trouble.check", With: words.With{"why": err}},
		}
		var stopped *discord.StoppedError
		if errors.As(err, &stopped) {
			finding.Do = stopped.Said
		}
		s.trouble(ctx, chat.Platform(), finding)
		select {
		case <-ctx.Done():
		case <-time.After(10 * time.Minute):
		}
	}
}
