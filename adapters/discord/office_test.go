package discord_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"ledgerline/adapters/discord"
	"ledgerline/studio"
)

// An office is the studio's side of the tests: an inbox that keeps each
// happening once, as a store does, an outbox, and the people.
type office struct {
	mu       sync.Mutex
	messages []studio.Stored
	offered  int // messages offered, with those that were there already
	posts    map[string]studio.Post
	studios  []studio.Studio
	members  []studio.Member

	failing int           // how many more messages are refused
	slow    time.Duration // how long storing takes
	arrived chan struct{}
}

func newOffice() *office {
	return &office{posts: map[string]studio.Post{}, arrived: make(chan struct{}, 1)}
}

var errBroken = errors.New("the store is broken")

// Receive implements [studio.Receiver].
func (o *office) Receive(ctx context.Context, m studio.Message) error {
	o.mu.Lock()
	slow := o.slow
	o.mu.Unlock()
	select {
	case <-time.After(slow):
	case <-ctx.Done():
		return ctx.Err()
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.offered++
	if o.failing > 0 {
		o.failing--
		return errBroken
	}
	known := slices.ContainsFunc(o.messages, func(s studio.Stored) bool {
		return s.ID == m.ID && s.Happening == m.Happening && s.Revision == m.Revision
	})
	if !known {
		o.messages = append(o.messages, studio.Stored{Message: m, Inbox: int64(len(o.messages) + 1)})
	}
	select {
	case o.arrived <- struct{}{}:
	default:
	}
	return nil
}

// LastID implements [discord.Seen].
func (o *office) LastID(_ context.Context, channel string) (last string, err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, m := range o.messages {
		digits := !slices.ContainsFunc([]rune(m.ID), func(r rune) bool { return r < '0' || r > '9' })
		if m.Channel == channel && digits && (len(m.ID) > len(last) || len(m.ID) == len(last) && m.ID > last) {
			last = m.ID
		}
	}
	return last, nil
}

var _ discord.Seen = (*office)(nil)

// View implements [studio.Store].
func (o *office) View(_ context.Context, fn func(studio.Tx) error) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	return fn(desk{office: o})
}

// Update implements [studio.Store]; the bot only reads.
func (o *office) Update(context.Context, func(studio.Tx) error) error {
	return errors.New("the bot has written to the store")
}

// A desk answers what the bot asks the store; anything else panics.
type desk struct {
	studio.Tx
	office *office
}

func (d desk) Happenings(p studio.Platform, id string) (all []studio.Stored, err error) {
	for _, m := range d.office.messages {
		if m.Platform == p && m.ID == id {
			all = append(all, m)
		}
	}
	return all, nil
}

func (d desk) PostKnownAs(_ studio.Platform, id string) (studio.Queued, error) {
	p, ok := d.office.posts[id]
	if !ok {
		return studio.Queued{}, fmt.Errorf("post: %w", studio.ErrNotFound)
	}
	return studio.Queued{Post: p, PlatformID: id}, nil
}

func (d desk) StudioAt(a studio.Address) (studio.Studio, error) {
	for _, s := range d.office.studios {
		if slices.Contains(s.Channels, a) {
			return s, nil
		}
	}
	return studio.Studio{}, fmt.Errorf("studio: %w", studio.ErrNotFound)
}

func (d desk) Studios() ([]studio.Studio, error) { return d.office.studios, nil }

func (d desk) Members(studio.StudioID) ([]studio.Member, error) { return d.office.members, nil }

// inbox returns what is stored.
func (o *office) inbox() []studio.Message {
	o.mu.Lock()
	defer o.mu.Unlock()
	var all []studio.Message
	for _, m := range o.messages {
		all = append(all, m.Message)
	}
	return all
}

// knows keeps a post as sent.
func (o *office) knows(id string, p studio.Post) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.posts[id] = p
}

func (o *office) breakFor(n int) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.failing = n
}

func (o *office) slowDown(d time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.slow = d
}
