package studio_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// A clock that shows another year for a moment must cost nobody a routine, a
// streak, or a post that waits.
func TestClockSetForwardAndBack(t *testing.T) {
	for _, wrong := range []string{"2026-03-02 12:30", "2026-03-03 00:01", "2026-03-04 08:00", "2026-06-01 08:00", "2027-03-02 08:00"} {
		for _, restarted := range []bool{false, true} {
			t.Run(fmt.Sprint(wrong, restarted), func(t *testing.T) {
				s := livingIn(t, "Europe/London")
				s.at("2026-03-02 07:00")
				s.says("ada", "done 30")
				s.work()
				s.at(wrong)
				if restarted {
					s.restart()
				}
				for day := 2; day <= 6; day++ {
					s.at(fmt.Sprintf("2026-03-%02d 07:30", day))
					if day > 2 {
						s.says("ada", "done 30")
						s.work()
					}
				}
				s.at("2026-03-06 20:00")
				for day := 2; day <= 6; day++ {
					if n := s.routinesFor("ada", march(day)); n != 1 {
						t.Errorf("%d routines for %s, want 1", n, march(day))
					}
				}
				place, err := s.service.Place(t.Context(), "ada")
				if err != nil {
					t.Fatal(err)
				}
				if place.Tally.Streak != 5 {
					t.Errorf("%d days in a row, want 5", place.Tally.Streak)
				}
			})
		}
	}
}

// A clock that is wrong from before a routine's time until after it passes over the
// routine, which comes when the clock is right.
func TestRoutinePassedOverByAWrongClock(t *testing.T) {
	for _, restarted := range []bool{false, true} {
		s := livingIn(t, "Europe/London")
		s.at("2026-03-02 20:00")
		s.at("2026-11-01 08:00")
		if restarted {
			s.restart()
		}
		s.at("2026-03-03 09:00")
		if n := s.routinesFor("ada", march(3)); n != 1 {
			t.Errorf("restarted %v: %d routines of the day on which the clock was put right, want 1", restarted, n)
		}
	}
}

// routinesFor counts the posts to a member of her routine of a date.
func (s *stage) routinesFor(who string, d routine.Date) (n int) {
	for _, p := range s.posts(who, studio.RoutinePost) {
		if p.Key == studio.RoutineKey(studio.MemberID(who), d, 1)+studio.Key("@"+who) {
			n++
		}
	}
	return n
}

// A post that fails while the clock is a year ahead waits for no year.
func TestPostQueuedByAWrongClockGoesOut(t *testing.T) {
	s := newStage(t)
	s.at("2027-03-01 07:00")
	s.chat.fail = func(studio.Post) error { return fmt.Errorf("no network") }
	s.says("ada", "help")
	s.work()
	before := s.count(studio.AnswerPost)
	s.chat.fail = func(studio.Post) error { return nil }
	s.at("2026-03-02 09:00")
	if got := s.count(studio.AnswerPost); got != before+1 {
		t.Errorf("%d answers went out after the clock was put right, want %d", got, before+1)
	}
}

// Whatever the clock shows in between, each date gets its routine once, and each
// reply counts.
func TestClockJumpsAtRandom(t *testing.T) {
	for seed := range uint64(10) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { jumpAtRandom(t, rand.New(rand.NewPCG(seed, 0))) })
	}
}

func jumpAtRandom(t *testing.T, r *rand.Rand) {
	s := livingIn(t, "Europe/London")
	const days = 8
	for day := 2; day < 2+days; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:10", day))
		right := s.now
		for range r.IntN(3) {
			s.now = right.Add(time.Duration(r.IntN(410*24*60)-10*24*60) * time.Minute)
			if s.now.Before(monday) {
				s.now = monday
			}
			s.work()
			if r.IntN(2) == 0 {
				s.restart()
			}
		}
		s.now = right
		s.work()
		s.says("ada", "done 30")
		s.work()
	}
	for day := 2; day < 2+days; day++ {
		if n := s.routinesFor("ada", march(day)); n != 1 {
			t.Errorf("%d routines for %s, want 1", n, march(day))
		}
		var reports []studio.Report
		s.view(func(tx studio.Tx) (err error) {
			reports, err = tx.Reports("ada", march(day), march(day))
			return err
		})
		if len(reports) != 1 {
			t.Errorf("%d reports about %s, want 1", len(reports), march(day))
		}
	}
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.Streak != days {
		t.Errorf("%d days in a row, want %d", place.Tally.Streak, days)
	}
}
