package studio_test

import (
	"slices"
	"strings"
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
)

// member returns a member as she is kept.
func (s *stage) member(who string) (m studio.Member) {
	s.t.Helper()
	s.view(func(tx studio.Tx) (err error) {
		m, err = tx.Member(studio.MemberID(who))
		return err
	})
	return m
}

// After the hour a routine that is made has nothing loud, and the one there is
// says what to write.
func TestNothingLoudAfterAnHour(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "add Ada articulate-hour/1 f")
	s.says("odile", "soft-hours Ada 21:00-07:00")
	s.wantLast("odile", "nothing loud from 21:00 to 7:00")
	loud := func() bool {
		return slices.ContainsFunc(s.routineOf("ada").Items, func(it routine.Item) bool { return it.Loud })
	}
	s.at("2026-03-02 07:00")
	if !loud() {
		t.Fatal("the routine of the morning has nothing loud to leave out")
	}
	s.at("2026-03-02 20:59")
	s.says("ada", "today")
	if text := s.last("ada").Text; strings.Contains(text, "loud") {
		t.Errorf("a minute before the hour: %q", text)
	}
	s.at("2026-03-02 21:00")
	s.says("ada", "today")
	s.wantLast("ada", "Nothing loud from 21:00 to 7:00: write “soft”")
	s.says("ada", "short 25")
	if loud() {
		t.Errorf("a routine made at 21:00 is loud: %+v", s.routineOf("ada").Items)
	}
	s.says("odile", "soft-hours Ada none")
	s.says("ada", "short 30")
	if !loud() {
		t.Errorf("without such hours nothing is loud: %+v", s.routineOf("ada").Items)
	}
	s.says("odile", "soft-hours Ada late")
	s.wantLast("odile", "for example: soft-hours Ada 21:00-07:00")
}

func TestStrainLimit(t *testing.T) {
	s := workshopStage(t)
	for _, tt := range []struct {
		words, answer string
		rise          int
	}{
		{"strain Ada 40", "40% more", 40},
		{"strain Ada 10%", "10% more", 10},
		{"strain Ada 900", "from 1 to 100", 10},
		{"strain Ada", "from 1 to 100", 10},
		{"strain Ada none", "no limit", -1},
	} {
		s.says("odile", tt.words)
		s.wantLast("odile", tt.answer)
		if got := s.member("ada").Player.Rise; got != tt.rise {
			t.Errorf("after %q the limit is %d, want %d", tt.words, got, tt.rise)
		}
	}
	s.says("ada", "strain Ada 50")
	if got := s.member("ada").Player.Rise; got != -1 {
		t.Errorf("a student set her limit to %d", got)
	}
}

// A performance makes two light days, and the piece's key comes in the warm-up.
func TestPerformance(t *testing.T) {
	s := workshopStage(t)
	s.says("odile", "perform Ada 2026-03-03 daily-ground/1")
	s.wantLast("odile", "performs daily-ground/1 on", "light")
	if e := s.entry("ada", "daily-ground/1"); e.Target != march(3) {
		t.Errorf("the target is %v", e.Target)
	}
	s.at("2026-03-02 07:00")
	if r := s.routineOf("ada"); !r.Light {
		t.Errorf("the day before is not light: %+v", r)
	}
	s.says("odile", "perform Ada 2026-03-03 none")
	if p := s.member("ada").Player.Performances; len(p) != 0 {
		t.Errorf("taken back, but there are performances on %v", p)
	}
	for words, answer := range map[string]string{
		"perform Ada":                            "Write the date",
		"perform Ada 2026-02-01":                 "is over",
		"perform Ada 2026-04-18 slur-atlas/7":    "Name a study",
		"perform Ada 2026-04-19":                 "that day and the one before are light",
		"perform Mina 2026-04-18 daily-ground/1": "not on Mina's plan",
	} {
		s.says("odile", words)
		s.wantLast("odile", answer)
	}
}
