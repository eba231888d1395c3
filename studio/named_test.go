package studio_test

import (
	"strings"
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// TestNames finds people by as much of a name as tells them apart, and says what
// to write where it does not.
func TestNames(t *testing.T) {
	roster := studiotest.Roster()
	for i := range roster.Members {
		if m := &roster.Members[i]; m.ID == "mina" {
			m.Name = "Ada Zoë"
		}
	}
	s := stageOf(t, studiotest.Catalogue(), roster)
	for _, tt := range []struct{ says, want string }{
		{"minutes ada 30", "Ada now has 30 minutes"},
		{"minutes ADA ZOE 25", "Ada Zoë now has 25 minutes"},
		{"tell Ada Zoe  keep  the corners firm", "Passed on to Ada Zoë"},
		{"minutes Adda 30", "There is no student “Adda” in this studio; write one of: Ada, Ada Zoë."},
		{"minutes Ada 30 please", "“please” means nothing to me there"},
		{"pin Ada daily-ground/1/3 daily-ground/1/4", "“daily-ground/1/4” means nothing to me there"},
		{"invite Odile", "Give Odile"},
		{"pause Ada Zoë now", "“now” means nothing to me there"},
		{"zone Ada new york", "America/New_York"},
		{"lock Ada daily-ground/1 quarter=999", "quarter=999 is above the goal"},
	} {
		s.says("odile", tt.says)
		if got := s.last("odile").Text; !strings.Contains(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.says, got, tt.want)
		}
	}
	s.wantLast("mina", "keep  the corners firm")
	if m := s.member("mina"); m.Paused {
		t.Error("paused by a command that was refused")
	}
}

// TestNamesAlike asks which of two is meant.
func TestNamesAlike(t *testing.T) {
	roster := studiotest.Roster()
	for i := range roster.Members {
		switch m := &roster.Members[i]; m.ID {
		case "ada":
			m.Name = "Anna Berg"
		case "mina":
			m.Name = "Anna Dahl"
		}
	}
	s := stageOf(t, studiotest.Catalogue(), roster)
	s.says("odile", "minutes Anna 30")
	s.wantLast("odile", "There is more than one “Anna”; write one of: Anna Berg, Anna Dahl.")
	s.says("odile", "minutes anna dahl 30")
	s.wantLast("odile", "Anna Dahl now has 30 minutes")
}

// TestGuardianWrites: what a guardian says of pain goes to the teachers at once and
// is answered with the usual caution; nothing of it is logged.
func TestGuardianWrites(t *testing.T) {
	s := newStage(t)
	s.says("petra", "consent Mina")
	s.says("petra", "Her lip hurts since yesterday")
	s.wantLast("petra", "Passed on to the teacher", "licensed health professional", "If Mina can tell me too")
	alert := s.posts("odile", studio.AlertPost)
	if n := len(alert); n == 0 || !strings.Contains(alert[n-1].Text, "Her lip hurts since yesterday") {
		t.Errorf("the teacher was told %+v", alert)
	}
	s.says("odile", "tell Petra thank you, she may rest")
	s.wantLast("petra", "thank you, she may rest")
	s.says("petra", "done 30")
	s.wantLast("petra", "What was played I take from Mina alone")
	if got := s.entries("mina", march(2)); len(got) > 0 {
		t.Errorf("logged by the guardian: %+v", got)
	}
}
