package studio_test

import (
	"strings"
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// manyTongues is the test studio with a student who reads German, a teacher who
// reads French, and English in the channel.
func manyTongues(t *testing.T) *stage {
	t.Helper()
	roster := studiotest.Roster()
	for i := range roster.Members {
		switch roster.Members[i].ID {
		case "ada":
			roster.Members[i].Lang = "de"
		case "odile":
			roster.Members[i].Lang = "fr"
		}
	}
	return stageOf(t, studiotest.Catalogue(), roster)
}

func TestEachIsSpokenToInHerOwnLanguage(t *testing.T) {
	s := manyTongues(t)
	s.at("2026-03-02 07:00")
	set := s.posts("ada", studio.RoutinePost)[0]
	if set.Title != "Montag, 2. März" || set.Choices[0].Label != "Alles gespielt" || !strings.Contains(set.Items[0].Detail, "Viertel=60") {
		t.Errorf("her routine is %+v", set)
	}
	s.says("ada", "alles gespielt, meine Lippe tut weh")
	s.wantLast("ada", "Eingetragen: 1", "gespielt bei Viertel=60", "Deine Lehrkraft weiß Bescheid. Hör für jetzt auf zu spielen", "„Schmerzen weg“")
	s.wantLast("odile", "Ada signale une douleur", "«\u00a0alles gespielt, meine Lippe tut weh\u00a0»", "Arrête de jouer")
	s.says("odile", "challenge 14 80 Spring together")
	s.wantLast("odile", "«\u00a0Spring together\u00a0» va du mardi 3 mars au lundi 16 mars.")
	s.says("odile", "open Ada daily-ground/9 1")
	s.wantLast("odile", "Nomme une étude par livre/numéro")
	s.at("2026-03-03 07:00")
	for _, p := range s.chat.posts {
		if p.Kind == studio.AnnouncedPost && !strings.HasPrefix(p.Text, "From today to Monday 16 March") {
			t.Errorf("the channel is told %q", p.Text)
		}
	}
}

func TestCommandsHaveWordsOfTheirLanguage(t *testing.T) {
	s := manyTongues(t)
	s.at("2026-03-02 07:00")
	for _, c := range []struct{ says, want string }{
		{"heute", "Montag, 2. März"},
		{"today", "Montag, 2. März"},
		{"hilfe", "kurz MINUTEN: ein Tagesprogramm, das in so viele Minuten passt"},
		{"kurz 20", "Heute auf 20 min zugeschnitten"},
		{"kurz", "Heute auf 20 min"}, // no command without minutes: left alone
		{"mit Kornett", "Dein Plan ist für jedes Instrument gleich"},
		{"/aujourd'hui", "Den Befehl „aujourd'hui“ gibt es nicht"},
		{"woche", "Diese Woche: 0 von 7 Tagen"},
	} {
		s.says("ada", c.says)
		if c.says != "kurz" {
			s.wantLast("ada", c.want)
		}
	}
}

// TestQuestionsOfferAnswersInHerLanguage asks about something unclear and takes
// the number of an answer.
func TestQuestionsOfferAnswersInHerLanguage(t *testing.T) {
	s := manyTongues(t)
	s.at("2026-03-02 07:00")
	s.says("ada", "1 sauber wacklig")
	q := s.posts("ada", studio.QuestionPost)
	if len(q) != 1 || !strings.Contains(q[0].Text, "Bei „1 sauber wacklig“ bin ich mir nicht sicher, was Nummer 1 betrifft") || !strings.HasPrefix(q[0].Choices[0].Label, "1 sauber") {
		t.Fatalf("she is asked %+v", q)
	}
	s.says("ada", "1")
	s.wantLast("ada", "Eingetragen: 1 sauber bei Viertel=60")
}
