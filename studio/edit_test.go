package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgerline/studio"
)

// edits has the author of a message change it.
func (s *stage) edits(m studio.Message, text string) {
	s.t.Helper()
	s.serial++
	m.Happening, m.Revision, m.Text, m.At = studio.Edited, fmt.Sprint(s.serial), text, s.now
	s.happens(m)
}

// TestEditedCommandIsNotCarriedOutTwice edits commands that can't be taken back: what
// they did stands, nothing more is done, and a button offers to do it anew.
func TestEditedCommandIsNotCarriedOutTwice(t *testing.T) {
	const stands = "Your message of 10:04 was carried out and is not changed by editing"
	s := newStage(t)
	s.at("2026-03-02 10:04")
	challenge := s.says("odile", "challenge 14 80 Spring together")
	s.at("2026-03-02 10:30")
	s.edits(challenge, "challenge 14 80 Spring, all together")
	s.wantLast("odile", stands)
	if c := s.theChallenge(); c.Title != "Spring together" {
		t.Errorf("the challenge is %q", c.Title)
	}
	if p := s.last("odile"); len(p.Choices) != 1 || p.Choices[0].Text != "challenge 14 80 Spring, all together" {
		t.Errorf("choices %+v", p.Choices)
	}
	n := len(s.chat.posts)
	s.edits(challenge, "challenge 14 80  Spring together")
	if len(s.chat.posts) != n {
		t.Errorf("to an edit that changes nothing it says %q", s.last("odile").Text)
	}
	s.edits(challenge, "good morning")
	if p := s.last("odile"); !strings.Contains(p.Text, stands) || len(p.Choices) != 0 {
		t.Errorf("%q with choices %+v", p.Text, p.Choices)
	}

	s.at("2026-03-02 11:00")
	asked := s.says("odile", "ask Ada")
	told := s.says("odile", "tell Ada play softly")
	minutes := s.says("odile", "minutes Ada 25")
	n = len(s.posts("ada", studio.AnswerPost))
	s.at("2026-03-03 09:00")
	s.edits(asked, "ask Ada please")
	s.edits(told, "tell Ada play loudly")
	s.edits(minutes, "minutes Ada 35")
	s.wantLast("odile", "Your message of Monday 2 March, 11:00 was carried out")
	if got := len(s.posts("ada", studio.AnswerPost)); got != n || s.member("ada").Player.Minutes != 25 {
		t.Errorf("Ada was told %d things more and has %d minutes", got-n, s.member("ada").Player.Minutes)
	}

	consent := s.says("petra", "consent Mina")
	s.edits(consent, "consent Mina no")
	s.wantLast("petra", "Your message of 09:00 was carried out")
	if s.member("mina").Withdrawn != 0 {
		t.Error("an edit took the consent back")
	}
}

// TestEditOfWhatWasNotCarriedOut: what was refused, or only showed something, is read
// anew.
func TestEditOfWhatWasNotCarriedOut(t *testing.T) {
	s := newStage(t)
	refused := s.says("odile", "minutes Adda 25")
	s.edits(refused, "minutes Ada 25")
	s.wantLast("odile", "Ada now has 25 minutes")
	for i, shown := range []string{"plan Ada", "note Ada", "lesson Ada", "holiday", "lessons", "challenge list", "erase Ada"} {
		m := s.says("odile", shown)
		s.edits(m, fmt.Sprintf("minutes Ada %d", 30+i))
		s.wantLast("odile", fmt.Sprintf("Ada now has %d minutes", 30+i))
		s.edits(m, "minutes Ada 50")
		s.wantLast("odile", "was carried out")
	}
	s.at("2026-03-02 07:00")
	short := s.says("ada", "short 15")
	s.edits(short, "short 20")
	s.wantLast("ada", "20")
	s.edits(short, "1 60 clean")
	s.wantEntries("ada", march(2), "1 clean quarter=60")
}

func TestEditedNoteTakesThePlaceOfTheFirst(t *testing.T) {
	s := newStage(t)
	s.says("odile", "note Ada elbows out")
	m := s.says("odile", "note Ada breeth before the slur")
	s.says("odile", "note Ada softly")
	s.at("2026-03-02 09:00")
	s.edits(m, "note Ada breathe before the slur")
	s.wantLast("odile", "The note on Ada is changed.")
	s.edits(m, "note Ada breathe before the slur, always")
	want := func(who string, notes ...string) {
		t.Helper()
		var got []string
		for _, n := range s.member(who).Notes {
			got = append(got, n.Text)
		}
		if !slices.Equal(got, notes) {
			t.Errorf("notes on %s: %q, want %q", who, got, notes)
		}
	}
	want("ada", "elbows out", "breathe before the slur, always", "softly")
	s.edits(m, "note Mina breathe before the slur")
	want("ada", "elbows out", "softly")
	want("mina", "breathe before the slur")
	s.edits(m, "note Nobody breathe")
	s.wantLast("odile", "Nobody")
	want("mina", "breathe before the slur")
}

