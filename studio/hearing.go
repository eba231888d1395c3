package studio

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/routine/sound"
)

// A Fetcher is a [Chat] that can fetch the files that came with its messages.
type Fetcher interface {
	// Fetch returns a file whole. It obeys ctx. A file of more than limit bytes
	// gives an [UnfitError] of TooLarge and is not read on. An error that is a
	// permanent [SendError] says that the file is gone for good.
	Fetch(ctx context.Context, f File, limit int) ([]byte, error)
}

// An Ear measures recordings.
type Ear interface {
	// Hear measures a file, which may be of any kind and made to do harm. A file
	// that can't be listened to gives an [UnfitError]. It obeys ctx.
	Hear(ctx context.Context, file []byte, ask sound.Ask) (sound.Measurement, error)
}

// An Unfit is why a file can't be listened to.
type Unfit string

// The reasons.
const (
	TooLarge  Unfit = "too-large"
	TooLong   Unfit = "too-long"
	Damaged   Unfit = "damaged"
	NotSound  Unfit = "not-sound"  // no kind of file that is known
	NoDecoder Unfit = "no-decoder" // a kind that this machine can't decode
	Gone      Unfit = "gone"       // its chat has it no longer
	GivenUp   Unfit = "given-up"   // it could not be fetched or measured in many attempts
)

// An UnfitError says that a file, and not the program, is at fault.
type UnfitError struct {
	Why Unfit
	Err error
}

func (e *UnfitError) Error() string { return fmt.Sprintf("%s: %v", e.Why, e.Err) }

// Unwrap returns the cause.
func (e *UnfitError) Unwrap() error { return e.Err }

// MaxRecording is the most bytes that a recording may have.
const MaxRecording = 25 << 20

// Bounds of listening.
const (
	maxHearings = 5 // attempts
	hearingTime = 3 * time.Minute
)

// A Hearing is a recording that came with a message, and what was heard in it. It
// stands beside what was typed and changes nothing of that.
type Hearing struct {
	ID     int64        `json:"id"`
	Member MemberID     `json:"member"`
	Inbox  int64        `json:"inbox"` // the message it came with
	Date   routine.Date `json:"date"`
	File   File         `json:"file"`

	Item    int               `json:"item,omitempty"` // of the routine of the date; 0: none is meant
	Lines   []routine.LineRef `json:"lines,omitempty"`
	Test    bool              `json:"test,omitempty"` // the item is a minute test
	Claim   routine.Tempo     `json:"claim,omitzero"` // the tempo that was typed
	PerBeat int               `json:"per_beat"`       // notes a beat that are expected
	Goal    routine.Tempo     `json:"goal,omitzero"`  // the tempo that was set

	Answer Post `json:"answer"` // where the answer goes

	Waiting  bool               `json:"waiting"`
	Attempts int                `json:"attempts,omitempty"`
	NextAt   time.Time          `json:"next_at,omitzero"` // of the next attempt, while waiting
	Heard    *sound.Measurement `json:"heard,omitempty"`
	Keep     Keeping            `json:"keep,omitempty"`
	Unfit    Unfit              `json:"unfit,omitempty"`
}

// ask returns what the recording is measured against.
func (h *Hearing) ask() sound.Ask {
	return sound.Ask{PerBeat: h.PerBeat, Beat: cmp.Or(h.Goal.Note, routine.Quarter), Assigned: cmp.Or(h.Claim, h.Goal)}
}

// listen puts the recordings of the message up for hearing and reports whether
// there are any.
func (t *turn) listen() (found bool, err error) {
	if t.ear == nil || !t.studio.mayLog(&t.who) {
		return false, nil
	}
	for _, f := range t.msg.Files {
		if !f.IsSound() {
			continue
		}
		h, err := t.hearingOf(f)
		if err != nil {
			return false, err
		}
		if err := t.tx.PutHearing(&h); err != nil {
			return false, err
		}
		found = true
	}
	t.listens = found
	return found, nil
}

// forget removes the files of the message that nobody will listen to.
func (t *turn) forget() (err error) {
	for _, f := range t.msg.Files {
		if !t.listens || !f.IsSound() {
			err = errors.Join(err, t.tx.RemoveSound(t.msg.Inbox, f.ID))
		}
	}
	return err
}

// hearingOf works out what a recording is of: the one item that the words beside
// it speak of, or else the minute test of the day.
func (t *turn) hearingOf(f File) (Hearing, error) {
	c, err := t.context()
	if err != nil {
		return Hearing{}, err
	}
	h := Hearing{
		Member: t.who.ID, Inbox: t.msg.Inbox, Date: c.Today, File: f, PerBeat: 4, Waiting: true, NextAt: t.now(), Keep: t.keeping,
		Answer: t.answerTo(Post{Kind: ReceiptPost}),
	}
	if c.Routine == nil {
		return h, nil
	}
	said := t.saidOf(c)
	item := c.Routine.Item(said.N)
	for i := range c.Routine.Items {
		if it := &c.Routine.Items[i]; item == nil && it.Test {
			item = it
		}
	}
	if item == nil || len(item.Lines) == 0 {
		return h, nil
	}
	h.Item, h.Lines, h.Test, h.Goal = item.N, item.Lines, item.Test, item.To
	if said.Tempo != nil {
		h.Claim = said.Tempo.Reached()
	}
	if line := t.books(t.studio.ID).Line(item.Lines[0]); line != nil && line.NotesPerBeat > 0 {
		h.PerBeat = line.NotesPerBeat
	}
	return h, nil
}

// saidOf returns what the message says of an item of today, if it speaks of one.
func (t *turn) saidOf(c reply.Context) reply.Item {
	for _, rd := range t.reader.Read(t.text, c) {
		if len(rd.Items) == 1 && rd.Day == c.Today {
			return rd.Items[0]
		}
	}
	return reply.Item{}
}

