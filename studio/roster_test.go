package studio_test

import (
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
