package studio_test

import (
	"slices"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// TestHereBeforeTheProgram: a file may say that a student joined long before the
// program first ran; the days until then, without a routine, are nobody's fault.
func TestHereBeforeTheProgram(t *testing.T) {
	roster := studiotest.Roster()
	for i := range roster.Members {
		if m := &roster.Members[i]; m.ID == "ada" {
			m.Joined = routine.NewDate(2026, 1, 7)
		}
	}
	s := stageAt(t, studiotest.Catalogue(), roster, monday.AddDate(0, 0, 2).Add(4*time.Hour)) // Wednesday, ten o'clock
	s.work()
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines on the first day, want 1 at once", n)
	}
	s.says("ada", "done 30")
	s.says("odile", "student Ada")
	s.wantLast("odile", "Ada · 1 of 1 day kept")
}

// TestHolidaysOfTheFile: a holiday that is taken out of the file is no longer one,
// today's routine comes; what was set or taken away in the chat stays so.
func TestHolidaysOfTheFile(t *testing.T) {
	easter, fair, own := studio.Span{From: march(2), To: march(6)}, studio.Span{From: march(20), To: march(21)}, studio.Span{From: march(30), To: march(31)}
	applied := func(s *stage, holidays ...studio.Span) {
		t.Helper()
		r := studiotest.Roster()
		r.Members[1].Joined = march(2) // as she did when the stage opened
		r.Studio.Holidays = holidays
		if err := s.service.Apply(t.Context(), r); err != nil {
			t.Fatal(err)
		}
		s.work()
	}
	want := func(s *stage, holidays ...studio.Span) {
		t.Helper()
		s.view(func(tx studio.Tx) error {
			st, err := tx.Studio("harbour")
			if !slices.Equal(st.Holidays, holidays) {
				t.Errorf("holidays %v, want %v", st.Holidays, holidays)
			}
			return err
		})
	}
	s := newStage(t)
	applied(s, easter, fair)
	s.says("odile", "holiday 2026-03-30 2026-03-31")
	s.at("2026-03-02 10:00")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 0 {
		t.Fatalf("%d routines on a free day", n)
	}
	want(s, easter, fair, own)
	applied(s, fair)
	want(s, fair, own)
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines once the day is not free, want 1", n)
	}
	applied(s, fair, own) // the file has it now too
	applied(s, fair)
	want(s, fair, own)
	s.says("odile", "holiday 2026-03-20 none")
	applied(s, fair, easter)
	want(s, own, easter)
	applied(s)
	want(s, own)
}
