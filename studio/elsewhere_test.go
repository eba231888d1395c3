package studio_test

import (
	"testing"

	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// TestSameWordsOnTwoChatsCountOnce has Ada say the same on two chats: it is one
// report. Other words are another, and so are the same on one chat.
func TestSameWordsOnTwoChatsCountOnce(t *testing.T) {
	roster := studiotest.Roster()
	elsewhere := studio.Account{Platform: "matrix", ID: "@ada:harbour.test"}
	for i := range roster.Members {
		if m := &roster.Members[i]; m.ID == "ada" {
			m.Accounts = append(m.Accounts, elsewhere)
		}
	}
	s := stageOf(t, studiotest.Catalogue(), roster)
	s.at("2026-03-02 07:00")
	s.work()
	also := func(text string) {
		s.happens(studio.Message{
			Platform: "matrix", ID: "$" + text, Happening: studio.Written,
			Author: elsewhere, Private: true, Text: text, At: s.now,
		})
		s.work()
	}
	plays := func(want int) {
		t.Helper()
		s.wantStanding("ada", 1, func(st routine.Standing) bool { return st.Plays == want })
	}
	s.says("ada", "1 60 missed")
	s.work()
	also("1  60 MISSED")
	plays(1)
	s.wantEntries("ada", march(2), "1 missed quarter=60")
	also("1 60 shaky")
	plays(2)
	s.says("ada", "1 60 missed")
	s.work()
	plays(3)
}
