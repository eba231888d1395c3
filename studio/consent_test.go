package studio_test

import (
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// TestConsentTakenBackAndGivenAgain keeps what was logged under the consent before:
// the days in between ask for nothing, and the teacher hears of both.
func TestConsentTakenBackAndGivenAgain(t *testing.T) {
	s := newStage(t)
	s.says("petra", "consent Mina")
	for _, day := range []string{"2026-03-02", "2026-03-03", "2026-03-05"} {
		s.at(day + " 07:00")
		s.says("mina", "done 20")
	}
	s.at("2026-03-06 10:00")
	s.says("petra", "consent Mina nope")
	s.wantLast("petra", "“consent Mina no” to agree no longer")
	s.says("petra", "consent Mina no")
	s.wantLast("odile", "Petra has taken back consent for Mina")
	s.says("mina", "done 20")
	s.wantLast("mina", "a guardian has to agree first")
	before := len(s.posts("mina", studio.RoutinePost))
	s.at("2026-03-10 07:00")
	if n := len(s.posts("mina", studio.RoutinePost)); n != before {
		t.Errorf("%d routines came without consent", n-before)
	}
	s.says("petra", "consent Mina")
	s.wantLast("odile", "Petra has agreed that Mina's practice is logged")
	s.says("mina", "done 20")
	place, err := s.service.Place(t.Context(), "mina")
	if err != nil {
		t.Fatal(err)
	}
	if place.Tally.Streak != 4 {
		t.Errorf("%d days in a row, want the 3 before and today", place.Tally.Streak)
	}
}

// TestFileDoesNotBringConsentBack: a file that still has the consent which was taken
// back in the chat gives none when it is edited for another reason.
func TestFileDoesNotBringConsentBack(t *testing.T) {
	s := newStage(t)
	roster := studiotest.Roster()
	var mina *studio.Member
	for i := range roster.Members {
		if roster.Members[i].ID == "mina" {
			mina = &roster.Members[i]
		}
	}
	apply := func() {
		t.Helper()
		if err := s.service.Apply(t.Context(), roster); err != nil {
			t.Fatal(err)
		}
	}
	mina.Consent = march(1)
	apply()
	s.at("2026-03-04 10:00")
	s.says("petra", "consent Mina no")
	mina.Player.Minutes = 25
	apply()
	s.says("mina", "done 20")
	s.wantLast("mina", "a guardian has to agree first")
	mina.Consent = march(5)
	apply()
	s.at("2026-03-05 10:00")
	s.says("mina", "done 20")
	s.wantLast("mina", "Logged")
	if m := s.member("mina"); m.Consent != march(1) || m.Withdrawn != 0 {
		t.Errorf("consent of %s, taken back on %d", m.Consent, m.Withdrawn)
	}
}

// TestNoPassOpensWithoutConsent: what was announced waits while nothing may be
// logged of a student.
func TestNoPassOpensWithoutConsent(t *testing.T) {
	s, _ := fullDigest(t)
	err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		dov, err := tx.Member("dov")
		if err != nil {
			return err
		}
		dov.Age, dov.Consent, dov.Withdrawn = studio.Under13, march(1), march(23)
		return tx.PutMember(dov)
	})
	if err != nil {
		t.Fatal(err)
	}
	s.at("2026-03-25 07:00")
	if e := s.entry("dov", "daily-ground/1"); e.Pass != 1 {
		t.Errorf("opened without consent: %+v", e)
	}
}