func TestEditedLessonTakesThePlaceOfTheFirst(t *testing.T) {
	s := newStage(t)
	want := func(who string, lessons ...string) {
		t.Helper()
		var got []string
		for _, l := range s.member(who).Lessons {
			got = append(got, strings.TrimSpace(l.Start+" "+l.Rule))
		}
		if !slices.Equal(got, lessons) {
			t.Errorf("lessons of %s: %q, want %q", who, got, lessons)
		}
	}
	weekly := s.says("odile", "lesson Ada 2026-03-05 16:30 weekly")
	once := s.says("odile", "lesson Ada 2026-03-07 10:00")
	s.edits(once, "lesson Ada 2026-03-08 10:00")
	want("ada", "2026-03-05T16:30 FREQ=WEEKLY", "2026-03-08T10:00")
	s.edits(once, "lesson Mina 2026-03-08 10:00")
	s.wantLast("odile", "The next lesson with Mina is on Sunday 8 March")
	want("ada", "2026-03-05T16:30 FREQ=WEEKLY")
	want("mina", "2026-03-08T10:00")
	s.edits(once, "lesson Mina 2025-03-08 10:00")
	s.wantLast("odile", "has gone by")
	want("mina", "2026-03-08T10:00")
	s.edits(weekly, "lesson Ada 2026-03-05 17:00 fortnightly")
	want("ada", "2026-03-05T17:00 FREQ=WEEKLY;INTERVAL=2")
	s.edits(weekly, "lesson Ada not 2026-03-05")
	s.wantLast("odile", "is not changed by editing")
	s.edits(weekly, "lesson Ada 2026-03-05 17:00")
	s.wantLast("odile", "is not changed by editing")
	want("ada", "2026-03-05T17:00 FREQ=WEEKLY;INTERVAL=2")
}

// TestEditedDecisions edits what was decided in a lesson, given by command and in
// reply to its sheet: what was said before is not done again.
func TestEditedDecisions(t *testing.T) {
	s := newStage(t)
	m := s.reply("odile", s.taught(), "25 min, pin daily-ground/1/3\nelbows out\nbreeth")
	s.says("odile", "minutes Ada 40") // since then
	s.edits(m, "25 min, pin daily-ground/1/3\nelbows out\nbreathe\nsoftly")
	s.wantLast("odile", "“breathe” The note on Ada is changed.", "“softly” Noted")
	notes := func() (all []string) {
		for _, n := range s.member("ada").Notes {
			all = append(all, n.Text)
		}
		return all
	}
	if got := notes(); !slices.Equal(got, []string{"elbows out", "breathe", "softly"}) || s.member("ada").Player.Minutes != 40 {
		t.Errorf("notes %q, %d minutes", got, s.member("ada").Player.Minutes)
	}
	s.edits(m, "30 min, pin daily-ground/1/4\nbreathe")
	s.wantLast("odile", "“elbows out” is no longer noted.", "“softly” is no longer noted.", "“pin daily-ground/1/3” was carried out and stays", "“30 min” Ada now has 30 minutes")
	if text := s.last("odile").Text; strings.Contains(text, "“25 min”") {
		t.Errorf("25 minutes are said to stay: %s", text)
	}
	if got := notes(); !slices.Equal(got, []string{"breathe"}) || s.member("ada").Player.Minutes != 30 {
		t.Errorf("notes %q, %d minutes", got, s.member("ada").Player.Minutes)
	}
	after := s.says("odile", "after Ada 45 min; softly")
	s.edits(after, "after Ada 45 min; loudly")
	s.wantLast("odile", "Decided with Ada", "“loudly” The note on Ada is changed.")
	s.edits(after, "after Mina 45 min; loudly")
	s.wantLast("odile", "is not changed by editing")
	if got := notes(); !slices.Equal(got, []string{"breathe", "loudly"}) {
		t.Errorf("notes %q", got)
	}
}

// TestEditedAnswersToPoints: the points of a digest that were answered are not
// answered again.
func TestEditedAnswersToPoints(t *testing.T) {
	s := newStage(t)
	s.says("odile", "digest")
	digest := s.posts("odile", studio.DigestPost)
	if len(digest) != 1 {
		t.Fatalf("%d digests", len(digest))
	}
	m := s.says("odile", "1 ok")
	s.edits(m, "1 hold")
	s.wantLast("odile", "is not changed by editing")
}
