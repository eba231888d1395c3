package studio

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// The machine's clock may be wrong, and be put right. Set forward, it makes what
// lies between look missed, and sets the next times after it. Set back, it would
// leave the studio waiting for times that are months off, in days that are
// excused already, with today's work passed over. So the service remembers how late it has been, and when the
// clock shows less, it sets all next times anew. What was said meanwhile stays
// said: a post is made once for its date.

const (
	// clockMark is the name under which the store keeps the latest time at which
	// the service has worked, and clockKept how far that may be behind.
	clockMark = "clock"
	clockKept = time.Hour

	// setBack is what counts as set back, and not as a clock kept in step.
	setBack = time.Minute
)

// heedClock mends what a clock has spoilt that was set forward and then back.
func (s *Service) heedClock(ctx context.Context) error {
	now := s.now()
	if s.latest.IsZero() {
		if err := s.recallClock(ctx); err != nil {
			return fmt.Errorf("looking how late it has been: %w", err)
		}
	}
	if now.Before(s.latest.Add(-setBack)) {
		s.log.Warn("the clock was set back; setting all next times anew", "by", s.latest.Sub(now))
		if err := s.mendTimes(ctx); err != nil {
			return fmt.Errorf("setting times anew after the clock was set back: %w", err)
		}
		s.latest, s.latestKept = now, time.Time{}
		for _, sender := range s.senders {
			sender.rested()
		}
	}
	if now.After(s.latest) {
		s.latest = now
	}
	if s.latest.Sub(s.latestKept) < clockKept {
		return nil
	}
	if err := s.store.Update(ctx, func(tx Tx) error { return putClock(tx, s.latest) }); err != nil {
		return err
	}
	s.latestKept = s.latest
	return nil
}

// noteClock keeps the time together with work that may have been done by a clock
// set forward since it was heeded: should the program die now, its next start must
// know how late it has been.
func (s *Service) noteClock(tx Tx) error {
	if now := s.now(); now.Sub(s.latestKept) >= clockKept {
		return putClock(tx, now)
	}
	return nil
}

func putClock(tx Tx, at time.Time) error { return tx.PutMark(clockMark, at.UTC().Format(time.RFC3339)) }

func (s *Service) recallClock(ctx context.Context) error {
	return s.store.View(ctx, func(tx Tx) error {
		mark, err := tx.Mark(clockMark)
		if isNotFound(err) {
			return nil
		}
		if err != nil {
			return err
		}
		s.latest, err = time.Parse(time.RFC3339, mark)
		s.latestKept = s.latest
		return err
	})
}

// mendTimes sets the next times of all studios from the present one.
func (s *Service) mendTimes(ctx context.Context) error {
	return s.store.Update(ctx, func(tx Tx) error {
		studios, err := tx.Studios()
		for _, st := range studios {
			if err == nil {
				err = tx.Claim(st.ID)
			}
		}
		if err != nil {
			return err
		}
		const longestWait = 24 * time.Hour // quiet hours; a post tried again waits less
		if err := tx.HastenPosts(s.now().Add(longestWait), s.now()); err != nil {
			return err
		}
		due, err := tx.DueBy(time.UnixMicro(math.MaxInt64), math.MaxInt)
		if err != nil {
			return err
		}
		for _, d := range due {
			if d.At.After(s.now()) {
				if err := s.setAnew(tx, d); err != nil {
					return err
				}
			}
		}
		return s.mendStreaks(tx)
	})
}

// setAnew sets a next time from the present one.
func (s *Service) setAnew(tx Tx, d Due) error {
	st, err := tx.Studio(d.Studio)
	if err != nil {
		return err
	}
	if d.Member == "" {
		loc := locationOf(st.Zone)
		if d.Kind == DueStudio && dueToday(st.PostAt, routine.DateOf(s.now(), loc), s.now(), loc) {
			err = s.runForStudio(tx, &st, d)
		}
		return errors.Join(err, s.setStudioDue(tx, &st, d.Kind))
	}
	m, err := tx.Member(d.Member)
	if err != nil {
		return err
	}
	return s.setMemberDue(tx, &st, &m, d.Kind)
}

// mendStreaks takes back what was settled about dates that are still to come, and
// posts the routines of today that were passed over.
func (s *Service) mendStreaks(tx Tx) error {
	studios, err := tx.Studios()
	if err != nil {
		return err
	}
	for _, st := range studios {
		members, err := tx.Members(st.ID)
		if err != nil {
			return err
		}
		for _, m := range members {
			if m.Role != Student {
				continue
			}
			if err := s.mendStreak(tx, &st, &m); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *Service) mendStreak(tx Tx, st *Studio, m *Member) error {
	today := s.today(m)
	m.Pauses = excusedBefore(today, m.Pauses)
	if err := tx.PutMember(*m); err != nil {
		return err
	}
	state, err := tx.Streak(m.ID)
	if err == nil && state.Through >= today {
		_, err = s.settle(tx, st, m, state.Through)
	}
	return errors.Join(err, s.catchUp(tx, st, m))
}

// excusedBefore returns the pauses without what says that no routine was posted
// on a date from today on.
func excusedBefore(today routine.Date, pauses []streaks.Pause) []streaks.Pause {
	pauses = slices.Clone(pauses)
	for i := range pauses {
		if p := &pauses[i]; p.Excuse == routine.NoRoutine {
			p.To = min(p.To, today-1)
		}
	}
	return slices.DeleteFunc(pauses, func(p streaks.Pause) bool { return p.Excuse == routine.NoRoutine && p.To < p.From })
}

// rested ends the rest that a chat was given until a time that is wrong.
func (s *sender) rested() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.until = time.Time{}
}
