package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// livingIn returns a stage on which Ada lives in a zone.
func livingIn(t *testing.T, zone string) *stage {
	t.Helper()
	r := studiotest.Roster()
	r.Members[1].Zone = zone
	r.Members[1].Joined = march(2)
	return stageOf(t, studiotest.Catalogue(), r)
}

// routinesOf returns the titles of the routines that a member was posted.
func (s *stage) routinesOf(who string) (titles []string) {
	for _, p := range s.posts(who, studio.RoutinePost) {
		titles = append(titles, p.Title)
	}
	return titles
}

func (s *stage) wantRoutines(who string, days ...string) {
	s.t.Helper()
	got := s.routinesOf(who)
	if strings.Join(got, ", ") != strings.Join(days, ", ") {
		s.t.Errorf("routines of %s: %q, want %q", who, got, days)
	}
}

// wantStreak checks the days in a row and, of this ISO week, the days kept and
// planned.
func (s *stage) wantStreak(who studio.MemberID, streak int, week streaks.Week) {
	s.t.Helper()
	place, err := s.service.Place(s.t.Context(), who)
	if err != nil {
		s.t.Fatal(err)
	}
	if place.Tally.Streak != streak || place.Tally.ThisWeek != week {
		s.t.Errorf("%s has %d days in a row and %+v this week, want %d and %+v", who, place.Tally.Streak, place.Tally.ThisWeek, streak, week)
	}
}

// All instants of these tests are in UTC. In March 2026 Honolulu is 10 hours
// behind it, Auckland 13 ahead, Kiritimati 14 ahead, Pago Pago 11 behind; London
// is on it until the 29th, and Berlin an hour ahead.

// Over the date line to the west, as ships go: the date jumps ahead. Monday is
// still told in Honolulu's time; Tuesday's routine comes at once, since its time
// has gone by in Auckland.
func TestAcrossTheDateLineAhead(t *testing.T) {
	s := livingIn(t, "Pacific/Honolulu")
	s.at("2026-03-02 17:00") // Monday, 7:00
	s.at("2026-03-03 06:00") // Monday, 20:00 in Honolulu; Tuesday, 19:00 in Auckland
	s.says("odile", "zone Ada pacific/auckland")
	s.wantLast("odile", "is no time zone")
	s.says("odile", "zone Ada Pacific/Auckland")
	s.wantLast("odile", "where it is Tuesday 3 March")
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March")
	s.says("ada", "all done 30m")
	s.wantEntries("ada", march(2))
	s.at("2026-03-03 12:00") // Wednesday, 1:00: well after Monday's cut-off by Auckland's clock, before it by Honolulu's
	s.at("2026-03-03 19:00") // Wednesday, 8:00
	s.says("ada", "Monday: all done 30m")
	if p := s.last("ada"); strings.Contains(p.Text, "cut-off") {
		t.Errorf("Monday, told 21 hours before it is over by Honolulu's cut-off, is late: %q", p.Text)
	}
	s.says("ada", "all done 30m")
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March", "Wednesday 4 March")
	s.wantStreak("ada", 3, streaks.Week{Planned: 7, Kept: 3})
	s.rederive("ada")
}

// Over it the other way Monday comes twice: one routine, and the second Monday
// neither adds nor takes a day.
func TestAcrossTheDateLineBack(t *testing.T) {
	s := livingIn(t, "Pacific/Auckland")
	s.at("2026-03-02 17:59") // Tuesday the 3rd, 6:59
	s.at("2026-03-02 18:00") // 7:00
	s.says("ada", "all done 30m")
	s.at("2026-03-02 22:00") // Tuesday, 11:00 in Auckland; Monday, 12:00 in Honolulu
	s.says("odile", "zone Ada Pacific/Honolulu")
	s.wantLast("odile", "where it is Monday 2 March")
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March")
	s.says("ada", "all done 30m") // Monday after all, whose cut-off is a day away now
	s.at("2026-03-03 17:00")      // Tuesday again, 7:00
	s.says("ada", "all done 30m") // what was said of it stands
	entries := len(s.entries("ada", march(3)))
	if items := len(s.routineOf("ada").Items); entries != items {
		t.Errorf("%d entries for the %d items of a Tuesday that came twice", entries, items)
	}
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March")
	s.wantStreak("ada", 2, streaks.Week{Planned: 7, Kept: 2})
	s.at("2026-03-04 17:00")
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March", "Wednesday 4 March")
	s.rederive("ada")
}

