package studio

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// A Roster is a studio as its files describe it.
type Roster struct {
	Studio  Studio
	Members []Member
	Plans   map[MemberID]routine.Plan
}

// Apply brings the store in line with a roster. A part of it (the studio, a
// member, a plan) is taken over when it is new or differs from what was last
// applied; what was changed in the chat since stays, as long as its part of the
// files does.
func (s *Service) Apply(ctx context.Context, r Roster) error {
	s.working.Lock()
	defer s.working.Unlock()
	if err := s.heedClock(ctx); err != nil {
		return err
	}
	err := s.store.Update(ctx, func(tx Tx) error {
		if err := tx.Claim(r.Studio.ID); err != nil {
			return err
		}
		return ifChanged(tx, "roster/"+string(r.Studio.ID), r, func() error { return s.apply(tx, r) })
	})
	if err != nil {
		return fmt.Errorf("applying the files of studio %s: %w", r.Studio.ID, err)
	}
	return nil
}

func (s *Service) apply(tx Tx, r Roster) error {
	if err := s.applyStudio(tx, r.Studio); err != nil {
		return err
	}
	for _, m := range r.Members {
		if err := s.applyMember(tx, &r.Studio, m); err != nil {
			return fmt.Errorf("member %s: %w", m.ID, err)
		}
		plan, ok := r.Plans[m.ID]
		if _, err := tx.Member(m.ID); !ok || isNotFound(err) {
			continue
		}
		err := ifChanged(tx, "plan/"+string(m.ID), plan, func() error { return tx.PutPlan(m.ID, plan) })
		if err != nil {
			return fmt.Errorf("plan of %s: %w", m.ID, err)
		}
	}
	if err := s.removeOthers(tx, &r); err != nil {
		return err
	}
	return s.welcome(tx, &r.Studio)
}

// welcome gives students who join today, or are here when the program first is,
// their first routine, if the time for it has gone by: the day would count as
// missed without one.
func (s *Service) welcome(tx Tx, st *Studio) error {
	members, err := tx.Members(st.ID)
	if err != nil {
		return err
	}
	for _, m := range members {
		today := s.today(&m)
		begins := m.Joined == today || slices.Contains(m.Pauses, streaks.Pause{From: m.Joined, To: today - 1, Excuse: routine.NoRoutine})
		if m.Role != Student || !begins {
			continue
		}
		if err := s.catchUp(tx, st, &m); err != nil {
			return fmt.Errorf("first routine of %s: %w", m.ID, err)
		}
	}
	return nil
}

func (s *Service) applyStudio(tx Tx, st Studio) error {
	return ifChanged(tx, "studio/"+string(st.ID), st, func() error {
		listed := st.Holidays
		if old, err := tx.Studio(st.ID); err == nil {
			st.Holidays, st.Threads = old.Holidays, old.Threads
		} else {
			st.Holidays = nil
		}
		first, err := applyHolidays(tx, &st, listed)
		if err != nil {
			return err
		}
		if err := errors.Join(tx.PutStudio(st), s.scheduleStudio(tx, &st)); err != nil || first == 0 {
			return err
		}
		return s.holidaysChanged(tx, &st, first)
	})
}

// holidaysMark is the mark of which holidays of a studio its file brought.
func holidaysMark(id StudioID) string { return "holidays/" + string(id) }

// applyHolidays gives a studio the holidays that its file lists, and takes from it
// those that the file brought and lists no longer. Those set in the chat stay, and
// those taken away there stay away. It returns the first date that is free by that,
// or is no longer; 0 if none is.
func applyHolidays(tx Tx, st *Studio, listed []Span) (first routine.Date, err error) {
	before, err := broughtHolidays(tx, st, listed)
	if err != nil {
		return 0, err
	}
	changed := func(h Span) {
		if first == 0 || h.From < first {
			first = h.From
		}
	}
	var held, brought []Span
	for _, h := range st.Holidays {
		if slices.Contains(before, h) && !slices.Contains(listed, h) {
			changed(h)
			continue
		}
		held = append(held, h)
	}
	for _, h := range listed {
		switch {
		case slices.Contains(before, h):
			brought = append(brought, h)
		case !slices.Contains(held, h):
			changed(h)
			held, brought = append(held, h), append(brought, h)
		}
	}
	st.Holidays = held
	text, err := json.Marshal(brought)
	if err != nil {
		return 0, err
	}
	return first, tx.PutMark(appliedMarks+holidaysMark(st.ID), string(text))
}

