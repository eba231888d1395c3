package studio_test

import (
	"fmt"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// climbs gives a student a log of one line of Daily Ground 1: a session every
// other day, each second one shaky, and a mark up after each clean one.
func climbs(tx studio.Tx, who studio.MemberID, line, sessions int, test bool) error {
	ref := routine.LineRef{Book: "daily-ground", Study: 1, Line: line}
	at := routine.Tempo{BPM: 42, Note: routine.Quarter}
	for i := range sessions {
		e := routine.Entry{Date: march(2) + routine.Date(2*i), Item: 1, Lines: []routine.LineRef{ref}, Pass: 1, Outcome: routine.Clean, To: at, Test: test}
		if i%2 == 1 {
			e.Outcome = routine.Shaky
		}
		err := tx.AppendReport(&studio.Report{Member: who, At: monday, Day: routine.DayReport{Date: e.Date, Played: true}, Entries: []routine.Entry{e}})
		if err != nil {
			return err
		}
		if i%2 == 0 {
			at = at.Up()
		}
	}
	key := routine.StandingKey{Line: ref, Pass: 1}
	entries, err := tx.LineEntries(who, ref, 1)
	if err != nil {
		return err
	}
	goal := routine.Tempo{BPM: 72, Note: routine.Quarter}
	return tx.PutStanding(who, key, streaks.Stand(entries, nil, streaks.Rule{Goal: goal}))
}

// Every working line of the plan has its forecast, and its minute test, or the
// reason why there is none; what is said of several lines is said once.
func TestForecasts(t *testing.T) {
	s := workshopStage(t)
	if err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		for line, sessions := range map[int]int{1: 20, 2: 4, 3: 5} {
			if err := climbs(tx, "ada", line, sessions, false); err != nil {
				return err
			}
		}
		return climbs(tx, "ada", 4, 20, true)
	}); err != nil {
		t.Fatal(err)
	}
	s.at("2026-04-10 07:00")
	all, err := s.service.Forecasts(t.Context(), "ada")
	if err != nil || len(all) != 5 {
		t.Fatalf("%d forecasts, %v; want four lines and a minute test", len(all), err)
	}
	for i, want := range []string{"", "too few sessions", "too few sessions", "too few sessions that were not clean", ""} {
		f := all[i]
		if (f.None == "") != (want == "") || string(f.None) != want && want != "" || f.Test != (i == 4) {
			t.Errorf("forecast %d is %+v, want %q", i, f, want)
		}
		if f.None == "" && (f.From < march(10)+31 || f.To < f.From) {
			t.Errorf("forecast %d is from %v to %v", i, f.From, f.To)
		}
	}
	shown := func(who string, parts ...string) {
		t.Helper()
		p := s.last(who)
		if len(p.Items) != 1 || p.Title != "When it may be there, Ada" {
			t.Fatalf("%s is shown %+v", who, p)
		}
		for _, part := range parts {
			if !strings.Contains(p.Items[0].Detail, part) {
				t.Errorf("%s is shown %q, want %q in it", who, p.Items[0].Detail, part)
			}
		}
	}
	words := []string{"Line 1: quarter=72 likely between ", "Lines 2, 3: quarter=72: no forecast yet, too few sessions.\n", "Line 4: quarter=72 for a minute likely "}
	s.says("ada", "forecast")
	shown("ada", words...)
	s.says("ada", "progress daily-ground/1/4")
	s.wantLast("ada", "quarter=72: no forecast yet, too few sessions that were not clean. quarter=72 for a minute likely ")
	s.says("odile", "forecast Ada")
	shown("odile", words...)
	s.says("odile", "lock Ada daily-ground/1 quarter=50")
	s.says("odile", "forecast Ada")
	shown("odile", "Lines 1–4: quarter=72: no forecast yet, its tempo is locked")
	s.says("odile", "hold Ada daily-ground/1")
	s.says("odile", "forecast Ada")
	s.wantLast("odile", "No line is in work")
}

// BenchmarkForecasts makes all forecasts of a studio of 40: for each student four
// lines of 20 sessions, in one database.
func BenchmarkForecasts(b *testing.B) {
	r := studiotest.Roster()
	plan := r.Plans["ada"]
	var ids []studio.MemberID
	for i := range 40 {
		m := studiotest.Member(fmt.Sprintf("s%02d", i), studio.Student)
		r.Members, r.Plans[m.ID], ids = append(r.Members, m), plan, append(ids, m.ID)
	}
	now := monday
	store, service := benchStage(b, r, &now)
	if err := store.Update(b.Context(), func(tx studio.Tx) error {
		for _, id := range ids {
			for line := range 4 {
				if err := climbs(tx, id, 1+line, 20, false); err != nil {
					return err
				}
			}
		}
		return nil
	}); err != nil {
		b.Fatal(err)
	}
	now = monday.AddDate(0, 0, 40)
	for b.Loop() {
		lines := 0
		for _, id := range ids {
			all, err := service.Forecasts(b.Context(), id)
			if err != nil {
				b.Fatal(err)
			}
			lines += len(all)
		}
		b.ReportMetric(float64(lines), "lines")
	}
}
