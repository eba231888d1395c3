package matrix

import (
	"context"
	"encoding/json"
	"slices"
	"sync"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// An ownEvent is an event of the bot that belongs to a post.
type ownEvent struct {
	First   id.EventID // the first event of the post, by which the studio knows it
	Choices []string   // what the quick answers below this event stand for
}

// A partNote is what the bot notes in an event's content, to know the event
// again in whatever room, after whatever time.
type partNote struct {
	First   id.EventID `json:"first,omitempty"` // empty: the event itself
	Choices []string   `json:"choices,omitempty"`
}

// How many events of its own the bot remembers, and how many of them beyond its
// end: those that it saw before the studio noted that they were sent.
const (
	mostSent = 1000
	mostKept = 100
)

// sent are the events that the bot sent lately.
type sent struct {
	mu    sync.Mutex
	byTxn map[string]id.EventID
	order []sentEvent // oldest first
	own   *memory[*ownEvent]
	taps  *memory[id.EventID] // of a reaction the event it is below, of a message itself
}

func newSent() *sent {
	return &sent{byTxn: map[string]id.EventID{}, own: newMemory[*ownEvent](), taps: newMemory[id.EventID]()}
}

// add remembers what was sent under a transaction id.
func (s *sent) add(txn string, event id.EventID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.byTxn[txn] != "" {
		return
	}
	s.byTxn[txn] = event
	s.order = append(s.order, sentEvent{txn, event})
	for len(s.order) > mostSent {
		delete(s.byTxn, s.order[0].Txn)
		s.order = s.order[1:]
	}
}

// seen remembers an event of the bot that it sees in a room.
func (s *sent) seen(evt *event.Event) {
	if txn := evt.Unsigned.TransactionID; txn != "" {
		s.add(txn, evt.ID)
	}
}

func (s *sent) remember(all []sentEvent) {
	for _, e := range all {
		s.add(e.Txn, e.ID)
	}
}

// list returns the last of them, to be kept.
func (s *sent) list() []sentEvent {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.order[max(0, len(s.order)-mostKept):])
}

// under returns what was sent under a transaction id; "" if nothing is known.
func (s *sent) under(txn string) id.EventID {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.byTxn[txn]
}

// ownEvent returns what an event of the bot is to its post; nil if it is not the
// bot's, or belongs to no post.
func (b *Bot) ownEvent(ctx context.Context, s *session, room id.RoomID, want id.EventID) (*ownEvent, error) {
	if own, known := b.sent.own.get(want); known {
		return own, nil
	}
	own, err := b.findOwn(ctx, s, room, want)
	if err == nil {
		b.sent.own.put(want, own)
	}
	return own, err
}

func (b *Bot) findOwn(ctx context.Context, s *session, room id.RoomID, want id.EventID) (*ownEvent, error) {
	if heard, err := b.heard(ctx, want); err != nil || len(heard) > 0 {
		return nil, err
	}
	evt, err := b.fetch(ctx, s, room, want)
	if err != nil || evt == nil || evt.Sender != s.UserID {
		return nil, err
	}
	open, err := s.unlock(ctx, evt)
	if err != nil {
		return b.ownFromStore(ctx, want)
	}
	var content struct {
		Note *partNote `json:"local.ledgerline.post"` // as in words
	}
	if json.Unmarshal(open.Content.VeryRaw, &content) != nil || content.Note == nil {
		return b.ownFromStore(ctx, want)
	}
	own := &ownEvent{First: content.Note.First, Choices: content.Note.Choices}
	if own.First == "" {
		own.First = want
	}
	return own, nil
}

// ownFromStore finds a post that the bot can't read in its room any more.
func (b *Bot) ownFromStore(ctx context.Context, want id.EventID) (*ownEvent, error) {
	p, known, err := b.postKnownAs(ctx, want)
	if err != nil || !known {
		return nil, err
	}
	own := &ownEvent{First: want}
	for _, c := range p.Choices {
		own.Choices = append(own.Choices, c.Text)
	}
	return own, nil
}

// A memory remembers something of the last events.
type memory[T any] struct {
	mu    sync.Mutex
	of    map[id.EventID]T
	order []id.EventID
}

func newMemory[T any]() *memory[T] { return &memory[T]{of: map[id.EventID]T{}} }

func (m *memory[T]) get(event id.EventID) (value T, known bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	value, known = m.of[event]
	return value, known
}

func (m *memory[T]) put(event id.EventID, value T) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, known := m.of[event]; !known {
		m.order = append(m.order, event)
	}
	m.of[event] = value
	for len(m.order) > mostSent {
		delete(m.of, m.order[0])
		m.order = m.order[1:]
	}
}