// From Pago Pago to Kiritimati shortly before midnight a whole date is left out:
// the 3rd never was, and can't be missed.
func TestDateThatNeverWas(t *testing.T) {
	s := livingIn(t, "Pacific/Pago_Pago")
	s.at("2026-03-02 18:00") // Monday, 7:00
	s.says("ada", "all done 30m")
	s.at("2026-03-03 10:30") // Monday, 23:30 in Pago Pago; Wednesday, 0:30 in Kiritimati
	s.says("odile", "zone Ada Pacific/Kiritimati")
	s.wantLast("odile", "where it is Wednesday 4 March")
	s.at("2026-03-03 17:00") // Wednesday, 7:00
	s.says("ada", "all done 30m")
	s.wantRoutines("ada", "Monday 2 March", "Wednesday 4 March")
	s.wantStreak("ada", 2, streaks.Week{Planned: 6, Kept: 2})
	for day := 5; day <= 8; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 17:00", day-1))
		s.says("ada", "all done 30m")
	}
	s.at("2026-03-09 17:00")
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.Weeks != 1 || place.Tally.Streak != 6 {
		t.Errorf("after all six days of that week: %+v", place.Tally)
	}
}

// At three in the morning of Monday, four hours before its routine, she moves to
// where it is Tuesday already: Monday is excused, since nothing was posted.
func TestDateThatEndsBeforeItsRoutine(t *testing.T) {
	s := livingIn(t, "Pacific/Pago_Pago")
	s.at("2026-03-02 14:00")
	s.says("odile", "zone Ada Pacific/Auckland")
	s.wantLast("odile", "where it is Tuesday 3 March")
	s.at("2026-03-02 18:00") // Tuesday, 7:00
	s.says("ada", "all done 30m")
	s.wantRoutines("ada", "Tuesday 3 March")
	s.wantStreak("ada", 1, streaks.Week{Planned: 6, Kept: 1})
	for _, morning := range []string{"2026-03-03 18:00", "2026-03-04 18:00"} { // beyond Monday's cut-off by either clock
		s.at(morning)
		s.says("ada", "all done 30m")
	}
	s.wantStreak("ada", 3, streaks.Week{Planned: 6, Kept: 3})
}

// An hour is enough to lose a routine: at half past six in London it is half
// past seven in Berlin.
func TestAnHourAheadBeforeTheRoutine(t *testing.T) {
	s := livingIn(t, "Europe/London")
	s.at("2026-03-02 06:30")
	s.says("odile", "zone Ada Europe/Berlin")
	s.wantRoutines("ada", "Monday 2 March")
	s.at("2026-03-02 07:00")
	s.says("odile", "zone Ada Europe/London")
	s.at("2026-03-02 08:00")
	s.wantRoutines("ada", "Monday 2 March")
	s.at("2026-03-03 07:00")
	s.wantRoutines("ada", "Monday 2 March", "Tuesday 3 March")
}

// A message belongs to the date it was written on, wherever its author is when
// it is edited.
func TestEditAfterAMoveStaysOnItsDay(t *testing.T) {
	s := livingIn(t, "Pacific/Honolulu")
	s.at("2026-03-02 17:00")
	m := s.says("ada", "1 60 clean")
	s.at("2026-03-03 06:00")
	s.says("odile", "zone Ada Pacific/Auckland")
	m.Happening, m.Revision, m.Text = studio.Edited, "1", "1 60 shaky"
	s.happens(m)
	s.wantEntries("ada", march(2), "1 shaky quarter=60")
	s.wantEntries("ada", march(3))
	s.rederive("ada")
}

// A file that says another zone than before moves the student as the command
// does; one that is applied again leaves her where the chat has put her.
func TestZoneFromTheFile(t *testing.T) {
	s := livingIn(t, "Europe/London")
	s.at("2026-03-02 06:30")
	s.says("odile", "zone Ada Europe/Berlin")
	r := studiotest.Roster()
	r.Members[1].Joined = march(2)
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if z := s.memberOf("ada").Zone; z != "Europe/Berlin" {
		t.Errorf("a file as before has moved her to %s", z)
	}
	r.Members[1].Zone = "Europe/Lisbon"
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if m := s.memberOf("ada"); m.Zone != "Europe/Lisbon" || len(m.Moved) != 2 {
		t.Errorf("after a file with another zone she is in %s, having moved %v", m.Zone, m.Moved)
	}
	s.work()
	s.at("2026-03-02 07:30")
	s.wantRoutines("ada", "Monday 2 March")
}

func (s *stage) memberOf(id studio.MemberID) (m studio.Member) {
	s.t.Helper()
	s.view(func(tx studio.Tx) (err error) {
		m, err = tx.Member(id)
		return err
	})
	return m
}

