package studio

import (
	"context"
	"fmt"
	"time"
)

// A Meter counts what a service does. Its methods may be called from any
// goroutine, and must not block.
type Meter interface {
	// Heard counts a message that was stored.
	Heard(p Platform)
	// Read counts a message that was read, and how long that took.
	Read(v Verdict, took time.Duration)
	// Sent counts a post that was sent, and how long it had waited since it might be.
	Sent(p Platform, k PostKind, waited time.Duration)
	// NotSent counts an attempt that failed; givenUp: there will be no other.
	NotSent(p Platform, givenUp bool)
	// Stopped counts that the work stopped short.
	Stopped()
}

// noMeter counts nothing.
type noMeter struct{}

func (noMeter) Heard(Platform)                         {}
func (noMeter) Read(Verdict, time.Duration)            {}
func (noMeter) Sent(Platform, PostKind, time.Duration) {}
func (noMeter) NotSent(Platform, bool)                 {}
func (noMeter) Stopped()                               {}

// A Backlog is what is still to be done.
type Backlog struct {
	Unread int     // messages
	Queues []Queue // of the platforms for which any post waits, by name
}

// A Queue is the posts of one platform that may be sent by now and were not.
type Queue struct {
	Platform Platform
	Waiting  int
	Failing  int       // of them, those that failed and are tried again
	Oldest   time.Time // since when the oldest might have been sent
}

// Health is how a service is.
type Health struct {
	Worked  time.Time     // when it last went round; zero if it has not yet
	Overdue time.Duration // how long the longest due scheduled work has been waiting
	Backlog
}

// Health returns how the service is. It fails if the store does not answer.
func (s *Service) Health(ctx context.Context) (Health, error) {
	var h Health
	if at := s.worked.Load(); at != nil {
		h.Worked = *at
	}
	err := s.store.View(ctx, func(tx Tx) (err error) {
		if h.Backlog, err = tx.Backlog(s.now()); err != nil {
			return err
		}
		next, err := tx.NextDue()
		if isNotFound(err) {
			return nil
		}
		h.Overdue = max(0, s.now().Sub(next))
		return err
	})
	if err != nil {
		return Health{}, fmt.Errorf("looking how the studios are: %w", err)
	}
	return h, nil
}
