package discord_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"ledgerline/adapters/discord"
	"ledgerline/studio"
)

// A quay is a store that several programs share.
type quay struct {
	mu      sync.Mutex
	names   map[string]*program // who holds what
	present map[*program]bool
}

// A program is one of them.
type program struct {
	*office
	quay *quay
	bot  *discord.Bot
	stop context.CancelFunc
	gone chan error
}

func (p *program) Hold(_ context.Context, name string) (context.Context, func(), error) {
	p.quay.mu.Lock()
	defer p.quay.mu.Unlock()
	if by := p.quay.names[name]; by != nil && by != p {
		return nil, nil, studio.ErrHeld
	}
	p.quay.names[name] = p
	return context.Background(), func() {
		p.quay.mu.Lock()
		defer p.quay.mu.Unlock()
		if p.quay.names[name] == p {
			delete(p.quay.names, name)
		}
	}, nil
}

func (p *program) Programs(context.Context, string) (int, error) {
	p.quay.mu.Lock()
	defer p.quay.mu.Unlock()
	p.quay.present[p] = true
	return len(p.quay.present), nil
}

// shards returns which shards a program holds.
func (p *program) shards(of int) (all []int) {
	p.quay.mu.Lock()
	defer p.quay.mu.Unlock()
	for id := range of {
		if p.quay.names[fmt.Sprint("discord/shard/", id, "/", of)] == p {
			all = append(all, id)
		}
	}
	return all
}

// die ends a program, and then what it holds, as the end of its connection does.
func (p *program) die() {
	p.stop()
	<-p.gone
	p.quay.mu.Lock()
	defer p.quay.mu.Unlock()
	delete(p.quay.present, p)
	for name, by := range p.quay.names {
		if by == p {
			delete(p.quay.names, name)
		}
	}
}

// begin has another program come to the stage.
func (q *quay) begin(s *stage) *program {
	p := &program{office: s.office, quay: q, gone: make(chan error, 1)}
	config := s.config
	config.Store = p
	bot, err := discord.New(config)
	if err != nil {
		s.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	p.bot, p.stop = bot, stop
	go func() { p.gone <- bot.Run(ctx) }()
	s.Cleanup(stop)
	return p
}

// Two programs divide the shards of a bot, each hears its own servers, and one
// takes over what the other leaves, with what was said meanwhile.
func TestShardsAreDivided(t *testing.T) {
	const shards = 4
	s := newStage(t)
	s.discord.Shards(shards)
	channels := []string{s.channel}
	for n := range 11 {
		guild := s.discord.AddGuild(fmt.Sprint("Quay ", n), s.teacher)
		channels = append(channels, s.discord.AddChannel(guild, "practice"))
	}
	for n, channel := range channels[1:] {
		s.office.studios = append(s.office.studios, studio.Studio{
			ID: studio.StudioID(fmt.Sprint("quay-", n)), Channels: []studio.Address{{Platform: "discord", Channel: channel}},
		})
	}
	var want []string
	say := func(text string) {
		for _, channel := range channels {
			want = append(want, s.discord.Say(channel, s.pal, "<@"+s.discord.Bot().ID+"> "+text))
		}
		want = append(want, s.discord.Say(s.line, s.pupil, text))
	}
	heard := func(what string) {
		t.Helper()
		s.until(what, func() bool { return len(s.office.inbox()) >= len(want) })
		var got []string
		for _, m := range s.office.inbox() {
			got = append(got, m.ID)
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Fatalf("%s: heard %d messages, want %d, each once", what, len(got), len(want))
		}
	}
	q := &quay{names: map[string]*program{}, present: map[*program]bool{}}
	one := q.begin(s)
	s.until("one program has all shards", func() bool { return len(one.shards(shards)) == shards })
	if !s.discord.Await(shards, 20*time.Second) {
		t.Fatal("not all shards are connected")
	}
	say("1 clean")
	heard("one program")

	two := q.begin(s)
	s.until("each has half", func() bool { return len(one.shards(shards)) == 2 && len(two.shards(shards)) == 2 })
	say("2 clean") // while sessions begin
	if !s.discord.Await(shards, 20*time.Second) {
		t.Fatal("not all shards are connected")
	}
	say("3 clean")
	heard("two programs")

	one.die()
	say("1 shaky")
	began := time.Now()
	s.until("the other has all shards", func() bool { return len(two.shards(shards)) == shards })
	heard("what was said while nobody heard it")
	t.Logf("taken over, and heard what was said meanwhile, after %v", time.Since(began).Round(time.Millisecond))
	say("2 shaky")
	heard("one program again")
}

// A bot with fewer shards than Discord wants is told so.
func TestTooFewShards(t *testing.T) {
	s := newStage(t)
	s.discord.Shards(4)
	s.config.Shards = 2
	s.newBot()
	var stopped *discord.StoppedError
	err := s.bot.Run(t.Context())
	if !errors.As(err, &stopped) || stopped.Code != 4011 {
		t.Errorf("the bot ended with %v, want code 4011", err)
	}
}
