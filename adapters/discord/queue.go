package discord

import (
	"encoding/json"
	"sync"
)

// An event is something that the gateway said.
type event struct {
	kind string
	raw  json.RawMessage
}

// A queue holds events in order until there is time for them. It has no limit:
// what it holds was taken from Discord, and nobody else has it.
type queue struct {
	mu     sync.Mutex
	events []event
	more   chan struct{} // has room for one: something was put
}

func newQueue() *queue { return &queue{more: make(chan struct{}, 1)} }

func (q *queue) put(e event) {
	q.mu.Lock()
	q.events = append(q.events, e)
	q.mu.Unlock()
	select {
	case q.more <- struct{}{}:
	default:
	}
}

// take returns the next event, if there is one.
func (q *queue) take() (e event, ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.events) == 0 {
		return event{}, false
	}
	e = q.events[0]
	q.events[0] = event{}
	q.events = q.events[1:]
	return e, true
}