func TestLeavingAndComingBack(t *testing.T) {
	s := newStage(t)
	for day := 2; day <= 4; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "all done 30m")
	}
	s.at("2026-03-05 07:00")
	s.says("odile", "leave Ada")
	s.wantLast("odile", "the last day that counts is Wednesday 4 March")
	s.says("odile", "leave Ada")
	s.wantLast("odile", "left on Wednesday 4 March")
	s.at("2026-03-20 07:00")
	if n := len(s.routinesOf("ada")); n != 4 {
		t.Errorf("%d routines, want none after the 5th", n)
	}
	s.wantStreak("ada", 3, streaks.Week{})
	s.at("2026-03-22 18:00")
	digests := s.posts("odile", studio.DigestPost)
	for _, it := range digests[len(digests)-1].Items {
		if strings.HasPrefix(it.Head, "Ada") {
			t.Errorf("the digest of a week after she left says %q", it.Head)
		}
	}
	s.at("2026-03-24 09:00") // Tuesday, two hours after the time of the routine
	s.says("odile", "resume Ada")
	if titles := s.routinesOf("ada"); len(titles) != 5 || titles[4] != "Tuesday 24 March" {
		t.Fatalf("routines %q, want one at once on the day she is back", titles)
	}
	s.says("ada", "all done 30m")
	s.wantStreak("ada", 4, streaks.Week{Planned: 6, Kept: 1}) // Monday was before she was back
	s.rederive("ada")
}

func TestLeavingOnADayThatWasPlayed(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "all done 30m")
	s.says("odile", "leave Ada")
	s.wantLast("odile", "the last day that counts is Monday 2 March")
	s.at("2026-03-09 07:00")
	s.wantStreak("ada", 1, streaks.Week{})
	s.says("odile", "resume Ada")
	s.says("ada", "all done 30m")
	s.wantStreak("ada", 2, streaks.Week{Planned: 7, Kept: 1})
}

