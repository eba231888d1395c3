package studio

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A DueKind is a kind of scheduled work.
type DueKind string

// The kinds of scheduled work.
const (
	DueRoutine  DueKind = "routine"  // of a member
	DueReminder DueKind = "reminder" // of a member
	DueLesson   DueKind = "lesson"   // of a member: the sheet of a lesson
	DueDigest   DueKind = "digest"   // of a studio
	DueStudio   DueKind = "studio"   // of a studio, once a date: challenges, passes that open
)

// A Due is the next time some scheduled work falls due. There is one for each
// kind and subject.
type Due struct {
	Kind   DueKind
	Studio StudioID
	Member MemberID // empty for work of the whole studio
	At     time.Time
	Date   routine.Date // the local date that the work is for
}

// dueBatch is how many pieces of work are done before what people say is read
// again.
const dueBatch = 50

// RunDue does some of the work that has come due, the earliest first, each piece
// in a transaction of its own together with the setting of its next time, and
// returns how many pieces there were. Work that was missed while the program was away is done late if
// it was due today, by the local calendar; for a past date it is left, except
// the digest, which a teacher wants even days late.
func (s *Service) RunDue(ctx context.Context) (done int, err error) {
	var begun atomic.Int64
	return s.spread(func() (found bool, err error) {
		if begun.Add(1) > dueBatch {
			return false, nil
		}
		return s.runNext(ctx)
	})
}

// runNext does what fell due first.
func (s *Service) runNext(ctx context.Context) (found bool, err error) {
	var d Due
	err = s.store.Update(ctx, func(tx Tx) (err error) {
		if d, err = tx.ClaimDue(s.now()); err != nil {
			return err
		}
		return errors.Join(s.runOne(tx, d), s.noteClock(tx))
	})
	if d.Kind == "" && isNotFound(err) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("doing the %s of %s%s for %s: %w", d.Kind, d.Studio, d.Member, d.Date, err)
	}
	return true, nil
}

func (s *Service) runOne(tx Tx, d Due) error {
	st, err := tx.Studio(d.Studio)
	if err != nil {
		return err
	}
	if d.Member == "" {
		if err := s.runForStudio(tx, &st, d); err != nil {
			return err
		}
		return s.setStudioDue(tx, &st, d.Kind)
	}
	m, err := tx.Member(d.Member)
	if err != nil {
		return err
	}
	if d.Kind == DueLesson {
		if err := s.sendLessonSheets(tx, &st, &m, d); err != nil {
			return err
		}
		return s.setLessonDue(tx, &st, &m)
	}
	today := s.today(&m)
	if d.Kind == DueRoutine && d.Date < today {
		if err := s.excuseUnposted(tx, &st, &m, Span{From: d.Date, To: today - 1}); err != nil {
			return err
		}
	}
	if dueToday(s.specOf(&st, &m, d.Kind), today, s.now(), m.Location()) {
		if err := s.runForMember(tx, &st, &m, d.Kind, today); err != nil {
			return err
		}
	}
	return s.setMemberDue(tx, &st, &m, d.Kind)
}

// dueToday reports whether spec falls due on the date today, and has by now.
func dueToday(spec string, today routine.Date, now time.Time, loc *time.Location) bool {
	begin, _ := today.At(0, 0, loc)
	at, date, ok := nextAt(spec, begin.Add(-time.Second), loc)
	return ok && date == today && !at.After(now)
}

// excuseUnposted excuses dates for which no routine was posted because the
// program was away: that must cost nobody a streak.
func (s *Service) excuseUnposted(tx Tx, st *Studio, m *Member, away Span) error {
	for d := away.From; d <= away.To; d++ {
		posted, err := routineOn(tx, m.ID, d)
		if err != nil {
			return err
		}
		last := len(m.Pauses) - 1
		switch {
		case posted != nil:
		case last >= 0 && m.Pauses[last].To == d-1 && m.Pauses[last].Excuse == routine.NoRoutine:
			m.Pauses[last].To = d
		default:
			m.Pauses = append(m.Pauses, streaks.Pause{From: d, To: d, Excuse: routine.NoRoutine})
		}
	}
	if err := tx.PutMember(*m); err != nil {
		return err
	}
	_, err := s.settle(tx, st, m, away.From)
	return err
}

func (s *Service) runForStudio(tx Tx, st *Studio, d Due) error {
	switch d.Kind {
	case DueDigest:
		return s.sendDigests(tx, st, d)
	case DueStudio:
		today := routine.DateOf(s.now(), locationOf(st.Zone))
		if err := s.openPromised(tx, st, today); err != nil {
			return err
		}
		return s.announceChallenges(tx, st, today)
	}
	return nil
}

func (s *Service) runForMember(tx Tx, st *Studio, m *Member, kind DueKind, today routine.Date) error {
	switch kind {
	case DueRoutine:
		return s.postRoutine(tx, st, m, today)
	case DueReminder:
		return s.remind(tx, st, m, today)
	}
	return nil
}

// scheduleStudio sets when the work of a whole studio falls due next, after
// something about it has changed. Work that is due and not done yet stays so.
func (s *Service) scheduleStudio(tx Tx, st *Studio) error {
	for _, kind := range []DueKind{DueDigest, DueStudio} {
		overdue, err := s.overdue(tx, kind, st.ID, "")
		if err == nil && !overdue {
			err = s.setStudioDue(tx, st, kind)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// scheduleMember does the same for a student's routine and reminder.
func (s *Service) scheduleMember(tx Tx, st *Studio, m *Member) error {
	for _, kind := range []DueKind{DueRoutine, DueReminder, DueLesson} {
		overdue, err := s.overdue(tx, kind, st.ID, m.ID)
		if err == nil && !overdue {
			err = s.setMemberDue(tx, st, m, kind)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// overdue reports whether work of a kind is due for a studio or a member of it.
func (s *Service) overdue(tx Tx, kind DueKind, of StudioID, m MemberID) (bool, error) {
	d, err := tx.Due(kind, of, m)
	if isNotFound(err) {
		return false, nil
	}
	return err == nil && !d.At.After(s.now()), err
}

// setStudioDue sets when a studio's work of one kind falls due next.
func (s *Service) setStudioDue(tx Tx, st *Studio, kind DueKind) error {
	spec := st.PostAt
	if kind == DueDigest {
		spec = st.DigestAt
	}
	return s.setDue(tx, Due{Kind: kind, Studio: st.ID}, spec, locationOf(st.Zone))
}

// setMemberDue sets when a student's work of one kind falls due next.
func (s *Service) setMemberDue(tx Tx, st *Studio, m *Member, kind DueKind) error {
	if kind == DueLesson {
		return s.setLessonDue(tx, st, m)
	}
	return s.setDue(tx, Due{Kind: kind, Studio: st.ID, Member: m.ID}, s.specOf(st, m, kind), m.Location())
}

// specOf returns when work of a kind falls due for a member: her own time, or
// else the studio's.
func (s *Service) specOf(st *Studio, m *Member, kind DueKind) string {
	switch {
	case m.Role != Student || m.Paused || m.Removed != 0:
		return never
	case kind == DueRoutine:
		return cmp.Or(m.PostAt, st.PostAt)
	}
	return cmp.Or(m.RemindAt, st.RemindAt)
}

func (s *Service) setDue(tx Tx, d Due, spec string, loc *time.Location) error {
	at, date, ok := nextAt(spec, s.now(), loc)
	if !ok {
		return tx.RemoveDue(d.Kind, d.Studio, d.Member)
	}
	d.At, d.Date = at, date
	return tx.PutDue(d)
}