// HearDue listens to the recordings that wait, one after another, and returns
// how many it was done with. An attempt is counted before it is made, so that a
// file that ends the program does not end it for ever.
func (s *Service) HearDue(ctx context.Context) (done int, err error) {
	if s.ear == nil {
		return 0, nil
	}
	s.hearing.Lock()
	defer s.hearing.Unlock()
	for {
		h, err := s.nextHearing(ctx)
		if err != nil || h == nil {
			return done, err
		}
		file, heard, err := s.hear(ctx, h)
		if ctx.Err() != nil {
			return done, ctx.Err()
		}
		if err := s.keepHearing(ctx, h, file, heard, err); err != nil {
			return done, err
		}
		done++
	}
}

// nextHearing returns a recording that may be listened to now, with the attempt
// counted; nil if there is none.
func (s *Service) nextHearing(ctx context.Context) (h *Hearing, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		h, err = tx.NextHearing()
		return err
	})
	if isNotFound(err) || err == nil && h.NextAt.After(s.now()) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking for recordings: %w", err)
	}
	err = s.store.Update(ctx, func(tx Tx) error {
		if h, err = s.claimHearing(tx, h); err != nil {
			return err
		}
		if !h.Waiting || h.NextAt.After(s.now()) {
			return ErrNotFound // another program has begun with it
		}
		h.Attempts++
		h.NextAt = s.now().Add(retryHearing(h.Attempts))
		return tx.PutHearing(h)
	})
	if isNotFound(err) {
		return nil, nil // taken back just now
	}
	return h, err
}

// claimHearing claims the studio of a hearing and returns it as it is now.
func (s *Service) claimHearing(tx Tx, h *Hearing) (*Hearing, error) {
	m, err := tx.Member(h.Member)
	if err != nil {
		return nil, err
	}
	if err := tx.Claim(m.Studio); err != nil {
		return nil, err
	}
	return tx.Hearing(h.ID)
}

// retryHearing returns how long after an attempt the next is made.
func retryHearing(attempts int) time.Duration { return time.Minute << (2 * min(attempts, 4)) }

// hear fetches a recording and measures it, unless that is done and it is only
// to be kept.
func (s *Service) hear(ctx context.Context, h *Hearing) (file []byte, heard *sound.Measurement, err error) {
	ctx, done := context.WithTimeout(ctx, hearingTime)
	defer done()
	if file, err = s.fetch(ctx, h); err != nil || h.Heard != nil {
		return file, h.Heard, err
	}
	m, err := s.ear.Hear(ctx, file, h.ask())
	return file, &m, err
}

// fetch returns the file of a recording, from the studio or else from its chat.
func (s *Service) fetch(ctx context.Context, h *Hearing) (file []byte, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		file, err = tx.Sound(h.Inbox, h.File.ID)
		return err
	})
	if !isNotFound(err) {
		return file, err
	}
	fetcher := s.fetcher(h.Answer.To.Platform)
	if fetcher == nil {
		return nil, &UnfitError{Gone, errors.New("its chat can't fetch files")}
	}
	file, err = fetcher.Fetch(ctx, h.File, MaxRecording)
	if err != nil && faultOf(err).Permanent {
		err = &UnfitError{Gone, err}
	}
	return file, err
}

// fetcher returns the chat of a platform, if it can fetch files.
func (s *Service) fetcher(p Platform) Fetcher {
	for _, sender := range s.senders {
		if f, ok := sender.chat.(Fetcher); ok && sender.chat.Platform() == p {
			return f
		}
	}
	return nil
}

// keepHearing keeps what came of listening and answers, unless the recording was
// taken back meanwhile. A failure that may pass leaves it for another attempt.
func (s *Service) keepHearing(ctx context.Context, h *Hearing, file []byte, heard *sound.Measurement, failed error) error {
	var unfit *UnfitError
	again := h.Heard != nil // it was heard before, and is only to be kept
	switch {
	case failed == nil:
		h.Heard = heard
	case !errors.As(failed, &unfit) && h.Attempts < maxHearings:
		s.log.Warn("a recording could not be heard; trying again", "hearing", h.ID, "err", failed)
		return nil
	case again:
		file = nil
	case unfit != nil:
		h.Unfit = unfit.Why
	default:
		h.Unfit = GivenUp
	}
	if failed != nil {
		s.log.Warn("a recording was not heard", "hearing", h.ID, "err", failed)
	}
	h.Waiting = false
	return s.store.Update(ctx, func(tx Tx) error {
		now, err := s.claimHearing(tx, h)
		if isNotFound(err) {
			return nil
		}
		if err != nil {
			return err
		}
		m, err := tx.Member(h.Member)
		if err != nil {
			return err
		}
		if h.Keep = now.Keep; h.Unfit != "" {
			h.Keep = LetGo
		}
		if err := settleSound(tx, h, file); err != nil {
			return err
		}
		if err := tx.PutHearing(h); err != nil {
			return err
		}
		post := s.heardPost(s.voice(&m), &m, h)
		if again {
			post = s.keptPost(s.voice(&m), h)
		}
		_, err = tx.Queue(post, s.now())
		return err
	})
}

// runHearing listens whenever there may be something to listen to, until ctx is
// done.
func (s *Service) runHearing(ctx context.Context) {
	for {
		if _, err := s.HearDue(ctx); err != nil && ctx.Err() == nil {
			s.log.Error("listening stopped short; trying again", "err", err)
		}
		next := time.Time{}
		s.store.View(ctx, func(tx Tx) error {
			h, err := tx.NextHearing()
			if err == nil {
				next = h.NextAt
			}
			return err
		})
		if !s.sleep(ctx, next, s.heard) {
			return
		}
	}
}
