package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

// The examples are those of RFC 5545, 3.8.5.3, word for word, in the zone that
// they are given in; the RFC lists the dates.
func TestLessonFollowsRFC5545(t *testing.T) {
	const nine = "1997-09-02T09:00"
	for _, tt := range []struct {
		name, start, rule string
		want              []string // local dates and times
		last              bool     // nothing comes after those
	}{
		{"daily for 10 occurrences", nine, "FREQ=DAILY;COUNT=10", []string{"09-02 09:00", "09-03 09:00", "09-04 09:00", "09-05 09:00", "09-06 09:00", "09-07 09:00", "09-08 09:00", "09-09 09:00", "09-10 09:00", "09-11 09:00"}, true},
		{"weekly until December 24, 1997", nine, "FREQ=WEEKLY;UNTIL=19971224T000000Z", []string{
			"09-02 09:00", "09-09 09:00", "09-16 09:00", "09-23 09:00", "09-30 09:00", "10-07 09:00", "10-14 09:00", "10-21 09:00",
			"10-28 09:00", "11-04 09:00", "11-11 09:00", "11-18 09:00", "11-25 09:00", "12-02 09:00", "12-09 09:00", "12-16 09:00", "12-23 09:00"}, true},
		{"every other week, forever", nine, "FREQ=WEEKLY;INTERVAL=2;WKST=SU", []string{"09-02 09:00", "09-16 09:00", "09-30 09:00", "10-14 09:00", "10-28 09:00", "11-11 09:00", "11-25 09:00"}, false},
		{"weekly on Tuesday and Thursday for five weeks", nine, "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH", []string{
			"09-02 09:00", "09-04 09:00", "09-09 09:00", "09-11 09:00", "09-16 09:00", "09-18 09:00", "09-23 09:00", "09-25 09:00", "09-30 09:00", "10-02 09:00"}, true},
		{"monthly on the first Friday for 10 occurrences", "1997-09-05T09:00", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR", []string{"09-05 09:00", "10-03 09:00", "11-07 09:00", "12-05 09:00"}, false},
	} {
		l := studio.Lesson{Start: tt.start, Rule: tt.rule, Zone: "America/New_York"}
		if err := l.Check(); err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		starts, err := l.Between(time.Date(1997, 9, 1, 0, 0, 0, 0, time.UTC), time.Date(1997, 12, 31, 0, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		loc, err := time.LoadLocation("America/New_York")
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, at := range starts {
			got = append(got, at.In(loc).Format("01-02 15:04"))
		}
		if tt.last && !slices.Equal(got, tt.want) || !tt.last && (len(got) < len(tt.want) || !slices.Equal(got[:len(tt.want)], tt.want)) {
			t.Errorf("%s:\n got %v\nwant %v", tt.name, got, tt.want)
		}
	}
	for _, wrong := range []studio.Lesson{{Start: "tomorrow"}, {Start: nine, Rule: "FREQ=NEVER"}, {Start: nine, Rule: "FREQ=SECONDLY"}, {Start: nine, Rule: "FREQ=DAILY;BYMINUTE=0,10,20,30,40"}, {Start: nine, Rule: "weekly"}} {
		if wrong.Check() == nil {
			t.Errorf("%+v is taken", wrong)
		}
	}
}

func TestLessonSheetComesOnceBeforeTheLesson(t *testing.T) {
	s := newStage(t)
	s.says("odile", "lesson Ada 2026-03-05 16:30 fortnightly")
	s.wantLast("odile", "on Thursday 5 March, 16:30", "15 minutes before")
	for day := 2; day <= 5; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "1 60 clean (felt easy), rest done")
	}
	sheets := func() []studio.Post { return s.posts("odile", studio.LessonPost) }
	s.at("2026-03-05 16:14")
	if n := len(sheets()); n != 0 {
		t.Fatalf("%d sheets before the time", n)
	}
	s.at("2026-03-05 16:15")
	s.restart()
	s.at("2026-03-05 16:16")
	if n := len(sheets()); n != 1 {
		t.Fatalf("%d sheets, want one", n)
	}
	first := sheets()[0]
	if first.Title != "Lesson with Ada, Thursday 5 March, 16:30" || !strings.Contains(pointsText(first), "felt easy") {
		t.Errorf("%s\n%s", first.Title, pointsText(first))
	}
	s.at("2026-03-05 17:40")
	s.says("odile", "note Ada breathe before the slur, elbows out")
	s.says("odile", "minutes Ada 45")
	s.at("2026-03-12 16:20")
	if n := len(sheets()); n != 1 {
		t.Errorf("%d sheets in the week between, want none more", n)
	}
	s.at("2026-03-19 16:15")
	if n := len(sheets()); n != 2 {
		t.Fatalf("%d sheets after a fortnight, want two", n)
	}
	got := pointsText(sheets()[1])
	for _, want := range []string{"Thursday 5 March: “breathe before the slur, elbows out”", "minutes 45"} {
		if !strings.Contains(got, want) {
			t.Errorf("the next sheet lacks %q:\n%s", want, got)
		}
	}
	s.says("odile", "note Ada")
	if p := s.last("odile"); len(p.Items) != 1 || !strings.Contains(p.Items[0].Detail, "elbows out") {
		t.Errorf("the notes are %+v", p.Items)
	}
}

// taught has Odile teach Ada in a weekly lesson, and returns its sheet, after the lesson.
func (s *stage) taught() studio.Post {
	s.t.Helper()
	s.says("odile", "lesson Ada 2026-03-05 16:30 weekly")
	s.at("2026-03-05 16:15")
	sheet := s.posts("odile", studio.LessonPost)[0]
	s.at("2026-03-05 17:40")
	return sheet
}

// TestDecidedInOneMessage says after a lesson, in one reply to its sheet, all that
// was decided: it holds from then on, and the next sheet has it.
func TestDecidedInOneMessage(t *testing.T) {
	s := newStage(t)
	s.reply("odile", s.taught(), "25 min, pin Daily Ground 1 line 3, Daily Ground 1 at 60; Daily Ground 1 pass 9\nbreathe before the slur, elbows out")
	got := s.last("odile").Text
	for _, want := range []string{"“25 min” ", "“pin Daily Ground 1 line 3” ", "“Daily Ground 1 at 60” ", "“Daily Ground 1 pass 9” ", "“breathe before the slur, elbows out” "} {
		if !strings.Contains(got, want) {
			t.Errorf("the answer lacks %s:\n%s", want, got)
		}
	}
	if m := s.member("ada"); m.Player.Minutes != 25 || len(m.Notes) != 1 || m.Notes[0].Text != "breathe before the slur, elbows out" {
		t.Errorf("%d minutes, notes %+v", m.Player.Minutes, m.Notes)
	}
	e := s.entry("ada", "daily-ground/1")
	if !slices.Contains(e.Pinned, 3) || e.Lock.String() != "quarter=60" || e.Pass != 1 {
		t.Errorf("the plan has %+v", e)
	}
	s.at("2026-03-12 16:15")
	next := pointsText(s.posts("odile", studio.LessonPost)[1])
	for _, want := range []string{"minutes 25", "pin Daily Ground 1, line 3", "lock Daily Ground 1 60", "breathe before the slur, elbows out"} {
		if !strings.Contains(next, want) {
			t.Errorf("the next sheet lacks %q:\n%s", want, next)
		}
	}
}

// On 29 March 2026 the clocks of London go forward (IANA): the lesson stays at
// its wall time.
func TestLessonKeepsItsWallTime(t *testing.T) {
	s := newStage(t)
	s.says("odile", "lesson Ada 2026-03-26 16:30 weekly")
	s.says("odile", "lesson Ada not 2026-04-09")
	s.wantLast("odile", "There is no lesson with Ada on Thursday 9 April")
	for _, tt := range []struct {
		at   string // in UTC
		want int
	}{{"2026-03-26 16:15", 1}, {"2026-04-02 15:14", 1}, {"2026-04-02 15:15", 2}, {"2026-04-09 17:00", 2}, {"2026-04-16 15:15", 3}} {
		s.at(tt.at)
		if n := len(s.posts("odile", studio.LessonPost)); n != tt.want {
			t.Errorf("%s UTC: %d sheets, want %d", tt.at, n, tt.want)
		}
	}
}

// A sheet still comes while the lesson lasts, after an outage, and not when it is
// over.
func TestLessonSheetAfterAnOutage(t *testing.T) {
	s := newStage(t)
	s.says("odile", "lesson Ada 2026-03-05 16:30")
	s.says("odile", "lesson Mina 2026-03-05 14:00")
	s.at("2026-03-05 17:00")
	posts := s.posts("odile", studio.LessonPost)
	if len(posts) != 1 || !strings.Contains(posts[0].Title, "Ada") {
		t.Errorf("sheets %+v, want Ada's alone", posts)
	}
	s.says("odile", "lesson Ada")
	if p := s.last("odile"); p.Kind != studio.LessonPost {
		t.Errorf("on demand comes %+v", p)
	}
	for _, wrong := range []string{"lesson Ada soon", "lesson Ada 2026-04-05 25:00", "lesson Ada 2026-04-05 12:00 FREQ=NEVER"} {
		s.says("odile", wrong)
		s.wantLast("odile", "weekly")
	}
	s.says("odile", "lesson Ada 2026-03-07 10:00 weekly")
	s.says("odile", "lessons")
	if p := s.last("odile"); len(p.Items) != 1 || p.Items[0].Head != "Saturday 7 March, 10:00 · Ada" {
		t.Errorf("the lessons to come are %+v", p.Items)
	}
	s.says("odile", "lesson Ada none")
	s.at("2026-03-07 10:00")
	if n := len(s.posts("odile", studio.LessonPost)); n != 2 {
		t.Errorf("%d sheets, want no more without lessons", n)
	}
}

// TestLessonInThePast: a lesson that would have been is refused by its date, even if
// others are to come; a rule may have begun in the past.
func TestLessonInThePast(t *testing.T) {
	s := newStage(t)
	const gone = "2 March 2025, 16:30 has gone by, so no lesson with Ada is set"
	s.says("odile", "lesson Ada 2025-03-02 16:30")
	s.wantLast("odile", gone)
	s.says("odile", "lesson Ada 2026-02-24 16:30 weekly")
	s.wantLast("odile", "on Tuesday 3 March, 16:30")
	s.says("odile", "lesson Ada 2025-03-02 16:30")
	s.wantLast("odile", gone)
	s.says("odile", "lesson Ada 2026-01-06 16:30 FREQ=WEEKLY;COUNT=3")
	s.wantLast("odile", "a date and a time to come")
	if n := len(s.member("ada").Lessons); n != 1 {
		t.Errorf("%d lessons are kept, want the weekly one", n)
	}
}

// A report for the family says what was reached and nothing of what was not, and
// nothing of her health.
func TestReportIsKind(t *testing.T) {
	s := newStage(t)
	s.says("petra", "consent Mina")
	for day := 2; day <= 9; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		if day == 5 {
			s.says("mina", "done, my lip hurts")
		} else if day < 5 {
			s.says("mina", "all clean")
		}
	}
	s.says("petra", "report Mina 2026-03-01 2026-03-09")
	p := s.last("petra")
	all := p.Title + p.Text + pointsText(p) + p.Foot
	if p.Kind != studio.ReportPost || !strings.Contains(p.Text, "Mina played on 4 days") || !strings.Contains(all, "First steps") {
		t.Errorf("%s", all)
	}
	for _, no := range []string{"miss", "hurt", "pain", "quiet", "stuck", "minute", " of 8", "fail"} {
		if strings.Contains(strings.ToLower(all), no) {
			t.Errorf("the report says %q: %s", no, all)
		}
	}
	s.says("petra", "report Ada 2026-03-01 2026-03-09")
	s.wantLast("petra", "guardian of")
}

// TestHolidayIsListedAndTakenBack sets a holiday once, shows it and takes it back.
func TestHolidayIsListedAndTakenBack(t *testing.T) {
	s := newStage(t)
	for _, tt := range []struct{ say, want string }{
		{"holiday", "No holiday is set."},
		{"holiday 2026-04-03 2026-04-10", "The studio is free from Friday 3 April to Friday 10 April."},
		{"holiday 2026-04-04", "free from Friday 3 April to Friday 10 April already"},
		{"holiday", "Holidays to come"},
		{"holiday 2026-05-01 none", "in no holiday"},
		{"holiday 2026-04-05 none", "from Friday 3 April to Friday 10 April is taken back"},
		{"holiday", "No holiday is set."},
	} {
		s.says("odile", tt.say)
		s.wantLast("odile", tt.want)
	}
}
