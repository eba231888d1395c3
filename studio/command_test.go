package studio_test

import (
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
)

// TestWrongWordsOfTheTeacher says of each command what is wrong with it, and does
// nothing.
func TestWrongWordsOfTheTeacher(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	for text, want := range map[string]string{
		"sign-off Ada daily-ground/1/1 x":                  "“x” means nothing to me there",
		"sign-off Ada daily-ground/1/99":                   "daily-ground/1 has lines 1 to ",
		"move-back Ada daily-ground/1/1 quarter=999":       "quarter=999 is above the goal of pass 1",
		"interleave Ada daily-ground/1 maybe":              "“maybe” means nothing to me there",
		"copy-plan Ada":                                    "Name two students",
		"excuse Ada 2026-03-07 2026-03-05":                 "2026-03-05 is before 2026-03-07",
		"excuse Ada 2026-03-07 2026-03-31 travel by train": "“by train” means nothing to me there",
		"holiday 2026-03-07 2028-03-05":                    "more than a year",
		"holiday 2026-03-07 2026-03-33":                    "“2026-03-33” means nothing to me there",
		"seen Ada":                                         "There is no such question of Ada's",
		"erase Odile":                                      "A teacher can't be erased",
		"consent Ada no":                                   "Nobody's consent is needed for Ada",
	} {
		s.says("odile", text)
		if got := s.last("odile").Text; !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// TestExcuseAndHolidayAreTakenBack: what was freed by mistake is expected again, the
// routine of today too.
func TestExcuseAndHolidayAreTakenBack(t *testing.T) {
	s := newStage(t)
	s.says("odile", "excuse Ada 2026-03-02 2026-03-06 ill")
	s.wantLast("odile", "Ada is excused from Monday 2 March to Friday 6 March (ill)")
	s.says("odile", "holiday 2026-03-02")
	s.wantLast("odile", "The studio is free on Monday 2 March")
	s.at("2026-03-02 10:00")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 0 {
		t.Fatalf("%d routines on a free day", n)
	}
	s.says("odile", "excuse Ada 2026-03-02 2026-03-03 none")
	s.wantLast("odile", "Ada is not excused from Monday 2 March to Tuesday 3 March")
	s.says("odile", "holiday 2026-03-02 none")
	if n := len(s.posts("ada", studio.RoutinePost)); n != 1 {
		t.Errorf("%d routines once the day is not free, want 1", n)
	}
	if p := s.member("ada").Pauses; p[len(p)-1] != (streaks.Pause{From: march(4), To: march(6), Excuse: routine.Ill}) {
		t.Errorf("left of the excuse: %+v", p)
	}
}

// TestAskedOnce: a student is asked the same again only when she has written since.
func TestAskedOnce(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 09:00")
	asked := func(want int) {
		t.Helper()
		if n := len(s.posts("ada", studio.AnswerPost)); n != want {
			t.Errorf("Ada was asked %d times, want %d", n, want)
		}
	}
	s.says("odile", "ask Ada")
	s.wantLast("odile", "Ada is asked in your name")
	s.at("2026-03-04 09:00")
	s.says("odile", "ask Ada")
	s.wantLast("odile", "Ada has been asked already and has not answered yet")
	asked(1)
	s.says("ada", "fine, thanks")
	s.says("odile", "ask Ada")
	s.wantLast("odile", "Ada is asked in your name")
	asked(2)
	s.says("ada", "my lip hurts")
	s.says("odile", "ask Ada")
	s.says("odile", "ask Ada")
	s.wantLast("odile", "has not answered yet")
	asked(3)
}

// TestHelpIsForWhoAsks: a student is shown no name to write, a teacher must.
func TestHelpIsForWhoAsks(t *testing.T) {
	s := newStage(t)
	for who, want := range map[string]string{"ada": "\nbest [STUDY]: ", "odile": "\nbest NAME [STUDY]: "} {
		s.says(who, "help")
		if got := s.last(who).Text; !strings.Contains(got, want) {
			t.Errorf("the help of %s lacks %q:\n%s", who, want, got)
		}
	}
}
