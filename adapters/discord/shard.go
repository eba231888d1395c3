package discord

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
	"golang.org/x/time/rate"

	"ledgerline/studio"
)

// A shard is a share of a bot's servers, which one connection hears. A server is
// in shard (id >> 22) % of; private lines are in shard 0 (Discord's documentation
// of its gateway, "Sharding").
type shard struct{ id, of int }

func (s shard) String() string { return fmt.Sprintf("%d/%d", s.id, s.of) }

// An advice is how Discord wants a bot to connect.
type advice struct {
	Shards int `json:"shards"`
	Limit  struct {
		AtOnce int `json:"max_concurrency"` // sessions that may begin in identifyPause
	} `json:"session_start_limit"`
}

const (
	// identifyPause is how long a beginning session keeps others of its kind from
	// beginning: by Discord's documentation, so many seconds count as at once.
	identifyPause = 5 * time.Second

	// shardLook is the time between two looks whether a shard is free, or somebody
	// is there to take one over.
	shardLook = 500 * time.Millisecond
)

// advised asks Discord how to connect. It returns nil if ctx ended meanwhile.
func (b *Bot) advised(ctx context.Context) (a *advice, err error) {
	for failures := 1; ctx.Err() == nil; failures++ {
		a = &advice{}
		err = b.request(ctx, http.MethodGet, discordgo.EndpointGatewayBot, discordgo.EndpointGatewayBot, nil, a)
		if err == nil {
			a.Shards, a.Limit.AtOnce = cmp.Or(b.cfg.Shards, max(1, a.Shards)), max(1, a.Limit.AtOnce)
			return a, nil
		}
		if unauthorized(err) {
			return nil, &StoppedError{Code: 4004, Said: whatToDo("discord.token")}
		}
		d := backoff(failures, b.cfg.Random())
		b.cfg.Log.Warn("discord: not connected; trying again", "failures", failures, "in", d, "err", err)
		sleep(ctx, d)
	}
	return nil, nil
}

// unauthorized reports whether Discord does not know the token.
func unauthorized(err error) bool {
	var e *discordgo.RESTError
	return errors.As(err, &e) && e.Response.StatusCode == http.StatusUnauthorized
}

// shards are the shards of this program, which it divides with the others that
// share the store: each is held by name, and nobody keeps more than its part.
type shards struct {
	*Bot
	advice *advice
	mine   map[int]*heldShard
	ended  chan struct{} // has room for one: one of mine has ended
	gates  []sync.Mutex  // each held while a session begins, of those that may do so at once
}

// A heldShard has a connection of its own while it is held.
type heldShard struct {
	giveUp context.CancelFunc
	ended  chan struct{} // closed when the connection has ended
	err    error         // why, if no other attempt can succeed
}

// connect holds connections for this program's shards until ctx is done. It returns
// an error if one ended that no other attempt can bring back.
func (b *Bot) connect(ctx context.Context) error {
	advice, err := b.advised(ctx)
	if advice == nil {
		return err
	}
	s := &shards{b, advice, map[int]*heldShard{}, make(chan struct{}, 1), make([]sync.Mutex, advice.Limit.AtOnce)}
	ticker := time.NewTicker(shardLook)
	defer ticker.Stop()
	for err == nil && ctx.Err() == nil {
		if failed := s.divide(ctx); failed != nil && ctx.Err() == nil {
			b.cfg.Log.Warn("discord: shards not divided; trying again", "err", failed)
		}
		select {
		case <-ctx.Done():
		case <-ticker.C:
		case <-s.ended:
			err = s.sweep()
		}
	}
	for id := range s.mine {
		s.leave(id)
	}
	return err
}

// sweep forgets the shards that have ended, and returns why if one can't be
// connected again.
func (s *shards) sweep() (err error) {
	for id, h := range s.mine {
		select {
		case <-h.ended:
			err = cmp.Or(err, h.err)
			delete(s.mine, id)
		default:
		}
	}
	return err
}

// divide takes shards that are free and gives some up, so that no program has more
// than its part.
func (s *shards) divide(ctx context.Context) error {
	programs, err := s.cfg.Store.Programs(ctx, string(Platform))
	if err != nil {
		return err
	}
	s.dividePace(programs)
	part := (s.advice.Shards + programs - 1) / programs
	for id := range s.mine {
		if len(s.mine) > part {
			s.cfg.Log.Info("discord: a shard is left to another program", "shard", shard{id, s.advice.Shards})
			s.leave(id)
		}
	}
	for id := 0; id < s.advice.Shards && len(s.mine) < part; id++ {
		if s.mine[id] != nil {
			continue
		}
		if err := s.begin(ctx, shard{id, s.advice.Shards}); err != nil && !errors.Is(err, studio.ErrHeld) {
			return err
		}
	}
	return nil
}

// leave ends the connection of a shard and gives it up.
func (s *shards) leave(id int) {
	s.mine[id].giveUp()
	<-s.mine[id].ended
	delete(s.mine, id)
}

// begin takes a shard, if it is free, and connects it.
func (s *shards) begin(ctx context.Context, sh shard) error {
	held, release, err := s.cfg.Store.Hold(ctx, "discord/shard/"+sh.String())
	if err != nil {
		return err
	}
	ctx, giveUp := context.WithCancel(ctx)
	h := &heldShard{giveUp: giveUp, ended: make(chan struct{})}
	s.mine[sh.id] = h
	lost := context.AfterFunc(held, giveUp)
	go func() {
		h.err = s.connectShard(ctx, sh)
		lost()
		giveUp()
		release()
		close(h.ended)
		select {
		case s.ended <- struct{}{}:
		default:
		}
	}()
	return nil
}

// mayIdentify waits until a session may begin: of a bot with several shards few at
// a time may, whichever program they are in.
func (s *shards) mayIdentify(ctx context.Context, sh shard) {
	if sh.of == 1 {
		return
	}
	n := sh.id % len(s.gates)
	s.gates[n].Lock() // a name can be held twice by one program
	for ctx.Err() == nil {
		_, release, err := s.cfg.Store.Hold(ctx, fmt.Sprint("discord/identify/", n))
		if err == nil {
			time.AfterFunc(identifyPause, func() { release(); s.gates[n].Unlock() })
			return
		}
		sleep(ctx, identifyPause/20)
	}
	s.gates[n].Unlock()
}

// dividePace divides what Discord allows to all requests of the bot. One program
// sends what is to be said, and leaves a fifth to reading back, in all of them.
func (b *Bot) dividePace(programs int) {
	all := rate.Limit(b.cfg.PerSecond)
	if programs == 1 {
		b.pace.SetLimit(all)
		b.back.SetLimit(rate.Inf)
		return
	}
	b.pace.SetLimit(all * 4 / 5)
	b.back.SetLimit(all / 5 / rate.Limit(programs))
}