// Whoever joins in the afternoon has a routine on that day, or the day would
// count as missed.
func TestJoiningAfterTheRoutine(t *testing.T) {
	s := newStage(t)
	s.at("2026-03-04 15:00")
	r := studiotest.Roster()
	bea := studiotest.Member("bea", studio.Student)
	bea.Joined = 0
	r.Members = append(r.Members, bea)
	r.Plans["bea"] = r.Plans["ada"]
	if err := s.service.Apply(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.work()
	s.wantRoutines("bea", "Wednesday 4 March")
	s.says("bea", "all done 20m")
	s.wantStreak("bea", 1, streaks.Week{Planned: 5, Kept: 1})
	s.at("2026-03-05 07:00")
	s.wantRoutines("bea", "Wednesday 4 March", "Thursday 5 March")
}

// A traveller who moves every 31 hours, so at all hours of the day, answers
// every routine she is posted on its day. No date of hers has two routines, and
// none is missed, whether she saw much of it or a few hours of the night.
func TestTravellerLosesNoDay(t *testing.T) {
	zones := []string{"Pacific/Pago_Pago", "Pacific/Auckland", "Europe/London", "America/New_York", "Pacific/Kiritimati", "Asia/Kathmandu", "Pacific/Honolulu"}
	s := livingIn(t, "Europe/London")
	seen := map[routine.Date]bool{}
	for hour := range 24 * 20 {
		s.now = monday.Add(time.Duration(hour) * time.Hour)
		s.work()
		if hour%31 == 30 {
			s.says("odile", "zone Ada "+zones[hour/31%len(zones)])
		}
		m := s.memberOf("ada")
		date := routine.DateOf(s.now, m.Location())
		if slices.Contains(s.routinesOf("ada"), longDay(date)) && !seen[date] {
			seen[date] = true
			s.says("ada", "all done 30m")
		}
	}
	titles := map[string]bool{}
	for _, title := range s.routinesOf("ada") {
		if titles[title] {
			t.Errorf("two routines for %s", title)
		}
		titles[title] = true
	}
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if len(seen) < 12 || place.Tally.Streak != len(seen) {
		t.Errorf("%d days in a row of the %d on which she played", place.Tally.Streak, len(seen))
	}
	s.rederive("ada")
}

// longDay is a date as the title of a routine has it.
func longDay(d routine.Date) string {
	_, month, day := d.Calendar()
	return fmt.Sprintf("%s %d %s", d.Weekday(), day, month)
}

// Yesterday is the day she had, not the date that was left out; and of a date that
// comes twice it is asked which day she calls so, and not logged.
func TestYesterdayOverTheDateLine(t *testing.T) {
	s := livingIn(t, "Pacific/Pago_Pago")
	s.at("2026-03-02 18:00") // Monday, 7:00
	s.at("2026-03-03 10:30") // Monday, 23:30; Wednesday, 0:30 in Kiritimati
	s.says("odile", "zone Ada Pacific/Kiritimati")
	s.at("2026-03-03 17:00") // Wednesday, 7:00
	s.says("ada", "yesterday: all done 30m")
	s.wantLast("ada", "Monday 2 March")
	if n := len(s.entries("ada", march(2))); n == 0 {
		t.Error("nothing is logged for Monday")
	}
	s.wantEntries("ada", march(3))
	s.wantEntries("ada", march(4))
	s.wantStreak("ada", 1, streaks.Week{Planned: 6, Kept: 1})
	s.says("ada", "undo")
	s.wantEntries("ada", march(2))
	s.rederive("ada")

	s = livingIn(t, "Pacific/Kiritimati")
	s.at("2026-03-01 17:00") // Monday, 7:00
	s.at("2026-03-02 17:00") // Tuesday, 7:00
	s.at("2026-03-03 10:30") // Wednesday, 0:30; Monday, 23:30 in Pago Pago
	s.says("odile", "zone Ada Pacific/Pago_Pago")
	s.at("2026-03-03 18:00") // Tuesday again, 7:00
	s.says("ada", "yesterday: all done 30m")
	for day := 1; day <= 4; day++ {
		s.wantEntries("ada", march(day))
	}
	if qs := s.posts("ada", studio.QuestionPost); len(qs) == 0 {
		t.Error("which day she calls yesterday is not asked")
	}
}

// Nights on which a clock changes, midnights that are missing, hours that come
// twice and a date that never was (tzdata 2025b): one routine a date, each date
// kept that is answered in its last hour, and the odd one until the cut-off at noon
// of the next, but not after it.
func TestOddNightsAndTheStreak(t *testing.T) {
	for _, tt := range []struct{ zone, odd string }{
		{"America/New_York", "2026-03-08"}, {"America/New_York", "2026-11-01"},
		{"Europe/London", "2026-03-29"}, {"Europe/London", "2026-10-25"},
		{"Australia/Lord_Howe", "2026-04-05"}, {"Australia/Lord_Howe", "2026-10-04"},
		{"Africa/Casablanca", "2026-02-15"}, {"Africa/Casablanca", "2026-03-22"},
		{"Asia/Beirut", "2026-03-29"}, {"Africa/Cairo", "2026-04-24"}, {"Africa/Cairo", "2026-10-29"},
		{"America/Sao_Paulo", "2018-11-04"}, {"Pacific/Apia", "2011-12-30"},
	} {
		for _, late := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s %s late=%v", tt.zone, tt.odd, late), func(t *testing.T) { oddNight(t, tt.zone, tt.odd, late) })
		}
	}
}

// oddNight plays the dates around an odd one. The odd one is answered on the next,
// before the cut-off or after it; if it never was, the one before it is.
func oddNight(t *testing.T, zone, day string, late bool) {
	odd, err := routine.ParseDate(day)
	if err != nil {
		t.Fatal(err)
	}
	loc, err := time.LoadLocation(zone)
	if err != nil {
		t.Fatal(err)
	}
	var dates []routine.Date
	var titles []string
	for d := odd - 2; d <= odd+2; d++ {
		if _, was := d.At(12, 0, loc); was {
			dates, titles = append(dates, d), append(titles, longDay(d))
		}
	}
	answeredNext := 2
	if dates[2] != odd {
		answeredNext = 1
	}
	r := studiotest.Roster()
	r.Members[1].Zone, r.Members[1].Joined = zone, odd-2
	begin, _ := (odd - 3).At(12, 0, loc)
	s := stageAt(t, studiotest.Catalogue(), r, begin)
	clock := func(d routine.Date, hour, minute int) {
		t.Helper()
		s.now, _ = d.At(hour, minute, loc)
		s.work()
	}
	for i, d := range dates {
		clock(d, 7, 30)
		if i == answeredNext+1 {
			clock(d, 11, 30)
			if late {
				clock(d, 12, 30)
			}
			s.says("ada", "yesterday: all done 30m")
		}
		if clock(d, 23, 30); i != answeredNext {
			s.says("ada", "all done 30m")
		}
	}
	s.wantRoutines("ada", titles...)
	streak := len(dates)
	if late {
		streak -= answeredNext + 1
	}
	place, err := s.service.Place(t.Context(), "ada")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.Streak != streak {
		t.Errorf("%d days in a row, want %d of the dates %v", place.Tally.Streak, streak, titles)
	}
	s.rederive("ada")
}