// broughtHolidays returns the holidays that a studio's file brought when it was read
// last. Where that was not kept, they are those of its holidays that are listed.
func broughtHolidays(tx Tx, st *Studio, listed []Span) (brought []Span, err error) {
	text, err := tx.Mark(appliedMarks + holidaysMark(st.ID))
	if isNotFound(err) {
		return slices.DeleteFunc(slices.Clone(listed), func(h Span) bool { return !slices.Contains(st.Holidays, h) }), nil
	}
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal([]byte(text), &brought); err != nil {
		return nil, fmt.Errorf("reading which holidays the file of %s brought: %w", st.ID, err)
	}
	return brought, nil
}

func (s *Service) applyMember(tx Tx, st *Studio, m Member) error {
	if _, err := tx.Mark(erasedMark(m.ID)); err == nil {
		s.log.Warn("a member who was erased is still in the file of the studio; give her another id if she is to come back", "studio", st.ID)
		return nil
	}
	return ifChanged(tx, "member/"+string(m.ID), m, func() error {
		m.Studio = st.ID
		if m.Role == Student && m.Joined == 0 {
			m.Joined = s.today(&m)
		}
		if old, err := tx.Member(m.ID); err == nil {
			keepFromChat(&m, &old)
			if zone := m.Zone; zone != old.Zone {
				m.Zone = old.Zone
				return s.movedTo(tx, st, &m, zone)
			}
		} else if today := s.today(&m); m.Role == Student && m.Joined < today {
			// She was here before the program was: nobody posted a routine then.
			m.Pauses = append(m.Pauses, streaks.Pause{From: m.Joined, To: today - 1, Excuse: routine.NoRoutine})
		}
		if err := tx.PutMember(m); err != nil {
			return err
		}
		return s.scheduleMember(tx, st, &m)
	})
}

// removeOthers makes strangers of those whom the file no longer lists: who taught
// here once must not be able to act. Students leave; their logs are kept.
func (s *Service) removeOthers(tx Tx, r *Roster) error {
	members, err := tx.Members(r.Studio.ID)
	if err != nil {
		return err
	}
	for _, m := range present(members) {
		if slices.ContainsFunc(r.Members, func(listed Member) bool { return listed.ID == m.ID }) {
			continue
		}
		m.Removed = s.today(&m)
		if m.Role == Student && m.Left == 0 {
			if err := s.lastDay(tx, &m); err != nil {
				return err
			}
		}
		err := errors.Join(tx.PutMember(m), s.scheduleMember(tx, &r.Studio, &m), tx.RemoveMark(appliedMarks+"member/"+string(m.ID)))
		if err != nil {
			return fmt.Errorf("removing member %s: %w", m.ID, err)
		}
	}
	return nil
}

// keepFromChat keeps what is only ever said in the chat, or has begun already.
func keepFromChat(m, old *Member) {
	m.Pauses, m.Paused, m.Left, m.Moved = old.Pauses, old.Paused, old.Left, old.Moved
	m.Lessons, m.Notes = old.Lessons, old.Notes
	if signed := m.Consent; old.Withdrawn != 0 {
		m.Consent, m.Withdrawn = old.Consent, old.Withdrawn
		if signed > old.Withdrawn { // an older date is what was taken back
			m.agreed(signed)
		}
	}
	m.Consent = cmp.Or(m.Consent, old.Consent)
	if old.Joined != 0 {
		m.Joined = min(m.Joined, old.Joined)
	}
}

// appliedMarks is what the names of marks begin with that tell what was applied of
// the files.
const appliedMarks = "applied/"

// ifChanged does apply, and remembers it, if part differs from what was last
// applied under the name.
func ifChanged(tx Tx, name string, part any, apply func() error) error {
	text, err := json.Marshal(part)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(text)
	now := hex.EncodeToString(sum[:])
	before, err := tx.Mark(appliedMarks + name)
	if err != nil && !isNotFound(err) {
		return err
	}
	if before == now {
		return nil
	}
	if err := apply(); err != nil {
		return err
	}
	return tx.PutMark(appliedMarks+name, now)
}
