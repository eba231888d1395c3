package studio

import (
	"slices"
	"strings"
	"time"

	"ledgerline/routine"
)

// A Move is a member's change to another time zone.
type Move struct {
	At   time.Time `json:"at"`
	From string    `json:"from"` // zone until then
}

// A stay is a stretch of time in which a member lived in one zone.
type stay struct {
	loc         *time.Location
	from, until time.Time // zero: from ever, for ever
}

// has reports whether it was the date there, at any moment of the stay.
func (s *stay) has(d routine.Date) bool {
	begin, ok := d.At(0, 0, s.loc)
	end, _ := (d + 1).At(0, 0, s.loc)
	return ok && (s.until.IsZero() || begin.Before(s.until)) && end.After(s.from)
}

// stays returns where a member has lived, oldest first; the last is where she
// lives now.
func (m *Member) stays() []stay {
	var all []stay
	var from time.Time
	for _, mv := range m.Moved {
		all = append(all, stay{loc: locationOf(mv.From), from: from, until: mv.At})
		from = mv.At
	}
	return append(all, stay{loc: m.Location(), from: from})
}

// dateAt returns the date that the member's calendar showed at an instant, where
// she lived then.
func (m *Member) dateAt(t time.Time) routine.Date {
	stays := m.stays()
	i := slices.IndexFunc(stays, func(s stay) bool { return s.until.IsZero() || t.Before(s.until) })
	return routine.DateOf(t, stays[i].loc)
}

// yesterday returns the date before today on the member's calendar, at an instant.
// It is not the date before where she crossed the date line ahead, or the zone did
// so under her. Where she crossed it back, and it is a date again that is not her
// latest, nobody can say which day she calls so: then it is today itself.
func (m *Member) yesterday(t time.Time) routine.Date {
	today := m.dateAt(t)
	stays := slices.DeleteFunc(m.stays(), func(s stay) bool { return s.from.After(t) })
	for _, s := range stays {
		if !s.until.IsZero() && !s.until.After(t) && routine.DateOf(s.until.Add(-1), s.loc) > today {
			return today
		}
	}
	const widest = 2 // dates left out by a move
	for d := today - 1; d >= today-widest; d-- {
		if slices.ContainsFunc(stays, func(s stay) bool { return s.has(d) }) {
			return d
		}
	}
	return today - widest - 1
}

// endOf returns the instant at which a date is over for the member. Where she
// moved during it, each of its ends counts and the last is it, so that a move
// takes no hour of a day from her.
func (m *Member) endOf(d routine.Date) time.Time {
	end, _ := (d + 1).At(0, 0, m.Location())
	if len(m.Moved) == 0 {
		return end
	}
	var last time.Time
	for _, s := range m.stays() {
		if !s.has(d) {
			continue
		}
		if there, _ := (d + 1).At(0, 0, s.loc); there.After(last) {
			last = there
		}
	}
	if last.IsZero() {
		return end // one to come
	}
	return last
}

// movedTo has a member live in another zone from now on. If the time of her
// routine has gone by there, it is posted at once: nothing else would bring it.
// A date that the move ended before its routine came, or left out altogether
// because it led over the date line, is excused.
func (s *Service) movedTo(tx Tx, st *Studio, m *Member, zone string) error {
	before := s.today(m)
	m.Moved = append(m.Moved, Move{At: s.now(), From: m.Zone})
	m.Zone, m.loc = zone, nil
	if err := tx.PutMember(*m); err != nil {
		return err
	}
	for d := before; d < s.today(m); d++ {
		_, err := tx.Routine(m.ID, d)
		if isNotFound(err) {
			err = s.excuseUnposted(tx, st, m, Span{From: d, To: d})
		}
		if err != nil {
			return err
		}
	}
	if err := s.scheduleMember(tx, st, m); err != nil {
		return err
	}
	return s.catchUp(tx, st, m)
}

// catchUp posts today's routine, unless that was done or its time is yet to
// come.
func (s *Service) catchUp(tx Tx, st *Studio, m *Member) error {
	today := s.today(m)
	if !dueToday(s.specOf(st, m, DueRoutine), today, s.now(), m.Location()) {
		return nil
	}
	return s.postRoutine(tx, st, m, today)
}

func (t *turn) zoneCommand(args []string) (Post, error) {
	m, rest, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	zone, ok := zoneNamed(strings.Join(rest, " "))
	if !ok {
		return Post{}, usage("wrong.zone", with{"zone": clip(strings.Join(rest, " "), 40), "name": m.Name})
	}
	if zone == m.Zone {
		return t.answered("zone.already", with{"name": m.Name, "zone": zone})
	}
	if err := t.movedTo(t.tx, &t.studio, &m, zone); err != nil {
		return Post{}, err
	}
	return t.answered("zone.moved", with{"name": m.Name, "zone": zone, "day": t.Service.today(&m)})
}

// leave ends a student's time in the studio with today, if anything was reported
// today, or else with yesterday. Nothing of the log is lost.
func (t *turn) leave(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	if m.Left != 0 {
		return t.answered("leave.already", with{"name": m.Name, "day": m.Left})
	}
	if err := t.lastDay(t.tx, &m); err != nil {
		return Post{}, err
	}
	return t.done(t.save(&m), "leave.done", with{"name": m.Name, "day": m.Left})
}

// lastDay makes today, if anything was reported today, or else yesterday, the
// last date that counts for a student.
func (s *Service) lastDay(tx Tx, m *Member) error {
	today := s.today(m)
	reports, err := tx.Reports(m.ID, today, today)
	m.Left, m.Paused = today-1, true
	if len(reports) > 0 {
		m.Left = today
	}
	return err
}
