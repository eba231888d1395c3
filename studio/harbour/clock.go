package harbour

import (
	"sync"
	"time"
)

// A Clock shows the time of a story. It moves only when it is set.
type Clock struct {
	mu  sync.Mutex
	now time.Time
}

// NewClock returns a clock that shows t.
func NewClock(t time.Time) *Clock { return &Clock{now: t} }

// Now returns the time shown.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// set moves the clock forward to t; it never goes back.
func (c *Clock) set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if t.After(c.now) {
		c.now = t
	}
}
