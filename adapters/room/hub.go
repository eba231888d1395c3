package room

import (
	"sync"

	"ledgerline/studio"
)

// A hub knows which pages are looking at which conversations, and tells them
// when to look again.
type hub struct {
	mu     sync.Mutex
	pages  map[*page]struct{}
	moving bool
	closed chan struct{}
	once   sync.Once
}

// maxPages is the most pages that get live updates at once.
const maxPages = 500

// A page is one browser looking at a line and a channel.
type page struct {
	line, channel studio.Address
	woken         chan struct{} // has room for one

	// Guarded by the hub.
	changed map[string]bool   // conversations to look at again, by where
	awaited map[string]string // posts that the outbox does not have as sent yet: where, by id
	clock   bool              // began or ceased to move
}

func newHub() *hub {
	return &hub{pages: map[*page]struct{}{}, closed: make(chan struct{})}
}

func (h *hub) close() { h.once.Do(func() { close(h.closed) }) }

// join adds a page; it returns nil if there are too many.
func (h *hub) join(s *seat) *page {
	p := &page{
		line: s.line, channel: s.channel, woken: make(chan struct{}, 1),
		changed: map[string]bool{}, awaited: map[string]string{},
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.pages) >= maxPages {
		return nil
	}
	h.pages[p] = struct{}{}
	return p
}

func (h *hub) leave(p *page) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.pages, p)
}

// where returns what the page calls an address; "" if it does not look at it.
func (p *page) where(a studio.Address) string {
	switch {
	case a == p.line:
		return whereLine
	case a == p.channel && a.Channel != "":
		return whereChannel
	}
	return ""
}

func (p *page) wake() {
	select {
	case p.woken <- struct{}{}:
	default:
	}
}

// changed tells the pages that look at a to look again.
func (h *hub) changed(a studio.Address) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for p := range h.pages {
		if where := p.where(a); where != "" {
			p.changed[where] = true
			p.wake()
		}
	}
}

// await tells the pages that look at a that a post is about to appear there.
func (h *hub) await(a studio.Address, id string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for p := range h.pages {
		if where := p.where(a); where != "" {
			p.awaited[id] = where
			p.wake()
		}
	}
}

// setMoving says whether the clock is being moved. When it has been, every page
// looks at everything again.
func (h *hub) setMoving(moving bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.moving = moving
	for p := range h.pages {
		p.clock = true
		if !moving {
			p.changed[whereLine], p.changed[whereChannel] = true, true
		}
		p.wake()
	}
}

func (h *hub) clockMoving() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.moving
}

// A news is what a page is to be told.
type news struct {
	changed map[string]bool
	awaited map[string]string
	clock   bool
}

// take returns what is new for a page, which is then new no longer.
func (h *hub) take(p *page) news {
	h.mu.Lock()
	defer h.mu.Unlock()
	n := news{p.changed, p.awaited, p.clock}
	p.changed, p.awaited, p.clock = map[string]bool{}, map[string]string{}, false
	return n
}
