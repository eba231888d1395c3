package studio

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"ledgerline/studio/words"
)

const (
	// A post is given up after this many failed attempts: with the delays of
	// retryDelay that is more than two days of trying.
	maxAttempts = 60
	maxDelay    = time.Hour

	// A post that waits for a person to put something right is tried this often,
	// so that it goes out soon after.
	blockedDelay = 5 * time.Minute

	// outage is how many addresses must fail in a row for a platform to be given
	// a rest.
	outage = 4
)

// A sender delivers the posts of one chat: as many at once as it allows, those to
// one address one after another.
type sender struct {
	*Service
	chat Chat

	sending sync.Mutex
	wake    chan struct{} // has room for one: there may be something to send

	// Held by sending as well.
	held context.Context // while this program is the one that sends there
	from time.Time       // since when it is

	// These are of the sending goroutine. An address stays away until it has taken
	// note of what came of the post, and not only until that ended: it may have
	// looked the post up, unsent, before.
	away     map[Address]bool // addresses that a post is on its way to
	returned chan attempt

	mu       sync.Mutex
	until    time.Time // nothing is sent before
	troubles int       // attempts in a row that failed for a reason nobody explained
	outages  int       // rests in a row that such failures led to
}

func newSender(s *Service, chat Chat) *sender {
	return &sender{
		Service: s, chat: chat, wake: make(chan struct{}, 1),
		away: map[Address]bool{}, returned: make(chan attempt, chat.AtOnce()),
	}
}

// An attempt is what came of sending a post.
type attempt struct {
	to   Address
	sent bool
	err  error // of keeping what came of it
}

// SendDue delivers what may be sent by now and returns how many posts went out.
// A post that fails is tried again later; the posts behind it at the same
// address wait for it, so that a conversation stays in order.
func (s *Service) SendDue(ctx context.Context) (sent int, err error) {
	for _, sender := range s.senders {
		n, err := sender.send(ctx)
		sent += n
		if err != nil {
			return sent, err
		}
	}
	return sent, nil
}

// take makes sure that this program is the one that sends to the chat: the
// platform's limits are those of the account, and one program alone can keep what
// is said at an address in order. It reports whether it is.
func (s *sender) take(ctx context.Context) (mine bool, err error) {
	if s.held != nil && s.held.Err() == nil {
		return true, nil
	}
	s.held, _, err = s.store.Hold(ctx, string(s.chat.Platform()))
	if errors.Is(err, ErrHeld) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("asking to send: %w", err)
	}
	s.from = s.now()
	return true, nil
}

