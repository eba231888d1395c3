package studio

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio/words"
)

// A Config is what a [Service] is made from. All fields but Words, Keep, AtOnce, Nap and Meter are needed.
type Config struct {
	Store  Store
	Chats  []Chat
	Drawer Drawer
	Reader *reply.Reader
	Books  func(StudioID) *routine.Catalogue // the books of a studio; never nil
	Words  func(StudioID) *words.Lexicon     // what the bot of a studio says; nil: the words of the program
	Now    func() time.Time                  // the clock
	Random func() float64                    // numbers in [0,1) that nobody can foretell
	Ear    Ear                               // listens to recordings; nil: they are left alone
	Log    *slog.Logger                      // told no message text and no names

	// Keep is how long the words of messages and posts are kept, at least
	// [ShortestKeep]; 0: for ever.
	Keep time.Duration

	// AtOnce is how many messages, or pieces of due work, of different studios are
	// dealt with at once; more than 1 makes sense where a store lets them. 0: 1.
	AtOnce int

	// Nap is the longest time between two looks for work: where other programs share
	// the store, they may leave some. 0: 20 s.
	Nap time.Duration

	Meter Meter // counts what is done; nil: nobody
}

// A Service runs the studios of one store. Its methods may be called from any
// goroutine.
type Service struct {
	store   Store
	senders []*sender // one for each chat
	drawer  Drawer
	reader  *reply.Reader
	books   func(StudioID) *routine.Catalogue
	words   func(StudioID) *words.Lexicon
	now     func() time.Time
	random  func() float64
	log     *slog.Logger
	keep    time.Duration
	nap     time.Duration
	atOnce  int
	meter   Meter

	worked atomic.Pointer[time.Time] // when it last went round

	wake chan struct{} // has room for one: something new is to be done

	ear     Ear
	hearing sync.Mutex    // held while it listens, to one recording at a time
	heard   chan struct{} // has room for one: there may be something to listen to

	working sync.Mutex  // held while it reads or does what is due
	toScrub atomic.Bool // somebody was erased

	// Held by working as well.
	latest, latestKept time.Time // the latest time at which it worked, and the one that the store knows
	purged             time.Time // when old words were last removed
}

// New returns a service.
func New(c Config) *Service {
	s := &Service{
		store: c.Store, drawer: c.Drawer, reader: c.Reader,
		books: c.Books, words: c.Words, now: c.Now, random: c.Random, log: c.Log, keep: c.Keep, nap: cmp.Or(c.Nap, 20*time.Second), atOnce: max(1, c.AtOnce), meter: c.Meter,
		wake: make(chan struct{}, 1), ear: c.Ear, heard: make(chan struct{}, 1),
	}
	if s.meter == nil {
		s.meter = noMeter{}
	}
	for _, chat := range c.Chats {
		s.senders = append(s.senders, newSender(s, chat))
	}
	return s
}

// Receive stores a message for reading. When it returns nil the message is
// safe, whatever happens next. A happening that is there already is no error.
func (s *Service) Receive(ctx context.Context, m Message) error {
	if len(m.Text) > maxText {
		m.Text = strings.ToValidUTF8(m.Text[:maxText], "")
	}
	isNew := false
	err := s.store.Update(ctx, func(tx Tx) (err error) {
		isNew, err = tx.StoreMessage(m)
		return err
	})
	if err != nil {
		return fmt.Errorf("storing a message from %s: %w", m.Platform, err)
	}
	if isNew {
		s.meter.Heard(m.Platform)
	}
	signal(s.wake)
	return nil
}

// maxText is the longest message kept, in bytes; no platform's own limit is
// larger, and no routine needs a longer reply.
const maxText = 16 << 10

// Work reads what has arrived, does what is due and sends what may be sent, in
// that order, until nothing is left for the present moment.
func (s *Service) Work(ctx context.Context) error {
	for {
		did, err := s.round(ctx)
		if err != nil {
			return err
		}
		heard, err := s.HearDue(ctx)
		if err != nil {
			return err
		}
		sent, err := s.SendDue(ctx)
		if err != nil {
			return err
		}
		if did+heard+sent == 0 {
			return nil
		}
	}
}

