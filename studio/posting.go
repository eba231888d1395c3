package studio

import (
	"errors"
	"fmt"
	"hash/fnv"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// historyDays is how far back the day builder looks.
const historyDays = 60

// postRoutine makes a member's routine of the date and queues it, unless the
// date is not hers to play or it is there already.
func (s *Service) postRoutine(tx Tx, st *Studio, m *Member, date routine.Date) error {
	cal := calendarOf(st, m, date, date)
	if _, paused := cal.Paused(date); paused || !cal.Scheduled(date) {
		return nil
	}
	if _, err := tx.Routine(m.ID, date); !isNotFound(err) {
		return err
	}
	_, err := s.makeRoutine(tx, st, m, date, 1)
	return err
}

// makeRoutine builds the routine of a date under a number, keeps it and queues
// it. A plan with nothing to play makes none; ok says whether one was made.
func (s *Service) makeRoutine(tx Tx, st *Studio, m *Member, date routine.Date, number int) (ok bool, err error) {
	in, err := s.input(tx, st, m, date, number)
	if err != nil {
		return false, fmt.Errorf("gathering what the routine of %s depends on: %w", m.ID, err)
	}
	r := routine.Build(in)
	if len(r.Items) == 0 {
		return false, nil
	}
	if err := tx.PutRoutine(m.ID, r); err != nil {
		return false, err
	}
	post := routinePost(&r)
	post.Key = RoutineKey(m.ID, date, number)
	return true, s.tell(tx, m, post)
}

// input gathers what a member's routine depends on.
func (s *Service) input(tx Tx, st *Studio, m *Member, date routine.Date, number int) (in routine.Input, err error) {
	plan, err := tx.Plan(m.ID)
	if err != nil && !isNotFound(err) {
		return in, err
	}
	standings, err := tx.Standings(m.ID)
	if err != nil {
		return in, err
	}
	reports, err := tx.Reports(m.ID, date-historyDays, date-1)
	if err != nil {
		return in, err
	}
	state, err := tx.Streak(m.ID)
	if err != nil {
		return in, err
	}
	player := m.Player
	player.Off = calendarOffOn(m, date)
	return routine.Input{
		Date: date, Number: number, Seed: seedOf(m.ID),
		Catalogue: s.books(st.ID), Player: player, Plan: plan, Standings: standings,
		History: historyOf(reports, state, date),
	}, nil
}

func calendarOffOn(m *Member, d routine.Date) (off routine.Weekday) {
	for _, o := range m.Off {
		if o.From <= d {
			off = o.Off
		}
	}
	return off
}

// historyOf returns the days that reports speak of, and whether the player
// hurts after them.
func historyOf(reports []Report, settled streaks.State, before routine.Date) routine.History {
	h := routine.History{Hurting: settled.Hurting}
	days := dayReports(reports)
	var entries []routine.Entry
	for _, r := range reports {
		entries = append(entries, r.Entries...)
	}
	for _, d := range streaks.Days(days) {
		h.Days = append(h.Days, streaks.DayLog(days, entries, d.Date))
		if d.Date > settled.Through && d.Date < before {
			h.Hurting = (h.Hurting || d.Pain) && !d.PainGone
		}
	}
	return h
}

// seedOf gives each student her own order of things that are equally good.
func seedOf(m MemberID) uint64 {
	h := fnv.New64a()
	h.Write([]byte(m))
	return h.Sum64()
}

// routinePost shows a routine as a card with quick answers.
func routinePost(r *routine.Routine) Post {
	p := Post{
		Kind:  RoutinePost,
		Title: longDate(r.Date),
		Text:  r.Note,
		Foot:  fmt.Sprintf("About %d min with rests. Answer in a line, such as “1 96 clean, 2 skip, rest done 40m”.", r.Minutes),
		Choices: []Choice{
			{Label: "Played it all", Text: "all done"},
			{Label: "Part of it", Text: "some of it"},
			{Label: "Rest day", Text: "rest day"},
			{Label: "I can't today", Text: "nothing today"},
		},
	}
	if r.Number > 1 {
		p.Title += fmt.Sprintf(" (new, replaces number %d)", r.Number-1)
	}
	if r.Caution {
		p.Text = joinLines(p.Text, "While something hurts, nothing strenuous: "+caution+" When it is over, write “pain gone”.")
	}
	for i := range r.Items {
		it := &r.Items[i]
		p.Items = append(p.Items, PostItem{N: it.N, Head: headOf(it), Detail: detailOf(it)})
	}
	return p
}

// remind asks once, gently, for a word about the day, if nothing was heard. Who
// hurts, is away or sleeps is left in peace.
func (s *Service) remind(tx Tx, st *Studio, m *Member, date routine.Date) error {
	if quietUntil(m, s.now()).After(s.now()) {
		return nil
	}
	_, err := tx.Routine(m.ID, date)
	reports, err2 := tx.Reports(m.ID, date, date)
	if err := errors.Join(err, err2); err != nil || len(reports) > 0 {
		if isNotFound(err) {
			return nil
		}
		return err
	}
	now, err := s.settle(tx, st, m, 0)
	if err != nil || now.hurting() {
		return err
	}
	return s.tell(tx, m, Post{
		Key:  Key("reminder/" + string(m.ID) + "/" + date.String()),
		Kind: ReminderPost,
		Text: "A word about today when you have a moment: a number, “done”, or “rest”.",
	})
}

func joinLines(a, b string) string {
	if a == "" {
		return b
	}
	return a + "\n" + b
}