// send sends until nothing more may be sent for now.
func (s *sender) send(ctx context.Context) (sent int, err error) {
	s.sending.Lock()
	defer s.sending.Unlock()
	if mine, err := s.take(ctx); !mine {
		return 0, err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	defer context.AfterFunc(s.held, stop)()
	for err == nil && ctx.Err() == nil {
		if err = s.begin(ctx); err != nil || len(s.away) == 0 {
			break
		}
		var one bool
		if one, err = s.await(); one {
			sent++
		}
	}
	for len(s.away) > 0 {
		one, failed := s.await()
		if one {
			sent++
		}
		err = errors.Join(err, failed)
	}
	return sent, errors.Join(err, ctx.Err())
}

// await waits for a post on its way and reports whether it was sent.
func (s *sender) await() (sent bool, err error) {
	a := <-s.returned
	delete(s.away, a.to)
	return a.sent, a.err
}

// begin sends posts whose turn it is on their way, once a quarter of those that
// may be are not.
func (s *sender) begin(ctx context.Context) error {
	free := s.chat.AtOnce() - len(s.away)
	if free < max(1, s.chat.AtOnce()/4) || s.resting().After(s.now()) {
		return nil
	}
	var posts []Queued
	err := s.store.View(ctx, func(tx Tx) (err error) {
		posts, err = tx.DuePosts(s.chat.Platform(), s.now(), 4*s.chat.AtOnce())
		return err
	})
	if err != nil {
		return fmt.Errorf("looking for posts to send: %w", err)
	}
	for _, p := range posts {
		if s.away[p.To] {
			continue
		}
		if free--; free < 0 {
			return nil
		}
		_, landed, err := s.store.Hold(ctx, p.To.name())
		if errors.Is(err, ErrHeld) {
			continue // somebody looks whether it is
		}
		if err != nil {
			return fmt.Errorf("looking for posts to send: %w", err)
		}
		if s.held.Err() != nil { // another program may send by now
			landed()
			return nil
		}
		s.away[p.To] = true
		go func() {
			defer landed()
			s.returned <- s.attempt(ctx, p)
		}()
	}
	return nil
}

// attempt sends one post and keeps what came of it.
func (s *sender) attempt(ctx context.Context, p Queued) attempt {
	a := attempt{to: p.To}
	id, sendErr := s.chat.Send(ctx, s.delivery(ctx, p))
	if sendErr != nil && ctx.Err() != nil {
		return a
	}
	ctx = context.WithoutCancel(ctx) // what was sent is noted down, even if the program is to stop
	fault := faultOf(sendErr)
	s.heed(sendErr, fault)
	if sendErr != nil && fault.Everywhere {
		return a
	}
	a.sent, a.err = sendErr == nil, s.record(ctx, p, id, sendErr, fault)
	return a
}

// heed gives the platform a rest if it asked for one, or is out of order.
func (s *sender) heed(sendErr error, f SendError) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	switch {
	case sendErr == nil:
		s.troubles, s.outages = 0, 0
	case f.Everywhere:
		s.until = later(s.until, now.Add(max(f.After, time.Second)))
	case f.unexplained():
		if s.troubles++; s.troubles >= outage {
			s.until = later(s.until, now.Add(retryDelay(s.outages, 0, s.random())))
			s.troubles, s.outages = 0, s.outages+1
		}
	}
}

// resting returns until when nothing is sent.
func (s *sender) resting() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.until
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// run sends whenever there is something to send, until ctx is done.
func (s *sender) run(ctx context.Context) {
	for {
		if _, err := s.send(ctx); err != nil && ctx.Err() == nil {
			s.log.Error("sending stopped short; trying again", "platform", s.chat.Platform(), "err", err)
		}
		next, err := s.nextAt(ctx)
		if err != nil && ctx.Err() == nil {
			s.log.Error("next post not found", "platform", s.chat.Platform(), "err", err)
		}
		if !s.sleep(ctx, next, s.wake) {
			return
		}
	}
}

// nextAt returns when the next post may be sent; the zero time if none waits.
func (s *sender) nextAt(ctx context.Context) (at time.Time, err error) {
	err = s.store.View(ctx, func(tx Tx) (err error) {
		at, err = tx.NextPost(s.chat.Platform())
		return err
	})
	switch {
	case isNotFound(err):
		return time.Time{}, nil
	case err != nil:
		return time.Time{}, err
	}
	return later(at, s.resting()), nil
}

// name is what an address is held by while a post is on its way to it: sent
// perhaps, and not yet known as sent.
func (a Address) name() string {
	return fmt.Sprintf("to/%s/%s/%s", a.Platform, a.Channel, a.Account)
}

// delivery returns what the chat is given of a post.
func (s *sender) delivery(ctx context.Context, p Queued) Delivery {
	d := s.deliver(ctx, p)
	d.Again = p.QueuedAt.Before(s.from)
	return d
}

// deliver draws a post's pictures. One that can't be drawn is left to its text
// equivalent: words late are worse than a picture missing.
func (s *Service) deliver(ctx context.Context, p Queued) Delivery {
	d := Delivery{Post: p.Post, QueuedAt: p.QueuedAt}
	for i, pic := range p.Pictures {
		d.InWords = s.lexicon(p.Studio).In(pic.Lang).Say("picture-in-words", nil)
		png, err := s.drawer.Draw(pic)
		if err != nil {
			s.log.Error("picture not drawn", "key", p.Key, "picture", i, "err", err)
		}
		d.Images = append(d.Images, png)
	}
	if d.Files = clickFiles(p.Click); p.Recording != 0 {
		d.Files = s.recordingFor(ctx, &p.Post)
	}
	return d
}

