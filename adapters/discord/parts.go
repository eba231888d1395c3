package discord

import (
	"sync"
	"time"

	"ledgerline/studio"
)

// progress is how far the sending of one post has come.
type progress struct {
	mu     sync.Mutex
	sent   []string  // ids of its messages
	unsure time.Time // since when the next may have been sent without our knowing
}

// parts are the posts being sent, and the ids of the messages sent last.
type parts struct {
	mu     sync.Mutex
	going  map[studio.Key]*progress
	recent []string          // ids of messages that belong to posts
	first  map[string]string // of a message of recent, the first of its post
}

// recentLimit is how many messages are remembered as sent.
const recentLimit = 4096

func newParts() *parts {
	return &parts{going: map[studio.Key]*progress{}, first: map[string]string{}}
}

func (p *parts) of(k studio.Key) *progress {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.going[k] == nil {
		p.going[k] = &progress{}
	}
	return p.going[k]
}

// done forgets the progress of a post and remembers its messages.
func (p *parts) done(k studio.Key, ids []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.going, k)
	for _, id := range ids {
		if p.first[id] == "" {
			p.recent = append(p.recent, id)
		}
		p.first[id] = ids[0]
	}
	for len(p.recent) > recentLimit {
		delete(p.first, p.recent[0])
		p.recent = p.recent[1:]
	}
}

// knows reports whether a message is known to belong to a post.
func (p *parts) knows(id string) bool { return p.firstOf(id) != "" }

// firstOf returns the first message of the post that a message belongs to, if
// it was sent lately.
func (p *parts) firstOf(id string) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.first[id]
}
