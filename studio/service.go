package studio

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// A Config is what a [Service] is made from. All fields are needed.
type Config struct {
	Store  Store
	Chats  []Chat
	Drawer Drawer
	Reader *reply.Reader
	Books  func(StudioID) *routine.Catalogue // the books of a studio; never nil
	Now    func() time.Time                  // the clock
	Random func() float64                    // numbers in [0,1) that nobody can foretell
	Log    *slog.Logger                      // told no message text and no names
}

// A Service runs the studios of one store. Its methods may be called from any
// goroutine.
type Service struct {
	store  Store
	chats  []Chat
	drawer Drawer
	reader *reply.Reader
	books  func(StudioID) *routine.Catalogue
	now    func() time.Time
	random func() float64
	log    *slog.Logger

	working sync.Mutex    // held while Work works, so that it does one thing at a time
	wake    chan struct{} // has room for one: something new is to be done
}

// New returns a service.
func New(c Config) *Service {
	return &Service{
		store: c.Store, chats: c.Chats, drawer: c.Drawer, reader: c.Reader,
		books: c.Books, now: c.Now, random: c.Random, log: c.Log,
		wake: make(chan struct{}, 1),
	}
}

// Receive stores a message for reading. When it returns nil the message is
// safe, whatever happens next. A happening that is there already is no error.
func (s *Service) Receive(ctx context.Context, m Message) error {
	if len(m.Text) > maxText {
		m.Text = strings.ToValidUTF8(m.Text[:maxText], "")
	}
	err := s.store.Update(ctx, func(tx Tx) error {
		_, err := tx.StoreMessage(m)
		return err
	})
	if err != nil {
		return fmt.Errorf("storing a message from %s: %w", m.Platform, err)
	}
	select {
	case s.wake <- struct{}{}:
	default:
	}
	return nil
}

// maxText is the longest message kept, in bytes; no platform's own limit is
// larger, and no routine needs a longer reply.
const maxText = 16 << 10

// Work reads what has arrived, does what is due and sends what may be sent, in
// that order, until nothing is left for the present moment.
func (s *Service) Work(ctx context.Context) error {
	s.working.Lock()
	defer s.working.Unlock()
	for {
		read, err := s.ReadInbox(ctx)
		if err != nil {
			return err
		}
		done, err := s.RunDue(ctx)
		if err != nil {
			return err
		}
		sent, err := s.SendDue(ctx)
		if err != nil {
			return err
		}
		if read+done+sent == 0 {
			return nil
		}
	}
}

// Run works whenever something has arrived or come due, until ctx is done.
func (s *Service) Run(ctx context.Context) error {
	for {
		if err := s.Work(ctx); err != nil {
			if ctx.Err() != nil {
				return nil
			}
			s.log.Error("work stopped short; trying again", "err", err)
		}
		pause, err := s.pause(ctx)
		if err != nil && ctx.Err() == nil {
			s.log.Error("next work not found", "err", err)
		}
		timer := time.NewTimer(pause)
		select {
		case <-ctx.Done():
			timer.Stop()
			return nil
		case <-s.wake:
			timer.Stop()
		case <-timer.C:
		}
	}
}

// NextAt returns when the next scheduled work or unsent post comes due; the
// zero time if there is none.
func (s *Service) NextAt(ctx context.Context) (next time.Time, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		finds := []func() (time.Time, error){tx.NextDue}
		for _, chat := range s.chats {
			finds = append(finds, func() (time.Time, error) { return tx.NextPost(chat.Platform()) })
		}
		for _, find := range finds {
			at, err := find()
			if errors.Is(err, ErrNotFound) {
				continue
			}
			if err != nil {
				return err
			}
			if next.IsZero() || at.Before(next) {
				next = at
			}
		}
		return nil
	})
	return next, err
}

// pause returns how long Run may sleep: to the next work, but never long, so
// that a clock set forward or back is noticed.
func (s *Service) pause(ctx context.Context) (time.Duration, error) {
	const longest, shortest = 20 * time.Second, 200 * time.Millisecond
	next, err := s.NextAt(ctx)
	if err != nil || next.IsZero() {
		return longest, err
	}
	return max(shortest, min(next.Sub(s.now()), longest)), nil
}
