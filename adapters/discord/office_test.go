package discord_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgerline/studio"
)

// An office is the studio's side of the tests: an inbox that keeps each
// happening once, as a store does, an outbox, and the people.
type office struct {
	studio.Store // what the bot has no business calling panics

	mu       sync.Mutex
	messages []studio.Stored
	stored   map[happening]bool
	posts    map[string]studio.Post
	studios  []studio.Studio
	members  []studio.Member
	marks    map[string]string

	failing int           // how many more messages are refused
	slow    time.Duration // how long storing takes
	arrived chan struct{}
}

// A happening is what tells one stored message from another.
type happening struct {
	id, revision string
	happening    studio.Happening
}

func newOffice() *office {
	return &office{stored: map[happening]bool{}, posts: map[string]studio.Post{}, marks: map[string]string{}, arrived: make(chan struct{}, 1)}
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
	if o.failing > 0 {
		o.failing--
		return errBroken
	}
	if h := (happening{m.ID, m.Revision, m.Happening}); !o.stored[h] {
		o.stored[h] = true
		o.messages = append(o.messages, studio.Stored{Message: m, Inbox: int64(len(o.messages) + 1)})
	}
	select {
	case o.arrived <- struct{}{}:
	default:
	}
	return nil
}

// View implements [studio.Store].
func (o *office) View(_ context.Context, fn func(studio.Tx) error) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	return fn(desk{office: o})
}

// Update implements [studio.Store].
func (o *office) Update(ctx context.Context, fn func(studio.Tx) error) error { return o.View(ctx, fn) }

// Hold implements [studio.Store]: nobody else is there.
func (o *office) Hold(context.Context, string) (context.Context, func(), error) {
	return context.Background(), func() {}, nil
}

// Programs implements [studio.Store].
func (o *office) Programs(context.Context, string) (int, error) { return 1, nil }

// A desk answers what the bot asks the store; anything else panics.
type desk struct {
	studio.Tx
	office *office
}

func (d desk) Mark(name string) (string, error) {
	value, ok := d.office.marks[name]
	if !ok {
		return "", studio.ErrNotFound
	}
	return value, nil
}

func (d desk) PutMark(name, value string) error {
	d.office.marks[name] = value
	return nil
}

func (d desk) Happenings(p studio.Platform, id string) (all []studio.Stored, err error) {
	for _, m := range d.office.messages {
		if m.Platform == p && m.ID == id {
			all = append(all, m)
		}
	}
	return all, nil
}

func (d desk) LastNumbered(_ studio.Platform, channel string) (last string, err error) {
	for _, m := range d.office.messages {
		letters := strings.Trim(m.ID, "0123456789") != ""
		if m.Channel == channel && !letters && (len(m.ID) > len(last) || len(m.ID) == len(last) && m.ID > last) {
			last = m.ID
		}
	}
	if last == "" {
		return "", fmt.Errorf("message: %w", studio.ErrNotFound)
	}
	return last, nil
}

func (d desk) Transcript(a studio.Address, _ int) (all []studio.Said, err error) {
	for _, m := range d.office.messages {
		here := m.Private && m.Author.ID == a.Account || !m.Private && m.Channel == a.Channel
		if !here || m.Happening != studio.Written {
			continue
		}
		gone := slices.ContainsFunc(d.office.messages, func(x studio.Stored) bool {
			return x.ID == m.ID && x.Happening == studio.Deleted
		})
		all = append(all, studio.Said{At: m.At, Message: &m, Deleted: gone})
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
		if slices.Contains(s.Places(), a) {
			return s, nil
		}
	}
	return studio.Studio{}, fmt.Errorf("studio: %w", studio.ErrNotFound)
}

func (d desk) Studios() ([]studio.Studio, error) { return d.office.studios, nil }

func (d desk) AccountsOn(p studio.Platform) (all []studio.Account, err error) {
	for _, m := range d.office.members {
		for _, a := range m.Accounts {
			if a.Platform == p {
				all = append(all, a)
			}
		}
	}
	return all, nil
}

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

// count returns how many messages are stored.
func (o *office) count() int {
	o.mu.Lock()
	defer o.mu.Unlock()
	return len(o.messages)
}