// record keeps what became of one attempt to send.
func (s *Service) record(ctx context.Context, p Queued, id string, sendErr error, fault SendError) error {
	now, givenUp := s.now(), false
	err := s.store.Update(ctx, func(tx Tx) (err error) {
		if sendErr == nil {
			return tx.PostSent(p.Outbox, id, now)
		}
		givenUp, err = s.recordFailure(tx, &p, fault, sendErr.Error())
		return err
	})
	if err != nil {
		return fmt.Errorf("recording the sending of %s: %w", p.Key, err)
	}
	if sendErr == nil {
		s.meter.Sent(p.To.Platform, p.Kind, now.Sub(later(p.QueuedAt, p.NotBefore)))
		return nil
	}
	s.meter.NotSent(p.To.Platform, givenUp)
	if fault.Blocked.ID != "" {
		s.wakeSenders() // a teacher is told by another way
	}
	s.log.Warn("post not sent", "key", p.Key, "attempts", p.Attempts+1, "err", sendErr)
	return nil
}

// recordFailure keeps that an attempt failed, and when the next may be made, and
// reports whether there is none.
func (s *Service) recordFailure(tx Tx, p *Queued, fault SendError, reason string) (givenUp bool, err error) {
	if fault.Blocked.ID != "" {
		if err := s.tellBlocked(tx, p, fault.Blocked); err != nil {
			return false, err
		}
	}
	givenUp = fault.Permanent || fault.unexplained() && p.Attempts+1 >= maxAttempts
	now := s.now()
	next := now.Add(retryDelay(p.Attempts, fault.After, s.random()))
	if soon := now.Add(blockedDelay); fault.Blocked.ID != "" && next.After(soon) {
		next = soon
	}
	return givenUp, tx.PostFailed(p.Outbox, next, reason, givenUp)
}

// retryDelay returns how long to wait after a failed attempt: what the platform
// asked for, or doubling from two seconds to an hour; with up to a quarter more
// by chance, so that many posts do not come back at once. random is in [0,1).
func retryDelay(attempts int, asked time.Duration, random float64) time.Duration {
	d := asked
	if d == 0 {
		d = min(2*time.Second<<min(attempts, 20), maxDelay)
	}
	return d + time.Duration(random*float64(d)/4)
}

// tellBlocked tells the teachers what must be put right before posts go out to an
// address again.
func (s *Service) tellBlocked(tx Tx, p *Queued, what words.Phrase) error {
	members, err := tx.Members(p.Studio)
	if err != nil {
		return err
	}
	key := fmt.Sprintf("blocked/%s/%s%s", p.To.Platform, p.To.Channel, p.To.Account)
	return s.tellOtherwise(tx, members, p.To, key, func(v *voice) Post { return blockedPost(v, p.To, what) })
}

// tellOtherwise tells the teachers among members something once a date, by
// another way than the address that it is about. The key is made the date's and
// each teacher's own.
func (s *Service) tellOtherwise(tx Tx, members []Member, about Address, key string, say func(*voice) Post) error {
	for _, m := range members {
		way, ok := anotherWay(&m, about)
		if m.Role != Teacher || !ok {
			continue
		}
		post := say(s.voice(&m))
		post.Key = Key(fmt.Sprintf("%s/%s@%s", key, s.today(&m), m.ID))
		post.Kind, post.Studio, post.Member, post.To = AlertPost, m.Studio, m.ID, way
		if _, err := tx.Queue(post, s.now()); err != nil {
			return err
		}
	}
	return nil
}

func blockedPost(v *voice, at Address, what words.Phrase) Post {
	p := Post{Text: joinLines(v.Phrase(what), v.Say("blocked.text", nil))}
	if at.Channel == "" {
		p.Title = v.Say("blocked.lines", with{"platform": string(at.Platform)})
	} else {
		p.Title = v.Say("blocked.channel", with{"platform": string(at.Platform), "channel": at.Channel})
	}
	return p
}

// anotherWay returns a private line to a member that is not on the blocked
// address: on another platform if she has one.
func anotherWay(m *Member, blocked Address) (Address, bool) {
	for _, same := range []bool{false, true} {
		for _, a := range m.Accounts {
			to := Address{Platform: a.Platform, Account: a.ID}
			if (a.Platform == blocked.Platform) == same && to != blocked {
				return to, true
			}
		}
	}
	return Address{}, false
}
