package studio

import (
	"cmp"
	"fmt"
	"hash/fnv"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio/words"
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
	r, err := s.buildRoutine(tx, st, m, date, number)
	if err != nil || len(r.Items) == 0 {
		return false, err
	}
	return true, s.tellRoutine(tx, m, &r)
}

// buildRoutine builds the routine of a date under a number and keeps it, unless
// there is nothing to play.
func (s *Service) buildRoutine(tx Tx, st *Studio, m *Member, date routine.Date, number int) (routine.Routine, error) {
	in, err := s.input(tx, st, m, date, number)
	if err != nil {
		return routine.Routine{}, err
	}
	r := routine.Build(in)
	if len(r.Items) == 0 {
		return r, nil
	}
	return r, tx.PutRoutine(m.ID, r)
}

func (s *Service) tellRoutine(tx Tx, m *Member, r *routine.Routine) error {
	post := routinePost(s.voice(m), r)
	post.Key = RoutineKey(m.ID, r.Date, r.Number)
	if r.Caution {
		return s.tell(tx, m, post)
	}
	return s.tellStudent(tx, m, post)
}

// input gathers what a member's routine depends on, as things are now.
func (s *Service) input(tx Tx, st *Studio, m *Member, date routine.Date, number int) (in routine.Input, err error) {
	in, err = s.inputOf(tx, st, m, date, date)
	if err != nil {
		return in, fmt.Errorf("gathering what the routine of %s depends on: %w", m.ID, err)
	}
	in.Number = number
	return in, nil
}

// inputOf gathers what a member's routine depends on, from the reports of the
// dates up to through.
func (s *Service) inputOf(tx Tx, st *Studio, m *Member, date, through routine.Date) (in routine.Input, err error) {
	plan, err := planOf(tx, m.ID)
	if err != nil {
		return in, err
	}
	standings, err := tx.Standings(m.ID)
	if err != nil {
		return in, err
	}
	reports, err := tx.Reports(m.ID, date-historyDays, through)
	if err != nil {
		return in, err
	}
	state, err := tx.Streak(m.ID)
	if err != nil {
		return in, err
	}
	w, err := wishOf(tx, m, date)
	if err != nil {
		return in, err
	}
	player := m.Player
	cal := streaks.Calendar{Off: m.Off}
	player.Off = cal.OffOn(date)
	player.Instrument = cmp.Or(w.Instrument, player.Instrument)
	quiet := w.Quiet || date == s.today(m) && s.softNow(m)
	return routine.Input{
		Date: date, Number: 1, Seed: seedOf(m.ID),
		Catalogue: s.books(st.ID), Player: player, Plan: plan, Standings: standings,
		History: historyOf(reports, state), Tested: testedIn(reports),
		Minutes: w.Minutes, Quiet: quiet,
	}, nil
}

// testedIn returns the last minute test of each study that reports speak of.
func testedIn(reports []Report) map[routine.StudyRef]routine.Date {
	tested := map[routine.StudyRef]routine.Date{}
	for _, r := range reports {
		for _, e := range r.Entries {
			if e.Test && e.Outcome.Played() {
				study := e.Lines[0].StudyRef()
				tested[study] = max(tested[study], e.Date)
			}
		}
	}
	return tested
}

// historyOf returns the days that reports speak of, and whether the player
// hurts after them.
func historyOf(reports []Report, settled streaks.State) routine.History {
	h := routine.History{Hurting: settled.Hurting}
	days := dayReports(reports)
	var entries []routine.Entry
	for _, r := range reports {
		entries = append(entries, r.Entries...)
	}
	for _, d := range streaks.Days(days) {
		h.Days = append(h.Days, streaks.DayLog(days, entries, d.Date))
		if d.Date > settled.Through {
			h.Hurting = d.HurtsAfter(h.Hurting)
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
func routinePost(v *voice, r *routine.Routine) Post {
	p := Post{
		Kind:  RoutinePost,
		Title: words.Capital(v.Day(r.Date)),
		Text:  ReasonWords(v, r.Note),
		Foot:  v.Say("routine.foot", with{"minutes": r.Minutes}),
		Of:    RoutineOf{r.Date, r.Number},
	}
	// A studio may have other labels; what a button says is what the reader knows.
	known := words.Program().In(v.Lang())
	for _, id := range []string{"all", "part", "rest", "nothing"} {
		p.Choices = append(p.Choices, Choice{Label: v.Say("routine."+id, nil), Text: known.Say("routine."+id, nil)})
	}
	if r.Number > 1 {
		p.Title += " (" + v.Say("routine.replaces", with{"number": r.Number - 1}) + ")"
	}
	if r.Caution {
		p.Text = joinLines(p.Text, v.Say("routine.caution", with{"caution": v.Say("caution", nil)}))
	}
	for i := range r.Items {
		it := &r.Items[i]
		p.Items = append(p.Items, PostItem{N: it.N, Head: headOf(v, it), Detail: detailOf(v, it)})
	}
	return p
}

// remind asks once, gently, for a word about the day, if nothing was heard. Who
// hurts, is away or sleeps is left in peace.
func (s *Service) remind(tx Tx, st *Studio, m *Member, date routine.Date) error {
	if quietUntil(m, s.now()).After(s.now()) {
		return nil
	}
	posted, err := routineOn(tx, m.ID, date)
	if err != nil || posted == nil {
		return err
	}
	reports, err := tx.Reports(m.ID, date, date)
	if err != nil || len(reports) > 0 {
		return err
	}
	now, err := s.settle(tx, st, m, 0)
	if err != nil || now.hurting() {
		return err
	}
	return s.tellStudent(tx, m, Post{
		Key:  Key("reminder/" + string(m.ID) + "/" + date.String()),
		Kind: ReminderPost,
		Text: s.voice(m).Say("reminder", nil),
		Of:   RoutineOf{Date: date},
	})
}

func joinLines(a, b string) string {
	if a == "" {
		return b
	}
	return a + "\n" + b
}
