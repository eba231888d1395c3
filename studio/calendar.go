package studio

import (
	"context"
	"fmt"
	"slices"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// calendarOf returns when a member is scheduled, for figures about dates from
// from to to.
func calendarOf(st *Studio, m *Member, from, to routine.Date) streaks.Calendar {
	c := streaks.Calendar{Joined: m.Joined, Left: m.Left, Off: m.Off, Pauses: m.Pauses}
	if st.needsConsent(m) {
		if m.Consent == 0 {
			return streaks.Calendar{}
		}
		c.Joined = max(c.Joined, m.Consent)
		if last := m.Withdrawn - 1; m.Withdrawn != 0 && (c.Left == 0 || last < c.Left) {
			c.Left = last
		}
	}
	for _, h := range st.Holidays {
		c.Pauses = append(c.Pauses, streaks.Pause{From: h.From, To: h.To, Excuse: routine.Holiday})
	}
	c.Missing = streaks.MissingDates(max(from, c.Joined), to, m.Location())
	return c
}

// settledThrough returns the last date up to which every cut-off has passed for
// the member.
func settledThrough(st *Studio, m *Member, now time.Time) routine.Date {
	const surely = 5 // days back: the longest cut-off, and the widest move
	d := routine.DateOf(now, m.Location()) - surely
	for !now.Before(cutOff(st, m, d+1)) {
		d++
	}
	return d
}

// A stretch is what a student's streak looks like at one moment: the settled
// state, and the days since.
type stretch struct {
	state streaks.State
	tally streaks.Tally
	tail  []streaks.Day // reported days after state.Through
	cal   streaks.Calendar
	today routine.Date
}

// settle brings the member's streak up to now, keeps it, and returns it. A change
// to the log of the date changed, 0 for none, makes it count again if that date
// was settled before.
func (s *Service) settle(tx Tx, st *Studio, m *Member, changed routine.Date) (stretch, error) {
	now, err := s.settled(tx, st, m, changed)
	if err == nil {
		err = tx.PutStreak(m.ID, now.state)
	}
	if err != nil {
		return stretch{}, fmt.Errorf("settling the streak of %s: %w", m.ID, err)
	}
	return now, nil
}

// settled returns what the member's streak is by now; see [Service.settle].
func (s *Service) settled(tx Tx, st *Studio, m *Member, changed routine.Date) (stretch, error) {
	now := s.now()
	today, through := routine.DateOf(now, m.Location()), settledThrough(st, m, now)
	state, err := tx.Streak(m.ID)
	if err != nil {
		return stretch{}, err
	}
	if changed != 0 && changed <= state.Through {
		state = streaks.State{}
	}
	cal := calendarOf(st, m, state.Through, today+7)
	reports, err := tx.Reports(m.ID, state.Through+1, today)
	if err != nil {
		return stretch{}, err
	}
	days := streaks.Days(dayReports(reports))
	settled := streaks.Advance(state, cal, days, through)
	tail := slices.DeleteFunc(days, func(d streaks.Day) bool { return d.Date <= settled.Through })
	return stretch{settled, settled.Tally(cal, tail, today), tail, cal, today}, nil
}

func dayReports(reports []Report) []routine.DayReport {
	days := make([]routine.DayReport, len(reports))
	for i, r := range reports {
		days[i] = r.Day
	}
	return days
}

// hurting reports whether the player said that she hurts and not yet that it is
// gone.
func (s *stretch) hurting() bool {
	hurts := s.state.Hurting
	for _, d := range s.tail {
		hurts = d.HurtsAfter(hurts)
	}
	return hurts
}

// A Place is where one student stands.
type Place struct {
	Member    Member
	Tally     streaks.Tally
	Standings map[routine.StandingKey]routine.Standing
}

// Place returns where a student stands now.
func (s *Service) Place(ctx context.Context, id MemberID) (p Place, err error) {
	err = s.store.Update(ctx, func(tx Tx) error {
		if p.Member, err = tx.Member(id); err != nil {
			return err
		}
		if err := tx.Claim(p.Member.Studio); err != nil {
			return err
		}
		st, err := tx.Studio(p.Member.Studio)
		if err != nil {
			return err
		}
		now, err := s.settle(tx, &st, &p.Member, 0)
		if err != nil {
			return err
		}
		p.Tally = now.tally
		p.Standings, err = tx.Standings(id)
		return err
	})
	return p, err
}