// round reads what has arrived and does some of what is due, and returns how
// much that was.
func (s *Service) round(ctx context.Context) (did int, err error) {
	s.working.Lock()
	defer s.working.Unlock()
	if err := errors.Join(s.heedClock(ctx), s.purge(ctx)); err != nil {
		return 0, err
	}
	read, err := s.ReadInbox(ctx)
	if err != nil {
		return read, err
	}
	if s.toScrub.Load() {
		if err := s.scrub(ctx); err != nil {
			return read, err
		}
	}
	done, err := s.RunDue(ctx)
	if err == nil {
		now := s.now()
		s.worked.Store(&now)
	}
	return read + done, err
}

// spread does pieces of work until none is found or one fails, and returns how many
// it did: one after another, and as long as there are more, several at once.
func (s *Service) spread(piece func() (found bool, err error)) (done int, err error) {
	var mu sync.Mutex
	var workers sync.WaitGroup
	var work func(n int)
	work = func(n int) {
		for first := true; ; first = false {
			found, failed := piece()
			mu.Lock()
			err = errors.Join(err, failed)
			stop := !found || err != nil
			if !stop {
				done++
			}
			mu.Unlock()
			if stop {
				return
			}
			if first && n < s.atOnce {
				workers.Go(func() { work(n + 1) })
			}
		}
	}
	work(1)
	workers.Wait()
	return done, err
}

// Run works whenever something has arrived or come due, until ctx is done. Each
// chat is sent to at its own pace: one that is slow holds up no other, and no
// reading.
func (s *Service) Run(ctx context.Context) error {
	var sending sync.WaitGroup
	defer sending.Wait()
	for _, sender := range s.senders {
		sending.Go(func() { sender.run(ctx) })
	}
	sending.Go(func() { s.runHearing(ctx) })
	for {
		did, err := s.round(ctx)
		s.wakeSenders()
		signal(s.heard)
		if err != nil && ctx.Err() == nil {
			s.meter.Stopped()
			s.log.Error("work stopped short; trying again", "err", err)
		}
		if did > 0 && err == nil {
			continue
		}
		next, err := s.nextDue(ctx)
		if err != nil && ctx.Err() == nil {
			s.log.Error("next work not found", "err", err)
		}
		if !s.sleep(ctx, next, s.wake) {
			return nil
		}
	}
}

// wakeSenders has the senders look for what may be sent.
func (s *Service) wakeSenders() {
	for _, sender := range s.senders {
		signal(sender.wake)
	}
}

// signal puts something into a channel that has room for one, unless it is there.
func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

// NextAt returns when the next scheduled work or unsent post comes due; the
// zero time if there is none.
func (s *Service) NextAt(ctx context.Context) (next time.Time, err error) {
	finds := []func(context.Context) (time.Time, error){s.nextDue}
	for _, sender := range s.senders {
		finds = append(finds, sender.nextAt)
	}
	for _, find := range finds {
		at, err := find(ctx)
		if err != nil {
			return time.Time{}, err
		}
		if next.IsZero() || !at.IsZero() && at.Before(next) {
			next = at
		}
	}
	return next, nil
}

// nextDue returns when the next scheduled work comes due; the zero time if there
// is none.
func (s *Service) nextDue(ctx context.Context) (at time.Time, err error) {
	err = s.store.View(ctx, func(tx Tx) (err error) {
		if at, err = tx.NextDue(); isNotFound(err) {
			at, err = time.Time{}, nil
		}
		return err
	})
	return at, err
}

// sleep waits until the time of the next work, or until woken, but never long, so
// that a clock set forward or back is noticed. It reports whether ctx lasted.
func (s *Service) sleep(ctx context.Context, next time.Time, wake <-chan struct{}) bool {
	const shortest = 200 * time.Millisecond
	pause := s.nap
	if !next.IsZero() {
		pause = min(max(shortest, next.Sub(s.now())), s.nap)
	}
	timer := time.NewTimer(pause)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-wake:
	case <-timer.C:
	}
	return ctx.Err() == nil
}
