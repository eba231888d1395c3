package studio

import (
	"context"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// An Outlook is what a date brings a student, as the log stood when it began
// and the plan stands now.
type Outlook struct {
	Member Member
	routine.Explanation

	// Free says why nothing is posted on the date; zero if something is.
	Free routine.Reason

	// Week holds the routines of the dates from that one on, if each is played
	// as set.
	Week []routine.Routine
}

// Outlook works out what a date brings a student, named by id or by name, and
// the days from it on. The zero date is today where she is. Nothing is kept and
// nothing is posted.
func (s *Service) Outlook(ctx context.Context, id StudioID, name string, date routine.Date, days int) (o Outlook, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		st, err := tx.Studio(id)
		if isNotFound(err) {
			return usage("wrong.no-studio", with{"studio": string(id)})
		}
		if err != nil {
			return err
		}
		if o.Member, err = s.studentNamed(tx, id, name); err != nil {
			return err
		}
		if date == 0 {
			date = s.today(&o.Member)
		}
		return s.lookOut(tx, &st, &o, date, days)
	})
	return o, err
}

func (s *Service) studentNamed(tx Tx, id StudioID, name string) (Member, error) {
	members, err := tx.Members(id)
	if err != nil {
		return Member{}, err
	}
	var names []string
	for _, m := range members {
		if m.Role != Student {
			continue
		}
		if string(m.ID) == name || strings.EqualFold(m.Name, name) {
			return m, nil
		}
		names = append(names, m.Name)
	}
	return Member{}, usage("wrong.no-student-in", with{"name": clip(name, 40), "studio": string(id), "names": strings.Join(names, ", ")})
}

func (s *Service) lookOut(tx Tx, st *Studio, o *Outlook, date routine.Date, days int) error {
	m := &o.Member
	in, err := s.inputAsOf(tx, st, m, date)
	if err != nil {
		return err
	}
	o.Explanation = routine.Explain(in)
	why := freeDates(st, m, date, date+routine.Date(max(days, 1))-1)
	o.Free = why[date]
	for d := range why {
		in.Free = append(in.Free, d)
	}
	o.Week = routine.Preview(in, days)
	for i := range o.Week {
		if reason, free := why[o.Week[i].Date]; free {
			o.Week[i].Note = reason
		}
	}
	return nil
}

// freeDates returns the dates on which a student gets no routine, each with the
// reason.
func freeDates(st *Studio, m *Member, from, to routine.Date) map[routine.Date]routine.Reason {
	cal := calendarOf(st, m, from, to)
	free := map[routine.Date]routine.Reason{}
	for d := from; d <= to; d++ {
		excuse, paused := cal.Paused(d)
		switch {
		case paused:
			free[d] = routine.Reason{Kind: routine.FreeDay, Excuse: excuse}
		case !cal.Scheduled(d):
			free[d] = routine.Reason{Kind: routine.DayOff}
		}
	}
	return free
}

// inputAsOf gathers what the routine of a date depends on, with the log as it
// was when the date began.
func (s *Service) inputAsOf(tx Tx, st *Studio, m *Member, date routine.Date) (routine.Input, error) {
	in, err := s.inputOf(tx, st, m, date, date-1)
	if err != nil || date > s.today(m) {
		return in, err
	}
	for key := range in.Standings {
		if in.Standings[key], err = s.standBefore(tx, m, key, date); err != nil {
			return in, err
		}
	}
	reports, err := tx.Reports(m.ID, date-painReach, date-1)
	in.History.Hurting = streaks.Hurting(dayReports(reports))
	return in, err
}

// planCommand shows a student's plan, and in short what tomorrow would bring.
func (t *turn) planCommand(args []string) (Post, error) {
	m, _, err := t.member(args)
	if err != nil {
		return Post{}, err
	}
	p := Post{Title: t.voice.Say("plan.title", with{"name": m.Name})}
	if err := t.planItems(&p, &m); err != nil {
		return Post{}, err
	}
	if len(p.Items) == 0 {
		return t.answered("plan.empty", with{"name": m.Name, "study": exampleStudy(t.books(t.studio.ID))})
	}
	p.Foot, err = t.tomorrow(&m)
	return p, err
}

// tomorrow says what the next day brings. As long as nothing is known of today,
// today is taken to be played as set.
func (t *turn) tomorrow(m *Member) (string, error) {
	today := t.Service.today(m)
	free := freeDates(&t.studio, m, today, today+1)
	if why, is := free[today+1]; is {
		return t.voice.Say("plan.tomorrow", with{"routine": ReasonWords(t.voice, why)}), nil
	}
	reports, err := t.tx.Reports(m.ID, today, today)
	if err != nil {
		return "", err
	}
	_, freeToday := free[today]
	ahead := routine.Date(1)
	if len(reports) == 0 && !freeToday {
		ahead = 0
	}
	in, err := t.input(t.tx, &t.studio, m, today+ahead, 1)
	if err != nil {
		return "", err
	}
	days := routine.Preview(in, 2-int(ahead))
	return t.voice.Say("plan.tomorrow", with{"routine": shortRoutine(t.voice, &days[len(days)-1])}), nil
}

// shortRoutine is a routine in a line or two.
func shortRoutine(v *voice, r *routine.Routine) string {
	var parts []string
	for i := range r.Items {
		it := &r.Items[i]
		parts = append(parts, v.Say("plan.item", with{"item": headOf(v, it), "tempo": it.To}))
	}
	said := v.Apart(parts)
	if len(parts) > 0 {
		said += ". " + v.Say("plan.minutes", with{"minutes": r.Minutes})
	}
	return strings.TrimSpace(said + " " + ReasonWords(v, r.Note))
}
